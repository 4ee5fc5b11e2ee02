"""Drawings: what they say, what they mark, and that each is written twice."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import matplotlib
import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Text
from numpy.typing import NDArray

from fem.mesh import Mesh
from postprocess import child, figures
from postprocess.colours import DEFLECTION, SIGNED
from postprocess.deflection_figure import contour_levels
from postprocess.drawing import CAUTION, number
from postprocess.figures import DRAWINGS, write_figures
from postprocess.load_figure import departures
from postprocess.moment_figure import moment_levels
from postprocess.plan_items import marks
from postprocess.view import FloorView

Floats = NDArray[np.float64]
NAMES = {
    *("plan", "deflection-bare", "deflection-service", "deflection-full", "moments-bare", "moments-service"),
    *("moments-full", "modes", "loads"),
}


def words(figure: Figure) -> str:
    """All words on a drawing, without the breaks of lines."""
    return " ".join(text.get_text() for text in figure.findobj(Text)).replace("\n", " ")


@pytest.fixture(scope="module")
def drawn(floor_view: FloorView) -> dict[str, Figure]:
    return {name: draw(floor_view) for name, draw in DRAWINGS.items()}


def test_every_drawing_is_written_twice(floor_view: FloorView, tmp_path: Path) -> None:
    before = dict(matplotlib.rcParams)
    files = write_figures(floor_view, tmp_path / "new" / "figures")
    assert {file.name for file in files} == {f"{name}.{kind}" for name in NAMES for kind in ("png", "pdf")}
    for file in files:
        start = b"%PDF" if file.suffix == ".pdf" else b"\x89PNG"
        assert file.read_bytes().startswith(start)
    assert b"/CIDFontType2" in (tmp_path / "new" / "figures" / "plan.pdf").read_bytes()
    assert dict(matplotlib.rcParams) == before


def test_drawings_of_a_failing_helper_are_made_all_the_same(
    floor_view: FloorView, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(child, "command", lambda *_: [sys.executable, "-c", "import os; os.abort()"])
    monkeypatch.setattr(figures.os, "cpu_count", lambda: 2)
    monkeypatch.setattr(figures, "ASIDE", ("modes",))
    monkeypatch.setattr(figures, "DRAWINGS", {name: DRAWINGS[name] for name in ("modes", "loads")})
    files = write_figures(floor_view, tmp_path)
    assert [file.name for file in files] == ["modes.png", "modes.pdf", "loads.png", "loads.pdf"]
    assert all(file.stat().st_size > 1000 for file in files)


@pytest.mark.parametrize("name", sorted(NAMES))
def test_title_block(drawn: dict[str, Figure], name: str) -> None:
    said = words(drawn[name])
    for part in (CAUTION, "Practice room over a workshop", "T-1", "Revision", "x, m", "y, m", "plan m"):
        assert part in said


def test_plan_names_jacks_ratios_and_items(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    said, schedule = words(drawn["plan"]), floor_view.schedule
    for name, ratio, status in zip(schedule.ids, schedule.load_ratio("service"), schedule.status, strict=True):
        assert f"{name} {ratio:.2f}" + ("" if status == "ok" else f" {status}") in said
    for part in (
        "Datum corner",
        "Scale 1:25",
        "E1 Rack, 840 kg",
        "L1 Partition, 0.8 kN/m",
        "Tiles $5, 0.50 kPa",
    ):
        assert part in said.replace("  ", " ")


def test_status_is_told_by_shape(floor_view: FloorView) -> None:
    schedule = floor_view.schedule
    loads = schedule.rated_loads * np.linspace(0.6, 1.2, len(schedule))
    view = replace(floor_view, schedule=replace(schedule, loads={**schedule.loads, "service": loads}))
    status = np.array(view.schedule.status)
    lines = DRAWINGS["plan"](view).axes[2].findobj(Line2D)
    for name, marker in (("under", "v"), ("ok", "o"), ("over", "^")):
        shown = [line for line in lines if line.get_marker() == marker and line.get_zorder() == 4]
        assert sum(len(line.get_xdata()) for line in shown) == np.count_nonzero(status == name) > 0


def test_labels_give_way_on_large_floors(floor_view: FloorView) -> None:
    """Four hundred and forty-one jacks: symbols only, and the sheet says where the numbers are."""
    x, y = np.meshgrid(np.linspace(0.2, 5.8, 21), np.linspace(0.2, 3.8, 21))
    pick = np.arange(441) % len(floor_view.schedule)
    old = floor_view.schedule
    schedule = replace(
        old,
        ids=tuple(f"K{i}" for i in range(441)),
        xy=np.column_stack([x.ravel(), y.ravel()]),
        springs=tuple(old.springs[i] for i in pick),
        rates=old.rates[pick],
        rated_loads=old.rated_loads[pick],
        loads={name: values[pick] for name, values in old.loads.items()},
        tributary_loads=old.tributary_loads[pick],
    )
    said = words(DRAWINGS["plan"](replace(floor_view, schedule=schedule)))
    assert "see the jack schedule" in said
    assert "K17" not in said


def test_deflection_sheet_gives_extremes_in_mm(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    for state, w in floor_view.fields.deflection.items():
        said = words(drawn[f"deflection-{state}"])
        assert f"max {number(1e3 * w.max(), 2)} mm" in said
        assert f"min {number(1e3 * w.min(), 2)} mm" in said
        assert "w in mm, downward positive" in said


def test_moment_sheet_warns_of_corners(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    said = words(drawn["moments-service"])
    for part in ("kN·m/m", "sagging", "singular", "99 % of the slab's area", "M1, greater principal"):
        assert part in said
    bare = replace(floor_view, re_entrant_corners=np.zeros((0, 2)))
    assert "singular" not in words(DRAWINGS["moments-service"](bare))


def test_mode_sheet_gives_frequencies_and_shares(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    said, modes = words(drawn["modes"]), floor_view.modes
    for mode in range(6):
        assert f"Mode {mode + 1}: {modes.frequencies[mode]:.2f} Hz, {modes.kinds[mode]}" in said
    assert f"heave {100 * modes.heave[0]:.0f} %" in said
    assert "Mode 7" not in said


def test_departures_from_the_tributary_estimate(floor_view: FloorView) -> None:
    old = floor_view.schedule
    ratio = np.tile([1.16, 1.14, 0.86, 0.84], 3)
    schedule = replace(old, tributary_loads=old.loads["service"] / ratio)
    assert departures(replace(floor_view, schedule=schedule)) == ("more", "near", "near", "less") * 3


def test_colour_range_of_moments_ignores_a_peak() -> None:
    """A peak on one vertex of a fine mesh has under 1 % of the area, so it must not stretch the range."""
    mesh = Mesh.from_arrays(np.array([[0, 0], [4, 0], [4, 3], [0, 3]]), np.array([[0, 1, 2], [0, 2, 3]]))
    for _ in range(5):
        mesh = mesh.refined()
    x = mesh.vertices[:, 0]
    plain = np.column_stack([x - 1.0, -x / 2])
    peaked = plain.copy()
    peaked[0] = 1e6
    np.testing.assert_array_equal(moment_levels(mesh, plain), moment_levels(mesh, peaked))
    levels = moment_levels(mesh, plain)
    np.testing.assert_allclose(levels, -levels[::-1], atol=1e-12)
    assert 2.9 <= levels[-1] <= 4.0  # values reach 3


def test_levels_of_a_flat_field_rise() -> None:
    levels = contour_levels(np.full(9, 12.0))
    assert np.all(np.diff(levels) > 0)
    assert levels[0] < 12.0 < levels[-1]


def test_colour_maps_step_evenly_in_lightness() -> None:
    """CIE lightness (CIE 15:2004) moves one way on each side of zero and by near-equal steps.

    OKLab and CIE lightness differ a little: steps within a factor of two of their mean.
    """
    for colours, parts in ((DEFLECTION, 1), (SIGNED, 2)):
        rgb = colours(np.linspace(0, 1, 33))[:, :3]
        linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
        lightness = 116 * np.cbrt(linear @ [0.2126, 0.7152, 0.0722]) - 16
        for part in np.split(np.diff(lightness), parts):
            assert np.all(part < 0) or np.all(part > 0)
            assert np.abs(part).min() / np.abs(part).mean() > 0.5
            assert np.abs(part).max() / np.abs(part).mean() < 2


def test_marks_count_each_kind(floor_view: FloorView) -> None:
    assert marks(floor_view.items + floor_view.items[:1]) == ("E1", "L1", "F1", "E2")


@pytest.mark.parametrize(("value", "text"), [(-1.234, "−1.23"), (-0.001, "0.00"), (2.5, "2.50")])
def test_numbers_have_a_true_minus(value: float, text: str) -> None:
    assert number(value, 2) == text
