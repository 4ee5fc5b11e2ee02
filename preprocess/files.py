"""Text and TOML files of a case folder, and what is wrong with them."""

from __future__ import annotations

import re
import stat
import tomllib
from pathlib import Path, PurePath
from typing import Any, Final

from preprocess.errors import Problem
from preprocess.wording import quoted, shown

LARGEST: Final = 10_000_000
"""Bytes of a file; the jack list of the largest slab has far fewer."""

LARGEST_DRAWING: Final = 50_000_000
"""Bytes of a drawing, which holds much else than a floor."""

FILE_ALLOWED: Final = f"a regular file in the folder of the case, at most {LARGEST // 1_000_000} MB"

NO_SUCH_FILE: Final = "there is no such file"


def read_content(folder: Path, name: str, largest: int = LARGEST) -> tuple[bytes, str]:
    """The bytes of a file, and in words why they cannot be had, empty if they can.

    Nothing is opened but a regular file inside the folder of at most `largest` bytes: reading a device or a pipe might
    never end.
    """
    if PurePath(name).is_absolute():
        return b"", "this path is absolute"
    if ".." in PurePath(name).parts:
        return b"", "this path has .. in it"
    try:
        path = (folder / name).resolve(strict=True)
        fault = _fault(folder.resolve(), path, largest)
        return (b"", fault) if fault else (path.read_bytes(), "")
    except FileNotFoundError:
        return b"", NO_SUCH_FILE
    except (OSError, ValueError, RuntimeError):  # RuntimeError: links in a circle, before Python 3.13
        return b"", "it cannot be read"


def _fault(folder: Path, path: Path, largest: int) -> str:
    """Why what is at `path` must not be read, empty if it may; both paths resolved."""
    if not path.is_relative_to(folder):
        return "it is a link that leads out of the folder"
    status = path.stat()
    if stat.S_ISDIR(status.st_mode):
        return "it is a folder"
    if not stat.S_ISREG(status.st_mode):
        return "it is a device or a pipe"
    return f"it has {status.st_size / 1e6:,.1f} MB" if status.st_size > largest else ""


def read_given(path: Path, name: str, argument: str, allowed: str) -> tuple[str, list[Problem]]:
    """The text of a file that the command names as its `argument`, or none and why it cannot be had.

    name: of the file in messages. allowed: what it has to be, in words.
    """
    content, fault = read_content(path.parent, path.name)
    if fault:
        return "", [Problem(name, argument, quoted(str(path)), f"{allowed}; {fault}")]
    return decode(content, name)


def decode(content: bytes, name: str) -> tuple[str, list[Problem]]:
    """The text of a file in UTF-8, with or without a byte order mark, or none and where it is not UTF-8."""
    try:
        return content.decode("utf-8-sig"), []
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        return "", [Problem(name, f"line {line}", f"byte 0x{content[error.start]:02x}", "text in UTF-8")]


def parse_toml(text: str, name: str) -> tuple[dict[str, Any], list[Problem]]:
    """The tables of a TOML text, or none and where it breaks the rules of TOML."""
    try:
        return tomllib.loads(text), []
    except tomllib.TOMLDecodeError as error:
        return {}, [_syntax_problem(text, name, str(error))]
    except ValueError:  # digits by the thousand
        return {}, [Problem(name, "a number", "thousands of digits", "numbers of usual length")]
    except RecursionError:
        return {}, [Problem(name, "a list", "hundreds of brackets inside each other", "lists of usual depth")]


def _syntax_problem(text: str, name: str, message: str) -> Problem:
    what, _, _ = message.partition(" (at ")
    match = re.search(r"at line (\d+)", message)
    lines = text.split("\n")
    number = int(match[1]) if match else len(lines)
    return Problem(name, f"line {number}", shown(lines[number - 1].strip()), f"valid TOML: {what}")
