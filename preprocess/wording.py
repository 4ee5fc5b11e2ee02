"""How values, places and near misses are written in messages."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

LONGEST = 60
"""Characters of a value that a message shows."""


def shown(value: object) -> str:
    """The value as the file has it, shortened."""
    if isinstance(value, bool):
        return str(value).lower()
    try:
        text = repr(value)
    except ValueError:  # Python refuses to write integers of thousands of digits
        return "a number of thousands of digits"
    return text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"


def quoted(name: str) -> str:
    """A name in double quotes, shortened and on one line."""
    line = "".join(letter if letter.isprintable() else " " for letter in name)
    return f'"{line if len(line) <= LONGEST else line[: LONGEST - 1] + "…"}"'


def point(x: float, y: float) -> str:
    """A point given in m, written in mm."""
    # adding 0.0 turns a rounded −0.0 into 0
    return f"({round(1000 * x, 1) + 0.0:.10g}, {round(1000 * y, 1) + 0.0:.10g}) mm"


def nearest(name: str, known: Iterable[str], kind: str) -> str:
    """What to write instead of an unknown `name`: the nearest known one, or all of them when none is near.

    kind: what the names stand for, e.g. "key".
    """
    by_lower_case = {candidate.lower(): candidate for candidate in known}
    close = get_close_matches(name.lower(), by_lower_case, n=1)
    if close:
        return f"no such {kind}; the nearest is {quoted(by_lower_case[close[0]])}"
    names = list(by_lower_case.values())
    listed = ", ".join(names[:20]) + (" …" if len(names) > 20 else "")
    return f"no such {kind}; known: {listed or 'none'}"
