"""What the tests of whole runs share."""

from __future__ import annotations

from contextlib import nullcontext

import pytest

import jackfield.run
from postprocess.scenes import SceneOutcome


@pytest.fixture
def no_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave pictures and 3-D views out: one test has them, and they have tests of their own."""
    monkeypatch.setattr(jackfield.run, "render_scenes", lambda view, folder: SceneOutcome((), "not wanted here"))
    monkeypatch.setattr(jackfield.run, "drawing_floor", lambda view, folder: nullcontext())
    monkeypatch.setattr(jackfield.run, "write_strength_sheets", lambda view, folder: None)
    monkeypatch.setattr(jackfield.run, "write_vtu", lambda view, folder: ())
