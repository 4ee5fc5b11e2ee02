"""Which input papers belong to: the files as they were when the case was read."""

from __future__ import annotations

import hashlib
from pathlib import Path

from jackfield.papers import case_json
from preprocess.reader import read_case


def test_papers_belong_to_the_input_that_was_read(small_case: Path) -> None:
    """Somebody saves case.toml while a run computes: its papers keep the digest of what they were computed from."""
    case = read_case(small_case)
    before = case_json(case)["input_sha256"]
    file = small_case / "case.toml"
    assert case.inputs.files[0].digest == hashlib.sha256(file.read_bytes()).hexdigest()
    file.write_text(file.read_text(encoding="utf-8").replace("mass_kg = 840", "mass_kg = 940"), encoding="utf-8")
    assert case_json(case)["input_sha256"] == before
    assert case_json(read_case(small_case))["input_sha256"] != before
