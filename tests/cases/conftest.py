"""What the tests of whole runs share."""

from __future__ import annotations

from contextlib import nullcontext

import pytest

import jackfield.run
from postprocess.scenes import SceneOutcome


def leave_pictures_out(patch: pytest.MonkeyPatch) -> None:
    """No pictures, 3-D views, drawings, reports and field files: one test has them, and they have their own."""
    patch.setattr(jackfield.run, "render_scenes", lambda view, folder: SceneOutcome((), "not wanted here"))
    patch.setattr(jackfield.run, "drawing_floor", lambda view, folder: nullcontext())
    patch.setattr(jackfield.run, "drawing_sheets", lambda sheets, title, folder: nullcontext())
    patch.setattr(jackfield.run, "case_report", lambda gathered: None)
    for name in ("write_drawings", "write_html", "write_pdf", "write_vtu"):
        patch.setattr(jackfield.run, name, lambda *_, **__: None)


@pytest.fixture
def no_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave pictures, 3-D views, drawings, reports and field files out."""
    leave_pictures_out(monkeypatch)
