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
from PIL import Image
from pypdf import PdfReader
from shapely import LineString, MultiPoint, Point, box

from fem.mesh import Mesh
from postprocess import child, figures
from postprocess.colours import DEFLECTION, SIGNED, USE
from postprocess.deflection_figure import contour_levels
from postprocess.drawing import CAUTION, number, paper_scale
from postprocess.figures import DRAWINGS, RESOLUTION, write_figures
from postprocess.jack_labels import label_jacks, shortened
from postprocess.load_figure import change_words, departures
from postprocess.moment_figure import moment_levels
from postprocess.plan_items import marks
from postprocess.view import FloorView
from tests.unit.laid_out import lay_out

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


def test_every_drawing_is_written_twice(
    floor_view: FloorView, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two of them here, all in a whole run; as they are: with words to search for and as large as A3."""
    assert set(DRAWINGS) == NAMES
    two = ("plan", "moments-full")
    monkeypatch.setattr(figures, "DRAWINGS", {name: DRAWINGS[name] for name in two})
    before = dict(matplotlib.rcParams)
    files = write_figures(floor_view, tmp_path / "new" / "figures")
    assert {file.name for file in files} == {f"{name}.{kind}" for name in two for kind in ("png", "pdf")}
    assert set(files) == set((tmp_path / "new" / "figures").iterdir())
    plan = PdfReader(files[1])
    assert plan.metadata is not None
    assert plan.metadata.title == f"{floor_view.title}: plan"
    said = plan.pages[0].extract_text()
    for part in (CAUTION, *floor_view.schedule.ids):
        assert part in said
    assert plan.pages[0].mediabox[2:] == pytest.approx([420 / 25.4 * 72, 297 / 25.4 * 72], abs=0.01)  # rounded there
    with Image.open(files[0]) as picture:
        assert picture.size == (round(420 / 25.4 * RESOLUTION), round(297 / 25.4 * RESOLUTION))
        shades = np.asarray(picture.convert("L"))
    assert 0.001 < np.mean(shades < 128) < 0.2  # lines and words on white paper
    assert dict(matplotlib.rcParams) == before


def test_drawings_of_a_failing_helper_are_made_all_the_same(
    floor_view: FloorView, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(child, "command", lambda *_: [sys.executable, "-c", "import os; os.abort()"])
    monkeypatch.setattr(figures, "DRAWINGS", {"modes": DRAWINGS["modes"]})
    files = write_figures(floor_view, tmp_path)
    assert [file.name for file in files] == ["modes.png", "modes.pdf"]
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
        "1 Rack, 840 kg",
        "2 Partition, 0.8 kN/m",
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
    for part in ("do not read values at the corner itself", "values at points", "strip averages at jacks are in"):
        assert part in said
    bare = replace(floor_view, re_entrant_corners=np.zeros((0, 2)))
    assert "singular" not in words(DRAWINGS["moments-service"](bare))


def test_mode_sheet_gives_frequencies_and_shares(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    said, modes = words(drawn["modes"]), floor_view.modes
    for mode in range(6):
        assert f"Mode {mode + 1}: {modes.frequencies[mode]:.2f} Hz, {modes.kinds[mode]}" in said
    assert f"heave {100 * modes.heave[0]:.0f} %" in said
    assert "Mode 7" not in said
    assert "need not add up to 100 %" in said


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
    for colours, parts in ((DEFLECTION, 1), (USE, 1), (SIGNED, 2)):
        rgb = colours(np.linspace(0, 1, 33))[:, :3]
        linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
        lightness = 116 * np.cbrt(linear @ [0.2126, 0.7152, 0.0722]) - 16
        for part in np.split(np.diff(lightness), parts):
            assert np.all(part < 0) or np.all(part > 0)
            assert np.abs(part).min() / np.abs(part).mean() > 0.5
            assert np.abs(part).max() / np.abs(part).mean() < 2


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ("E1", "F1", ("1", "2", "3")),
        ("7", "F1", ("a", "b", "c")),
        ("7", "B", ("item 1", "item 2", "item 3")),
        ("7", "north", ("item 1", "item 2", "item 3")),
        ("7 ", "Item 2", ("a", "b", "c")),
    ],
)
def test_marks_of_items_are_no_ids_of_jacks(
    floor_view: FloorView, first: str, second: str, expected: tuple[str, ...]
) -> None:
    schedule = floor_view.schedule
    view = replace(floor_view, schedule=replace(schedule, ids=(first, second, *schedule.ids[2:])))
    assert marks(view) == expected
    clash = replace(view, schedule=replace(schedule, ids=("7", "x", "item 2", *schedule.ids[3:])))
    assert marks(clash) == ("item 1*", "item 2*", "item 3*")


def test_marks_touch_their_items_and_cover_nothing_else(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    """The line load's mark is on its line, the finish's within its area; a line leads from the rack's to a foot."""
    ax = drawn["plan"].axes[2]
    tags = {text.get_text(): Point(text.get_position()) for text in ax.texts if text.get_text() in {"1", "2", "3"}}
    rack, partition, tiles = (item.shape for item in floor_view.items)
    assert tags["2"].distance(partition) < 1e-6
    assert tiles.contains(tags["3"].buffer(1.5 / paper_scale(ax)))
    leader = LineString(np.transpose(next(line for line in ax.lines if line.get_gid() == "leader").get_data()))
    assert leader.distance(rack) < 1e-6
    assert leader.distance(tags["1"]) < 1e-6
    assert leader.length * paper_scale(ax) < 15
    for tag in tags.values():
        clear = np.hypot(*(floor_view.schedule.xy - tag.coords[0]).T).min() * paper_scale(ax)
        assert clear > 3.0  # radii of a jack's symbol, 1.4 mm, and of a mark, at least 1.6 mm
    assert tags["1"].distance(rack) * paper_scale(ax) > 1.6


def test_labels_are_nearest_to_their_own_jack(floor_view: FloorView) -> None:
    ax = DRAWINGS["plan"](floor_view).axes[2]
    xy = floor_view.schedule.xy
    boxes = label_jacks(ax, floor_view, [f"{name}\n0.93\nA7" for name in floor_view.schedule.ids], 7.0)
    distance = np.array([[box(*place).distance(Point(jack)) for jack in xy] for place in boxes])
    own = distance.diagonal().copy()
    np.fill_diagonal(distance, np.inf)
    assert np.all(distance.min(axis=1) > 2 * own)
    assert own.max() * paper_scale(ax) < 4.0  # no label had to go far on this roomy plan


def test_an_overlong_id_is_shortened_and_the_others_stay(floor_view: FloorView) -> None:
    schedule = floor_view.schedule
    view = replace(floor_view, schedule=replace(schedule, ids=("column-by-the-northern-stair-7", *schedule.ids[1:])))
    for name in ("plan", "loads"):
        said = words(DRAWINGS[name](view))
        assert "northern-stair" not in said
        assert "…" in said
        assert all(other in said for other in schedule.ids[1:])
    assert "in full in the jack schedule" in words(DRAWINGS["plan"](view))


@pytest.mark.parametrize(("text", "short"), [("A1", "A1"), ("abcdefghij", "abcdefghij"), ("abcdefghijk", "abcde…hijk")])
def test_shortened(text: str, short: str) -> None:
    assert shortened(text, 10) == short


def test_labels_of_loads_are_seven_points(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    labels = [text for text in drawn["loads"].axes[2].texts if text.get_text().startswith("J")]
    assert len(labels) == len(floor_view.schedule)
    assert min(float(label.get_fontsize()) for label in labels) >= 7.0


@pytest.mark.parametrize(
    ("percent", "said"),
    [
        *((12.3, "+12 %"), (0.2, "0 %"), (-0.4, "0 %"), (-25.2, "−25 %")),
        *((14.6, "+14.6 %"), (15.4, "+15.4 %"), (-14.96, "−14.96 %"), (-15.04, "−15.04 %")),
    ],
)
def test_differences_show_their_side_of_the_limit(percent: float, said: str) -> None:
    assert change_words(percent) == said


@pytest.mark.parametrize("name", ["deflection-bare", "deflection-service", "deflection-full"])
def test_extremes_and_values_of_contours_keep_clear(floor_view: FloorView, drawn: dict[str, Figure], name: str) -> None:
    """No box or value lies on a jack or on another."""
    figure = drawn[name]
    lay_out(figure)
    ax = figure.axes[2]
    places = [text.get_window_extent() for text in ax.texts]
    assert len(places) > 4
    boxes = [box(*place.extents) for place in places]
    upright = [place for place, text in zip(boxes, ax.texts, strict=True) if text.get_rotation() == 0]
    jacks = MultiPoint(ax.transData.transform(floor_view.schedule.xy))
    assert not any(place.intersects(jacks) for place in upright)
    assert not any(one.intersects(other) for one in upright for other in boxes if one is not other)


def test_characters_without_a_glyph_are_drawn_silently(floor_view: FloorView, tmp_path: Path) -> None:
    """Warnings are errors here."""
    figures.draw(replace(floor_view, title="\N{CJK UNIFIED IDEOGRAPH-90E8} floor"), tmp_path, ["loads"])
    assert {file.name for file in tmp_path.iterdir()} == {"loads.png", "loads.pdf"}


@pytest.mark.parametrize(("value", "text"), [(-1.234, "−1.23"), (-0.001, "0.00"), (2.5, "2.50")])
def test_numbers_have_a_true_minus(value: float, text: str) -> None:
    assert number(value, 2) == text
