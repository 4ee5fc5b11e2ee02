"""What a command came to, and the record that it leaves beside its papers."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from jackfield import CAUTIONS
from postprocess.checks import Check


@dataclass(frozen=True)
class JobOutcome:
    """The verdicts of a single job and the folder of its papers."""

    checks: tuple[Check, ...]
    folder: Path

    @property
    def all_met(self) -> bool:
        """Whether every check is met."""
        return all(check.ok for check in self.checks)


def papers_of(folder: Path, record: str) -> list[str]:
    """Names of all files in the folder, and of the record that is yet to be written."""
    found = (path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())
    return [*sorted(found), record]


def write_record(contents: Mapping[str, Any], folder: Path, name: str) -> None:
    """Write the record of a job, with its cautions and papers; numbers that JSON cannot hold raise ValueError."""
    whole = {**contents, "cautions": list(CAUTIONS), "papers": papers_of(folder, name)}
    text = json.dumps(whole, indent=1, allow_nan=False, ensure_ascii=False)
    (folder / name).write_text(text + "\n", encoding="utf-8")
