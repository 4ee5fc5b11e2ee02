"""Sheets, lists and animation of a lift: complete, true to the view, signs besides colour, nothing cut off."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, PathPatch
from matplotlib.text import Text
from PIL import Image
from shapely import MultiPolygon, Point, Polygon, box

from postprocess.drawing import DRAWING, number
from postprocess.figures import write_sheets
from postprocess.jobs.crew_form import blocks_of, part_of, sheets_for
from postprocess.jobs.crew_plan import plan_ids
from postprocess.jobs.lift_crew_sheet import LIFT_CAUTIONS, lift_crew_figure, lift_crew_sheets
from postprocess.jobs.lift_figure import (
    height_groups,
    height_levels,
    lift_figure,
    lift_figure_sheets,
    line_levels,
    line_step,
)
from postprocess.jobs.lift_gif import MOST, write_lift_animation
from postprocess.jobs.lift_lists import lift_turns, plain_turns, write_lift_passes, write_survey_form
from postprocess.jobs.lift_peak_figure import lift_peak_figure, peak_places, place_words
from postprocess.jobs.lift_sheets import lift_sheets
from postprocess.jobs.lift_tables_figure import lift_tables_figure
from postprocess.jobs.lift_words import number_list, quarter_words, turn_words, use_percent
from postprocess.jobs.survey_sheet import TO_FILL, lifted_form, survey_figure, survey_sheets, zero_form
from postprocess.lift.views import LiftView
from postprocess.view import FloorView
from tests.unit.laid_out import lay_out
from tests.unit.lift_views import CAUTIONS, few_jacks, lift_of, many_jacks, odd_names, sheet_clashes, words

UNSAFE = "LIFT NOT SAFE AS PLANNED: do not begin"


@pytest.fixture(scope="module")
def lift(floor_view: FloorView) -> LiftView:
    return lift_of(floor_view, floor_view.fields.mesh)


@pytest.fixture(scope="module")
def drawn(floor_view: FloorView, lift: LiftView) -> dict[str, Figure]:
    mesh = floor_view.fields.mesh
    many, few, odd = many_jacks(floor_view), few_jacks(floor_view), odd_names(floor_view)
    long = replace(lift_of(odd, mesh), faults=8 * lift.faults, notes=12 * lift.notes, sizes=4 * lift.sizes)
    return {
        **{name: draw() for name, draw in lift_sheets(floor_view, lift, CAUTIONS).items()},
        "crew many": lift_crew_figure(many, lift_of(many, mesh), 4, CAUTIONS, 2),
        "crew few": lift_crew_figure(few, lift_of(few, mesh), 4, CAUTIONS),
        "crew odd": lift_crew_figure(odd, long, 2, CAUTIONS),
        "survey many": survey_figure(many, zero_form(lift.not_met), CAUTIONS, 1),
        "survey odd": survey_figure(odd, lifted_form("after pass 10", np.zeros(12), ()), CAUTIONS),
        "heights many passes": lift_figure(few, lift_of(few, mesh, 30), 1),
        "peaks many": lift_peak_figure(many, lift_of(many, mesh, 30)),
        "peaks odd": lift_peak_figure(odd, long),
        "tables odd": lift_tables_figure(odd, long),
        "tables none": lift_tables_figure(floor_view, replace(lift, faults=(), notes=(), sizes=())),
    }


SHEETS = ["lift-peaks", "lift-safe-passes", "lift-heights", "lift-pass-01", "lift-pass-03", "lift-pass-10", "survey"]
SHEETS += ["survey-zero"]
SHEETS += ["crew many", "crew few", "crew odd", "survey many", "survey odd", "heights many passes", "peaks many"]
SHEETS += ["peaks odd", "tables odd", "tables none"]


@pytest.mark.parametrize("name", SHEETS)
def test_words_keep_to_the_sheet_and_clear_of_each_other(drawn: dict[str, Figure], name: str) -> None:
    outside, clashes = sheet_clashes(drawn[name])
    assert outside == []
    assert clashes == []


def test_one_sheet_a_pass_and_all_are_written(floor_view: FloorView, lift: LiftView, tmp_path: Path) -> None:
    """Warnings are errors here."""
    sheets = lift_sheets(floor_view, lift, CAUTIONS)
    assert [name for name in sheets if "pass-" in name] == [f"lift-pass-{each:02d}" for each in range(1, 11)]
    write_sheets({"lift-pass-03": sheets["lift-pass-03"]}, floor_view.title, tmp_path)
    assert {file.name for file in tmp_path.iterdir()} == {"lift-pass-03.png", "lift-pass-03.pdf"}


# The crew


def rows_of(figure: Figure) -> str:
    """Words of a list row by row, as they are read."""
    return " ".join(text.get_text() for ax in figure.axes if not ax.axison for text in ax.texts)


def test_crew_reads_the_jacks_in_the_order_of_turning(
    floor_view: FloorView, lift: LiftView, drawn: dict[str, Figure]
) -> None:
    each, said = lift.passes[2], rows_of(drawn["lift-pass-03"])
    schedule, start = floor_view.schedule, 0
    for place, jack in enumerate(each.order, 1):
        x, y = (f"{1e3 * value:.0f}" for value in schedule.xy[jack])  # the datum is the origin of this floor
        height, load = number(1e3 * each.heights[jack], 1), number(each.loads[jack] / 1e3, 2)
        row = f"{place} {schedule.ids[jack]} {x} {y} 2 {height} {load} "
        start = said.index(row, start) + 1
    ticks = [patch for ax in drawn["lift-pass-03"].axes for patch in ax.patches if patch.get_gid() == "tick"]
    assert len(ticks) == len(schedule)


def test_long_lists_of_the_crew_lose_no_jack(floor_view: FloorView) -> None:
    view = many_jacks(floor_view)
    lift = lift_of(view, floor_view.fields.mesh, 3)
    assert lift_crew_sheets(lift.passes[0]) == 5
    listed: list[str] = []
    named: list[str] = []
    for sheet in range(5):
        figure = lift_crew_figure(view, lift, 0, CAUTIONS, sheet)
        listed += [text.get_text() for ax in figure.axes if not ax.axison for text in ax.texts]
        named += [text.get_text() for text in figure.findobj(Text) if text.get_gid() == "order id"]
    ids = [view.schedule.ids[jack] for jack in lift.passes[0].order]
    assert [word for word in listed if word in set(ids)] == ids
    assert {ids[0], ids[-1]} <= set(named) <= set(ids)
    assert len(named) > 30


@pytest.mark.parametrize("name", ["lift-pass-01", "lift-pass-03", "crew many", "crew few", "crew odd"])
def test_cautions_hold_points_and_stops_stand_on_every_sheet(drawn: dict[str, Figure], name: str) -> None:
    said = " ".join(words(drawn[name]).split())
    for sentence in (*LIFT_CAUTIONS, *CAUTIONS):
        assert sentence in said
    for part in ("Hold points", "more than 2.0 mm", "a crack shows", "abnormal torque", "turns freely", "C After the"):
        assert part in said
    signatures = [line for line in drawn[name].findobj(Line2D) if line.get_gid() == "signature"]
    assert len(signatures) == (0 if name == "crew many" else 2)  # of five sheets the last one is signed
    assert ("To be signed on sheet 5 of 5" in said) == (name == "crew many")
    assert "UP (the slab goes up) is: clockwise / anticlockwise, seen from above" in said
    assert len([line for line in drawn[name].findobj(Line2D) if line.get_gid() == "sense"]) == 1
    assert UNSAFE in said


def test_the_first_pass_waits_for_cube_results(drawn: dict[str, Figure]) -> None:
    assert "cube results of the concrete at 4 days" in " ".join(words(drawn["lift-pass-01"]).split())
    assert "cube results of the concrete" not in words(drawn["lift-pass-03"])


def test_a_pass_over_the_cracking_moment_is_not_to_be_started(drawn: dict[str, Figure]) -> None:
    """The third pass is at 104 %, the first and the tenth below 100 %."""
    assert "NOT SAFE: do not start this pass" in words(drawn["lift-pass-03"])
    for name in ("lift-pass-01", "lift-pass-10"):
        assert "do not start this pass" not in words(drawn[name])


def frames_on(figure: Figure) -> int:
    return sum(patch.get_gid() == "warning" for patch in figure.findobj(Patch))


def test_every_sheet_of_an_unsafe_lift_says_so_in_a_frame(
    floor_view: FloorView, lift: LiftView, drawn: dict[str, Figure]
) -> None:
    names = list(lift_sheets(floor_view, lift, CAUTIONS))
    assert {"lift-pass-01", "survey", "survey-zero", "lift-peaks", "lift-heights", "lift-safe-passes"} <= set(names)
    for name in names:
        assert UNSAFE in words(drawn[name])
        assert lift.not_met[0] in " ".join(words(drawn[name]).split())
        assert frames_on(drawn[name]) == 1
    for name, sheet in lift_sheets(floor_view, replace(lift, not_met=()), CAUTIONS).items():
        assert UNSAFE not in words(figure := sheet()), name
        assert frames_on(figure) == 0


def test_what_the_pass_does(lift: LiftView, drawn: dict[str, Figure]) -> None:
    said = " ".join(words(drawn["lift-pass-03"]).split())
    heights = 1e3 * lift.passes[2].heights
    assert f"Lowest {heights.min():.1f} mm" in said
    assert f"highest {heights.max():.1f} mm" in said
    assert "9.98 kN·m/m, 104 % of the cracking moment" in said
    assert "a re-entrant corner, x 2600 mm, y 1800 mm" in said.replace("x 3200", "x 2600").replace("y 2300", "y 1800")
    assert "Cracks open on the top face" in said
    assert "Cracks open on the bottom face" in " ".join(words(drawn["lift-pass-10"]).split())
    assert "leaves the floor in this pass" in said
    assert "floats, as before" in " ".join(words(drawn["lift-pass-10"]).split())


def test_faults_that_heights_do_not_show_are_said(floor_view: FloorView, lift: LiftView) -> None:
    """The harmful faults show by 5.2 and 2.2 mm: seen at a difference of 2 mm, the second not at 3 mm."""
    seen, hidden = (lift_crew_figure(floor_view, lift, 1, CAUTIONS, stop_difference=d) for d in (2e-3, 3e-3))
    assert "Heights may not show" not in words(seen)
    assert "Heights may not show" in words(hidden)


def test_stop_difference_is_the_one_asked_for(floor_view: FloorView, lift: LiftView) -> None:
    figure = lift_crew_figure(floor_view, lift, 1, CAUTIONS, stop_difference=3.5e-3)
    assert "by more than 3.5 mm" in " ".join(words(figure).split())


def test_order_and_the_worst_place_are_on_the_plan(
    floor_view: FloorView, lift: LiftView, drawn: dict[str, Figure]
) -> None:
    order = next(line for line in drawn["lift-pass-03"].findobj(Line2D) if line.get_gid() == "order")
    np.testing.assert_allclose(order.get_xydata(), floor_view.schedule.xy[list(lift.passes[2].order)])
    texts = [text for text in drawn["lift-pass-03"].findobj(Text) if text.get_gid() == "order id"]
    assert [text.get_text() for text in texts] == [floor_view.schedule.ids[jack] for jack in lift.passes[2].order]
    np.testing.assert_allclose([text.get_position() for text in texts], order.get_xydata())
    ring = next(line for line in drawn["lift-pass-03"].findobj(Line2D) if line.get_gid() == "ring")
    np.testing.assert_allclose(np.ravel(ring.get_xydata()), lift.passes[2].peak.xy)


@pytest.mark.parametrize("name", ["lift-pass-03", "lift-pass-10", "crew many", "crew few", "crew odd"])
def test_words_on_the_plan_of_the_crew_cover_no_jack(drawn: dict[str, Figure], name: str) -> None:
    """Neither the middle of a circle nor a dot lies in the frame of "look for cracks"."""
    figure = drawn[name]
    lay_out(figure)
    mark = next(text for text in figure.findobj(Text) if text.get_gid() == "mark")
    jacks = [line for line in figure.findobj(Line2D) if line.get_gid() in {"order", "others"}]
    places = np.vstack([line.get_transform().transform(line.get_xydata()) for line in jacks])
    covered = mark.get_window_extent()
    assert not any(covered.contains(*place) for place in places)


def test_no_two_jacks_have_the_same_mark() -> None:
    ids = [f"north-wall-{part}-of-row-1" for part in ("east", "west")] + ["A1"]
    marks = plan_ids(ids)
    assert len(set(marks)) == 3
    assert marks[2] == "A1"
    assert max(map(len, plan_ids(["long-name-without-end-1", "A1"]))) == 10


def test_the_way_to_the_next_row_is_dashed(floor_view: FloorView, lift: LiftView, drawn: dict[str, Figure]) -> None:
    """Rows of four at 1.6 m: the ways from the fourth to the fifth and from the eighth to the ninth jack."""
    back = next(each for each in drawn["lift-pass-03"].findobj(LineCollection) if each.get_gid() == "fly-back")
    xy = floor_view.schedule.xy[list(lift.passes[2].order)]
    np.testing.assert_allclose([path.vertices for path in back.get_paths()], [xy[3:5], xy[7:9]])


@pytest.mark.parametrize("lines", [1, 4, 25, 26, 67, 68, 69, 300])
def test_lists_are_parted_without_loss(lines: int) -> None:
    sheets = sheets_for(lines, DRAWING)
    assert sheets == -(-lines // 68)
    got = []
    for sheet in range(sheets):
        part = range(lines)[part_of(lines, sheets, sheet)]
        assert len(part) <= 68
        for block in blocks_of(len(part)):
            assert len(part[block]) <= 34
            got += list(part[block])
    assert got == list(range(lines))


# The survey


def test_survey_has_every_jack_its_expected_height_and_blanks(
    floor_view: FloorView, lift: LiftView, drawn: dict[str, Figure]
) -> None:
    said, last = rows_of(drawn["survey"]), lift.passes[-1]
    for place, name in enumerate(floor_view.schedule.ids):
        x, y = (f"{1e3 * value:.0f}" for value in floor_view.schedule.xy[place])
        assert f"{place + 1} {name} {x} {y} {1e3 * last.heights[place]:.1f} " in said
    for caption in (*TO_FILL, "expected, mm", "zero, mm", "1st, mm", "2nd, mm", "difference, mm"):
        assert caption in said
    assert len([line for line in drawn["survey"].findobj(Line2D) if line.get_gid() == "blank"]) == len(TO_FILL)
    assert survey_sheets(many_jacks(floor_view)) == 5


def test_zero_readings_have_their_own_sheet_and_file(floor_view: FloorView, drawn: dict[str, Figure]) -> None:
    said = rows_of(drawn["survey-zero"])
    for place, name in enumerate(floor_view.schedule.ids):
        x, y = (f"{1e3 * value:.0f}" for value in floor_view.schedule.xy[place])
        assert f"{place + 1} {name} {x} {y} " in said
    assert "before the first turn" in words(drawn["survey-zero"])
    for sheet in ("survey-zero", "survey"):
        assert "survey-form-0.csv" in words(drawn[sheet])
        assert "survey-form.csv" in words(drawn[sheet])
    assert "zero (mean), mm" in said
    assert "expected" not in said


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_survey_form_is_blank_but_for_ids_and_turns(floor_view: FloorView, lift: LiftView, tmp_path: Path) -> None:
    """Ten passes of two turns."""
    write_survey_form(floor_view.schedule, lift_turns(lift), tmp_path / "survey-form.csv")
    rows = table(tmp_path / "survey-form.csv")
    assert list(rows[0]) == ["id", "height_mm", "deviation_mm", "turns"]
    assert [row["id"] for row in rows] == list(floor_view.schedule.ids)
    assert {row["turns"] for row in rows} == {"20"}
    assert {row["height_mm"] + row["deviation_mm"] for row in rows} == {""}


def test_list_of_passes(floor_view: FloorView, lift: LiftView, tmp_path: Path) -> None:
    write_lift_passes(floor_view.schedule, lift, tmp_path / "lift-passes.csv")
    rows = table(tmp_path / "lift-passes.csv")
    assert len(rows) == 10 * 12
    for row in rows:
        each = lift.passes[int(row["pass"]) - 1]
        jack = floor_view.schedule.ids.index(row["id"])
        assert each.order[int(row["order"]) - 1] == jack
        assert float(row["turns"]) == each.turns
        assert float(row["height_mm"]) == pytest.approx(1e3 * each.heights[jack], abs=5e-4)
        assert float(row["load_kN"]) == pytest.approx(each.loads[jack] / 1e3, abs=5e-4)
        assert float(row["reserve_mm"]) == pytest.approx(1e3 * each.reserves[jack], abs=5e-3)


# Heights, contact, peaks, faults


def plans(figure: Figure) -> list[Axes]:
    return [ax for ax in figure.axes if ax.get_title().startswith("Pass ")]


def test_every_pass_has_a_plan_in_the_scale_of_its_group(lift: LiftView, drawn: dict[str, Figure]) -> None:
    shown = plans(drawn["lift-heights"])
    assert len(shown) == 10
    for ax, each in zip(shown, lift.passes, strict=True):
        assert ax.get_title().startswith(f"Pass {each.number}: {1e3 * each.heights.min():.1f} to ")
        filled = ax.collections[0]
        group = [one for one in lift.passes if (one.contact_share > 0) == (each.contact_share > 0)]
        assert (filled.norm.vmin, filled.norm.vmax) == tuple(height_levels(group)[[0, -1]])
    on_floor, afloat = (height_levels(group)[-1] for group in height_groups(lift))
    assert on_floor < 0.2 * afloat


def test_passes_that_repeat_are_drawn_once(floor_view: FloorView, lift: LiftView) -> None:
    """From the fourth on all rise by 6 mm; the ninth bends the slab elsewhere and has its own plan."""
    fourth, tenth = lift.passes[3], lift.passes[9]
    same = [replace(each, peak=replace(fourth.peak, pass_number=each.number)) for each in lift.passes[4:8]]
    passes = (*lift.passes[:4], *same, *lift.passes[8:9], replace(tenth, peak=lift.passes[8].peak))
    figure = lift_figure(floor_view, replace(lift, passes=passes))
    titles = [ax.get_title() for ax in plans(figure)]
    assert [title.split(":")[0] for title in titles] == ["Pass 1", "Pass 2", "Pass 3", "Pass 4", "Pass 9"]
    assert titles[3].endswith("passes 5 to 8: as pass 4, 6.0 mm higher each")
    assert titles[4].endswith("pass 10: as pass 9, 6.0 mm higher")


def test_area_in_contact_is_hatched(lift: LiftView, drawn: dict[str, Figure]) -> None:
    """The hatched paths enclose the area of contact; a slab that is clear has none."""
    for ax, each in zip(plans(drawn["lift-heights"]), lift.passes, strict=True):
        patches = [patch for patch in ax.patches if patch.get_gid() == "contact"]
        assert all(isinstance(patch, PathPatch) and patch.get_hatch() for patch in patches)
        assert bool(patches) == (each.contact_share > 0)
        rings = [ring for patch in patches for ring in patch.get_path().to_polygons()]
        area = abs(sum(Polygon(ring).exterior.is_ccw * 2 * Polygon(ring).area - Polygon(ring).area for ring in rings))
        assert area == pytest.approx(each.contact.area, abs=1e-9)


def test_contact_may_be_points_and_lines_and_parts(floor_view: FloorView, lift: LiftView) -> None:
    mixed = shapely.GeometryCollection([Point(1, 1), box(0.2, 0.2, 0.9, 0.9)])
    parts = MultiPolygon([box(0, 0, 1, 1), box(4, 3, 5, 4)])
    passes = tuple(
        replace(each, contact=shape, contact_share=shape.area / 24)
        for each, shape in zip(lift.passes[:3], (mixed, parts, Polygon()), strict=True)
    )
    figure = lift_figure(floor_view, replace(lift, passes=passes))
    counts = [sum(patch.get_gid() == "contact" for patch in ax.patches) for ax in plans(figure)]
    assert counts == [1, 2, 0]


def test_lines_of_equal_height_have_one_step(lift: LiftView) -> None:
    step = line_step(lift)
    widest = max(np.ptp(1e3 * each.mesh_heights) for each in lift.passes)
    assert 3 <= widest / step <= 8
    np.testing.assert_allclose(line_levels(np.array([0.3, 3.1]), 1.0), [1.0, 2.0, 3.0])
    np.testing.assert_allclose(line_levels(np.array([-1.2, 1.1]), 1.0), [-1.0, 1.0])


def test_a_squeezed_sheet_does_not_open_the_scale_downward(floor_view: FloorView, lift: LiftView) -> None:
    """The sheet gives way by hundredths of a mm; 2 mm lower are lower."""
    for depth, lowest in ((-2e-5, 0.0), (-2e-3, -5.0)):
        first = replace(lift.passes[0], mesh_heights=np.full_like(lift.passes[0].mesh_heights, depth))
        assert height_levels((first, *lift.passes[1:]))[0] == lowest


def test_many_passes_take_more_sheets(floor_view: FloorView) -> None:
    assert [lift_figure_sheets(lift_of(floor_view, floor_view.fields.mesh, n)) for n in (1, 12, 13)] == [1, 1, 2]
    figure = lift_figure(floor_view, lift_of(floor_view, floor_view.fields.mesh, 13), 1)
    assert [ax.get_title()[:7] for ax in plans(figure)] == ["Pass 13"]


def test_peaks_stand_at_their_places_and_over_the_limit(lift: LiftView, drawn: dict[str, Figure]) -> None:
    """The first three passes peak at one corner, 104 % in the third; that bar alone is hatched."""
    figure = drawn["lift-peaks"]
    said = " ".join(words(figure).split())
    assert "104 % in pass 3, 82 to 93 % in passes 1, 2" in said
    assert "NOT SAFE as planned" in said
    rings = {tuple(np.ravel(line.get_xydata())) for line in figure.findobj(Line2D) if line.get_gid() == "ring"}
    assert rings == {each[0].xy for each in peak_places(lift)[:6]}
    chart = next(ax for ax in figure.axes if ax.get_title(loc="left").startswith("Greatest bending at any"))
    over = [patch for patch in chart.patches if patch.get_gid() == "over"]
    within = [patch for patch in chart.patches if patch.get_gid() == "within"]
    assert [patch.get_height() for patch in over] == pytest.approx([104.0])
    assert all(patch.get_hatch() for patch in over)
    assert not any(patch.get_hatch() for patch in within)
    assert len(within) == 9


def test_a_lift_below_the_cracking_moment_is_said_to_be_so(floor_view: FloorView, lift: LiftView) -> None:
    figure = lift_peak_figure(floor_view, replace(lift, passes=lift.passes[3:], worst=lift.passes[3].peak, not_met=()))
    assert "No pass reaches the cracking moment" in words(figure)
    assert "NOT SAFE" not in words(figure)


def test_passes_that_peak_alike_are_said_to(lift: LiftView) -> None:
    peaks = [replace(lift.worst, pass_number=number, use=use) for number, use in enumerate((0.4, 0.77, 0.765, 0.76), 1)]
    passes = tuple(replace(each, peak=peak) for each, peak in zip(lift.passes, peaks, strict=False))
    (place,) = peak_places(replace(lift, passes=passes))
    said = place_words(replace(lift, passes=passes), *place)
    assert said.replace("\n", " ") == "77 % in pass 2, about the same to pass 4, 40 % in pass 1"


def test_charts_show_loads_and_travel(lift: LiftView, drawn: dict[str, Figure]) -> None:
    charts = {ax.get_title(loc="left"): ax for ax in drawn["lift-peaks"].axes}
    for title, values, unit in (
        ("Jack loads after the pass, kN", [each.loads for each in lift.passes], 1e-3),
        ("Travel of the springs left to solid after the pass, mm", [each.reserves for each in lift.passes], 1e3),
    ):
        lines = {line.get_label(): line.get_ydata() for line in charts[title].lines}
        np.testing.assert_allclose(lines["highest"], [unit * each.max() for each in values])
        np.testing.assert_allclose(lines["mean"], [unit * each.mean() for each in values])
        np.testing.assert_allclose(lines["lowest"], [unit * each.min() for each in values])


def test_sizes_and_faults_are_listed(drawn: dict[str, Figure], floor_view: FloorView, lift: LiftView) -> None:
    said = " ".join(words(drawn["lift-safe-passes"]).split())
    for turns, moment, use, age in (("½", "4.51", "47 %", "2 days"), ("4", "15.55", "162 %", "no age")):
        assert f"{turns} {moment} {use} {age} 3 " in said
    for fault in lift.faults:
        name = floor_view.schedule.ids[fault.jack]
        harm = "HARM: stop" if fault.harmful else "no harm"
        row = f"{fault.words} {name} {1e3 * fault.height_change:.1f} {fault.load_change / 1e3:.2f} "
        assert f"{row}{use_percent(fault.use)} {fault.noticed} {harm}" in said
    first_harmless = said.index("no harm")
    assert said.rindex("HARM: stop") < first_harmless


def test_what_does_not_fit_is_counted(drawn: dict[str, Figure]) -> None:
    """32 faults and 24 notes of odd names: rows that are drawn and rows that are counted make them all."""
    said = " ".join(words(drawn["tables odd"]).split())
    shown = sum(said.count(part) for part in ("HARM: stop", "no harm in"))
    more = [int(part.split()[-1]) for part in said.split(" more in the results file")[:-1]]
    assert shown + sum(more) == 32
    assert "None was tried." in words(drawn["tables none"])


@pytest.mark.parametrize("name", ["crew odd", "survey odd", "peaks odd", "tables odd"])
def test_markup_characters_are_written_as_they_are(drawn: dict[str, Figure], name: str) -> None:
    assert "$5^" in words(drawn[name])


# The animation


def frames_of(path: Path) -> list[Image.Image]:
    with Image.open(path) as film:
        found = []
        for frame in range(getattr(film, "n_frames", 1)):
            film.seek(frame)
            found.append(film.convert("RGB"))
    return found


def test_animation_is_small_and_shows_every_pass(floor_view: FloorView, lift: LiftView, tmp_path: Path) -> None:
    """A state after each pass and two between: 31 frames, of which equal ones share a frame."""
    path = tmp_path / "lift.gif"
    write_lift_animation(floor_view, lift, path)
    assert path.stat().st_size < 1.5e6
    frames = frames_of(path)
    assert 15 <= len(frames) <= MOST
    assert len({frame.size for frame in frames}) == 1


def test_animation_darkens_as_the_slab_rises_in_one_scale(
    floor_view: FloorView, lift: LiftView, tmp_path: Path
) -> None:
    """Lightness alone orders the heights: the last state is darker than that after the third pass."""
    write_lift_animation(floor_view, replace(lift, passes=lift.passes[2:]), tmp_path / "lift.gif")
    frames = [np.asarray(frame).mean() for frame in frames_of(tmp_path / "lift.gif")]
    assert frames[-1] < frames[1]


@pytest.mark.parametrize("passes", [1, 13, 60])
def test_animation_of_few_and_many_passes(floor_view: FloorView, passes: int, tmp_path: Path) -> None:
    write_lift_animation(floor_view, lift_of(floor_view, floor_view.fields.mesh, passes), tmp_path / "lift.gif")
    assert 2 <= len(frames_of(tmp_path / "lift.gif")) <= MOST


# Words


@pytest.mark.parametrize(
    ("turns", "said"), [(2.0, "2"), (0.5, "½"), (1.75, "1¾"), (0.0, "0"), (-0.25, "\N{MINUS SIGN}¼"), (1 / 3, "0.333")]
)
def test_turns_in_words(turns: float, said: str) -> None:
    assert turn_words(turns) == said


@pytest.mark.parametrize(
    ("quarters", "said"), [(3, "up 3/4"), (-5, "down 1 1/4"), (0, "leave"), (4, "up 1"), (-2, "down 1/2")]
)
def test_quarter_turns_have_their_sense_in_words(quarters: int, said: str) -> None:
    assert quarter_words(quarters) == said


@pytest.mark.parametrize(("use", "said"), [(1.0, "100 %"), (1.001, "100.1 %"), (0.9996, "99.96 %"), (0.64, "64 %")])
def test_uses_show_their_side_of_the_limit(use: float, said: str) -> None:
    assert use_percent(use) == said


def test_numbers_in_a_row() -> None:
    assert number_list([3, 1, 2]) == "1 to 3"
    assert number_list([4, 1]) == "1, 4"
    assert number_list(list(range(1, 20, 2))) == "1, 3, 5, 7, 9, 11, …"
    assert [plain_turns(value) for value in (20.0, 1.75, -0.25, -0.0)] == ["20", "1.75", "-0.25", "0"]
