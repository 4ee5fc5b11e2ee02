"""Text of a case as plain text in DXF, and names of blocks that DXF allows."""

from __future__ import annotations

import re
from collections.abc import Collection

LONGEST_NAME = 60
"""Letters of a block's name; DXF allows 255."""
_CODES = re.compile(r"%{2,}|%(?=\\[UuMm]\+)|\^|\\(?=[UuMm]\+)")
_BACKSLASH = "%%092"


def escaped(words: str) -> str:
    r"""Words for TEXT and attributes such that nothing in them is read as a code.

    `%%d` would be a degree sign, `^J` the end of a line, `\U+00B0` and `\M+182A0` letters; braces and other backslashes
    are plain in these entities. Ends of lines and other control characters, which DXF cannot hold, become blanks.
    A backslash is written by its number, as `%%092` (DXF reference, TEXT): programs differ in how often they look for
    `\U+`, so `\U+005C` may come out as the letter after all.
    """
    line = "".join(" " if ord(letter) < 32 or 127 <= ord(letter) < 160 else letter for letter in words)
    return _CODES.sub(_escape, line)


def _escape(found: re.Match[str]) -> str:
    code = found.group()
    if code == "^":
        return "^ "
    return _BACKSLASH if code == "\\" else "%%%" * len(code)


_ESCAPES = re.compile(rf"%%%|\^ |{_BACKSLASH}")


def restored(content: str) -> str:
    """The words that `escaped` made `content` of, as they are in the file or as a library has read it."""
    return _ESCAPES.sub(lambda found: "\\" if found[0] == _BACKSLASH else found[0][0], content)


def block_name(words: str, taken: Collection[str]) -> str:
    """A name of a block that DXF allows and that is not `taken`, upper and lower case being the same to DXF."""
    kept = re.sub(r"[^\w .()+-]", "_", words).strip()[:LONGEST_NAME].strip() or "ITEM"
    used = {name.lower() for name in taken}
    name, number = kept, 1
    while name.lower() in used:
        number += 1
        name = f"{kept} ({number})"
    return name
