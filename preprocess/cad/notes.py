"""What is found while a drawing is read: problems, and remarks on what was read all the same."""

from __future__ import annotations

from dataclasses import dataclass, field

from preprocess.errors import Problem
from preprocess.wording import printable


@dataclass
class Notes:
    """Gathers problems and remarks on the drawing `file`."""

    file: str
    problems: list[Problem] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def problem(self, where: object, value: str, allowed: str) -> None:
        """Something that keeps the drawing from being used. where: a `Source` or words."""
        self.problems.append(Problem(self.file, printable(str(where)), printable(value), printable(allowed)))

    def remark(self, where: object, what: str) -> None:
        """Something that was read, or left out, and that its author should know; said once."""
        text = printable(f"{self.file}: {where}: {what}")
        if text not in self.remarks:
            self.remarks.append(text)
