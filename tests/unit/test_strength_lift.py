"""The day of lifting: checks of the young slab by hand, and the search for the first day that passes.

Concrete C32/40 at t days: βcc = exp{s [1 − √(28/t)]}, fcm(t) = βcc · 40 MPa, fck(t) = fcm(t) − 8 MPa from 3 to 28 days
(EN 1992-1-1, 3.1.2), fctk,0.05(t) = 0.7 βcc · 3.0238 MPa; s 0.25 for class N, 0.38 for class S.
"""

from __future__ import annotations

from dataclasses import replace
from math import exp, log2, pi, sqrt

import numpy as np
import pytest

from postprocess.checks import Check
from postprocess.strength.bending import section_resistance
from postprocess.strength.effects import Effects, LiftDay, LiftStage
from postprocess.strength.layers import FACES
from postprocess.strength.lift import age_check, cracking_check, first_passing_day, strength_checks
from postprocess.strength.local_checks import Perimeters
from postprocess.strength.materials import Materials
from tests.unit.strength_cases import ANGLE, RECTANGLE, a_design, a_stage, no_effects, some_places, young

BETA_4 = exp(0.25 * (1 - sqrt(28 / 4)))
FCTM = 0.30 * 32 ** (2 / 3)


@pytest.fixture(scope="module")
def effects() -> Effects:
    return no_effects(ANGLE)


def strengths(effects: Effects, day: LiftDay) -> dict[str, Check]:
    return {check.name: check for check in strength_checks(effects, a_design(), Perimeters(effects), day)}


def moments_at(effects: Effects, place: int, size: float, name: str = "bare slab on all jacks") -> LiftStage:
    """A moment of `size` at one place, a third of it elsewhere, but for the corner's zone and what lies in it."""
    stage = a_stage(effects.places, size / 3)
    stage.crack[place] = size
    stage.crack[-1] = 1e6
    near = np.hypot(*(effects.places.mesh.vertices - [2, 2]).T) <= 0.275
    stage.crack[: len(near)][near] = 1e6
    return replace(stage, name=name)


def test_cracking(effects: Effects) -> None:
    """M against fctk,0.05(4 days) h²/6 = 1.403 MPa · 125²/6 = 3.653 kN·m/m; of two stages the worse, at its place."""
    limit = 0.7 * BETA_4 * FCTM * 125**2 / 6 / 1e3
    assert limit == pytest.approx(3.653, abs=0.001)
    v = len(effects.places.mesh.vertices)
    for share in (0.999, 1.001):
        stages = (
            moments_at(effects, 5, 0.9 * limit * 1e3, "one side up"),
            moments_at(effects, v + 1, share * limit * 1e3, "all up"),
        )
        check = cracking_check(effects, LiftDay(young(4), stages), 0.125)
        assert check.limit == pytest.approx(limit, rel=1e-9)
        assert check.value == pytest.approx(share * limit, rel=1e-9)
        assert check.ok is (share < 1)
        assert (check.where, check.xy, check.unit) == ("jack J2", (4.0, 1.0), "kN·m/m")
        assert check.combination == "all up"
    assert "at 4 days = 1.40 MPa" in check.basis


def test_cracking_at_the_corner_by_its_strip(effects: Effects) -> None:
    """The corner itself counts, over its short strip."""
    day = LiftDay(young(4), (moments_at(effects, effects.places.at_strips.start, 2e3),))
    check = cracking_check(effects, day, 0.125)
    assert check.value == pytest.approx(2.0)
    assert check.where.startswith("re-entrant corner at (2.000, 2.000) m")


def test_concrete_bending_and_punching(effects: Effects) -> None:
    """At 4 days fck is 0.6627 · 40 − 8 = 18.51 MPa. 1.35 times the design moment against MRd, and 1.35 times the
    jack load on u1 d against vRd,c, both with that fck. The corner counts by its zone (nothing here), not its strip.
    """
    fck = BETA_4 * 40 - 8
    design = np.zeros((len(effects.places.xy), 4))
    design[effects.places.at_strips] = 1e6
    v = len(effects.places.mesh.vertices)
    design[v, 3] = 2e3
    stage = replace(a_stage(effects.places, jacks=(3e3, 9e3, -20e3)), design=design)
    found = strengths(effects, LiftDay(young(4), (a_stage(effects.places), stage)))
    concrete, bending, punching = (found[f"{w}, day of lifting"] for w in ("concrete strength", "bending", "punching"))
    assert (concrete.value, concrete.limit) == (pytest.approx(fck), pytest.approx(12.0))
    assert bending.value == pytest.approx(1.35 * 2.0)
    resistance = section_resistance(a_design().layers.section(*FACES[3]), Materials(fck * 1e6, 500e6))
    assert bending.limit == pytest.approx(resistance / 1e3, rel=1e-9)
    assert bending.limit < a_design().resistances[3] / 1e3
    assert bending.where == "jack J1, top y"
    assert punching.value == pytest.approx(1.15 * 1.35 * 9e3 / (pi * (150 + 4 * 93) * 93), rel=3e-5)  # chords
    top = pi / 4 * 49 * 5
    ratio = sqrt(top / 96.5e3 * top / 89.5e3)
    strength = max(0.12 * 2 * (100 * ratio * fck) ** (1 / 3), 0.035 * 2**1.5 * sqrt(fck))
    assert punching.limit == pytest.approx(strength, rel=1e-9)
    assert punching.where.startswith("jack J2")
    assert {check.combination for check in (bending, punching)} == {"1.35 self-weight, bare slab on all jacks"}
    assert all(check.ok for check in found.values())


def test_bending_that_is_used_most_not_the_largest(effects: Effects) -> None:
    """4.0 on the weak top, 4.2 on the strong bottom: the top governs."""
    day = LiftDay(young(4), (a_stage(effects.places, design=(4.2e3, 0, 4.0e3, 0)),))
    assert strengths(effects, day)["bending, day of lifting"].where.endswith(", top x")


def test_failing_strength(effects: Effects) -> None:
    """Moments and forces that old concrete would bear and that of 4 days does not."""
    stages = (a_stage(effects.places, design=(0, 0, 7.5e3, 0), jacks=(48e3, 0, 0)),)
    for age, ok in ((4, False), (28, True)):
        found = strengths(effects, LiftDay(young(age), stages))
        assert found["bending, day of lifting"].ok is ok
        assert found["punching, day of lifting"].ok is ok


def test_slow_cement_after_a_day(effects: Effects) -> None:
    """Class S: at 1 day the standard gives no strength yet (3.1.2(5)), at 3 days fcm 18.3, fck(t) 10.3 MPa: no
    resistance is claimed, and the strength itself fails."""
    third = strengths(effects, LiftDay(young(3, "S"), (a_stage(effects.places, 1e3, (1e3,) * 4, (1e3,) * 3),)))
    assert list(third) == ["concrete strength, day of lifting"]
    assert third["concrete strength, day of lifting"].value == pytest.approx(10.3, abs=0.05)
    assert not third["concrete strength, day of lifting"].ok
    concrete = young(1, "S")
    day = LiftDay(concrete, (a_stage(effects.places, 1e3, (1e3,) * 4, (1e3,) * 3),))
    found = strengths(effects, day)
    assert list(found) == ["concrete strength, day of lifting"]
    check = found["concrete strength, day of lifting"]
    assert (check.value, check.limit, check.unit, check.ok) == (1, 3, "days", False)


@pytest.mark.parametrize("face", ["bottom", "top"])
def test_without_a_mat(effects: Effects, face: str) -> None:
    """No resistances of a slab with one mat."""
    day = LiftDay(young(4), (a_stage(effects.places),))
    design = a_design().without(face)  # type: ignore[arg-type]
    found = list(strength_checks(effects, design, Perimeters(effects), day))
    assert [check.name for check in found] == ["concrete strength, day of lifting"]


def test_perimeter_cut_away_in_one_stage() -> None:
    """A place without any perimeter governs over one with little strength left, and its check fails."""
    effects = no_effects(RECTANGLE, some_places(RECTANGLE))
    perimeters = Perimeters(effects)
    drawn = perimeters.at("jack", a_design().mean_depth("top"))
    perimeters._drawn[("jack", round(a_design().mean_depth("top"), 6))] = (replace(drawn[0], length=0.0), *drawn[1:])
    stages = (a_stage(effects.places, jacks=(0, 900e3, 0)), a_stage(effects.places, jacks=(1e3, 0, 0)))
    found = {c.name: c for c in strength_checks(effects, a_design(), perimeters, LiftDay(young(4), stages))}
    check = found["punching, day of lifting"]
    assert (check.value, check.limit, check.unit, check.ok) == (pytest.approx(1.35), 0.0, "kN", False)
    assert "openings leave no perimeter" in check.basis


@pytest.mark.parametrize("latest", [1, 2, 7, 365])
def test_first_passing_day_by_trying_all(latest: int) -> None:
    """Every first day up to `latest` (or none), from many guesses, also beyond `latest`.

    Calls: doubling steps to bracket and halving after: at most 2 log2 of the way to go, and a few.
    """
    guesses = {1, 2, 3, 4, 28, latest // 2, latest - 1, latest, latest + 40}
    most = 2 * log2(latest) + 3
    for first in [*range(1, latest + 1), None]:
        for guess in guesses:
            asked: list[int] = []

            def passes(day: int, first: int | None = first, asked: list[int] = asked) -> bool:
                asked.append(day)
                return first is not None and day >= first

            assert first_passing_day(passes, guess, latest) == first
            assert len(asked) <= most
            assert len(set(asked)) == len(asked), "no day is asked for twice"
            assert all(1 <= day <= latest for day in asked)


def test_search_near_the_guess_is_short() -> None:
    """A lift at 4 days that would pass from day 3 on: few days are tried, each costs a solution of the slab."""
    asked: list[int] = []
    assert first_passing_day(lambda day: bool(asked.append(day) or day >= 3), 4, 365) == 3
    assert len(asked) <= 4


@pytest.mark.parametrize(
    ("age", "earliest", "limit", "ok"), [(4, 4, 4, True), (4, 5, 5, False), (3.5, 4, 4, False), (400, None, 401, False)]
)
def test_age(effects: Effects, age: float, earliest: int | None, limit: float, ok: bool) -> None:
    """The age on the day against the first day that passes, in words where none does."""
    check = age_check(LiftDay(young(age), ()), earliest, 400)
    assert (check.value, check.limit, check.unit, check.sense) == (age, limit, "days", "at least")
    assert check.ok is ok
    assert check.where == ("" if earliest else "never up to 400 days")
