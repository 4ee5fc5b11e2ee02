"""What `jackfield level` and `jackfield lift` found for the same input, where their records lie below the papers."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from jackfield import level, lift
from preprocess.inputs import Inputs

LEVEL, LIFT = "level", "lift"
"""Folders below that of a run, where the two jobs write unless told otherwise."""


def level_record(papers: Path, inputs: Inputs) -> Mapping[str, Any] | None:
    """The contents of level.json, None where there is none or it belongs to another input."""
    return _record(papers / LEVEL / level.RECORD, level.FORMAT, inputs)


def lift_record(papers: Path, inputs: Inputs) -> Mapping[str, Any] | None:
    """The contents of lift.json, None where there is none or it belongs to another input."""
    return _record(papers / LIFT / lift.RECORD, lift.FORMAT, inputs)


def _record(path: Path, format_: str, inputs: Inputs) -> Mapping[str, Any] | None:
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    if not isinstance(record, dict) or record.get("format") != format_ or not isinstance(record.get("case"), dict):
        return None
    return record if record["case"].get("input_sha256") == inputs.digest else None
