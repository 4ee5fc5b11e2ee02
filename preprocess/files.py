"""Text and TOML files of a case folder, and what is wrong with them."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from preprocess.errors import Problem
from preprocess.wording import shown


def read_text(folder: Path, name: str) -> tuple[str, list[Problem]]:
    """The text of a file in UTF-8, with or without a byte order mark; OSError if it cannot be read."""
    content = (folder / name).read_bytes()
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
