"""The files that a case was read from, so that papers can say which input they belong to."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from preprocess.files import LARGEST_DRAWING, read_content


@dataclass(frozen=True)
class InputFile:
    """One file. digest: SHA-256 of its bytes, in hexadecimal. modified: when it was last written, in local time."""

    name: str
    digest: str
    modified: dt.datetime


@dataclass(frozen=True)
class Inputs:
    """All files of a case. given: the date that the case gives itself, None where it does not."""

    files: tuple[InputFile, ...]
    given: dt.date | None

    @cached_property
    def digest(self) -> str:
        """SHA-256 over names and digests: the same for the same input, whenever and wherever it was written."""
        lines = "".join(f"{file.digest}  {file.name}\n" for file in self.files)
        return hashlib.sha256(lines.encode()).hexdigest()

    @property
    def date(self) -> dt.date:
        """The date that the case gives itself, or that of its newest file."""
        return self.given or max(file.modified for file in self.files).date()

    @property
    def date_words(self) -> str:
        """The date, and where it is from."""
        return f"{self.date.isoformat()} ({'as the case gives it' if self.given else 'newest file'})"


def read_inputs(folder: Path, names: Iterable[str], given: dt.date | None) -> Inputs:
    """The files of these names in `folder` as they are now; one that has gone since it was read is left out."""
    found = []
    for name in names:
        content, fault = read_content(folder, name, LARGEST_DRAWING)
        if not fault:
            modified = dt.datetime.fromtimestamp((folder / name).stat().st_mtime).astimezone()
            found.append(InputFile(name, hashlib.sha256(content).hexdigest(), modified))
    return Inputs(tuple(found), given)
