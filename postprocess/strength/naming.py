"""What to say about a name that is not known."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches


def unknown(name: str, known: Iterable[str], kind: str) -> str:
    """A sentence that refuses `name` as a `kind` and gives the nearest of the known names, or all of them."""
    by_lower_case = {candidate.lower(): candidate for candidate in known}
    close = get_close_matches(name.lower(), by_lower_case, n=1)
    if close:
        return f'no {kind} "{name}"; the nearest is "{by_lower_case[close[0]]}"'
    return f'no {kind} "{name}"; known: {", ".join(by_lower_case.values())}'
