"""Three-dimensional views: made where graphics work, left out in words where they do not."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from postprocess import child
from postprocess.drawing import CAUTION
from postprocess.scene_child import (
    BAND,
    LIFT,
    STAND,
    WINDOW,
    exaggeration,
    framing,
    jack_cylinders,
    plain,
    slab_surface,
    view_axes,
)
from postprocess.scenes import render_scenes, scene_list
from postprocess.view import FloorView

EXPECTED = [f"scene-deflection-{state}.png" for state in ("bare", "service", "full")]
EXPECTED += [f"scene-mode-{mode}.png" for mode in range(1, 7)]


def run_instead(monkeypatch: pytest.MonkeyPatch, code: str) -> None:
    """Let the child run `code`, which finds the folder for pictures in sys.argv[2]."""
    monkeypatch.setattr(child, "command", lambda _, *words: [sys.executable, "-c", code, *words])


def test_all_scenes_or_words(floor_view: FloorView, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The child finds the packages from any folder; what it does not draw is named."""
    monkeypatch.chdir(tmp_path)
    outcome = render_scenes(floor_view, tmp_path / "scenes")
    made = [file.name for file in outcome.files]
    assert [name for name in EXPECTED if name not in made] == [name for name in EXPECTED if name in outcome.left_out]
    assert "ModuleNotFoundError" not in outcome.left_out
    assert all(file.read_bytes().startswith(b"\x89PNG") for file in outcome.files)
    if not outcome.left_out:
        assert made == EXPECTED
        assert len({file.read_bytes() for file in outcome.files}) == len(EXPECTED)


def test_crash_of_the_child(floor_view: FloorView, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run_instead(monkeypatch, "import os; os.abort()")
    outcome = render_scenes(floor_view, tmp_path)
    assert outcome.files == ()
    assert all(name in outcome.left_out for name in EXPECTED)
    assert "graphics library" in outcome.left_out
    assert "3-D" not in outcome.left_out  # the caller begins with these words


def test_pictures_before_a_crash_are_kept(
    floor_view: FloorView, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    code = "import os, sys; open(os.path.join(sys.argv[2], 'scene-deflection-bare.png'), 'wb').write(b'x'); os.abort()"
    run_instead(monkeypatch, code)
    outcome = render_scenes(floor_view, tmp_path)
    assert outcome.files == (tmp_path / "scene-deflection-bare.png",)
    assert outcome.files[0].read_bytes() == b"x"
    assert "scene-deflection-bare.png" not in outcome.left_out
    assert "scene-mode-6.png" in outcome.left_out


def test_child_that_hangs(floor_view: FloorView, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run_instead(monkeypatch, "import time; time.sleep(600)")
    outcome = render_scenes(floor_view, tmp_path, patience=0.5)
    assert outcome.files == ()
    assert "longer than" in outcome.left_out


def test_child_that_writes_nothing_or_stops(
    floor_view: FloorView, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run_instead(monkeypatch, "pass")
    assert "wrote nothing" in render_scenes(floor_view, tmp_path).left_out
    run_instead(monkeypatch, "raise RuntimeError('no context for drawing')")
    assert "RuntimeError: no context for drawing" in render_scenes(floor_view, tmp_path).left_out
    monkeypatch.setattr(child, "command", lambda *_: [str(tmp_path / "absent")])
    assert "could not be started" in render_scenes(floor_view, tmp_path).left_out


def test_slab_surface_is_closed_around_its_opening(floor_view: FloorView) -> None:
    """No open edge, and the volume is area × thickness on a level slab."""
    mesh = floor_view.fields.mesh
    rim = mesh.edges[mesh.boundary_edges]
    surface = slab_surface(mesh.vertices, mesh.triangles, rim, np.zeros(len(mesh.vertices)), 0.125)
    assert surface.n_open_edges == 0
    assert surface.area == pytest.approx(
        2 * floor_view.plan.area + 0.125 * floor_view.plan.boundary.length,
        rel=1e-6,  # single precision of VTK
    )


def test_cylinders_stand_between_base_and_slab() -> None:
    xy, top = np.array([[0.0, 0.0], [2.0, 1.0]]), np.array([0.3, 0.5])
    bounds = jack_cylinders(xy, top, -0.2, 0.15).bounds
    np.testing.assert_allclose(bounds, (-0.075, 2.075, -0.075, 1.075, -0.2, 0.5), atol=1e-3)


@pytest.mark.parametrize(("spread", "factor"), [(0.0193, 50.0), (0.5, 2.0), (0.00123, 750.0)])
def test_exaggeration_is_round(spread: float, factor: float) -> None:
    """0.08 × 15 m = 1.2 m over the range of values, rounded down to a round factor."""
    assert exaggeration(np.array([0.0, spread]), 15.0) == pytest.approx(factor)


def test_scenes_carry_the_words_of_a_sheet(floor_view: FloorView) -> None:
    for scene in scene_list(floor_view):
        assert scene["floor"] == floor_view.title
        assert scene["reference"] == "Reference T-1, revision B"
        assert scene["caution"] == CAUTION
    assert plain("cost $5, not $6") == r"cost \$5, not \$6"


@pytest.mark.parametrize("sides", [(11.0, 10.6), (40.0, 4.0), (4.0, 40.0)])
def test_the_floor_stands_between_title_and_colour_bar(sides: tuple[float, float]) -> None:
    """Jacks and the largest drawn heights stay in the band, in a parallel projection made anew from its definition."""
    x, y = sides
    xy, diagonal = np.array([[0, 0], [x, 0], [x, y], [0, y]]), np.hypot(x, y)
    middle, half = framing(xy, 0.125)
    right, up, out = view_axes()
    np.testing.assert_allclose(np.cross(right, up), out, atol=1e-12)
    heights = np.array([-(LIFT + STAND) * diagonal - 0.0625, LIFT * diagonal + 0.0625])
    corners = np.column_stack([np.repeat(xy, 2, axis=0), np.tile(heights, 4)]) - middle
    high, wide = (corners @ up / half + 1) / 2, (corners @ right / half * WINDOW[1] / WINDOW[0] + 1) / 2
    assert high.min() >= BAND[0] - 1e-9
    assert high.max() <= BAND[1] + 1e-9
    assert wide.min() >= 0.02
    assert wide.max() <= 0.98
