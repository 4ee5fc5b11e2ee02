"""Checks of the slab as a whole against calculations by hand, with the formulas of EN 1992-1-1 written out here.

The slab unless another is named: 125 mm, C32/40 (fctm 3.0238 MPa, Ecm 33.346 GPa, checks against Table 3.1's
formulas stand with `Concrete`), fyk 500 MPa, covers 25 mm, A252 below and A193 above, wires along x outermost.
"""

from __future__ import annotations

from dataclasses import replace
from math import pi, sqrt

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import brentq

from postprocess.checks import Check
from postprocess.strength.demand import Envelope
from postprocess.strength.design import Design
from postprocess.strength.effects import Effects, ShearPeak, SpanSag
from postprocess.strength.factors import RECOMMENDED
from postprocess.strength.slab_checks import (
    bending_checks,
    crack_checks,
    crack_widths,
    sag_check,
    shear_check,
    steel_checks,
)
from tests.unit.strength_cases import A193, ANGLE, CAUSES, a_design, no_effects, square

Floats = NDArray[np.float64]

FCTM = 0.30 * 32 ** (2 / 3)
ECM = 22e3 * 4.0**0.3
NO_STEEL = "no steel near the face in tension"


def area(diameter: float, pitch: float = 200) -> float:
    """mm²/m of wires in mm."""
    return pi / 4 * diameter**2 * 1000 / pitch


def by_name(checks: list[Check]) -> dict[str, Check]:
    found = {check.name: check for check in checks}
    assert len(found) == len(checks)
    return found


@pytest.fixture(scope="module")
def effects() -> Effects:
    """The slab with a re-entrant corner, at rest."""
    return no_effects(ANGLE)


def bent(effects: Effects, size: Floats, column: int = 0) -> Effects:
    return replace(effects, design=Envelope(size, np.full(size.shape, column)))


@pytest.mark.parametrize(
    ("side", "name", "depth", "diameter", "other_depth", "other_diameter"),
    [
        (0, "bottom x", 125 - 25 - 4, 8, 25 + 3.5, 7),
        (1, "bottom y", 125 - 25 - 8 - 4, 8, 25 + 7 + 3.5, 7),
        (2, "top x", 125 - 25 - 3.5, 7, 25 + 4, 8),
        (3, "top y", 125 - 25 - 7 - 3.5, 7, 25 + 8 + 4, 8),
    ],
)
def test_bending(
    effects: Effects, side: int, name: str, depth: float, diameter: float, other_depth: float, other_diameter: float
) -> None:
    """MRd with the rectangular block 0.8 x of fcd 32/1.5 MPa: both mats lie below the axis and yield at 500/1.15 MPa
    (strain over 0.0035 (d − x)/x > 0.00217), so 0.8 x fcd = ΣAs fyd and MRd = ΣAs fyd (d − 0.4 x). Tolerance: the
    axis is found by bisection, to rounding.

    At a jack a moment stands, just under MRd, then just over.
    """
    fcd, fyd = 32 / 1.5, 500 / 1.15
    steel = [(area(diameter), depth), (area(other_diameter), other_depth)]
    x = sum(As for As, _ in steel) * fyd / (0.8 * fcd * 1000)
    assert all(0.0035 * (d - x) / x > fyd / 200e3 for _, d in steel)
    expected = sum(As * fyd * (d - 0.4 * x) for As, d in steel) / 1e6

    v = len(effects.places.mesh.vertices)
    for share in (0.9999, 1.0001):
        size = np.zeros((len(effects.places.xy), 4))
        size[v + 1, side] = share * expected * 1e3
        check = by_name(list(bending_checks(bent(effects, size, 2), a_design())))[f"bending, {name}"]
        assert check.limit == pytest.approx(expected, rel=1e-6)
        assert check.value == pytest.approx(share * expected, rel=1e-9)
        assert check.ok is (share < 1)
        assert (check.unit, check.where, check.xy) == ("kN·m/m", "jack J2", (4.0, 1.0))
        assert check.combination == CAUSES[2]
        assert "6.1" in check.basis


def test_bending_away_from_corners(effects: Effects) -> None:
    """Neither the corner's strip and zone nor vertices within the zone count, however large their moments."""
    places = effects.places
    size = np.zeros((len(places.xy), 4))
    size[-2:] = 1e6
    near = np.hypot(*(places.mesh.vertices - [2, 2]).T) <= 0.5
    assert near.sum() >= 1
    size[: len(near)][near] = 1e6
    far = int(np.argmin(np.hypot(*(places.mesh.vertices - [5, 0]).T)))
    size[far] = 3e3
    checks = list(bending_checks(bent(effects, size), a_design()))
    assert [check.value for check in checks] == [3.0] * 4
    assert {check.where for check in checks} == {places.name(far)}
    assert {check.xy for check in checks} == {tuple(places.mesh.vertices[far])}


@pytest.mark.parametrize(("strength_class", "ratio"), [("C32/40", 0.26 * FCTM / 500), ("C16/20", 0.0013)])
def test_least_steel(strength_class: str, ratio: float) -> None:
    """Eq. 9.1N: 0.26 fctm/fyk d, at least 0.0013 d; outer wires have the larger d, so they need most. C16/20 has
    fctm 1.905 MPa, for which 0.0013 governs.
    """
    found = by_name(list(steel_checks(a_design(strength_class=strength_class))))
    for face, depth, given in (("bottom", 96, area(8)), ("top", 96.5, area(7))):
        check = found[f"least steel, {face}"]
        assert check.limit == pytest.approx(ratio * depth * 1000, rel=1e-9)
        assert check.value == pytest.approx(given, rel=1e-9)
        assert check.where == "wires along x"
        assert check.ok


def test_least_steel_of_the_weaker_direction() -> None:
    """Fewer wires along y: those count, with their own d; A98, 5 mm wires, fails as 98 < 139 mm²/m."""
    weak = replace(square(0.008), name="weak", diameter_y=0.005)
    check = by_name(list(steel_checks(a_design(bottom=weak))))["least steel, bottom"]
    depth = 125 - 25 - 8 - 2.5
    assert check.where == "wires along y"
    assert check.limit == pytest.approx(0.26 * FCTM / 500 * depth * 1000, rel=1e-9)
    assert check.value == pytest.approx(area(5), rel=1e-9)
    assert not check.ok


def test_a_mat_left_out() -> None:
    """No steel against what is needed with d to the cover; nothing is said of its pitch; the other mat stays."""
    for face, other, depth in (("bottom", "top", 100), ("top", "bottom", 100)):
        found = by_name(list(steel_checks(a_design().without(face))))
        check = found[f"least steel, {face}"]
        assert (check.value, check.ok) == (0.0, False)
        assert check.limit == pytest.approx(0.26 * FCTM / 500 * depth * 1000, rel=1e-9)
        assert f"greatest pitch, {face}" not in found
        assert found[f"greatest pitch, {other}"].ok
        assert found[f"least steel, {other}"].ok


@pytest.mark.parametrize(
    ("thickness", "pitch", "limit", "ok"),
    [(0.125, 0.25, 250, True), (0.125, 0.26, 250, False), (0.11, 0.225, 220, False)],
)
def test_greatest_pitch(thickness: float, pitch: float, limit: float, ok: bool) -> None:
    """9.3.1.1(3) at concentrated loads: 2 h, at most 250 mm; of both directions the wider one."""
    mat = replace(square(0.01), name="wide", pitch_y=pitch)
    check = by_name(list(steel_checks(a_design(top=mat, thickness=thickness))))["greatest pitch, top"]
    assert (check.value, check.limit) == (pytest.approx(1e3 * pitch), pytest.approx(limit))
    assert check.ok is ok


def test_greatest_steel() -> None:
    """9.2.1.1(3): both layers together, 4 % of the concrete: 5000 mm²/m at 125 mm. Bars of 20 at 100 and 16 at 100
    along y have 3142 + 2011 = 5152 mm²/m.
    """
    check = by_name(list(steel_checks(a_design())))["greatest steel"]
    assert (check.value, check.limit) == (pytest.approx(area(8) + area(7)), pytest.approx(5000))
    assert check.ok
    heavy = replace(square(0.010), diameter_y=0.020, pitch_y=0.1), replace(square(0.010), diameter_y=0.016, pitch_y=0.1)
    check = by_name(list(steel_checks(a_design(*heavy))))["greatest steel"]
    assert (check.value, check.ok) == (pytest.approx(area(20, 100) + area(16, 100)), False)
    assert check.where == "wires along y, both layers"


@pytest.mark.parametrize(
    ("design", "depth", "steel"),
    [
        (a_design(), 88, area(8)),
        (a_design(square(0.012, 0.1), square(0.012, 0.1)), 125 - 25 - 12 - 6, area(12, 100)),
        (a_design(square(0.012, 0.1), square(0.012, 0.1), thickness=0.3), 300 - 25 - 12 - 6, area(12, 100)),
    ],
    ids=["vmin governs", "steel governs", "d over 200 mm"],
)
def test_shear(effects: Effects, design: Design, depth: float, steel: float) -> None:
    """6.2.2(1): VRd,c = max[0.12 k (100 ρ fck)^⅓, 0.035 k^1.5 fck^½] d, k = 1 + √(200/d) ≤ 2; the least of both faces
    and directions, that of inner wires. Rounding.
    """
    k = min(1 + sqrt(200 / depth), 2.0)
    stress = max(0.18 / 1.5 * k * (100 * steel / (1000 * depth) * 32) ** (1 / 3), 0.035 * k**1.5 * sqrt(32))
    for share in (0.999, 1.001):
        peak = ShearPeak(share * stress * depth * 1e3, (3.0, 0.5), 1)
        check = shear_check(replace(effects, shear=peak), design)
        assert check.limit == pytest.approx(stress * depth, rel=1e-9)
        assert check.value == pytest.approx(share * stress * depth, rel=1e-9)
        assert check.ok is (share < 1)
    assert (check.unit, check.xy, check.combination) == ("kN/m", (3.0, 0.5), CAUSES[1])
    assert check.where == "slab at (3.000, 0.500) m"


@pytest.mark.parametrize("face", ["bottom", "top"])
def test_shear_without_a_mat(effects: Effects, face: str) -> None:
    """No strength is claimed, and why is said."""
    check = shear_check(replace(effects, shear=ShearPeak(1.0, (3.0, 0.5), 0)), a_design().without(face))  # type: ignore[arg-type]
    assert (check.limit, check.ok) == (0.0, False)
    assert NO_STEEL in check.basis


def width_by_hand(moment: float, tension: tuple[float, float, float, float], other: tuple[float, float]) -> float:
    """wk in mm of a moment in N·mm/m; fck 32, h 125, φ 2, kt 0.4. tension: As, d, bar diameter, pitch. other: As, d.

    7.3.4 with αe = 200/Ecm (1 + φ), both mats in the cracked section; the axis from its equilibrium by root finding.
    """
    As, d, bar, pitch = tension
    ratio = 200e3 * 3 / ECM
    cover = 125 - d - bar / 2

    def first_moment(x: float) -> float:
        return 1000 * x**2 / 2 + sum(ratio * a * (x - depth) for a, depth in ((As, d), other))

    x = brentq(first_moment, 0.1, d, xtol=1e-10)
    inertia = 1000 * x**3 / 3 + sum(ratio * a * (depth - x) ** 2 for a, depth in ((As, d), other))
    stress = ratio * moment * (d - x) / inertia
    effective = min(2.5 * (125 - d), (125 - x) / 3, 62.5)
    rho = As / (1000 * effective)
    strain = max(stress - 0.4 * FCTM / rho * (1 + ratio * rho), 0.6 * stress) / 200e3
    wide = pitch > 5 * (cover + bar / 2)
    spacing = 1.3 * (125 - x) if wide else 3.4 * cover + 0.8 * 0.5 * 0.425 * bar / rho
    return spacing * strain


@pytest.mark.parametrize("moment", [0.5e3, 4e3, 9e3])
@pytest.mark.parametrize("pitch", [200, 100])
def test_crack_widths(pitch: float, moment: float) -> None:
    """All four sides with fabric at 200 mm (Eq. 7.14) and bars at 100 mm (Eq. 7.11), by moments that leave the strain
    at its least (0.6 σs/Es) or above. Tolerance: the root.
    """
    design = a_design(square(0.008, pitch / 1e3), square(0.007, pitch / 1e3))
    found = crack_widths(np.full((1, 4), moment), design)[0] * 1e3
    bottom, top = area(8, pitch), area(7, pitch)
    expected = [
        width_by_hand(moment * 1e3, (bottom, 96, 8, pitch), (top, 28.5)),
        width_by_hand(moment * 1e3, (bottom, 88, 8, pitch), (top, 35.5)),
        width_by_hand(moment * 1e3, (top, 96.5, 7, pitch), (bottom, 29)),
        width_by_hand(moment * 1e3, (top, 89.5, 7, pitch), (bottom, 37)),
    ]
    np.testing.assert_allclose(found, expected, rtol=1e-8)
    assert len(set(np.round(expected, 6))) == 4


def test_widest_crack(effects: Effects) -> None:
    """Each face at its widest, strips at corners included, their zones and what lies within the strips not."""
    places = effects.places
    strip = places.at_strips.start
    service = np.zeros((len(places.xy), 4))
    service[-1] = 1e6
    service[0, 0] = 4e3
    service[len(places.mesh.vertices), 3] = 9e3
    service[strip, 2] = 5e3
    found = by_name(list(crack_checks(replace(effects, service=service), a_design())))
    bottom, top = found["crack width, bottom, service"], found["crack width, top, service"]
    assert bottom.value == pytest.approx(width_by_hand(4e6, (area(8), 96, 8, 200), (area(7), 28.5)), rel=1e-8)
    assert top.value == pytest.approx(width_by_hand(9e6, (area(7), 89.5, 7, 200), (area(8), 37)), rel=1e-8)
    assert (top.where, top.xy) == ("jack J1, across y", (1.0, 1.0))
    assert bottom.where == f"{places.name(0)}, across x"
    assert bottom.limit == top.limit == pytest.approx(0.3)
    assert bottom.unit == "mm"
    service[strip, 2] = 20e3
    found = by_name(list(crack_checks(replace(effects, service=service), a_design())))
    top = found["crack width, top, service"]
    assert top.where == "re-entrant corner at (2.000, 2.000) m, across x"
    assert not top.ok


@pytest.mark.parametrize(("face", "side"), [("bottom", 1), ("top", 2)])
def test_cracks_without_a_mat(effects: Effects, face: str, side: int) -> None:
    """Nothing holds a crack together: no moment at all is allowed on that face, and why is said; the other face
    keeps its width.
    """
    other = "top" if face == "bottom" else "bottom"
    service = np.zeros((len(effects.places.xy), 4))
    design = a_design().without(face)  # type: ignore[arg-type]
    found = by_name(list(crack_checks(replace(effects, service=service), design)))
    assert found[f"crack width, {face}, service"].ok
    service[0, side] = 2e3
    found = by_name(list(crack_checks(replace(effects, service=service), design)))
    check = found[f"crack width, {face}, service"]
    assert (check.value, check.limit, check.unit, check.ok) == (2.0, 0.0, "kN·m/m", False)
    assert NO_STEEL in check.basis
    assert found[f"crack width, {other}, service"].unit == "mm"


def test_sag() -> None:
    """Span/250 (7.4.1(4)), elastic sag times 1 + φ: 4 mm and φ 2 make 12 mm; a span of 3 m allows 12 mm."""
    effects = replace(no_effects(), sag=SpanSag(4e-3, 3.0, ("J1", "J2"), (2.5, 1.0)))
    check = sag_check(effects, a_design())
    assert (check.value, check.limit) == (pytest.approx(12.0), pytest.approx(12.0))
    assert (check.where, check.xy) == ("jacks J1 and J2", (2.5, 1.0))
    assert sag_check(replace(effects, sag=replace(effects.sag, sag=3.99e-3)), a_design()).ok
    assert not sag_check(replace(effects, sag=replace(effects.sag, sag=4.01e-3)), a_design()).ok
    creeping = a_design(values=replace(RECOMMENDED, creep_coefficient=1.0))
    assert sag_check(effects, creeping).value == pytest.approx(8.0)


def test_top_mat_is_not_the_bottom_mat() -> None:
    """Turning the slab over turns the resistances over: with the same covers and A252 above, A193 below."""
    one, other = a_design().resistances, a_design(A193, square(0.008)).resistances
    np.testing.assert_allclose(one, other[[2, 3, 0, 1]], rtol=1e-12)
    assert abs(one[0] / one[2] - 1) > 0.05
