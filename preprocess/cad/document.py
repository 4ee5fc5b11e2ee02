"""The bytes of a DXF file to a document of ezdxf, damaged ones as far as they can be mended."""

from __future__ import annotations

import io
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from ezdxf import recover
from ezdxf.document import Drawing

from preprocess.cad.notes import Notes
from preprocess.wording import count, listed, shown

SAVE_AS_DXF: Final = "a drawing in DXF, in text form; save it as DXF in the program that drew it"

_BINARY_DXF: Final = b"AutoCAD Binary DXF"
_TAIL: Final = 200
"""Bytes at the end of a file among which its end mark has to be."""


def open_document(content: bytes, notes: Notes) -> Drawing | None:
    """The document, None if the file is none; then `notes` say why."""
    fault = _fault(content)
    if fault:
        notes.problem("file", fault, SAVE_AS_DXF)
        return None
    if b"EOF" not in content[-_TAIL:]:
        notes.problem("file", "a file cut off, without its end mark (EOF)", "the whole drawing; save or send it again")
        return None
    try:
        with _listening() as heard:
            document, audit = recover.read(io.BytesIO(content), errors="ignore")
            document.modelspace()
    except Exception as error:  # a damaged file may break the library anywhere
        notes.problem("file", f"damaged beyond mending ({shown(str(error))})", SAVE_AS_DXF)
        return None
    faults = [fault.message for fault in (*audit.errors, *audit.fixes)] + heard
    if faults:
        first = listed([shown(fault)[1:-1] for fault in faults])
        notes.remark("file", f"{count(len(faults), 'fault')} found and mended as far as possible: {first}")
    return document


class _Listener(logging.Handler):
    """Puts messages into a list."""

    def __init__(self, heard: list[str]) -> None:
        super().__init__(logging.WARNING)
        self._heard = heard

    def emit(self, record: logging.LogRecord) -> None:
        """One more message."""
        self._heard.append(record.getMessage())


@contextmanager
def _listening() -> Iterator[list[str]]:
    """What the library has to say while it reads, instead of saying it in the terminal."""
    heard: list[str] = []
    logger, handler = logging.getLogger("ezdxf"), _Listener(heard)
    before = logger.propagate
    logger.addHandler(handler)
    logger.propagate = False
    try:
        yield heard
    finally:
        logger.propagate = before
        logger.removeHandler(handler)


def _fault(content: bytes) -> str:
    """Why content is no DXF at first sight, empty if it may be."""
    if not content.strip():
        return "nothing in it"
    if content[:2] == b"AC" and content[2:6].isdigit():
        return "a DWG file"
    if content.startswith(_BINARY_DXF):
        return "DXF in binary form"
    start = content.removeprefix(b"\xef\xbb\xbf").split(b"\n", 1)[0].strip()
    return "" if start.isdigit() else "no DXF"
