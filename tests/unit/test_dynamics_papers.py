"""Words, verdicts, records and lists of the floor in motion: true to the view, in the units that they name."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from postprocess.checks import PRACTICE, Check
from postprocess.dynamics.as_json import dynamics_json
from postprocess.dynamics.bands import CENTRES, NOMINAL
from postprocess.dynamics.checks import dynamics_checks
from postprocess.dynamics.comparison_words import (
    EQUAL,
    TRADE,
    air_of_drop,
    air_passes,
    air_words,
    alone,
    bare_words,
    comparison_words,
    passed,
    steady_line,
)
from postprocess.dynamics.dangers import all_dangers, danger_words, map_danger_words, ranked
from postprocess.dynamics.drop_json import POINTS
from postprocess.dynamics.histories import ROW_STEP, ROWS, kept_points, listed_rows
from postprocess.dynamics.sentences import motion_sentences
from postprocess.dynamics.steady_words import GRAVITY, PEOPLE, steady_words, velocity_of
from postprocess.dynamics.views import DropView, DynamicsView
from postprocess.dynamics.words import (
    COILS,
    LIMITS,
    amplify_words,
    band_runs,
    bay_words,
    decibels,
    depth_words,
    drop_words,
    full_words,
    kilonewtons,
    run_words,
    share_words,
)
from postprocess.jobs.impact_lists import BANDS, DROPS, write_bands, write_drops, write_jack_loads
from postprocess.view import FloorView
from tests.unit.impact_cases import impact_view, transmissibility_of


@pytest.fixture(scope="module")
def motion(floor_view: FloorView) -> DynamicsView:
    return impact_view(floor_view)


@pytest.fixture(scope="module")
def drop(motion: DynamicsView) -> DropView:
    return motion.drops[0]


# Histories


@given(st.integers(1, 4000), st.integers(1, 3), st.integers(20, 400), st.integers(0, 2**32 - 1))
def test_fewer_points_keep_ends_and_extremes(count: int, width: int, most: int, seed: int) -> None:
    values = np.random.default_rng(seed).normal(size=(count, width))
    kept = kept_points(values, most)
    assert (np.diff(kept) > 0).all()
    assert {0, count - 1} <= set(kept.tolist())
    assert len(kept) <= max(most, 2 * width + 2)
    assert (values[kept].max(axis=0) == values.max(axis=0)).all()
    assert (values[kept].min(axis=0) == values.min(axis=0)).all()


def test_short_histories_stay_as_they_are() -> None:
    assert kept_points(np.arange(50.0), 50).tolist() == list(range(50))


# Words


def test_runs_of_bands() -> None:
    chosen = np.zeros(24, dtype=bool)
    chosen[[0, 4, 5, 6, 23]] = True
    assert band_runs(chosen) == ((0, 0), (4, 6), (23, 23))
    assert run_words(band_runs(chosen)) == "1 Hz, 2.5 to 4 Hz and 200 Hz"
    assert band_runs(np.zeros(24, dtype=bool)) == ()
    assert band_runs(np.ones(24, dtype=bool)) == ((0, 23),)


@pytest.mark.parametrize(("level", "said"), [(3.04, "+3.0 dB"), (-12.26, "−12.3 dB"), (-0.01, "0 dB")])
def test_levels_with_their_sign(level: float, said: str) -> None:
    assert decibels(level) == said


def test_amplification_is_named_where_the_reduction_is_negative_and_nowhere_else(drop: DropView) -> None:
    reduction = np.full(24, 20.0)
    reduction[[5, 6]] = [-9.34, -2.0]
    springs, rubber = amplify_words(replace(drop, reduction=reduction, rubber_reduction=np.full(24, 1.0)))
    assert springs.startswith("Springs amplify at 3.15 to 4 Hz, by 9.3 dB at most (at 3.15 Hz)")
    assert rubber == "Rubber amplifies in no band from 1 to 200 Hz."


def test_a_drop_in_words(drop: DropView, floor_view: FloorView) -> None:
    """100 kg from 1.5 m with a restitution of 0.2: 651 N·s, half-sine peak πI/(2τ) = 63.9 kN for 16 ms."""
    said = " ".join(drop_words(drop, floor_view.schedule.ids))
    for part in ("100 kg from 1500 mm", "5.42 m/s", "16.0 ms, 651 N·s, at most 63.9 kN", "14.1 kN on springs"):
        assert part in said
    assert "31.0 mm of gap left" in said
    assert "gap" not in " ".join(drop_words(replace(drop, clearance=None), floor_view.schedule.ids))
    assert danger_words(drop, floor_view.schedule.ids) == ()
    bad = danger_words(replace(drop, reserve=-0.004, least_load=-10.0, clearance=0.0), floor_view.schedule.ids)
    assert len(bad) == 3
    assert bad[0].endswith("goes solid: 4.0 mm short.")


@pytest.mark.parametrize(("depth", "deep"), [(0.05, False), (0.0504, True)])
def test_a_covering_pressed_too_deep_is_said(drop: DropView, floor_view: FloorView, depth: float, deep: bool) -> None:
    """Over 50 mm, which is more than most coverings are thick: common practice, no source."""
    pressed = replace(drop, depth=depth)
    said = " ".join(drop_words(pressed, floor_view.schedule.ids))
    assert f"pressed {1e3 * depth:.1f} mm deep" in said
    assert ("check the stiffness" in said) == deep == bool(depth_words(pressed))


def test_travel_left_under_full_load_is_said_on_either_side_of_nothing(
    motion: DynamicsView, drop: DropView, floor_view: FloorView
) -> None:
    ids = floor_view.schedule.ids
    assert full_words(0.0034).endswith("at the same time: 3.4 mm of travel left to solid.")
    assert full_words(-0.0021).endswith("a spring would go SOLID: 2.1 mm short.")
    bad = replace(drop, full_reserve=-0.0021)
    assert full_words(-0.0021) in drop_words(bad, ids)
    assert danger_words(bad, ids) == ()
    view = replace(motion, drops=(motion.drops[1], bad))
    assert f"{bad.name}: {full_words(-0.0021)}" in motion_sentences(view, ids)
    assert all(check.ok for check in dynamics_checks(view, ids) if check.name.startswith("drops: least travel"))


@pytest.mark.parametrize(
    ("name", "said"), [("Bay 1", "Bay 1"), ("West bay", "West bay"), ("A-B", "bay A-B"), ("Bayside", "bay Bayside")]
)
def test_bays_are_called_bays_once(name: str, said: str) -> None:
    assert bay_words(name) == said


def without_air(view: DynamicsView) -> DynamicsView:
    drops = tuple(replace(drop, airless=None) for drop in view.drops)
    return replace(view, air=None, drops=drops, transmissibility=replace(view.transmissibility, airless=None))


def test_comparison_says_what_the_trade_says_and_where_the_model_differs(motion: DynamicsView) -> None:
    """Without mass in its coils a soft spring isolates better than rubber at any higher frequency."""
    said = comparison_words(without_air(motion))
    assert said[0] == TRADE
    assert PRACTICE in TRADE
    steady = said[1]
    curves = motion.transmissibility
    high = curves.frequencies >= 50
    springs, rubber = (np.sqrt((each[:, high] ** 2).mean()) for each in (curves.springs, curves.rubber))
    assert steady.startswith("The model says otherwise of steady sound")
    assert f"springs pass {100 * springs:.3g} %" in steady
    assert f"Springs are {20 * np.log10(rubber / springs):.1f} dB better" in steady
    assert COILS in steady
    assert not any(" air " in f" {words} " for words in said)
    assert any(words.startswith("As the trade says: drop") and "3.0 times as much" in words for words in said)


def test_bands_of_a_steady_force_in_which_rubber_passes_less(motion: DynamicsView) -> None:
    """One mass each: the curves cross where rubber of 12 Hz and springs of 3.5 Hz pass alike, √(2/(1/3.5² + 1/12²)) =
    4.75 Hz without damping, in the band of 5 Hz; below it rubber passes less."""
    said = next(words for words in comparison_words(motion) if words.startswith("By bands"))
    assert "at 1 to 4 Hz, the springs' own 3.50 Hz among them" in said


def with_leak(view: DynamicsView, times: float) -> DynamicsView:
    """With the air springs pass so many times what they do without, of steady forces and of drops."""
    curves = view.transmissibility
    drops = tuple(
        replace(
            drop,
            springs=replace(
                drop.springs,
                peak_force=times * drop.springs.peak_force,
                force_levels=drop.springs.force_levels + 20 * np.log10(times),
            ),
        )
        for drop in view.drops
    )
    return replace(view, drops=drops, transmissibility=replace(curves, springs=times * curves.springs))


def test_conclusions_rest_on_springs_without_the_air_and_the_air_has_its_own_sentence(motion: DynamicsView) -> None:
    """The rubber layer has no air below it: whatever the air does, who is better on equal terms stays as it was."""
    plain, leaking = comparison_words(motion), comparison_words(with_leak(motion, 60.0))
    assert plain[1] == leaking[1]
    assert EQUAL in plain[1]
    verdicts = [[words for words in said if ": drop " in words] for said in (plain, leaking)]
    assert verdicts[0] == verdicts[1]
    assert all(words.startswith("As the trade says") and EQUAL in words for words in verdicts[0])
    assert len(verdicts[0]) == len(motion.drops)
    added = [words for words in leaking if "with the air of the case" in words]
    assert len(added) == len(motion.drops)
    assert "it adds 35.6 dB at most" in added[0]  # 20 log10(60)
    assert any("adds nothing in any band" in words for words in plain)
    assert tuple(air_of_drop(without_air(motion).drops[0])) == ()


def test_air_is_named_where_springs_pass_far_more_with_it_than_without(motion: DynamicsView) -> None:
    """An undamped mass passes 1/((f/f0)² − 1) of a force; the mean square over 50 to 100 Hz with f0 = 3.5 Hz, by hand
    at both ends: 0.49 % at 50 Hz and 0.12 % at 100 Hz; one of the two points passes up to a quarter more, and a loss
    factor of 0.02 adds nothing that shows."""
    assert 1 / ((100 / 3.5) ** 2 - 1) < alone(motion) < 1.25 / ((50 / 3.5) ** 2 - 1)
    assert passed(motion)[0] == pytest.approx(alone(motion))  # the same curves here
    leaking = with_leak(motion, 60.0)
    assert not air_passes(motion)
    assert air_passes(leaking)
    assert not air_passes(without_air(leaking))
    assert "changes little" in air_words(motion)
    said = air_words(leaking)
    assert "air in the gap of 50 mm springs pass" in said
    assert f"{100 * 60 * alone(motion):.3g} %" in said
    assert "it is the air, not the springs, that passes it on" in said
    apart = 20 * np.log10(60 * alone(motion) / passed(motion)[1])
    assert f"rubber is then {apart:.1f} dB better" in said
    assert "the air passes it on" in steady_line(leaking)[0]
    assert "air" not in steady_line(without_air(leaking))[0]


def test_springs_that_pass_more_than_the_bare_floor_are_said_plainly(drop: DropView, motion: DynamicsView) -> None:
    assert tuple(bare_words(drop)) == ()
    worse = replace(drop, bare=replace(drop.bare, peak_force=0.5 * drop.springs.peak_force))
    said = tuple(bare_words(worse))
    assert len(said) == 1
    assert "MORE goes into the structure than on the bare floor, 14.1 kN against 7.05 kN" in said[0]
    whole = " ".join(comparison_words(replace(motion, drops=(worse,))))
    assert f'"{drop.name}": on springs MORE goes' in whole


def test_comparison_turns_with_the_numbers(motion: DynamicsView) -> None:
    curves = motion.transmissibility
    turned = replace(curves, springs=curves.rubber, rubber=curves.springs, airless=None)
    drops = tuple(replace(each, springs=each.rubber, rubber=each.springs) for each in without_air(motion).drops)
    said = comparison_words(replace(motion, transmissibility=turned, drops=drops))
    assert said[1].startswith("As the trade says: steady force of 50 to 100 Hz")
    assert any(
        words.startswith("The model says otherwise of this drop") and "Springs pass 3.0 times as much" in words
        for words in said
    )
    nothing = comparison_words(replace(motion, drops=(), transmissibility=transmissibility_of(())))
    assert nothing == (TRADE,)


def test_bands_in_which_rubber_is_better_are_named(drop: DropView, motion: DynamicsView) -> None:
    levels = drop.springs.force_levels + 6.0
    levels[[5, 6]] -= 10.0
    rubber = replace(drop.rubber, force_levels=levels)
    said = comparison_words(replace(motion, drops=(replace(drop, rubber=rubber),)))
    assert any("rubber better than springs at 3.15 to 4 Hz, by 4.0 dB at most" in words for words in said)
    assert any(
        "springs better than rubber at 1 to 2.5 Hz and 5 to 200 Hz, by 6.0 dB at most;" in words for words in said
    )


def test_a_drop_in_one_line(drop: DropView) -> None:
    """14.09 kN on springs, 42.34 kN on rubber and 63.91 kN on the bare floor: 33 % and 22 %."""
    said = share_words(drop)
    assert said.startswith("springs pass 33 % of what rubber does and 22 % of the bare floor's peak; they amplify at 1")
    assert share_words(replace(drop, reduction=np.ones(24))).endswith("they amplify in no band.")
    assert "without the air" not in said
    assert drop.airless is not None
    lone = replace(drop, airless=replace(drop.airless, peak_force=7000.0))
    assert "of the bare floor's peak (7.00 kN on springs without the air); they" in share_words(lone)


@pytest.mark.parametrize(
    ("force", "said"),
    [(11.8, "0.012 kN"), (144.0, "0.14 kN"), (6872.0, "6.87 kN"), (0.2, "0.00 kN"), (3.14, "0.0031 kN")],
)
def test_small_forces_keep_two_digits(force: float, said: str) -> None:
    assert kilonewtons(force) == said


def test_groups_and_machines_by_gravity_and_velocity(motion: DynamicsView) -> None:
    """g is 9.80665 m/s2 (ISO 80000-3); a harmonic motion of acceleration a at f has the velocity a/(2πf)."""
    group, machine = motion.steady[0], motion.steady[2]
    single = {"rates": np.array([2.0]), "force": np.array([420.0]), "worst_rate": 2.0}
    one = replace(group, acceleration=np.array([0.05 * GRAVITY]), **single)
    assert steady_words(one) == "at most 0.49 m/s2 (5 % of g) and 0.42 kN into the structure, at 2.00 jumps a second"
    two = replace(one, rates=np.array([2.0, 3.0]), acceleration=np.array([0.5, 0.1]), force=np.array([420.0, 900.0]))
    assert steady_words(two).endswith(
        "% of g), at 2.00 jumps a second, and 0.90 kN into the structure, at 3.00 jumps a second"
    )
    fast = {"rates": np.array([24.0]), "force": np.array([144.0]), "worst_rate": 24.0}
    turning = replace(machine, acceleration=np.array([0.146]), **fast)
    assert velocity_of(turning) == pytest.approx(0.146 / 150.796, rel=1e-5)
    assert "0.968 mm/s peak" in steady_words(turning)
    assert steady_words(turning).endswith("at 24.00 turns a second (1440 r/min)")


def test_everything_is_said_once(motion: DynamicsView, floor_view: FloorView) -> None:
    ids = floor_view.schedule.ids
    bad = replace(motion.drops[0], reserve=-0.004)
    for view in (motion, without_air(motion), with_leak(motion, 60.0), replace(motion, drops=(bad, motion.drops[1]))):
        said = motion_sentences(view, ids)
        whole = " ".join(said)
        assert len(said) == len(set(said))
        assert whole.count(COILS) == 1
        assert whole.count(PEOPLE) == 1
        assert whole.count("Wm of ISO 2631-2") == 1
        assert set(LIMITS) - {COILS} <= set(said)
    assert motion_sentences(replace(motion, drops=(bad,)), ids)[0].startswith(f"{bad.name}: The spring of jack")
    assert "STOP, second harmonic meets heave" in " ".join(motion_sentences(motion, ids))
    assert PEOPLE not in motion_sentences(replace(motion, steady=motion.steady[2:]), ids)
    assert not any("taken for rigid" in words for words in motion_sentences(motion, ids))
    rigid = motion_sentences(impact_view(floor_view, drops=1, bays=0), ids, modes_end=180.0)
    assert any("taken for rigid" in words for words in rigid)
    assert rigid[-1].startswith("The slab is so large that its modes end at 180 Hz")


def test_limits_of_the_model_are_said() -> None:
    said = " ".join(LIMITS)
    for part in ("surge", "structure-borne", "linear", "Contact", "own vibration", "People"):
        assert part in said


# Checks


def found(view: DynamicsView, **limits: Any) -> dict[str, Check]:
    checks = dynamics_checks(view, [f"J{number}" for number in range(12)], **limits)
    assert len({check.name for check in checks}) == len(checks)
    return {check.name: check for check in checks}


def test_checks_of_drops(motion: DynamicsView, drop: DropView) -> None:
    checks = found(motion)
    left = checks["drops: least travel left to solid"]
    assert (left.value, left.limit, left.sense) == (pytest.approx(1e3 * drop.reserve), 0.0, "at least")
    assert left.where == f"jack J{drop.worst_jack}, {drop.name}"
    assert motion.drop_map is not None
    anywhere = checks["drop anywhere: least travel left to solid"]
    assert anywhere.value == pytest.approx(1e3 * drop.reserve)  # less than at any place of the map
    worse = replace(motion.drop_map, reserve=motion.drop_map.reserve - 0.01)
    anywhere = found(replace(motion, drop_map=worse))["drop anywhere: least travel left to solid"]
    assert anywhere.value == pytest.approx(1e3 * worse.reserve.min())
    assert anywhere.xy == pytest.approx(tuple(worse.xy[worse.reserve.argmin()]))
    loose = checks["drop anywhere: least jack load"]
    least = min(float(motion.drop_map.least_load.min()), *(each.least_load for each in motion.drops))
    assert (loose.value, loose.limit) == (pytest.approx(least / 1e3), 0.0)
    assert checks["drops: least gap left"].value == pytest.approx(31.0)
    assert checks["drops: least jack load"].value == pytest.approx(drop.least_load / 1e3)
    unknown = replace(motion, drops=tuple(replace(each, clearance=None) for each in motion.drops))
    assert "drops: least gap left" not in found(unknown)


def test_a_drop_may_be_worse_than_the_first_touch_anywhere(motion: DynamicsView, drop: DropView) -> None:
    """The map follows the first touch of the heaviest drop alone."""
    bad = replace(motion.drops[1], reserve=-0.1, least_load=-1e6)
    checks = found(replace(motion, drops=(drop, bad)))
    travel, load = (checks[f"drop anywhere: {what}"] for what in ("least travel left to solid", "least jack load"))
    assert (travel.value, load.value) == (pytest.approx(-100.0), pytest.approx(-1000.0))
    assert bad.name in travel.where
    assert bad.name in load.where
    assert travel.xy == load.xy == bad.place


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("drops: least travel left to solid", {"reserve": -1e-4}),
        ("drops: least jack load", {"least_load": -1.0}),
        ("drops: least gap left", {"clearance": -1e-4}),
        ("drops: change of peak at half the step", {"step_change": -0.006}),
    ],
)
def test_one_bad_drop_of_two_fails(motion: DynamicsView, name: str, change: dict[str, float]) -> None:
    bad = replace(motion.drops[1], **change)  # type: ignore[arg-type]
    checks = found(replace(motion, drops=(motion.drops[0], bad)))
    assert not checks[name].ok
    assert bad.name in checks[name].where
    assert found(motion)[name].ok


def test_checks_of_bays_name_the_worst(motion: DynamicsView) -> None:
    checks = found(motion)
    stiff = checks["bays: springs' deflection over the floor's"]
    assert (stiff.value, stiff.limit, stiff.basis) == (pytest.approx(22 / 3.5), 10.0, PRACTICE)
    assert "Bay 1" in stiff.where
    apart = checks["bays: frequencies of slab and floor, ratio"]
    assert apart.value == pytest.approx(6.0 / 3.9)
    assert not apart.ok
    turned = tuple(replace(bay, frequency=bay.nearest, nearest=bay.frequency) for bay in motion.bays)
    swapped = found(replace(motion, bays=turned))["bays: frequencies of slab and floor, ratio"]
    assert swapped.value == pytest.approx(apart.value)


def test_checks_of_moving_loads(motion: DynamicsView) -> None:
    meets = found(motion)["groups, machines: harmonics on a mode"]
    assert (meets.value, meets.ok, meets.where) == (1.0, False, motion.steady[0].name)
    for what, change in (
        ("least travel left to solid", {"reserve": -1e-4}),
        ("least jack load", {"least_load": -1.0}),
        ("least gap left", {"clearance": -1e-4}),
    ):
        assert found(motion)[f"groups, machines: {what}"].ok
        bad = replace(motion.steady[1], **change)  # type: ignore[arg-type]
        check = found(replace(motion, steady=(motion.steady[0], bad)))[f"groups, machines: {what}"]
        assert not check.ok
        assert bad.name in check.where
    unknown = tuple(replace(each, clearance=None) for each in motion.steady)
    assert "groups, machines: least gap left" not in found(replace(motion, steady=unknown))
    calm = replace(motion, steady=motion.steady[1:])
    assert found(calm)["groups, machines: harmonics on a mode"].ok
    name = "groups, machines: slab's acceleration"
    assert name not in found(motion)
    assert not found(motion, acceleration=0.5)[name].ok
    assert found(motion, acceleration=2.5)[name].ok


def test_doses_of_a_day_add_by_their_fourth_powers(motion: DynamicsView) -> None:
    """BS 6472-1:2008, from memory: two equal events give 2^¼ of one. No dose without bays."""
    name, drop = "drops: vibration dose of a day", motion.drops[0]
    one = found(replace(motion, drops=(drop,)), dose=0.4)[name]
    assert one.value == pytest.approx(0.3)
    two = found(replace(motion, drops=(drop, drop)), dose=0.4)[name]
    assert two.value == pytest.approx(0.3 * 2**0.25)
    assert "counted once" not in two.where
    assert motion.drops[1].name in found(motion, dose=0.4)[name].where
    assert name not in found(motion)
    assert name not in found(replace(motion, bays=(), bay_names=()), dose=0.4)


def test_what_the_case_does_not_hold_is_not_checked(floor_view: FloorView) -> None:
    empty = impact_view(floor_view, drops=0, bays=0, air=False, steady=0)
    assert list(found(empty, acceleration=0.5, dose=0.4)) == ["modes: off the direct response"]
    assert not found(replace(empty, truncation=0.011))["modes: off the direct response"].ok


# Dangers


def test_dangers_of_groups_machines_and_the_map(motion: DynamicsView, floor_view: FloorView) -> None:
    ids = floor_view.schedule.ids
    assert all_dangers(replace(motion, drop_map=None), ids) == ()
    shaken = replace(motion.steady[1], reserve=-0.002, least_load=-300.0, clearance=-0.001)
    said = " ".join(danger_words(shaken, ids))
    for part in (f"jack {ids[0]} goes solid: 2.0 mm short", "lets go: least jack load −0.30 kN", "gap 1.0 mm too"):
        assert part in said
    whole = motion_sentences(replace(motion, steady=(motion.steady[0], shaken)), ids)
    assert f"{shaken.name}: {danger_words(shaken, ids)[0]}" in whole
    grid = motion.drop_map
    assert grid is not None
    solid, loose = np.array(grid.reserve), np.array(grid.least_load)
    solid[7], loose[9] = -0.5, -700.0
    found = map_danger_words(replace(grid, reserve=solid, least_load=loose), ids)
    x, y = grid.xy[7]
    assert f"Dropped at ({x:.2f}, {y:.2f}) m" in found[0]
    assert "500.0 mm short" in found[0]
    assert "lets go: least jack load −0.70 kN" in found[1]


def test_what_shakes_most_comes_first_and_what_is_not_safe_before_it(motion: DynamicsView) -> None:
    first = motion.steady[0]
    soft = replace(first, name="soft", acceleration=0.5 * first.acceleration)
    hard = replace(first, name="hard", force=2.0 * first.force)
    calm = replace(first, name="calm", meets=(), acceleration=9.0 * first.acceleration)
    bad = replace(soft, name="bad", meets=(), reserve=-1e-3)
    order = [each.name for each in ranked((calm, soft, first, hard, bad))]
    assert order == ["bad", "hard", first.name, "soft", "calm"]


# Records and lists


def numbers_of(value: Any, path: str = "") -> dict[str, float]:
    if isinstance(value, dict):
        return {k: v for key, each in value.items() for k, v in numbers_of(each, f"{path}/{key}").items()}
    if isinstance(value, list):
        return {k: v for i, each in enumerate(value) for k, v in numbers_of(each, f"{path}/{i}").items()}
    return {path: value} if isinstance(value, float | int) and not isinstance(value, bool) else {}


def test_record_holds_everything_in_its_units(motion: DynamicsView, floor_view: FloorView) -> None:
    record = dynamics_json(motion, floor_view.schedule.ids)
    again = json.loads(json.dumps(record, allow_nan=False))
    assert again == record
    drop, said = motion.drops[0], record["drops"][0]
    assert said["reserve_mm"] == pytest.approx(1e3 * drop.reserve)
    assert said["clearance_mm"] == pytest.approx(31.0)
    assert record["drops"][1]["clearance_mm"] is None
    assert said["worst_jack"] == floor_view.schedule.ids[drop.worst_jack]
    assert said["impulse_N_s"] == pytest.approx(drop.impulse)
    springs = said["supports"][0]
    assert springs["greatest_force_kN"] == pytest.approx(drop.springs.peak_force / 1e3)
    assert springs["bays"][0]["greatest_velocity_mm_s"] == pytest.approx(1e3 * drop.springs.peak_velocity[0])
    assert said["reduction_db"] == pytest.approx(drop.reduction, rel=1e-4, abs=1e-9)  # five digits are kept
    assert record["bands"]["middle_hz"] == pytest.approx(CENTRES)
    assert [group["name"] for group in record["groups"]] == [each.name for each in motion.steady[:2]]
    assert said["covering_pressed_mm"] == pytest.approx(12.0)
    assert said["reserve_with_full_imposed_load_mm"] == pytest.approx(1e3 * drop.full_reserve)
    assert [each["support"] for each in said["supports"]][3:] == ["springs without air"]
    group = record["groups"][0]
    assert (group["reserve_mm"], group["least_jack_load_kN"], group["clearance_mm"]) == pytest.approx((4.0, 1.2, 30.0))
    assert group["worst_jack"] == floor_view.schedule.ids[0]
    point = record["transmissibility"]["points"][0]
    assert len(point["springs_without_air"]) == len(point["springs"])
    assert record["air"]["gap_needed_open_all_round_mm"] == pytest.approx(120.0)
    assert motion.drop_map is not None
    place = record["drop_map"]["places"][3]
    assert place["least_jack_load_kN"] == pytest.approx(motion.drop_map.least_load[3] / 1e3)
    assert record["groups"][0]["stop"] == list(motion.steady[0].meets)
    assert record["machines"][0]["greatest_acceleration_m_s2"] == pytest.approx(motion.steady[2].peak_acceleration)
    assert record["air"]["open_length_needed_mm"] == pytest.approx(4800.0)
    assert record["sideways"]["sway_rate_N_mm"]["x"] == pytest.approx(3100.0)
    assert len(record["drop_map"]["places"]) == len(motion.drop_map.xy) if motion.drop_map else False
    assert record["modal_against_direct_percent"] == pytest.approx(0.4)


def test_histories_in_the_record_are_short_and_keep_their_peaks(motion: DynamicsView, floor_view: FloorView) -> None:
    """Five significant digits are kept, so 1e-4 relative."""
    record = dynamics_json(motion, floor_view.schedule.ids)
    drop, said = motion.drops[0], record["drops"][0]
    assert len(drop.time) > 2 * POINTS
    histories = [said["history"], said["worst_jack_history"]]
    histories += [each["history"] for support in said["supports"] for each in (support, *support["bays"])]
    for history in histories:
        assert {len(values) for values in history.values()} == {len(history["time_ms"])}
        assert len(history["time_ms"]) <= POINTS
        assert history["time_ms"] == sorted(history["time_ms"])
    assert max(said["history"]["contact_force_kN"]) == pytest.approx(drop.contact.max() / 1e3, rel=1e-4)
    greatest = max(np.abs(said["supports"][2]["history"]["force_kN"]))
    assert greatest == pytest.approx(drop.bare.peak_force / 1e3, rel=1e-4)


def test_record_of_a_case_without_drops_bays_and_air(floor_view: FloorView) -> None:
    record = dynamics_json(impact_view(floor_view, drops=0, bays=0, air=False, steady=0), floor_view.schedule.ids)
    assert (record["air"], record["drop_map"], record["drops"], record["bays"]) == (None, None, [], [])
    assert all(np.isfinite(value) for value in numbers_of(record).values())


def rows_of(path: Path) -> list[list[str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def test_list_of_bands(motion: DynamicsView, floor_view: FloorView, tmp_path: Path) -> None:
    path = tmp_path / "impact-bands.csv"
    write_bands(motion, path)
    head, *rows = rows_of(path)
    assert tuple(head) == BANDS
    assert len(rows) == 2 * 2 * 24
    first = dict(zip(head, rows[5], strict=True))
    drop = motion.drops[0]
    assert (first["drop"], first["band_hz"], first["bay"]) == (drop.name, NOMINAL[5], "Bay 1")
    assert float(first["reduction_springs_dB"]) == pytest.approx(drop.reduction[5], abs=0.0051)  # two decimals
    assert float(first["reduction_springs_dB"]) < 0
    assert drop.airless is not None
    lone = float(first["force_springs_without_air_dB"])
    assert lone == pytest.approx(drop.airless.force_levels[5], abs=0.0051)
    assert float(first["velocity_bare_dB"]) == pytest.approx(drop.bare.velocity_levels[5, 0], abs=0.0051)
    write_bands(impact_view(floor_view, drops=1, bays=0), path)
    assert [row[-4:] for row in rows_of(path)[1:]] == 24 * [["", "", "", ""]]


def test_list_of_drops(motion: DynamicsView, floor_view: FloorView, tmp_path: Path) -> None:
    path = tmp_path / "drops.csv"
    write_drops(motion, floor_view.schedule.ids, path)
    head, *rows = rows_of(path)
    assert tuple(head) == DROPS
    first, second = (dict(zip(head, row, strict=True)) for row in rows)
    drop = motion.drops[0]
    assert float(first["springs_kN"]) == pytest.approx(drop.springs.peak_force / 1e3, abs=0.00051)  # three decimals
    assert (first["height_mm"], first["drops_a_day"], second["clearance_mm"], second["day_dose_m_s175"]) == (
        *("1500", "40", "", ""),
    )
    assert (first["covering_pressed_mm"], second["covering_pressed_mm"]) == ("12.00", "12.00")
    full = float(first["reserve_with_full_imposed_load_mm"])
    assert full == pytest.approx(1e3 * drop.full_reserve, abs=0.0051)  # two decimals
    assert drop.airless is not None
    assert float(first["springs_without_air_kN"]) == pytest.approx(drop.airless.peak_force / 1e3, abs=0.00051)
    write_drops(without_air(motion), floor_view.schedule.ids, path)
    assert dict(zip(head, rows_of(path)[1], strict=True))["springs_without_air_kN"] == ""
    assert first["worst_jack"] == floor_view.schedule.ids[drop.worst_jack]
    write_drops(impact_view(floor_view, drops=1, bays=0), floor_view.schedule.ids, path)
    assert dict(zip(head, rows_of(path)[1], strict=True))["floor_velocity_mm_s"] == ""


# Jack loads


@given(st.integers(1, 9000), st.floats(1e-4, 3e-3), st.integers(0, 2**32 - 1))
def test_rows_of_jack_loads_are_few_and_hold_the_extremes(count: int, step: float, seed: int) -> None:
    time, loads = step * np.arange(count), np.random.default_rng(seed).normal(size=(count, 3))
    rows = listed_rows(time, loads)
    assert rows[0] == 0
    assert (np.diff(rows) > 0).all()
    assert len(rows) <= ROWS + 6
    even = np.setdiff1d(rows, np.concatenate([loads.argmax(axis=0), loads.argmin(axis=0)]))
    assert len(even) <= ROWS
    assert (np.diff(time[even]) > max(ROW_STEP, time[-1] / ROWS) - step - 1e-9).all()
    assert (loads[rows].max(axis=0) == loads.max(axis=0)).all()
    assert (loads[rows].min(axis=0) == loads.min(axis=0)).all()


def test_lists_of_jack_loads(motion: DynamicsView, floor_view: FloorView, tmp_path: Path) -> None:
    ids = floor_view.schedule.ids
    files = write_jack_loads(motion, ids, tmp_path)
    assert [file.name for file in files] == ["drop-1-jack-loads.csv", "drop-2-jack-loads.csv"]
    record = dynamics_json(motion, ids)
    assert [drop["jack_load_kN"]["file"] for drop in record["drops"]] == [file.name for file in files]
    for drop, file in zip(motion.drops, files, strict=True):
        head, *rows = rows_of(file)
        values = np.array(rows, dtype=float)
        assert head == ["time_ms", *ids]
        assert values[:, 1:].max(axis=0) == pytest.approx(drop.jack_loads.max(axis=0) / 1e3, abs=0.00051)  # 3 decimals
        assert values[:, 1:].min(axis=0) == pytest.approx(drop.jack_loads.min(axis=0) / 1e3, abs=0.00051)
        between = np.interp(values[:, 0], 1e3 * drop.jack_time, drop.jack_loads[:, 2] / 1e3)
        assert values[:, 3] == pytest.approx(between, abs=0.002)  # times have three decimals as well
    assert write_jack_loads(replace(motion, drops=()), ids, tmp_path) == ()
