"""What is wrong with the input, every problem at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fem.errors import JackfieldError


@dataclass(frozen=True)
class Problem:
    """One thing that the engineer has to mend.

    file: name of the file as the case gives it, e.g. "jacks.csv".
    where: key ("slab.thickness_mm") or row and column ("row 12, column x_mm").
    value: what was received, as text; empty when something is missing.
    allowed: what would be accepted, or what to do.
    """

    file: str
    where: str
    value: str
    allowed: str

    def __str__(self) -> str:
        got = f": got {self.value}" if self.value else ""
        return f"{self.file}: {self.where}{got}: {self.allowed}"


class InputError(JackfieldError):
    """The case cannot be used; `problems` holds everything that was found, in order of file."""

    exit_code = 2

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))
