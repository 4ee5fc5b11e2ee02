"""Punching and bearing at jacks and feet against calculations by hand, formulas of EN 1992-1-1 written out here.

Slab of 125 mm, C32/40, covers 25 mm, A252 below and A193 above: d is 93 mm for the top (mean of 96.5 and 89.5) and
92 mm for the bottom (96 and 88). Perimeters are drawn with chords, shorter than arcs by 25 parts in a million.
"""

from __future__ import annotations

from dataclasses import replace
from math import isinf, pi, sqrt

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import Polygon, affinity, box

from postprocess.checks import Check
from postprocess.strength.effects import Effects, SpotForces
from postprocess.strength.local_checks import (
    Perimeters,
    bearing_checks,
    perimeter_check,
    punching_checks,
    punching_places,
)
from tests.unit.strength_cases import CAUSES, FEET, JACKS, RECTANGLE, a_design, no_effects, some_places, square

Floats = NDArray[np.float64]

CHORDS = 3e-5
FCD = 32 / 1.5
TOP, BOTTOM = 93.0, 92.0
FACE_LIMIT = 0.5 * 0.6 * (1 - 32 / 250) * FCD
"""vRd,max (6.4.5(3)), MPa."""


def pressed(
    forces: list[float], columns: list[int], plan: Polygon = RECTANGLE, jacks: Floats = JACKS, feet: Floats = FEET
) -> Effects:
    """Forces in kN at jacks (up) and feet (down), each of its combination."""
    effects = no_effects(plan, some_places(plan, jacks, feet))
    return replace(effects, spots=SpotForces(np.array(forces) * 1e3, np.array(columns)))


def punched(effects: Effects) -> dict[str, Check]:
    return {check.name: check for check in punching_checks(effects, a_design(), Perimeters(effects))}


def strength_by_hand(depth: float, ratio_x: float, ratio_y: float) -> float:
    """vRd,c, MPa (6.4.4(1)); d below 200 mm, so k = 2."""
    return max(0.12 * 2 * (100 * sqrt(ratio_x * ratio_y) * 32) ** (1 / 3), 0.035 * 2**1.5 * sqrt(32))


def test_punching_over_a_jack_inside() -> None:
    """J2, 40 kN, β 1.15: vEd = β V/(u1 d) with u1 = π (150 + 4 d), and with u0 = π 150 at the load."""
    effects = pressed([10, 40, 5, 1, 2], [0, 1, 2, 0, 2])
    found = punched(effects)
    perimeter, load = found["punching at jacks, perimeter"], found["punching at jacks, at the load"]
    assert perimeter.value == pytest.approx(1.15 * 40e3 / (pi * (150 + 4 * TOP) * TOP), rel=CHORDS)
    top = pi / 4 * 49 * 5
    assert perimeter.limit == pytest.approx(strength_by_hand(TOP, top / 96.5e3, top / 89.5e3), rel=1e-9)
    assert load.value == pytest.approx(1.15 * 40e3 / (pi * 150 * TOP), rel=1e-9)
    assert load.limit == pytest.approx(FACE_LIMIT, rel=1e-9)
    for check in (perimeter, load):
        assert (check.where, check.xy, check.combination) == ("jack J2, interior", (4.0, 1.0), CAUSES[1])
        assert (check.unit, check.ok) == ("MPa", True)
    assert "6.4.4" in perimeter.basis
    assert "6.4.5" in load.basis


def test_punching_under_a_foot() -> None:
    """The second foot, 60 kN: u1 = 4 · 100 + 4 π d about the square, u0 = 400 mm, steel of the bottom. It fails at
    neither, then at the perimeter.
    """
    found = punched(pressed([1, 1, 1, 1, 60], [0, 0, 0, 0, 2]))
    perimeter, load = found["punching at feet, perimeter"], found["punching at feet, at the load"]
    around = 400 + 4 * pi * BOTTOM
    assert perimeter.value == pytest.approx(1.15 * 60e3 / (around * BOTTOM), rel=CHORDS)
    bottom = pi / 4 * 64 * 5
    limit = strength_by_hand(BOTTOM, bottom / 96e3, bottom / 88e3)
    assert perimeter.limit == pytest.approx(limit, rel=1e-9)
    assert load.value == pytest.approx(1.15 * 60e3 / (400 * BOTTOM), rel=1e-9)
    assert (perimeter.where, perimeter.combination) == ("Rack, foot 2, interior", CAUSES[2])
    assert perimeter.ok
    too_much = 1.001 * limit * around * BOTTOM / 1.15e3
    assert not punched(pressed([1, 1, 1, 1, too_much], [0] * 5))["punching at feet, perimeter"].ok


def test_much_steel_makes_the_strength_grow() -> None:
    """Bars of 12 at 100: ρ = √(ρx ρy) = 1131/√(94 · 82) ‰, and 0.12 k (100 ρ fck)^⅓ governs over vmin."""
    heavy = a_design(square(0.012, 0.1), square(0.012, 0.1))
    effects = pressed([10, 40, 5, 1, 2], [0] * 5)
    (place, *_) = punching_places(effects, heavy, Perimeters(effects), "jack")
    steel = pi / 4 * 144 * 10
    expected = strength_by_hand(88, steel / 94e3, steel / 82e3)
    assert expected > 0.035 * 2**1.5 * sqrt(32)
    assert place.strength / 1e6 == pytest.approx(expected, rel=1e-9)


def test_jack_at_an_edge_governs() -> None:
    """J3 0.1 m from the edge with 20 kN: β 1.4, u1 = π R + 2 · 100 mm with R = 75 + 2 d; at the load c + 3 d ≤ 3 c with
    c = π 150/4. Its stress is more than that of J2 with 25 kN.
    """
    effects = pressed([10, 25, 20, 1, 2], [0, 1, 2, 0, 0], jacks=np.array([[1.0, 1.0], [4.0, 1.0], [0.1, 3.0]]))
    found = punched(effects)
    check = found["punching at jacks, perimeter"]
    assert check.where == "jack J3, edge"
    assert check.value == pytest.approx(1.4 * 20e3 / ((pi * (75 + 2 * TOP) + 200) * TOP), rel=CHORDS)
    side = pi * 150 / 4
    around = min(side + 3 * TOP, 3 * side)
    assert found["punching at jacks, at the load"].value == pytest.approx(1.4 * 20e3 / (around * TOP), rel=1e-9)


def test_cause_of_each_check() -> None:
    """A jack behind a slit, whose shadow takes away much of its perimeter, governs there; the jack with the most
    force governs at its own rim. Each check names the combination of its own jack.
    """
    plan = RECTANGLE.difference(box(1.2, 0.7, 1.3, 1.3))
    found = punched(pressed([20, 24, 5, 1, 2], [1, 2, 0, 0, 0], plan))
    perimeter, load = found["punching at jacks, perimeter"], found["punching at jacks, at the load"]
    assert perimeter.where.startswith("jack J1")
    assert load.where.startswith("jack J2")
    assert perimeter.combination == CAUSES[1]
    assert load.combination == CAUSES[2]


def around_a_jack() -> Polygon:
    """Four openings about (1, 1), each turned by 90°, that hide the slab from a jack there on all sides."""
    one = box(1.25, 0.76, 1.3, 1.3)
    plan = RECTANGLE
    for angle in (0, 90, 180, 270):
        plan = plan.difference(affinity.rotate(one, angle, origin=(1.0, 1.0)))
    assert len(plan.interiors) == 4
    return plan


def test_perimeter_cut_away_by_openings() -> None:
    """Nothing is left of J1's perimeter: its force against none at all, in kN, and why; without a force all is well."""
    plan = around_a_jack()
    effects = pressed([3, 40, 5, 1, 2], [1, 0, 0, 0, 0], plan)
    (place, *_) = punching_places(effects, a_design(), Perimeters(effects), "jack")
    assert isinf(place.stress)
    assert isinf(place.use)
    check = punched(effects)["punching at jacks, perimeter"]
    assert (check.value, check.limit, check.unit, check.ok) == (3.0, 0.0, "kN", False)
    assert "openings leave no perimeter" in check.basis
    assert check.combination == CAUSES[1]
    assert check.where.startswith("jack J1")
    at_load = punched(effects)["punching at jacks, at the load"]
    assert at_load.where.startswith("jack J2")
    free = punched(pressed([0, 40, 5, 1, 2], [0] * 5, plan))["punching at jacks, perimeter"]
    assert free.where.startswith("jack J2")
    assert free.unit == "MPa"


def test_check_of_one_place_says_what_it_is_told() -> None:
    effects = pressed([10, 40, 5, 1, 2], [0] * 5)
    place = punching_places(effects, a_design(), Perimeters(effects), "jack")[1]
    check = perimeter_check("punching, then", place, "a clause", "a cause")
    assert (check.name, check.basis, check.combination) == ("punching, then", "a clause", "a cause")
    assert check.value == pytest.approx(place.stress / 1e6)
    assert check.limit == pytest.approx(place.strength / 1e6)


def test_other_forces_and_those_that_pull() -> None:
    """Forces given instead of the combinations', such as those of the lift; a jack that pulls does not punch."""
    effects = pressed([10, 40, 5, 1, 2], [0] * 5)
    places = punching_places(effects, a_design(), Perimeters(effects), "jack", np.array([1e3, 2e3, -3e3]))
    assert [place.force for place in places] == [1e3, 2e3, 0.0]
    assert [place.name for place in places] == ["jack J1", "jack J2", "jack J3"]
    assert [place.xy for place in places] == [tuple(xy) for xy in JACKS]
    assert places[1].stress / places[0].stress == pytest.approx(2, rel=CHORDS)
    assert places[2].stress == 0


@pytest.mark.parametrize(("face", "kind", "other"), [("top", "jacks", "feet"), ("bottom", "feet", "jacks")])
def test_a_mat_left_out(face: str, kind: str, other: str) -> None:
    """Jacks need the top mat, feet the bottom one: their greatest force against none, and why."""
    effects = pressed([10, 40, 5, 1, 2], [0] * 5)
    design = a_design().without(face)  # type: ignore[arg-type]
    found = {check.name: check for check in punching_checks(effects, design, Perimeters(effects))}
    check = found[f"punching at {kind}, perimeter"]
    assert (check.value, check.limit, check.unit, check.ok) == (40.0 if kind == "jacks" else 2.0, 0.0, "kN", False)
    assert "no steel near the face in tension" in check.basis
    assert f"punching at {kind}, at the load" not in found
    assert found[f"punching at {other}, perimeter"].ok
    with pytest.raises(ValueError, match=f"no mat near the {face}"):
        punching_places(effects, design, Perimeters(effects), kind.removesuffix("s") if kind == "jacks" else "foot")


def test_bearing() -> None:
    """6.7: fcd √(Ac1/Ac0), the larger area at most 3 times as wide, h wider, and within the edge: (150 + 125)/150 and
    (100 + 125)/100 times fcd inside. Rounding.
    """
    found = {check.name: check for check in bearing_checks(pressed([10, 40, 5, 1, 2], [0, 1, 0, 0, 2]), a_design())}
    jack, foot = found["bearing at jacks"], found["bearing at feet"]
    assert jack.value == pytest.approx(40e3 / (pi / 4 * 150**2), rel=1e-9)
    assert jack.limit == pytest.approx(FCD * 275 / 150, rel=1e-9)
    assert (jack.where, jack.xy, jack.combination) == ("jack J2", (4.0, 1.0), CAUSES[1])
    assert foot.value == pytest.approx(2e3 / 100**2, rel=1e-9)
    assert foot.limit == pytest.approx(FCD * 225 / 100, rel=1e-9)
    assert (foot.where, foot.combination, foot.unit) == ("Rack, foot 2", CAUSES[2], "MPa")


def test_bearing_where_the_edge_is_near() -> None:
    """90 mm from the edge the larger area is 180 mm wide, 180/150 instead of 275/150: J3 with 30 kN is used more
    than J2 with 40 kN.
    """
    effects = pressed([10, 40, 30, 1, 2], [0, 1, 2, 0, 0], jacks=np.array([[1.0, 1.0], [4.0, 1.0], [0.09, 3.0]]))
    jack = next(iter(bearing_checks(effects, a_design())))
    assert (jack.where, jack.combination) == ("jack J3", CAUSES[2])
    assert jack.limit == pytest.approx(FCD * 180 / 150, rel=1e-9)
    assert jack.value == pytest.approx(30e3 / (pi / 4 * 150**2), rel=1e-9)


def test_without_feet() -> None:
    """Nothing is said of feet where there are none."""
    effects = pressed([10, 40, 5], [0, 0, 0], feet=np.zeros((0, 2)))
    names = [check.name for check in bearing_checks(effects, a_design())] + list(punched(effects))
    assert names == ["bearing at jacks", "punching at jacks, perimeter", "punching at jacks, at the load"]
    assert punching_places(effects, a_design(), Perimeters(effects), "foot") == ()


def test_perimeters_are_drawn_once_for_each_depth() -> None:
    """The same objects for the same depth, others for another depth or other spots."""
    perimeters = Perimeters(pressed([10, 40, 5, 1, 2], [0] * 5))
    assert perimeters.at("jack", 0.093) is perimeters.at("jack", 0.093)
    assert perimeters.at("jack", 0.093)[0].length < perimeters.at("jack", 0.095)[0].length
    assert len(perimeters.at("jack", 0.093)) == 3
    assert len(perimeters.at("foot", 0.093)) == 2
