"""What `jackfield level` found for the same input, where its record lies below the papers of a run."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from jackfield.level import FORMAT, RECORD
from preprocess.inputs import Inputs

FOLDER = "level"
"""Below the folder of a run, where `jackfield level` writes unless told otherwise."""


def level_record(papers: Path, inputs: Inputs) -> Mapping[str, Any] | None:
    """The contents of level.json, None where there is none or it belongs to another input."""
    try:
        record = json.loads((papers / FOLDER / RECORD).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    if not isinstance(record, dict) or record.get("format") != FORMAT or not isinstance(record.get("case"), dict):
        return None
    return record if record["case"].get("input_sha256") == inputs.digest else None
