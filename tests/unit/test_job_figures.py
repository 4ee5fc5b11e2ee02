"""Drawings of single jobs: complete, true to the jacks, signs besides colour, nothing cut off or over each other."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import pytest
import shapely
from matplotlib.axes import Axes
from matplotlib.collections import PatchCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle
from matplotlib.text import Annotation, Text
from numpy.typing import NDArray
from shapely import Polygon, box

from postprocess.drawing import CAUTION, datum_corner, number, paper_scale, text_width
from postprocess.figures import write_sheets
from postprocess.jobs.choice_figure import choice_figure
from postprocess.jobs.crew_sheet import CREW_CAUTIONS, ORDER, coil_counts, coil_words, crew_figure, crew_sheets
from postprocess.jobs.habit_figure import habit_figure
from postprocess.jobs.marks import ratio_words
from postprocess.jobs.running_dimensions import row_lines
from postprocess.jobs.setout_figure import missing_dimensions, setout_figure
from postprocess.jobs.swap_figure import swap_figure, swap_sheets
from postprocess.jobs.table import fitted_words
from postprocess.jobs.views import RevisionView, SetOutView, Swap
from postprocess.view import FloorView, PlanView
from tests.unit.job_cases import CAUTIONS, choice_of, revision_of, setout_of
from tests.unit.laid_out import lay_out

Floats = NDArray[np.float64]

DRAW: dict[str, Callable[[PlanView], Figure]] = {
    "setout": lambda view: setout_figure(view, setout_of(view)),
    "choice": lambda view: choice_figure(view, choice_of(view)),
    "habit": lambda view: habit_figure(view, choice_of(view)),
    "swaps": lambda view: swap_figure(view, revision_of(view)),
    "crew": lambda view: crew_figure(view, revision_of(view), CAUTIONS),
}
TURN = np.radians(13.0)


def words(thing: Figure | Axes) -> str:
    """All words, without breaks of lines."""
    return " ".join(text.get_text() for text in thing.findobj(Text)).replace("\n", " ")


def large(view: PlanView, across: int = 23, up: int = 20) -> PlanView:
    """A floor of many jacks at 1.3 × 1.25 m."""
    x, y = np.meshgrid(0.3 + 1.3 * np.arange(across), 0.3 + 1.25 * np.arange(up))
    xy = np.column_stack([x.ravel(), y.ravel()])
    pick, old = np.arange(len(xy)) % len(view.schedule), view.schedule
    schedule = replace(
        old,
        ids=tuple(f"K{i}" for i in range(len(xy))),
        xy=xy,
        springs=tuple(old.springs[i] for i in pick),
        rates=old.rates[pick],
        rated_loads=old.rated_loads[pick],
        solid_deflections=old.solid_deflections[pick],
        advance=old.advance[pick],
        loads={name: values[pick] for name, values in old.loads.items()},
        deflections={name: values[pick] for name, values in old.deflections.items()},
        tributary_loads=old.tributary_loads[pick],
    )
    plan = box(0, 0, xy[:, 0].max() + 0.3, xy[:, 1].max() + 0.3)
    return replace(view, plan=plan, items=(), schedule=schedule)


def turned(view: PlanView) -> PlanView:
    """The small floor at an angle: no row runs along x or y."""
    turn = np.array([[np.cos(TURN), -np.sin(TURN)], [np.sin(TURN), np.cos(TURN)]])
    plan = Polygon(np.asarray(view.plan.exterior.coords) @ turn.T)
    return replace(view, plan=plan, items=(), schedule=replace(view.schedule, xy=view.schedule.xy @ turn.T))


def grid_setout(across: int = 23, up: int = 20) -> SetOutView:
    """All rows and columns of the large floor."""
    jacks = np.arange(across * up).reshape(up, across)
    rows = [tuple(map(int, row)) for row in (*jacks, *jacks.T)]
    return SetOutView(tuple(rows), (), (), (), ())


@pytest.fixture(scope="module")
def drawn(floor_view: FloorView) -> dict[str, Figure]:
    big, slanted = large(floor_view), turned(floor_view)
    many = revision_of(big, tuple(range(0, 330, 3)))
    extra = {
        "setout large": setout_figure(big, grid_setout()),
        "setout slanted": setout_figure(slanted, replace(setout_of(slanted), zones=(), lines=())),
        "swaps large": swap_figure(big, many),
        "swaps large, next": swap_figure(big, many, 1),
        "crew large": crew_figure(big, many, CAUTIONS, 1),
        "swaps none": swap_figure(floor_view, replace(revision_of(floor_view, ()), items=(), other=(), problems=())),
        "crew none": crew_figure(floor_view, revision_of(floor_view, ()), CAUTIONS),
    }
    return {name: draw(floor_view) for name, draw in DRAW.items()} | extra


SHEETS = [*DRAW, "setout large", "setout slanted", "swaps large", "swaps large, next", "crew large", "swaps none"]
SHEETS += ["crew none"]


@pytest.mark.parametrize("name", SHEETS)
def test_words_keep_to_the_sheet_and_clear_of_each_other(drawn: dict[str, Figure], name: str) -> None:
    """Boxes of lines have room for accents above and below, which may touch: a seventh of the smaller at most."""
    figure = drawn[name]
    lay_out(figure)
    inside = box(*figure.bbox.extents).buffer(-0.02 * figure.bbox.width)
    seen = [text for text in figure.findobj(Text) if text.get_text().strip() and text.get_visible()]
    frames = np.array([box(*Text.get_window_extent(text).extents) for text in seen])
    assert len(frames) > 15
    assert [text.get_text() for text, frame in zip(seen, frames, strict=True) if not inside.contains(frame)] == []
    first, second = shapely.STRtree(frames).query(frames, predicate="intersects")
    apart = first < second
    shared = shapely.area(shapely.intersection(frames[first[apart]], frames[second[apart]]))
    least = np.minimum(shapely.area(frames[first[apart]]), shapely.area(frames[second[apart]]))
    clash = shared > 0.15 * least
    pairs = zip(first[apart][clash], second[apart][clash], strict=True)
    assert [(seen[i].get_text(), seen[j].get_text()) for i, j in pairs] == []


@pytest.mark.parametrize("name", SHEETS)
def test_title_block_and_size_of_words(drawn: dict[str, Figure], name: str) -> None:
    """5 points at least but on small plans of very many; captions of the title block are smaller on all sheets."""
    said = words(drawn[name])
    for part in (CAUTION, "Practice room over a workshop", "T-1", "Revision"):
        assert part in said
    captions = {"Title", "Drawing", "Units", "Reference", "Revision", ""}
    assert min(text.get_fontsize() for text in drawn[name].findobj(Text) if text.get_text() not in captions) >= 5.0


def test_sheets_are_written_twice(floor_view: FloorView, tmp_path: Path) -> None:
    """Warnings are errors here."""
    write_sheets({name: partial(draw, floor_view) for name, draw in DRAW.items()}, floor_view.title, tmp_path / "new")
    assert {file.name for file in (tmp_path / "new").iterdir()} == {f"{n}.{k}" for n in DRAW for k in ("png", "pdf")}


# Setting out


def dimensions(figure: Figure) -> dict[str, Text]:
    """Running dimensions by their words and side: "300 x" stands below, "300 y" at the left."""
    texts = [text for text in figure.axes[2].texts if text.get_gid() == "dimension"]
    return {f"{text.get_text()} {'x' if text.get_rotation() else 'y'}": text for text in texts}


def test_rows_have_running_dimensions(drawn: dict[str, Figure]) -> None:
    """The floor is 6000 × 4000 with its datum at the origin and an opening from (2600, 1800) to (3200, 2300); jacks
    stand at 600, 2200, … and 500, 2600, 3500."""
    found = dimensions(drawn["setout"])
    assert set(found) == {
        *("0 x", "600 x", "2200 x", "2600 x", "3200 x", "3800 x", "5400 x", "6000 x"),
        *("0 y", "500 y", "1800 y", "2300 y", "2600 y", "3500 y", "4000 y"),
    }
    for name, text in found.items():
        figure, axis = name.split()
        along = text.get_position()[0 if axis == "x" else 1]
        assert along == pytest.approx(float(figure) / 1e3, abs=0.05)  # 2 mm on paper at 1:25: nothing is crowded
    names = {text.get_text() for text in drawn["setout"].axes[2].texts if text.get_gid() == "row name"}
    assert names == set("ABCDEFG")


def test_dimensions_run_from_the_datum(floor_view: FloorView) -> None:
    """Shifted by 1 m and −2 m in plan, the same figures; the datum is the one that the sheet names."""
    plan = shapely.affinity.translate(floor_view.plan, 1.0, -2.0)
    schedule = replace(floor_view.schedule, xy=floor_view.schedule.xy + np.array([1.0, -2.0]))
    view = replace(floor_view, plan=plan, schedule=schedule)
    figure = setout_figure(view, replace(setout_of(view), zones=(), lines=()))
    assert {"600 x", "3500 y", "0 x"} <= set(dimensions(figure))
    x, y = datum_corner(plan)
    assert f"Datum corner at x {x:.3f} m, y {y:.3f} m" in words(figure)


def test_crowded_dimensions_are_spread(floor_view: FloorView) -> None:
    """Rows 20 mm apart: figures keep their order and a pitch of at least 1.1 of their size."""
    xy = floor_view.schedule.xy.copy()
    xy[:, 1] = np.repeat([2.0, 2.02, 2.04], 4)
    view = replace(floor_view, schedule=replace(floor_view.schedule, xy=xy), items=())
    figure = setout_figure(view, setout_of(view))
    ax = figure.axes[2]
    found = {name: text for name, text in dimensions(figure).items() if name.endswith("y")}
    places = [found[f"{figure} y"].get_position()[1] * paper_scale(ax) for figure in (0, 2000, 2020, 2040, 4000)]
    size = found["2020 y"].get_fontsize() * 25.4 / 72
    assert np.all(np.diff(places) > 1.1 * size)
    assert abs(places[2] - 2.02 * paper_scale(ax)) < 3.0


def test_housings_are_to_scale_where_the_jacks_are(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    ax = drawn["setout"].axes[2]
    housings = next(each for each in ax.findobj(PatchCollection) if each.get_gid() == "housings")
    outlines = [path.get_extents() for path in housings.get_paths()]
    assert len(outlines) == len(floor_view.schedule)
    np.testing.assert_allclose([(o.x0 + o.x1) / 2 for o in outlines], floor_view.schedule.xy[:, 0], atol=1e-6)
    np.testing.assert_allclose([o.width for o in outlines], floor_view.footprint, rtol=1e-6)


def test_jacks_on_no_row_along_x_and_y_have_their_own_figures(floor_view: FloorView) -> None:
    """Only rows along x are given: x is written at each jack, y is not. A jack 2 mm off its row has both."""
    xy = floor_view.schedule.xy.copy()
    xy[5, 1] += 0.002
    view = replace(floor_view, schedule=replace(floor_view.schedule, xy=xy), items=())
    setout = replace(setout_of(view), rows=setout_of(view).rows[:3], added=())
    missing = missing_dimensions(view, row_lines(xy, setout.rows, "ABC"))
    assert missing[0] == "\nx 600"
    assert missing[5] == "\nx 2200\ny 2602"
    said = words(setout_figure(view, setout))
    for name, place in zip(view.schedule.ids, xy, strict=True):
        assert f"{name} x {1e3 * place[0]:.0f}" in said
    assert "J06 x 2200 y 2602" in said
    assert "J07 x 3800 y" not in said


def test_slanted_rows_have_names_at_both_ends(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    ax = drawn["setout slanted"].axes[2]
    names = [text.get_text() for text in ax.texts if text.get_gid() == "row name"]
    assert sorted(names) == sorted(2 * list("ABCDEFG"))
    assert "Slanted rows: 7" in words(drawn["setout slanted"])
    assert "Rows along x or y" not in words(drawn["setout slanted"])
    plan = turned(floor_view).plan
    for line in ax.lines:
        if line.get_gid() == "row":
            assert not any(plan.contains(shapely.Point(end)) for end in np.asarray(line.get_xydata()))


def test_zones_lines_and_added_jacks_are_marked_and_named(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    figure = drawn["setout"]
    ax, said = figure.axes[2], words(figure)
    zone = next(patch for patch in ax.patches if patch.get_gid() == "zone")
    assert zone.get_hatch()
    added = next(line for line in ax.lines if line.get_gid() == "added")
    assert added.get_marker() == "s"
    np.testing.assert_allclose(added.get_xydata(), floor_view.schedule.xy[[5]])
    for part in ("J06 closer", "1  Stair landing: no jacks", "2  Partition wall: jack line", "strongest spring"):
        assert part in said
    assert "south edge governs" in said
    assert "Jacks to set out: 12" in said


def test_large_set_out_has_symbols_and_dimensions_only(drawn: dict[str, Figure]) -> None:
    figure = drawn["setout large"]
    assert "in the list of running dimensions" in words(figure)
    assert "K17" not in words(figure)
    assert {"300 x", "28900 x", "24050 y"} <= set(dimensions(figure))


# Choosing springs


def test_choice_names_springs_and_ratios(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    said, schedule = words(drawn["choice"]), floor_view.schedule
    for name, spring, ratio, status in zip(
        schedule.ids, schedule.springs, schedule.load_ratio("service"), schedule.status, strict=True
    ):
        assert f"{name} {spring} {ratio_words(ratio, schedule.band)}" + ("" if status == "ok" else f" {status}") in said
    compression = 1e3 * schedule.compression("service")
    for part in (
        "Heave frequency 3.42 Hz; target at most 3.50 Hz: met",
        f"deflect by {compression.min():.1f} to {compression.max():.1f} mm",
        f"{number(1e3 * schedule.solid_reserve('full').min(), 1)} mm at jack",
        "Different springs and pairs: 2; at most 4",
        "All 15 3 18",
        "J12: 9.9 kN; a spring of 400 N/mm",
    ):
        assert part in " ".join(said.split())


def test_unmet_targets_are_said(floor_view: FloorView) -> None:
    choice = replace(choice_of(floor_view), target_frequency=3.3, most_types=1, solid_reserve=1.0, shortfalls=())
    said = words(choice_figure(floor_view, choice))
    assert "target at most 3.30 Hz: NOT MET" in said
    assert "at most 1 asked for: NOT MET" in said
    assert "1000.0 mm asked for: NOT MET" in " ".join(said.split())
    assert "no choice of springs works" not in said
    free = replace(choice, target_frequency=None, most_types=None, solid_reserve=0.0)
    long = replace(floor_view.schedule, solid_deflections=np.full(12, 0.2))
    assert "NOT MET" not in words(choice_figure(replace(floor_view, schedule=long), free))


def test_pairs_have_a_ring_and_status_a_shape(floor_view: FloorView) -> None:
    schedule = floor_view.schedule
    loads = schedule.rated_loads * np.linspace(0.6, 1.2, len(schedule))
    view = replace(floor_view, schedule=replace(schedule, loads={**schedule.loads, "service": loads}))
    ax = choice_figure(view, choice_of(view)).axes[2]
    ring = next(line for line in ax.lines if line.get_gid() == "pairs")
    np.testing.assert_allclose(ring.get_xydata(), schedule.xy[[0, 4, 8]])
    assert ring.get_marker() == "o"
    status = np.array(view.schedule.status)
    for name, marker in (("under", "v"), ("ok", "o"), ("over", "^")):
        line = next(line for line in ax.lines if line.get_gid() == f"status {name}")
        assert line.get_marker() == marker
        np.testing.assert_allclose(line.get_xydata(), schedule.xy[status == name])


def test_chart_shows_every_ratio_against_the_band(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    schedule = floor_view.schedule
    chart = next(ax for ax in drawn["choice"].axes if "Load ratios" in ax.get_title())
    shown = np.concatenate([line.get_ydata() for line in chart.lines if str(line.get_gid()).startswith("status")])
    np.testing.assert_allclose(np.sort(shown), np.sort(schedule.load_ratio("service")))
    band = next(patch for patch in chart.patches if patch.get_gid() == "band")
    assert isinstance(band, Rectangle)
    assert (band.get_y(), band.get_y() + band.get_height()) == pytest.approx(schedule.band)
    low, high = chart.get_ylim()
    assert low < min(*schedule.band, shown.min())
    assert high > max(*schedule.band, shown.max())


@pytest.mark.parametrize(
    ("ratio", "said"), [(0.9, "0.90"), (1.05, "1.05"), (1.0501, "1.0501"), (0.7499, "0.7499"), (0.7461, "0.746")]
)
def test_ratios_show_their_side_of_the_band(ratio: float, said: str) -> None:
    assert ratio_words(ratio, (0.75, 1.05)) == said


def test_habit_names_just_the_jacks_with_other_springs(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    figure = drawn["habit"]
    on_plan, said = words(figure.axes[2]), words(figure)
    for name, label in (("J01", "1.20"), ("J04", "0.70"), ("J06", "1.0501"), ("J11", "0.7499")):
        assert f"{name} A8 {label}" in on_plan
    assert "J02" not in said  # the schedule has the habit's spring there
    for name in ("J05", "J09"):
        assert f"{name} A7 0.90" in on_plan
    assert "Other springs by habit: 6 of 12, wrong: 4" in said
    assert "6 of 12 would be out of band" in " ".join(said.split())
    shapes = {line.get_marker(): len(line.get_xdata()) for line in figure.axes[2].lines if line.get_gid()}
    assert (shapes["v"], shapes["^"]) == (2, 2)
    none = replace(choice_of(floor_view).habit, springs=floor_view.schedule.springs)
    assert "by habit: 0 of 12, wrong: 0" in words(habit_figure(floor_view, replace(choice_of(floor_view), habit=none)))


# Comparing two revisions


def test_every_swap_is_on_plan_and_list(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    figure, changes = drawn["swaps"], revision_of(floor_view)
    on_plan, said = words(figure.axes[2]), words(figure)
    for swap in changes.swaps:
        name = floor_view.schedule.ids[swap.jack]
        assert f"{name} {swap.out or 'nothing'} → {swap.into}" in on_plan
        before = "–" if np.isnan(swap.load_before) else number(swap.load_before / 1e3, 2)
        row = (name, swap.out or "nothing", swap.into, before, number(swap.load_after / 1e3, 2))
        assert " ".join(row) in said
    line = next(line for line in figure.axes[2].lines if line.get_gid() == "swaps")
    np.testing.assert_allclose(line.get_xydata(), floor_view.schedule.xy[[2, 7, 8]])
    others = next(line for line in figure.axes[2].lines if line.get_gid() == "others")
    assert len(others.get_xdata()) == floor_view.schedule.status.count("ok") - sum(
        floor_view.schedule.status[swap.jack] == "ok" for swap in changes.swaps
    )
    assert not any(name in on_plan for name in ("J01", "J02", "J05"))


def test_changes_on_the_slab_are_told_apart_by_line(drawn: dict[str, Figure]) -> None:
    figure = drawn["swaps"]
    ax, said = figure.axes[2], words(figure)
    old = [patch for patch in ax.patches if patch.get_gid() == "old"]
    new = [patch for patch in ax.patches if patch.get_gid() == "new"]
    assert (len(old), len(new)) == (2, 3)
    assert all(patch.get_linestyle() != "solid" for patch in old)
    assert all(patch.get_linestyle() in {"solid", "-"} for patch in new)
    crosses = [line for line in ax.lines if line.get_gid() == "crossed out"]
    assert len(crosses) == 2
    arrow = next(each for each in ax.texts if isinstance(each, Annotation))
    np.testing.assert_allclose(arrow.xyann, (1.35, 3.3))  # middle of the rack's feet, then moved by 3.2 and −2.2 m
    np.testing.assert_allclose(arrow.xy, (4.55, 1.1))
    for part in ("1  Rack: moved by 3.88 m", "2  Bench: gone", "3  Store: new", "4  Desk: 120 kg", "thickness: 125"):
        assert part in said
    assert "J12 stays over its band" in said


def test_proof_is_said_or_its_lack(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    met = replace(revision_of(floor_view), problems=())
    assert "Proven: fewer swaps" in words(swap_figure(floor_view, met))
    said = words(swap_figure(floor_view, replace(met, least=False)))
    assert "NOT proven" in said
    assert "at least 2 are needed" in said


def test_what_is_not_met_stands_on_both_sheets(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    """Whoever has only the sheet for the crew in hand must not start on swaps that do not suffice."""
    assert "NOT MET after these swaps" in words(drawn["swaps"])
    assert "NOT MET: do not start" in words(drawn["crew"])
    met = replace(revision_of(floor_view), problems=())
    assert "NOT MET" not in words(crew_figure(floor_view, met, CAUTIONS))


def test_jacks_still_out_of_band_are_marked(floor_view: FloorView) -> None:
    schedule = floor_view.schedule
    loads = 0.9 * schedule.rated_loads
    loads[11] = 1.2 * schedule.rated_loads[11]
    view = replace(floor_view, schedule=replace(schedule, loads={**schedule.loads, "service": loads}))
    figure = swap_figure(view, revision_of(view))
    assert "still over after the swaps: 1" in words(figure)
    over = [line for line in figure.axes[2].lines if line.get_gid() == "status over" and len(line.get_xdata())]
    assert [line.get_marker() for line in over] == ["^"]
    np.testing.assert_allclose(over[0].get_xydata(), schedule.xy[[11]])


def test_long_lists_go_on_and_lose_nothing(floor_view: FloorView) -> None:
    """Every one of 110 swaps is in the list of some sheet, for engineer and crew, once."""
    view = large(floor_view)
    changes = revision_of(view, tuple(range(0, 330, 3)))
    for sheets, draw in (
        (swap_sheets(changes), partial(swap_figure, view, changes)),
        (crew_sheets(changes), partial(crew_figure, view, changes, CAUTIONS)),
    ):
        assert sheets > 2
        listed: list[str] = []
        for sheet in range(sheets):
            figure = draw(sheet=sheet)
            listed += [text.get_text() for ax in figure.axes if not ax.axison for text in ax.texts]
        names = [view.schedule.ids[swap.jack] for swap in changes.swaps]
        assert [word for word in listed if word in set(names)] == names


@pytest.mark.parametrize(("count", "sheets"), [(0, 1), (1, 1), (28, 1), (29, 2), (86, 2), (87, 3)])
def test_number_of_sheets_of_swaps(floor_view: FloorView, count: int, sheets: int) -> None:
    assert swap_sheets(swapped(floor_view, count)) == sheets


@pytest.mark.parametrize(("count", "sheets"), [(0, 1), (25, 1), (26, 2), (50, 2)])
def test_number_of_sheets_of_the_crew(floor_view: FloorView, count: int, sheets: int) -> None:
    assert crew_sheets(swapped(floor_view, count)) == sheets


def swapped(view: FloorView, count: int) -> RevisionView:
    """A revision with so many swaps of one jack."""
    changes = revision_of(view)
    return replace(changes, swaps=count * changes.swaps[:1])


# The crew


def test_crew_reads_where_what_and_how(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    figure, changes = drawn["crew"], revision_of(floor_view)
    said = " ".join(words(figure).split())
    rows = (
        "1 J03 3800 500 A7 outer + B2 inner A7",
        "2 J08 5400 2600 nothing A7",
        "3 J09 600 3500 A7 A7 outer + B2 inner",
    )
    for row, swap in zip(rows, changes.swaps, strict=True):
        assert f"{row} " in said
        assert number(swap.load_after / 1e3, 2) in said
    ticks = [patch for ax in figure.axes for patch in ax.patches if patch.get_gid() == "tick"]
    assert len(ticks) == 3
    assert "initials" in said
    assert "To bring: 3 × A7, 1 × B2." in said
    assert "Come out: 2 × A7, 1 × B2." in said


@pytest.mark.parametrize("name", ["crew", "crew large", "crew none"])
def test_cautions_and_hold_points_stand_in_full_on_every_sheet(drawn: dict[str, Figure], name: str) -> None:
    said = " ".join(words(drawn[name]).split())
    for sentence in (*CREW_CAUTIONS, *CAUTIONS, *ORDER):
        assert " ".join(sentence.split()) in said
    for part in ("HOLD POINT A", "HOLD POINT B", "HOLD POINT C", "packed before anyone works", "One jack at a time"):
        assert part in said
    signatures = [line for line in drawn[name].findobj(Line2D) if line.get_gid() == "signature"]
    assert len(signatures) == 2


def test_map_shows_the_jacks_of_the_sheet(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    line = next(line for line in drawn["crew"].findobj(Line2D) if line.get_gid() == "swaps")
    np.testing.assert_allclose(line.get_xydata(), floor_view.schedule.xy[[2, 7, 8]])
    second = next(line for line in drawn["crew large"].findobj(Line2D) if line.get_gid() == "swaps")
    np.testing.assert_allclose(second.get_xydata(), large(floor_view).schedule.xy[75:150:3])


def test_no_swaps_are_said(drawn: dict[str, Figure]) -> None:
    assert "No springs to swap." in words(drawn["crew none"])
    assert "Springs to swap: 0 of 12" in words(drawn["swaps none"])
    assert "Nothing on the slab has changed" in words(drawn["swaps none"])


def test_coils_by_name() -> None:
    assert coil_words(()) == "nothing"
    assert coil_words(("A7",)) == "A7"
    assert coil_words(("A7", "B2")) == "A7 outer + B2 inner"
    swap = Swap(0, "A7", "A7+B2", ("A7",), ("A7", "B2"), 1.0, 1.0, 1.0, 0.9)
    assert coil_counts([swap, swap]) == ("To bring: 2 × A7, 2 × B2.", "Come out: 2 × A7.")
    assert coil_counts([]) == ("To bring: none.", "Come out: none.")


def test_long_words_in_tables_are_shortened() -> None:
    words_of_cell = "heavy-spring-with-a-long-name"
    fitting = fitted_words(words_of_cell, 20.0)
    assert text_width(fitting, 7.0) <= 20.0
    assert "…" in fitting
    assert fitted_words("A7", 20.0) == "A7"
