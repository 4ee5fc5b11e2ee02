"""How values, places and near misses are written in messages."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import get_close_matches

LONGEST = 60
"""Characters of a value that a message shows."""

ROWS_NAMED = 3
"""Rows that a message names before it counts the others."""


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
    return f'"{_one_line(name)}"'


def count(number: int, noun: str) -> str:
    """A number of things: "1 jack", "2 jacks", "2 passes"."""
    return f"{number} {noun}" + ("" if number == 1 else "es" if noun.endswith("s") else "s")


def rows(numbers: Sequence[int]) -> str:
    """The rows of these numbers, of many only the first: "row 2", "rows 2, 5, 9 and 12 more"."""
    return ("row " if len(numbers) == 1 else "rows ") + listed([str(number) for number in numbers])


def listed(names: Sequence[str]) -> str:
    """Names in a row, of many only the first: "A1", "A1, A2 and 12 more"."""
    if len(names) == 1:
        return _one_line(names[0])
    named = len(names) - 1 if len(names) <= ROWS_NAMED + 1 else ROWS_NAMED
    rest = _one_line(names[-1]) if named == len(names) - 1 else f"{len(names) - named} more"
    return f"{', '.join(_one_line(name) for name in names[:named])} and {rest}"


def point(x: float, y: float) -> str:
    """A point given in m, written in mm."""
    # adding 0.0 turns a rounded −0.0 into 0
    return f"({round(1000 * x, 1) + 0.0:.10g}, {round(1000 * y, 1) + 0.0:.10g}) mm"


def nearest(name: str, known: Iterable[str], kind: str) -> str:
    """What to write instead of an unknown `name`: the nearest of `known`, or all in their order if none is near.

    kind: what the names stand for, e.g. "key".
    """
    names = list(dict.fromkeys(known))
    by_lower_case = {candidate.lower(): candidate for candidate in names}
    close = get_close_matches(name.lower(), by_lower_case, n=1)
    if close:
        return f"no such {kind}; the nearest is {quoted(by_lower_case[close[0]])}"
    listed = ", ".join(_one_line(candidate) for candidate in names[:20]) + (" …" if len(names) > 20 else "")
    return f"no such {kind}; known: {listed or 'none'}"


def printable(words: str) -> str:
    """The words on one line, without anything that would move the cursor of a terminal."""
    return "".join(letter if letter.isprintable() else " " for letter in words)


def _one_line(name: str) -> str:
    """A name without anything that would move the cursor of a terminal, shortened."""
    line = printable(name)
    return line if len(line) <= LONGEST else line[: LONGEST - 1] + "…"
