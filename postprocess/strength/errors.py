"""What the strength part refuses, all of it at once."""

from __future__ import annotations

from collections.abc import Iterable

from fem.errors import JackfieldError


class StrengthError(JackfieldError):
    """Input that no strength check can use. problems: one sentence each."""

    def __init__(self, problems: Iterable[str]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(self.problems))
