"""Values as TOML has them."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Sequence

_WIDEST = 118
_DELETE = "\x7f"


def toml_text(words: str) -> str:
    """Words as a basic string, on one line. JSON escapes as TOML does, but for the delete character (TOML 1.0)."""
    return json.dumps(words, ensure_ascii=False).replace(_DELETE, "\\u007f")


def toml_number(value: float) -> str:
    """A length in mm to the thousandth."""
    return f"{round(value, 3) + 0.0:.13g}"


def toml_points(points: Iterable[Sequence[float]]) -> str:
    """A list of points [x, y] in mm."""
    return f"[{', '.join(f'[{toml_number(x)}, {toml_number(y)}]' for x, y in points)}]"


def wrapped(assignment: str) -> str:
    """A key with a list of points, or of such lists, broken between points where a line would be too long."""
    lines, line = [], ""
    for piece in re.split(r"(?<=\],) (?=\[)", assignment):
        if line and len(line) + 1 + len(piece) > _WIDEST:
            lines.append(line)
            line = f"    {piece}"
        else:
            line = f"{line} {piece}" if line else piece
    return "\n".join([*lines, line])
