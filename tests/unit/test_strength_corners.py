"""Re-entrant corners: what the fabric bears across them, the trimmers, and the verdicts, against hand calculations.

The corner of the angle stands at (2, 2), its trimmers at 135°, its zone is 4 h = 0.5 m long. Slab of 125 mm, C32/40,
covers 25 mm, A252 below, A193 above, trimmers of 12 mm inside the mats, fyd 500/1.15 MPa.
"""

from __future__ import annotations

from dataclasses import replace
from math import ceil, cos, pi, radians, sin

import numpy as np
import pytest
from shapely import box

from postprocess.checks import Check
from postprocess.strength.corner_verdicts import corner_checks, corner_verdicts, resistance_across
from postprocess.strength.design import Design
from postprocess.strength.effects import Effects
from postprocess.strength.fabric import Fabric
from tests.unit.strength_cases import A142, ANGLE, RECTANGLE, a_design, no_effects, some_places

FYD = 500e6 / 1.15
BAR = pi / 4 * 0.012**2
DEPTH = {"bottom": 0.125 - 0.025 - 0.016 - 0.006, "top": 0.125 - 0.025 - 0.014 - 0.006}
"""Of trimmers inside both layers of wires, m."""
ZONE = 0.5


def cornered(
    states: dict[str, float] | None = None, sagging: float = 0.0, hogging: float = 0.0, strips: float = 0.0
) -> Effects:
    """Moments across the one corner, N·m/m: over its zone in each state and of the combinations, over its strip."""
    effects = no_effects(ANGLE)
    found = {"bare": 0.0, "service": 0.0, "full": 0.0} | (states or {})
    return replace(
        effects,
        across_zone={state: np.array([moment]) for state, moment in found.items()},
        across={state: np.array([strips]) for state in found},
        across_design=np.array([[sagging, hogging]]),
    )


def checked(effects: Effects, design: Design) -> dict[str, Check]:
    return {check.name: check for check in corner_checks(effects, design)}


def fabric_across(design: Design, face: str) -> float:
    """At 135° half of both directions: (MRx + MRy)/2, N·m/m."""
    x, y = (0, 1) if face == "bottom" else (2, 3)
    return float(design.resistances[x] + design.resistances[y]) / 2


@pytest.mark.parametrize("degrees", [0, 20, 90, 135])
def test_fabric_across_any_direction(degrees: float) -> None:
    """Johansen's stepped yield line: MRx cos² + MRy sin². Wires along x alone at 0°, along y alone at 90°."""
    design = a_design()
    for face, (x, y) in (("bottom", (0, 1)), ("top", (2, 3))):
        angle = radians(degrees)
        expected = design.resistances[x] * cos(angle) ** 2 + design.resistances[y] * sin(angle) ** 2
        assert resistance_across(design, face, angle) == pytest.approx(expected, rel=1e-12)  # type: ignore[arg-type]
    assert design.resistances[0] > 1.01 * design.resistances[1]


@pytest.mark.parametrize(("moment", "face"), [(5e3, "bottom"), (-5e3, "top")])
def test_fabric_alone_in_each_state(moment: float, face: str) -> None:
    """Sagging against the bottom mat, hogging against the top mat, by sizes."""
    design = a_design()
    found = checked(cornered({"bare": moment, "service": -0.1 * moment, "full": 3 * moment}), design)
    states = {f"re-entrant corner, {words}" for words in ("bare", "service", "full", "combinations")}
    assert set(found) == states | {f"bending at corners, {face} {side}" for face in ("bottom", "top") for side in "xy"}
    check = found["re-entrant corner, bare"]
    assert check.value == pytest.approx(5.0)
    assert check.limit == pytest.approx(fabric_across(design, face) / 1e3)
    assert (check.ok, check.unit, check.xy) == (True, "kN·m/m", (2.0, 2.0))
    assert check.where == f"corner at (2.000, 2.000) m, {face}"
    assert "500 mm; fabric alone" in check.basis
    assert found["re-entrant corner, service"].where.endswith("top" if face == "bottom" else "bottom")
    assert not found["re-entrant corner, full"].ok


FCD = 32e6 / 1.5
MATS = {"bottom": 251.33e-6, "top": 192.42e-6}
"""Steel of the mats along any direction, m²/m: that of A252 and A193 by hand."""


def alone(face: str, bars: int) -> float:
    """F (d − a/2) of so many bars, N·m/m: what they bear without the mats."""
    force = bars * BAR * FYD / ZONE
    return force * (DEPTH[face] - force / FCD / 2)


def added(face: str, bars: int) -> float:
    """What they add to the mats: both forces share one block af + at, so F (d − af − at/2)."""
    force = bars * BAR * FYD / ZONE
    return force * (DEPTH[face] - MATS[face] * FYD / FCD - force / FCD / 2)


@pytest.mark.parametrize(("moment", "needed"), [(1e3, 2), (15e3, 3), (25e3, None)])
def test_trimmers_bear_the_moment_of_the_zone(moment: float, needed: int | None) -> None:
    """The fewest bars that bear it by themselves, at least two; with the mats they add less, as both share a block.
    By hand for d 78 mm (bottom): a bar of 113 mm² on 0.5 m has 98 kN/m, two bear 14.4, three 20.9 kN·m/m.
    """
    expected = next(bars for bars in range(2, 12) if alone("bottom", bars) >= moment)
    if needed is not None:
        assert expected == needed
    design = a_design()
    effects = cornered(sagging=moment)
    (verdict,) = corner_verdicts(effects, design, dict.fromkeys(effects.across, 3e3))
    assert verdict.trimmers == {"bottom": expected, "top": 0}
    check = checked(effects, design)["re-entrant corner, combinations"]
    resistance = fabric_across(design, "bottom") + added("bottom", expected)
    assert check.value == pytest.approx(moment / 1e3)
    assert check.limit == pytest.approx(resistance / 1e3, rel=1e-5)  # areas of the mats to five digits
    assert check.ok
    assert "fabric and trimmers" in check.basis


def test_trimmers_have_room() -> None:
    """Eleven bars at 50 mm fill 0.5 m: a moment that asks for more is refused by the check, not hidden."""
    moment = 100e3
    assert alone("top", 11) < moment
    effects, design = cornered(hogging=-moment), a_design()
    (verdict,) = corner_verdicts(effects, design, dict.fromkeys(effects.across, 3e3))
    assert verdict.trimmers == {"bottom": 0, "top": 11}
    check = checked(effects, design)["re-entrant corner, combinations"]
    resistance = fabric_across(design, "top") + added("top", 11)
    assert check.limit == pytest.approx(resistance / 1e3, rel=1e-5)
    assert check.where.endswith("top")
    assert check.ok is (moment < resistance)
    assert not check.ok


def test_the_face_that_is_used_most_governs() -> None:
    """Hogging of 9 against sagging of 10 kN·m/m, on a top mat that is much weaker."""
    design = a_design(top=A142)
    check = checked(cornered(sagging=10e3, hogging=-9.9e3), design)["re-entrant corner, combinations"]
    assert check.where == "corner at (2.000, 2.000) m, top"
    assert check.value == pytest.approx(9.9)


@pytest.mark.parametrize(("face", "moment"), [("bottom", 2e3), ("top", -2e3)])
def test_a_mat_left_out(face: str, moment: float) -> None:
    """Its trimmers go with it. What is left on that face is what the other mat bears, over half the lever arm less."""
    effects = cornered({"full": moment}, max(moment, 0.0), min(moment, 0.0))
    design = a_design()
    for name in ("re-entrant corner, full", "re-entrant corner, combinations"):
        whole, without = checked(effects, design)[name], checked(effects, design.without(face))[name]  # type: ignore[arg-type]
        assert without.limit == pytest.approx(fabric_across(design.without(face), face) / 1e3)  # type: ignore[arg-type]
        assert without.limit < 0.5 * whole.limit


def test_verdict_of_a_corner() -> None:
    """Its strip for cracks, its zone for resistance, |M| over the cracking moment of each state."""
    effects = cornered({"bare": 9.0, "service": 9.0, "full": 9.0}, sagging=4e3, hogging=-1e3, strips=-1.5e3)
    cracking = {"bare": 1e3, "service": 3e3, "full": 6e3}
    (verdict,) = corner_verdicts(effects, a_design(), cracking)
    assert verdict.xy == (2.0, 2.0)
    assert cos(verdict.across - 3 * pi / 4) ** 2 == pytest.approx(1)
    assert (verdict.strip, verdict.zone) == (pytest.approx(0.275), pytest.approx(0.5))
    assert verdict.moments == dict.fromkeys(cracking, -1.5e3)
    assert verdict.cracking_use == pytest.approx({"bare": 1.5, "service": 0.5, "full": 0.25})
    assert (verdict.design_sagging, verdict.design_hogging) == (4e3, -1e3)
    assert verdict.trimmers == {"bottom": 2, "top": 2}


def test_several_corners() -> None:
    """An opening's four: the worst of each state by use, each corner with its own bars."""
    plan = RECTANGLE.difference(box(4.5, 2.0, 5.5, 3.2))
    effects = no_effects(plan, some_places(plan))
    corners = effects.places.zones.xy
    sagging, hogging = np.array([1e3, 0.0, 25e3, 9e3]), np.array([-1e3, 0.0, -2e3, -12e3])
    effects = replace(
        effects,
        across_zone={state: np.array([1e3, -4e3, 3e3, 2e3]) for state in effects.across_zone},
        across_design=np.column_stack([sagging, hogging]),
    )
    design = a_design()
    assert len(corners) == 4
    found = checked(effects, design)
    assert found["re-entrant corner, bare"].xy == tuple(corners[1])
    assert found["re-entrant corner, bare"].value == pytest.approx(4.0)
    assert found["re-entrant corner, combinations"].xy == tuple(corners[2])
    verdicts = corner_verdicts(effects, design, dict.fromkeys(effects.across, 3e3))
    for i, verdict in enumerate(verdicts):
        for face, moment in (("bottom", sagging[i]), ("top", hogging[i])):
            area = abs(moment) * verdict.zone / (0.9 * DEPTH[face] * FYD)
            assert verdict.trimmers[face] == (max(ceil(area / BAR), 2) if moment else 0)  # type: ignore[index]
        assert verdict.xy == tuple(corners[i])


def test_plan_without_corners() -> None:
    effects = no_effects(RECTANGLE)
    assert list(corner_checks(effects, a_design())) == []
    assert corner_verdicts(effects, a_design(), dict.fromkeys(effects.across, 3e3)) == ()


@pytest.mark.parametrize("cover", [0.043, 0.045])
def test_no_depth_left_for_trimmers(cover: float) -> None:
    """75 mm thick, covers of 43 or 45 and 5 mm, A142 twice: all fits, but trimmers of 40 mm inside the bottom mat would
    have d 0 or −2 mm. They bear nothing, and never less than nothing.
    """
    effects = cornered(sagging=1e3)
    design = replace(a_design(A142, A142, thickness=0.075, covers=(cover, 0.005)), trimmer_diameter=0.040)
    check = checked(effects, design)["re-entrant corner, combinations"]
    assert check.limit == pytest.approx(fabric_across(design, "bottom") / 1e3)


@pytest.mark.parametrize(("size", "left"), [(3.0, 2.0), (0.5, 0.0)])
@pytest.mark.parametrize(("sign", "face"), [(1, "bottom"), (-1, "top")])
def test_trimmers_take_their_part_of_bending_in_zones(size: float, left: float, sign: int, face: str) -> None:
    """A moment along the trimmers, at 135°, a multiple of what they bear: they take all of it, or once what they
    bear, and Wood-Armer moments of what is left are its size in both directions, Mx + |Mxy| = M (½ + ½). Rounding.
    """
    design = a_design()
    effects = cornered(sagging=20e3, hogging=-20e3)
    corner = corner_verdicts(effects, design, dict.fromkeys(("bare", "service", "full"), 1e3))[0]
    borne = added(face, corner.trimmers[face])  # type: ignore[index]
    triples = np.zeros_like(effects.zone_moments)
    triples[0, :, 0] = sign * size * borne * np.array([0.5, 0.5, -0.5])
    found = checked(replace(effects, zone_moments=triples), design)
    for side in "xy":
        value = found[f"bending at corners, {face} {side}"].value
        assert value == pytest.approx(left * borne / 1e3, rel=1e-4, abs=1e-3)


def test_trimmers_do_not_help_across_themselves() -> None:
    """A moment along x alone: Mx − m/2 + |m/2| stays Mx, whatever the trimmers take. Rounding."""
    effects = cornered(sagging=20e3)
    triples = np.zeros_like(effects.zone_moments)
    triples[0, :, 0] = [7e3, 0, 0]
    check = checked(replace(effects, zone_moments=triples), a_design())["bending at corners, bottom x"]
    assert check.value == pytest.approx(7.0)
    assert check.limit == pytest.approx(a_design().resistances[0] / 1e3)
    assert check.where == "corner at (2.000, 2.000) m"


@pytest.mark.parametrize(("face", "expected"), [("bottom", 125 - 25 - 8 - 10 - 6), ("top", 125 - 25 - 7 - 7 - 6)])
def test_trimmers_lie_inside_both_wires(face: str, expected: float) -> None:
    """Cover 25, wires of both directions, half of Ø12: by hand, mm."""
    design = a_design(Fabric("8 and 10", 0.008, 0.2, 0.010, 0.2), Fabric("7", 0.007, 0.2, 0.007, 0.2))
    assert design.trimmer_depth(face) == pytest.approx(expected / 1e3)  # type: ignore[arg-type]
