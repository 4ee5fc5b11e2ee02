"""Sheets and the list of a levelling: complete, true to the view, signs besides colour, nothing cut off."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from matplotlib.collections import PathCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Text

from postprocess.drawing import number
from postprocess.figures import write_sheets
from postprocess.jobs.level_crew_sheet import HOLD_POINTS, level_crew_figure, level_crew_sheets, packs_down, packs_words
from postprocess.jobs.level_figure import level_figure
from postprocess.jobs.level_heights_figure import against_limit, level_heights_figure
from postprocess.jobs.level_lists import write_level_turns
from postprocess.jobs.level_sheets import level_sheets
from postprocess.jobs.level_table_figure import level_table_figure, level_table_sheets
from postprocess.jobs.level_words import ONE_SURVEY, against, gap_words
from postprocess.jobs.lift_crew_sheet import LIFT_CAUTIONS
from postprocess.jobs.lift_words import quarter_words
from postprocess.level.views import LevelView
from postprocess.view import FloorView
from tests.unit.lift_views import CAUTIONS, few_jacks, level_of, many_jacks, odd_names, sheet_clashes, words

PAGES = ("level-turns", "level-heights", "level-table", "level-crew")
SHEETS = [*PAGES, "survey-after", *(f"{page} {kind}" for page in PAGES for kind in ("many", "few", "odd"))]
SHEETS += [
    "level-turns all",
    "level-crew-2 all",
    "turns missed",
    "heights missed",
    "table missed",
    "crew missed",
    "turns none",
]
SHEETS += ["crew none"]


@pytest.fixture(scope="module")
def level(floor_view: FloorView) -> LevelView:
    return level_of(floor_view)


def missed(level: LevelView) -> LevelView:
    """A levelling that does not reach its limits."""
    return replace(level, overall_after=3.0004e-3, heights_after=8 * level.heights_after, rates=None, gap=0.0)


@pytest.fixture(scope="module")
def drawn(floor_view: FloorView, level: LevelView) -> dict[str, Figure]:
    many, few, odd = many_jacks(floor_view), few_jacks(floor_view), odd_names(floor_view)
    extra = {
        f"{name} {kind}": sheet()
        for kind, view, touched in (("many", many, 3), ("all", many, 1), ("few", few, 2), ("odd", odd, 1))
        for name, sheet in level_sheets(view, level_of(view, touched), CAUTIONS).items()
        if f"{name} {kind}" in SHEETS
    }
    none = replace(level, quarter_turns=np.zeros(12, dtype=np.int64), order=(), steps=(), step_heights=np.zeros(0))
    return {
        **{name: sheet() for name, sheet in level_sheets(floor_view, level, CAUTIONS).items()},
        **extra,
        "turns missed": level_figure(floor_view, missed(level)),
        "heights missed": level_heights_figure(floor_view, missed(level)),
        "table missed": level_table_figure(floor_view, missed(level)),
        "crew missed": level_crew_figure(floor_view, missed(level), CAUTIONS),
        "turns none": level_figure(floor_view, none),
        "crew none": level_crew_figure(floor_view, none, CAUTIONS),
    }


@pytest.mark.parametrize("name", SHEETS)
def test_words_keep_to_the_sheet_and_clear_of_each_other(drawn: dict[str, Figure], name: str) -> None:
    outside, clashes = sheet_clashes(drawn[name])
    assert outside == []
    assert clashes == []


def test_sheets_are_written_twice(floor_view: FloorView, level: LevelView, tmp_path: Path) -> None:
    """Warnings are errors here."""
    sheets = level_sheets(floor_view, level, CAUTIONS)
    assert list(sheets) == [*PAGES, "survey-after"]
    write_sheets({"level-heights": sheets["level-heights"]}, floor_view.title, tmp_path)
    assert {file.name for file in tmp_path.iterdir()} == {"level-heights.png", "level-heights.pdf"}


def rows_of(figure: Figure) -> str:
    """Words of lists row by row, as they are read."""
    return " ".join(text.get_text() for ax in figure.axes if not ax.axison for text in ax.texts)


# The plan of turns


def test_turns_stand_at_their_jacks_by_shape_and_words(
    floor_view: FloorView, level: LevelView, drawn: dict[str, Figure]
) -> None:
    """Jacks 0, 3, 6 and 9 are turned by 1, -2, 3 and -4 quarters."""
    figure, xy = drawn["level-turns"], floor_view.schedule.xy
    lines = {line.get_gid(): line for line in figure.findobj(Line2D) if line.get_gid() in {"up", "down", "others"}}
    np.testing.assert_allclose(lines["up"].get_xydata(), xy[[0, 6]])
    np.testing.assert_allclose(lines["down"].get_xydata(), xy[[3, 9]])
    assert (lines["up"].get_marker(), lines["down"].get_marker()) == ("^", "v")
    assert len(lines["others"].get_xdata()) == 8
    said = words(figure)
    for label in ("J01 up 1/4", "J04 down 1/2", "J07 up 3/4", "J10 down 1"):
        assert label in said
    assert "Jacks to turn: 4 of 12" in said
    assert "2 go up, 2 go down, 8 are left" in said
    assert level.reach in " ".join(said.split())


def test_what_is_not_met_is_said_on_plan_and_crew_sheet(drawn: dict[str, Figure]) -> None:
    """0.4 thousandths of a mm over the limit are shown as such, not rounded away."""
    for name in ("turns missed", "crew missed"):
        said = " ".join(words(drawn[name]).split())
        assert "NOT MET" in said
        assert "3.0004 mm, limit 3.0000 mm: NOT MET" in said
    for name in ("level-turns", "level-crew"):
        assert "NOT MET" not in words(drawn[name])


def test_nothing_to_turn_is_said(drawn: dict[str, Figure]) -> None:
    assert "Jacks to turn: 0 of 12" in words(drawn["turns none"])
    assert "0 go up, 0 go down, 12 are left" in words(drawn["crew none"])


def test_bound_on_the_gap_is_in_words(level: LevelView) -> None:
    assert "by 0.4 % at most" in gap_words(level)
    assert gap_words(replace(level, gap=0.0)).startswith("Proven")


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (2e-3, "2.0 mm, limit 3.0 mm: met"),
        (3e-3, "3.0 mm, limit 3.0 mm: met"),
        (3.02e-3, "3.02 mm, limit 3.00 mm: NOT MET"),
        (5e-3, "5.0 mm, limit 3.0 mm: NOT MET"),
    ],
)
def test_values_against_limits(value: float, said: str) -> None:
    assert against(value, 3e-3) == said


# The crew


def test_crew_reads_turns_in_the_order_of_work(
    floor_view: FloorView, level: LevelView, drawn: dict[str, Figure]
) -> None:
    said, schedule, start = rows_of(drawn["level-crew"]), floor_view.schedule, 0
    for place, jack in enumerate(level.order, 1):
        x, y = (f"{1e3 * value:.0f}" for value in schedule.xy[jack])
        states = level.heights_before, level.heights_done, level.heights_after
        heights = (number(1e3 * (h[jack] + 0.1234), 1) for h in states)  # the mean level of the survey
        loads = (number(q[jack] / 1e3, 2) for q in (level.loads_before, level.loads_after))
        turn = quarter_words(level.quarter_turns[jack])
        fall = 1e3 * (states[0][jack] - min(states[1][jack], states[2][jack]))
        packs = f"{np.ceil(fall) + 1:.0f}" if fall > 0.05 else "–"
        row = " ".join((str(place), schedule.ids[jack], x, y, turn, packs, *heights, *loads))
        start = said.index(row, start) + 1
    ticks = [patch for ax in drawn["level-crew"].axes for patch in ax.patches if patch.get_gid() == "tick"]
    assert len(ticks) == 4


@pytest.mark.parametrize("name", ["level-crew", "level-crew many", "level-crew odd", "level-crew-2 all", "crew none"])
def test_cautions_hold_points_and_stops_stand_on_every_sheet(drawn: dict[str, Figure], name: str) -> None:
    said = " ".join(words(drawn[name]).split())
    for sentence in (*LIFT_CAUTIONS, *CAUTIONS, *HOLD_POINTS):
        assert " ".join(sentence.split()) in said
    for part in ("more than 2.0 mm", "abnormal torque", "turns freely"):
        assert part in said


def test_crew_reads_the_level_in_the_datum_of_the_survey(drawn: dict[str, Figure]) -> None:
    said = " ".join(words(drawn["level-crew"]).split())
    assert "Mean level: 123.4 mm in the survey's datum" in said
    assert "differs from that in the column when done by more than 2.0 mm" in said
    assert "In between, every jack's height changes" in said
    assert "UP (the slab goes up) is: clockwise / anticlockwise, seen from above" in said


def test_figures_say_their_state(level: LevelView, drawn: dict[str, Figure]) -> None:
    before, after = (number(1e3 * value, 1) for value in (level.overall_before, level.overall_after))
    for name in ("level-crew", "level-turns", "level-heights"):
        said = " ".join(words(drawn[name]).split())
        assert f"Departure from level in service, anywhere on the slab: before {before} mm, after {after} mm" in said
        assert "Before, after: the slab bare, as lifted, as surveyed. Judged: the slab in service" in said


def test_only_the_state_that_is_judged_is_graded(floor_view: FloorView, level: LevelView) -> None:
    """Before the turns the bare slab is 4 mm off, in service it is 4 mm off after them."""
    off = np.where(np.arange(12) == 3, 4e-3, 0.0)
    wide = replace(level, heights_before=off, heights_service=off)
    for state, graded in (("bare", 1), ("service", 2)):
        figure = level_heights_figure(floor_view, replace(wide, state_surveyed=state))
        assert sum(each.get_gid() == "above" for each in figure.findobj(PathCollection)) == graded


def test_a_single_survey_is_said_to_be_unchecked(floor_view: FloorView, level: LevelView) -> None:
    for draw in (level_figure, level_heights_figure):
        assert ONE_SURVEY[:40] in " ".join(words(draw(floor_view, replace(level, surveys=1))).split())
        assert ONE_SURVEY[:40] not in " ".join(words(draw(floor_view, level)).split())


def test_turns_shared_out_over_rounds_are_lines_of_their_own(floor_view: FloorView, level: LevelView) -> None:
    steps = ((0, 1), (3, -1), (0, 2), (3, -3))
    shared = replace(level, order=(0, 3), steps=steps, step_heights=1e-3 * np.arange(4.0))
    figure = level_crew_figure(floor_view, shared, CAUTIONS)
    said = rows_of(figure)
    places = [said.index(f" {turn} ") for turn in ("up 1/4", "down 1/4", "up 1/2", "down 3/4")]
    assert places == sorted(places)
    assert "shared out over rounds" in " ".join(words(figure).split())
    assert "126.4" in said  # 123.4 and the 3 mm of the last step


def test_packs_come_down_by_the_fall_and_a_millimetre(level: LevelView) -> None:
    before, done = np.array([4.2e-3, 1e-3, 3e-3]), np.array([1.9e-3, 2e-3, 2e-3])
    view = replace(level, heights_before=before, heights_done=done, heights_after=done, order=(0, 1))
    np.testing.assert_allclose(packs_down(view), [4e-3, 0.0, 2e-3])
    words_of = packs_words(replace(view, quarter_turns=np.zeros(3, dtype=np.int64)))
    assert words_of[-1].endswith("lower packs there by 2 mm.")


def test_long_lists_of_the_crew_lose_no_jack(floor_view: FloorView) -> None:
    view = many_jacks(floor_view)
    level = level_of(view, 1)
    sheets = level_crew_sheets(level)
    assert sheets == 9
    listed: list[str] = []
    for sheet in range(sheets):
        figure = level_crew_figure(view, level, CAUTIONS, sheet)
        listed += [text.get_text() for ax in figure.axes if not ax.axison for text in ax.texts]
    assert [word for word in listed if word.startswith("K")] == [view.schedule.ids[jack] for jack in level.order]


def test_order_is_on_the_plan(floor_view: FloorView, level: LevelView, drawn: dict[str, Figure]) -> None:
    order = next(line for line in drawn["level-crew"].findobj(Line2D) if line.get_gid() == "order")
    np.testing.assert_allclose(order.get_xydata(), floor_view.schedule.xy[list(level.order)])


# Heights, table and list


def test_heights_are_against_the_limit_by_shape(floor_view: FloorView, level: LevelView) -> None:
    heights = level.heights_before.copy()
    heights[[0, 5]] = [3.1e-3, -3.2e-3]
    changed = replace(level, heights_before=heights, heights_service=heights, state_surveyed="service")
    figure = level_heights_figure(floor_view, changed)
    ax = next(ax for ax in figure.axes if ax.get_title().startswith("Before"))
    places = {each.get_gid(): np.asarray(each.get_offsets()) for each in ax.collections if each.get_gid()}
    np.testing.assert_allclose(places["above"], floor_view.schedule.xy[[0]])
    np.testing.assert_allclose(places["below"], floor_view.schedule.xy[[5]])
    assert len(places["within"]) == 10
    said = " ".join(words(figure).split())
    assert "more than 3.0 mm above: 1 after the turns, in service" in said
    assert "more than 3.0 mm below: 1 after the turns, in service" in said
    assert against_limit(np.array([3.0, 3.1, -3.1]), 3.0) == ("within", "above", "below")


def test_every_plan_has_the_height_of_every_jack(level: LevelView, drawn: dict[str, Figure]) -> None:
    plans = [ax for ax in drawn["level-heights"].axes if ax.get_title().endswith(" mm")]
    states = (level.heights_before, level.heights_after, level.heights_service)
    for ax, heights in zip(plans, states, strict=True):
        shown = [text.get_text() for text in ax.texts if text.get_text()]
        assert sorted(shown) == sorted(number(1e3 * height, 1) for height in heights)


def test_chart_has_all_jacks_and_the_limit(level: LevelView, drawn: dict[str, Figure]) -> None:
    chart = next(ax for ax in drawn["level-heights"].axes if ax.get_title(loc="left").startswith("Heights"))
    shown = {line.get_label(): line.get_ydata() for line in chart.lines}
    for name, heights in (("before", level.heights_before), ("after", level.heights_after)):
        np.testing.assert_allclose(np.sort(shown[name]), np.sort(1e3 * heights))
    band = next(patch for patch in chart.patches if patch.get_gid() == "limit")
    assert band.get_extents().transformed(chart.transData.inverted()).intervaly == pytest.approx((-3.0, 3.0))


def test_points_of_the_survey_beside_jacks_are_drawn(floor_view: FloorView, level: LevelView) -> None:
    points = np.vstack([floor_view.schedule.xy, [[1.4, 1.5], [4.6, 3.0]]])
    values = np.append(level.points_before, [1e-3, -1e-3])
    more = replace(level, points_xy=points, points_before=values, points_after=values)
    figure = level_heights_figure(floor_view, more)
    found = [line for line in figure.findobj(Line2D) if line.get_gid() == "point"]
    assert len(found) == 4  # two places, before and after
    assert "other point of the survey" in words(figure)
    assert "other point of the survey" not in words(level_heights_figure(floor_view, level))


def test_table_has_a_row_for_every_jack(floor_view: FloorView, level: LevelView, drawn: dict[str, Figure]) -> None:
    said = rows_of(drawn["level-table"])
    assert level.rates is not None
    for jack, name in enumerate(floor_view.schedule.ids):
        states = (level.heights_before, level.heights_done, level.heights_after, level.heights_service)
        heights = [number(1e3 * values[jack], 1) for values in states]
        loads = [number(q[jack] / 1e3, 2) for q in (level.loads_before, level.loads_after, level.loads_service)]
        nominal, found = level.rates.nominal[jack], level.rates.estimate[jack]
        star = "*" if abs(found - nominal) > 2 * level.rates.spread[jack] else ""
        row = name, quarter_words(level.quarter_turns[jack]), *heights, *loads, f"{nominal / 1e3:.0f}"
        assert f"{' '.join(row)} {found / 1e3:.0f}{star} " in said
    assert "found" not in words(drawn["table missed"])
    assert level_table_sheets(level_of(many_jacks(floor_view))) == 3


def test_list_of_turns(floor_view: FloorView, level: LevelView, tmp_path: Path) -> None:
    write_level_turns(floor_view.schedule, level, tmp_path / "level-turns.csv")
    with (tmp_path / "level-turns.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["id"] for row in rows] == list(floor_view.schedule.ids)
    for jack, row in enumerate(rows):
        assert int(row["quarter_turns"]) == level.quarter_turns[jack] == 4 * float(row["turns"])
        assert float(row["height_after_mm"]) == pytest.approx(1e3 * level.heights_after[jack], abs=5e-4)
        assert float(row["load_service_kN"]) == pytest.approx(level.loads_service[jack] / 1e3, abs=5e-4)
        for name, values in (("before", level.heights_before), ("done", level.heights_done)):
            assert float(row[f"height_{name}_mm"]) == pytest.approx(1e3 * values[jack], abs=5e-4)
            assert float(row[f"survey_{name}_mm"]) == pytest.approx(1e3 * values[jack] + 123.4, abs=5e-4)
        place = str(level.order.index(jack) + 1) if jack in level.order else ""
        assert row["order"] == place


def test_markup_characters_and_long_ids_are_written_as_they_are(drawn: dict[str, Figure]) -> None:
    for page in ("level-turns", "level-table", "level-crew"):
        assert "$5^" in " ".join(text.get_text() for text in drawn[f"{page} odd"].findobj(Text))
    assert "$5^{a}_b10-of-the-long-wall-by-the-stair" in rows_of(drawn["level-crew odd"])
