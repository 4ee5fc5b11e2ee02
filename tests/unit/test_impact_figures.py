"""Sheets of the floor in motion: complete, true to the view, signs besides colour, nothing cut off."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle
from matplotlib.text import Text

from postprocess.drawing import number
from postprocess.dynamics.comparison_words import TRADE
from postprocess.dynamics.dangers import ranked
from postprocess.dynamics.sentences import motion_sentences
from postprocess.dynamics.steady_words import PEOPLE, gravity_words
from postprocess.dynamics.views import DynamicsView
from postprocess.dynamics.words import COILS, LIMITS
from postprocess.figures import write_sheets
from postprocess.jobs.impact_charts import STYLES, SUPPORTS, support
from postprocess.jobs.impact_history_figure import neighbours, solid_load, swinging, worst_bay
from postprocess.jobs.impact_map_figure import travel_words, where_words
from postprocess.jobs.impact_modes_figure import LOWEST, NO_AIR, NO_BAYS, percent, shown_modes
from postprocess.jobs.impact_sheets import impact_sheets
from postprocess.jobs.impact_summary_figure import NO_DROPS
from postprocess.jobs.impact_transmissibility_figure import spans
from postprocess.view import FloorView
from tests.unit.impact_cases import LONG, impact_view, long_names, transmissibility_of
from tests.unit.lift_views import CAUTIONS, few_jacks, many_jacks, odd_names, sheet_clashes, words

LIMIT = 0.5
CHOSEN = {
    "none": ("impact-summary", "transmissibility", "coupled-modes"),
    "rigid": ("impact-1-history", "impact-1-bands"),
    "many": ("impact-map", "transmissibility", "transmissibility-3", "steady-4"),
    "long": (
        *("impact-summary", "impact-1-history", "impact-1-bands", "impact-map", "transmissibility"),
        *("coupled-modes", "steady"),
    ),
}
"""Sheets of cases that are out of the common, each layout once."""
LAYOUTS = (
    *("impact-map", "none impact-summary", "none coupled-modes", "rigid impact-1-history", "many impact-map"),
    *("many transmissibility", *(f"long {name}" for name in CHOSEN["long"])),
)
"""Every layout once; the rest are laid out as one of these."""
Draw = Callable[[], Figure]


def dangerous(view: DynamicsView) -> DynamicsView:
    """The first drop makes a spring solid, lets another go, and the slab touch; so does its map at many places."""
    first = replace(view.drops[0], reserve=-4e-3, least_load=-900.0, clearance=-2e-3)
    assert view.drop_map is not None
    grid = replace(view.drop_map, reserve=view.drop_map.reserve - 0.012, least_load=view.drop_map.least_load - 3e3)
    shaken = replace(view.steady[1], reserve=-3e-3, least_load=-400.0, clearance=-1e-3)
    steady = (view.steady[0], shaken, *view.steady[2:])
    return replace(view, drops=(first, *view.drops[1:]), drop_map=grid, steady=steady)


@pytest.fixture(scope="module")
def motion(floor_view: FloorView) -> DynamicsView:
    return impact_view(floor_view)


@pytest.fixture(scope="module")
def drawn(floor_view: FloorView, motion: DynamicsView) -> dict[str, Figure]:
    """Every layout once: full, without anything, rigid below, many of all and small, long names and all dangers."""
    few, many, odd = few_jacks(floor_view), many_jacks(floor_view), odd_names(floor_view)
    long = dangerous(long_names(impact_view(odd, drops=1, bays=6, steady=5)))
    points = tuple(f"Point {number} over the middle of bay {number}" for number in range(12))
    crowd = replace(impact_view(many, drops=1, bays=12, steady=13), transmissibility=transmissibility_of(points))
    sheets: dict[str, Draw] = {
        **impact_sheets(floor_view, motion, CAUTIONS, acceleration_limit=LIMIT),
        **{
            f"{kind} {name}": draw
            for kind, made in (
                ("none", impact_sheets(few, impact_view(few, drops=0, bays=0, air=False, steady=0), CAUTIONS)),
                ("rigid", impact_sheets(few, impact_view(few, drops=1, bays=0, air=False, steady=1), CAUTIONS)),
                ("many", impact_sheets(many, crowd, CAUTIONS)),
                ("long", impact_sheets(odd, long, 3 * CAUTIONS, acceleration_limit=LIMIT)),
            )
            for name, draw in made.items()
            if name in CHOSEN[kind]
        },
    }
    return {name: draw() for name, draw in sheets.items()}


def test_words_keep_to_the_sheet_and_clear_of_each_other(drawn: dict[str, Figure]) -> None:
    found = {name: sheet_clashes(drawn[name]) for name in LAYOUTS}
    assert {name: clash for name, clash in found.items() if clash != ([], [])} == {}


def in_charts(figure: Figure) -> list[str]:
    """Words written into a chart that leave its frame, on a sheet that has been drawn."""
    return [
        text.get_text()
        for ax in figure.axes
        if ax.axison
        for text in ax.texts
        if not shapely.box(*ax.bbox.extents).buffer(1.0).contains(shapely.box(*Text.get_window_extent(text).extents))
    ]


def test_words_in_charts_keep_to_their_frames(drawn: dict[str, Figure]) -> None:
    found = {name: in_charts(drawn[name]) for name in LAYOUTS}
    assert {name: words for name, words in found.items() if words} == {}


LAST = 23
PATTERNS: dict[str, tuple[int, ...]] = {
    "from the first band, and one late": (0, 1, 2, 3, 4, 5, 6, 16),
    "the last band alone": (LAST,),
    "all": tuple(range(24)),
    "every second": tuple(range(0, 24, 2)),
    "the first alone": (0,),
}


@pytest.mark.parametrize("pattern", PATTERNS.values(), ids=list(PATTERNS))
def test_words_on_amplification_stay_inside_and_apart(floor_view: FloorView, pattern: tuple[int, ...]) -> None:
    view = impact_view(floor_view, drops=1, bays=2 if 16 in pattern else 0)
    reduction = np.linspace(2.0, 40.0, 24)
    reduction[list(pattern)] = -25.47
    drop = replace(view.drops[0], reduction=reduction, rubber_reduction=reduction + 0.5)
    figure = impact_sheets(floor_view, replace(view, drops=(drop,)), CAUTIONS)["impact-1-bands"]()
    assert sheet_clashes(figure) == ([], [])
    assert in_charts(figure) == []
    ax = chart_of(figure, "Reduction")
    said = [text for text in ax.texts if text.get_gid() == "amplify words"]
    frames = [Text.get_window_extent(text) for text in said]
    assert [text.get_text().split(",")[0] for text in said] == ["springs amplify", "rubber amplifies"]
    marks = [line for line in ax.lines if line.get_gid() == "amplify"]
    rows = [float(ax.transData.transform((0.0, line.get_ydata()[0]))[1]) for line in marks]
    lowest = min(float(patch.get_window_extent().ymin) for patch in ax.patches)
    assert all(not frame.ymin < row < frame.ymax for frame in frames for row in rows)
    assert all(frame.ymax < lowest for frame in frames)


def test_a_sheet_for_everything_that_is_there_and_none_for_what_is_not(drawn: dict[str, Figure]) -> None:
    plain = [name for name in drawn if " " not in name]
    assert plain == [
        *("impact-summary", "impact-1-history", "impact-1-bands", "impact-2-history", "impact-2-bands"),
        *("impact-map", "transmissibility", "coupled-modes", "steady"),
    ]
    assert [name for name in drawn if name.startswith("none")] == [
        *("none impact-summary", "none transmissibility", "none coupled-modes"),
    ]
    assert {f"{kind} {name}" for kind, names in CHOSEN.items() for name in names} <= set(drawn)


def test_sheets_are_written_as_pictures_and_vectors(
    floor_view: FloorView, motion: DynamicsView, tmp_path: Path
) -> None:
    """Warnings are errors here."""
    sheets = impact_sheets(floor_view, motion, CAUTIONS)
    write_sheets({"impact-map": sheets["impact-map"]}, floor_view.title, tmp_path)
    assert {file.name for file in tmp_path.iterdir()} == {"impact-map.png", "impact-map.pdf"}


def lines(figure: Figure, gid: str) -> list[Line2D]:
    return [line for line in figure.findobj(Line2D) if line.get_gid() == gid]


def test_histories_keep_the_peaks_of_the_view(
    drawn: dict[str, Figure], floor_view: FloorView, motion: DynamicsView
) -> None:
    """Exactly: thinning keeps the extremes. The second chart of each pair covers all peaks of these histories."""
    drop, figure = motion.drops[0], drawn["impact-1-history"]
    bay = worst_bay(drop)
    for name in SUPPORTS:
        each = support(drop, name)
        assert np.abs(lines(figure, f"force {name}")[1].get_ydata()).max() == pytest.approx(each.peak_force / 1e3)
        velocity = np.abs(lines(figure, f"velocity {name}")[1].get_ydata()).max()
        assert velocity == pytest.approx(1e3 * each.peak_velocity[bay])
    assert max(lines(figure, "contact")[1].get_ydata()) == pytest.approx(drop.contact.max() / 1e3)
    assert max(lines(figure, "slab")[1].get_ydata()) == pytest.approx(1e3 * drop.slab.max())
    worst = lines(figure, "worst jack")[1].get_ydata()
    assert max(worst) == pytest.approx(drop.jack_loads[:, drop.worst_jack].max() / 1e3)
    assert len(lines(figure, "swings most")) == 2 * (swinging(drop) != drop.worst_jack)
    solid = floor_view.schedule.rates[drop.worst_jack] * 0.04 / 1e3  # all springs of this floor have 40 mm of travel
    assert lines(figure, "solid")[0].get_ydata()[0] == pytest.approx(solid)
    assert len(lines(figure, "neighbour")) == 12


def test_worst_jack_is_solid_at_its_rate_times_its_travel(floor_view: FloorView) -> None:
    assert solid_load(floor_view, 0) == pytest.approx(450e3 * 0.04)
    assert neighbours(floor_view, 0)[0] == 1  # 1.6 m along the row; the next row is 2.1 m away


def test_the_pulse_of_the_bare_floor_is_cut_off_only_where_it_would_flatten_the_rest(
    floor_view: FloorView, motion: DynamicsView, drawn: dict[str, Figure]
) -> None:
    drop = motion.drops[0]
    assert not any(text.get_gid() == "cut" for text in drawn["impact-1-history"].findobj(Text))
    soft = replace(drop.rubber, force=0.1 * drop.rubber.force, peak_force=0.1 * drop.rubber.peak_force)
    sheets = impact_sheets(floor_view, replace(motion, drops=(replace(drop, rubber=soft),)), CAUTIONS)
    figure = sheets["impact-1-history"]()
    cut = [text for text in figure.findobj(Text) if text.get_gid() == "cut"]
    assert len(cut) == 1
    assert "63.9 kN" in cut[0].get_text()
    assert cut[0].axes is not None
    assert cut[0].axes.get_ylim()[1] == pytest.approx(1.25 * drop.springs.peak_force / 1e3)
    assert lines(figure, "force bare")[0].axes.get_ylim()[1] > drop.bare.peak_force / 1e3


def chart_of(figure: Figure, start: str) -> Axes:
    return next(ax for ax in figure.axes if ax.get_title(loc="left").startswith(start))


def test_reduction_keeps_its_sign_and_says_in_words_where_springs_amplify(
    drawn: dict[str, Figure], motion: DynamicsView
) -> None:
    figure, drop = drawn["impact-1-bands"], motion.drops[0]
    ax = chart_of(figure, "Reduction")
    bars = [patch for patch in ax.patches if isinstance(patch, Rectangle) and patch.get_width() < 1]
    heights = np.array([bar.get_height() for bar in bars])
    assert heights[:24] == pytest.approx(drop.reduction)
    assert heights[24:48] == pytest.approx(drop.rubber_reduction)
    assert heights[5] < 0 < heights[12]
    said = [text.get_text() for text in ax.texts]
    assert f"springs amplify, by {number(-drop.reduction.min(), 1)} dB at most" in said
    assert lines(figure, "zero")[0].get_ydata()[0] == 0.0
    assert "Springs amplify at 1 to 4 Hz" in words(figure)


def test_levels_are_those_of_the_view(drawn: dict[str, Figure], motion: DynamicsView) -> None:
    drop = motion.drops[0]
    for name in SUPPORTS:
        force, velocity = lines(drawn["impact-1-bands"], f"level {name}")
        assert np.asarray(force.get_ydata()) == pytest.approx(support(drop, name).force_levels)
        assert np.asarray(velocity.get_ydata()) == pytest.approx(
            support(drop, name).velocity_levels[:, worst_bay(drop)]
        )
    assert len(lines(drawn["rigid impact-1-bands"], "level springs")) == 1


def test_supports_differ_by_more_than_colour(drawn: dict[str, Figure]) -> None:
    dashes = {str(STYLES[name]["ls"]) for name in SUPPORTS}
    marks = [lines(drawn["impact-1-bands"], f"level {name}")[0].get_marker() for name in SUPPORTS]
    assert len(dashes) == len(set(marks)) == 3


def test_dangers_stand_in_words_on_every_sheet_of_the_drop(drawn: dict[str, Figure]) -> None:
    for name, heading in (("summary", "NOT SAFE"), ("1-history", "NOT SAFE under this drop")):
        said = " ".join(words(drawn[f"long impact-{name}"]).split())
        assert heading in said
        for part in ("goes solid: 4.0 mm short", "lets go", "touches the structural floor: gap 2.0 mm"):
            assert part in said
    for part in ("SPRINGS GO SOLID", "A SPRING LETS GO"):
        assert part in " ".join(words(drawn["long impact-map"]).split())
    said = " ".join(words(drawn["long steady"]).split())
    for part in ("NOT SAFE", "goes solid: 3.0 mm short", "lets go", "touches the structural floor: gap 1.0 mm"):
        assert part in said
    safe = ("impact-2-history", "impact-1-history", "impact-map", "steady")
    assert not any("NOT SAFE" in words(drawn[name]) for name in safe)


def test_cautions_and_assumptions_are_never_cut_short(drawn: dict[str, Figure]) -> None:
    """On the fullest sheets as well, with three times as many cautions."""
    for name, figure in drawn.items():
        said = words(figure)
        times = 3 if name.startswith("long") else 1
        assert all(said.count(caution) >= times for caution in CAUTIONS), name
        if name.endswith(("summary", "coupled-modes")):
            assert said.count("Damping of the springs 1 % of critical") == (6 if name.startswith("long") else 1)


def test_jack_loads_fill_their_chart_where_solid_is_far(floor_view: FloorView, motion: DynamicsView) -> None:
    drop = motion.drops[0]
    static = drop.jack_loads[0]
    light = 0.5 * static.mean() + 0.01 * (static - static.mean())
    calm = replace(drop, jack_loads=light + 0.02 * (drop.jack_loads - static))
    figure = impact_sheets(floor_view, replace(motion, drops=(calm,)), CAUTIONS)["impact-1-history"]()
    assert lines(figure, "solid") == []
    assert words(figure).count("above this chart") == 2
    names = ("worst jack", "swings most", "neighbour")
    shown = np.concatenate([line.get_ydata() for name in names for line in lines(figure, name)])
    low, high = lines(figure, "worst jack")[1].axes.get_ylim()
    assert np.ptp(shown) > 0.5 * (high - low)
    assert low < shown.min() < shown.max() < high
    assert high < solid_load(floor_view, calm.worst_jack) / 1e3
    assert sheet_clashes(figure) == ([], [])


def test_map_marks_and_names_the_worst_places(
    drawn: dict[str, Figure], floor_view: FloorView, motion: DynamicsView
) -> None:
    grid, said = motion.drop_map, words(drawn["impact-map"])
    assert grid is not None
    assert f"worst: {grid.force.max() / 1e3:.1f} kN" in said
    assert f"worst: {travel_words(grid.reserve.min())}" in said
    rings = np.array([line.get_xydata()[0] for line in lines(drawn["impact-map"], "ring")])
    assert rings == pytest.approx(grid.xy[[grid.force.argmax(), grid.reserve.argmin()]])
    values = [text.get_text() for text in drawn["impact-map"].findobj(Text) if text.get_gid() == "value"]
    assert number(float(grid.force[50]) / 1e3, 1) in values
    inside = np.flatnonzero(shapely.contains_xy(floor_view.plan.buffer(-0.3), *grid.xy.T))
    for shown, worst in ((grid.force / 1e3, grid.force.argmax()), (1e3 * grid.reserve, grid.reserve.argmin())):
        assert all(number(float(shown[place]), 1) in values for place in inside if place != worst)
    assert not any(text.get_gid() == "mark" for text in drawn["impact-map"].findobj(Text))  # nothing lies over them
    drop = motion.drops[0]
    assert f"{LONG}, 1st: 100 kg from 1500 mm; covering of 1500 N/mm, restitution 0.2." in said
    assert "Drop at any place: 100 kg from 1500 mm" in said
    assert drop.name == grid.name
    assert f"{len(grid.xy)} places on a grid" in said


def test_map_says_where_it_was_not_tried(floor_view: FloorView, motion: DynamicsView) -> None:
    grid = motion.drop_map
    assert grid is not None
    some = np.flatnonzero(grid.xy[:, 0] > grid.xy[:, 0].min() + 1.0)
    part = replace(
        grid,
        **{
            name: getattr(grid, name)[some]
            for name in ("cells", "xy", "force", "jack_load", "reserve", "worst_jack", "least_load", "velocity")
        },
    )
    said = words(impact_sheets(floor_view, replace(motion, drop_map=part), CAUTIONS)["impact-map"]())
    assert "White: not tried; it may be worse there." in said


def test_a_place_in_words(floor_view: FloorView) -> None:
    """Near the first jack an edge of the slab is nearest; the middle of the largest free circle is near none."""
    xy = floor_view.schedule.xy[0]
    near = where_words(floor_view, xy + np.array([0.1, 0.0]))
    edge = min(xy[0] + 0.1, xy[1])
    assert near.endswith(f"({number(edge, 2)} m from an edge, nearest to jack {floor_view.schedule.ids[0]})")
    middle = np.array(shapely.maximum_inscribed_circle(floor_view.plan, tolerance=0.01).coords[0])
    assert "edge" not in where_words(floor_view, middle)


@pytest.mark.parametrize(("reserve", "said"), [(0.0071, "7.1 mm left"), (0.0, "0.0 mm left"), (-0.002, "SOLID, 2.0")])
def test_travel_in_words_on_either_side_of_nothing(reserve: float, said: str) -> None:
    assert travel_words(reserve).startswith(said)


def test_transmissibility_has_every_point_a_line_at_one_and_all_harmonics(
    drawn: dict[str, Figure], motion: DynamicsView
) -> None:
    figure, curves = drawn["transmissibility"], motion.transmissibility
    for point, (springs, rubber) in enumerate(zip(curves.springs, curves.rubber, strict=True)):
        assert np.asarray(lines(figure, f"springs {point}")[0].get_ydata()) == pytest.approx(springs)
        assert curves.airless is not None
        thin = lines(figure, f"airless {point}")[0]
        assert np.asarray(thin.get_ydata()) == pytest.approx(curves.airless[point])
        assert thin.get_linewidth() < 0.5 * lines(figure, f"springs {point}")[0].get_linewidth()
        assert np.asarray(lines(figure, f"rubber {point}")[0].get_ydata()) == pytest.approx(rubber)
        assert curves.names[point] in words(figure)
    assert lines(figure, "one")[0].get_ydata()[0] == 1.0
    pushing = [tuple(line.get_xdata()) for line in lines(figure, "push")]
    assert pushing == [(low, high) for each in ranked(motion.steady) for _, low, high in spans(each)]
    assert f"STOP {motion.steady[0].name}: second harmonic meets heave" in words(figure)
    points = [line.get_gid() for sheet in ("", "-3") for line in drawn[f"many transmissibility{sheet}"].findobj(Line2D)]
    assert {f"springs {point}" for point in (*range(5), 10, 11)} <= set(points)
    five = [lines(drawn["many transmissibility"], f"springs {point}")[0] for point in range(5)]
    assert len({line.get_color() for line in five}) == len({line.get_marker() for line in five}) == 5
    dashed = [lines(drawn["many transmissibility"], f"rubber {point}")[0] for point in range(5)]
    assert all(line.is_dashed() for line in dashed)


def test_harmonics_of_a_group_are_multiples_and_a_machine_has_one(motion: DynamicsView) -> None:
    assert spans(motion.steady[0]) == [(1, 1.5, 3.5), (2, 3.0, 7.0), (3, 4.5, 10.5)]
    assert spans(motion.steady[2]) == [(1, 8.0, 25.0)]


def test_modes_bays_air_and_sideways_are_said(drawn: dict[str, Figure], motion: DynamicsView) -> None:
    said = words(drawn["coupled-modes"])
    assert motion.air is not None
    for part in (
        motion.air.sentence,
        *motion.modes.kinds,
        *motion.sideways.kinds,
        *motion.bay_names,
        "6.3",
        "3100 N/mm",
    ):
        assert part in said
    numbers = [text.get_text() for text in drawn["coupled-modes"].findobj(Text) if text.get_gid() == "bay number"]
    assert numbers == ["1", "2"]
    without = words(drawn["none coupled-modes"])
    assert NO_BAYS in without
    assert NO_AIR in without
    assert NO_DROPS in words(drawn["none impact-summary"])


def test_modes_of_floor_and_air_stay_in_the_table_however_high(motion: DynamicsView) -> None:
    count = len(motion.modes.kinds)
    floor, air = np.zeros((2, count))
    assert shown_modes(replace(motion, modes=replace(motion.modes, floor=floor, air=air))) == list(range(LOWEST))
    air[count - 1] = 0.1
    last = replace(motion, modes=replace(motion.modes, floor=floor, air=air))
    assert shown_modes(last) == [*range(LOWEST), count - 1]


@pytest.mark.parametrize(("share", "said"), [(0.0, ""), (0.0049, ""), (0.0051, "1"), (0.996, "100")])
def test_small_shares_stay_blank(share: float, said: str) -> None:
    assert percent(share) == said


def test_stop_sign_stands_only_where_a_harmonic_meets_a_mode(drawn: dict[str, Figure], motion: DynamicsView) -> None:
    frames = [patch for patch in drawn["steady"].findobj(Rectangle) if patch.get_gid() == "warning"]
    assert len(frames) == sum(bool(each.meets) for each in motion.steady) == 1
    said = words(drawn["steady"])
    assert said.count("STOP: a harmonic meets a mode") == 1
    assert "OVER the limit of 0.5 m/s2" in said
    assert "Within the limit of 0.5 m/s2" in said
    peaks = [line.get_xydata()[0] for line in lines(drawn["steady"], "worst")]
    expected = [
        pair
        for each in ranked(motion.steady)
        for pair in ((each.worst_rate, each.peak_acceleration), (each.worst_rate, each.peak_force / 1e3))
    ]
    assert np.array(peaks) == pytest.approx(np.array(expected))
    assert len(lines(drawn["steady"], "limit")) == 3


def test_summary_lists_every_drop_and_what_is_assumed(drawn: dict[str, Figure], motion: DynamicsView) -> None:
    said = " ".join(words(drawn["impact-summary"]).split())
    for drop in motion.drops:
        assert drop.name in said
        assert number(drop.springs.peak_force / 1e3, 2) in said
    for part in (*motion.sentences, *CAUTIONS, "Damping of the springs 1 % of critical"):
        assert part in said
    for part in (*motion.modes.kinds[:3], *motion.sideways.kinds[:3], "STOP"):
        assert part in said
    assert f"{1e3 * motion.drops[0].full_reserve:.1f}" in said
    plain = words(drawn["none impact-summary"])
    assert "Groups and machines" not in plain
    assert motion.sideways.kinds[0] in plain


def test_summary_without_drops_begins_with_groups_and_machines(floor_view: FloorView) -> None:
    view = impact_view(floor_view, drops=0, steady=3)
    view = replace(view, sentences=motion_sentences(view, floor_view.schedule.ids))
    figure = impact_sheets(floor_view, view, CAUTIONS)["impact-summary"]()
    said = " ".join(words(figure).split())
    assert said.index("Groups and machines, at their worst rate") < said.index("What it comes to")
    assert said.index(f"Group {ranked(view.steady)[0].name}") < said.index(TRADE)
    for part in ("left mm", "least load kN", "gap left mm", NO_DROPS, *(each.name for each in view.steady)):
        assert part in said
    assert sheet_clashes(figure) == ([], [])


def test_summary_parts_what_it_comes_to_from_what_is_left_out(floor_view: FloorView, motion: DynamicsView) -> None:
    view = replace(motion, sentences=motion_sentences(motion, floor_view.schedule.ids))
    said = " ".join(words(impact_sheets(floor_view, view, CAUTIONS)["impact-summary"]()).split())
    first, second = said.split("What the model leaves out")
    assert all(sentence in second and sentence not in first for sentence in LIMITS if sentence != COILS)
    assert TRADE in first
    assert said.count(COILS) == 1


def test_acceleration_of_groups_is_also_said_by_gravity(drawn: dict[str, Figure], motion: DynamicsView) -> None:
    said = " ".join(words(drawn["steady"]).split())
    assert said.count(PEOPLE) == 2  # two of the three are groups
    for each in motion.steady:
        assert f"({gravity_words(each.peak_acceleration)})" in said
    assert "mm/s peak" in said
