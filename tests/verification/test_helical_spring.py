"""Springs of round wire against a handbook example, arithmetic by hand, a helix of wire and a column."""

from __future__ import annotations

from collections.abc import Callable
from math import isinf, pi

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.linalg import expm
from scipy.optimize import brentq

from fem.helical_spring import (
    ELASTIC_MODULUS,
    SEATINGS,
    SHEAR_MODULUS,
    Coil,
    buckling_share,
    correction_factor,
    lateral_rate,
    rate,
    shear_stress,
)
from preprocess.case import Spring
from preprocess.coil_figures import coil_figures

Floats = NDArray[np.float64]

INCH, POUND_FORCE = 0.0254, 4.4482216152605
"""m and N, exact: international yard and pound, 1959, with standard gravity."""
PSI = POUND_FORCE / INCH**2


def test_shigley_example_10_1() -> None:
    """Shigley's Mechanical Engineering Design, 10th ed., example 10-1: d 0.037 in, D 0.400 in, 10.5 turns, G 11.85 Mpsi
    give 4.13 lbf/in, K_B 1.124 and 146 kpsi at 6.46 lbf. K_B = (4C + 2)/(4C − 3) is the k of EN 13906-1. Each published
    value to half of its last digit."""
    d, D = 0.037 * INCH, 0.400 * INCH
    assert rate(d, D, 10.5, 11.85e6 * PSI) / (POUND_FORCE / INCH) == pytest.approx(4.13, abs=0.005)
    k = correction_factor(D / d)
    assert k == pytest.approx(1.124, abs=0.0005)
    assert k * shear_stress(6.46 * POUND_FORCE, d, D) / (1000 * PSI) == pytest.approx(146, abs=0.5)


def test_formulas_by_hand() -> None:
    """EN 13906-1:2013 with round numbers: d 10, D 60 mm, n 5, G 80 GPa, L0 150 mm, F 3 kN, rounding only.
    R = 80 000 · 10⁴/(8 · 216 000 · 5) = 8·10⁸/8.64·10⁶ = 92.5926 N/mm; τ = 8 · 3000 · 60/(π · 1000) = 1440/π MPa;
    k = 6.5/5.25; solid length (5 + 2) · 10 = 70 mm, so 80 mm to solid."""
    coil = Coil(0.010, 0.060, 5, 7, 0.150, 80e9, 206e9, "sliding", None)
    assert coil.rate == pytest.approx(8e8 / 8.64e6 * 1000, rel=1e-12)
    assert coil.shear_stress(3000) == pytest.approx(1440e6 / pi, rel=1e-12)
    assert coil.correction_factor == pytest.approx(6.5 / 5.25, rel=1e-12)
    assert coil.solid_length == pytest.approx(0.070, rel=1e-12)
    assert coil.solid_deflection == pytest.approx(0.080, rel=1e-12)
    assert (coil.inside_diameter, coil.outside_diameter) == pytest.approx((0.050, 0.070), rel=1e-12)


def test_arrays() -> None:
    """Arrays give what their members give, one by one."""
    d, D, n = np.array([0.008, 0.012]), np.array([0.06, 0.07]), np.array([4.0, 6.5])
    expected = [rate(*one, 79.5e9) for one in zip(d.tolist(), D.tolist(), n.tolist(), strict=True)]
    np.testing.assert_allclose(rate(d, D, n, np.full(2, 79.5e9)), expected, rtol=1e-14)
    lengths = np.array([0.1, 0.5])
    shares = buckling_share(lengths, D, np.ones(2), np.full(2, 0.386))
    assert isinf(shares[0])
    assert shares[1] == buckling_share(0.5, 0.07, 1.0, 0.386)


def test_natural_frequency_at_an_inch() -> None:
    """15.76/√δ with δ in mm (common handbook form of √(g/δ)/2π): 25.4 mm → 3.127 Hz, to half of the last digit."""
    coil = Coil(0.010, 0.060, 5, 7, 0.150, 80e9, 206e9, "sliding", None)
    figures = coil_figures(Spring("P", coil.rate, 0.0254 * coil.rate, coil.solid_deflection, ("P",), coil))
    assert figures["deflection_mm"] == pytest.approx(25.4, rel=1e-12)
    assert figures["natural_frequency_hz"] == pytest.approx(3.127, abs=0.0005)


def test_modulus_of_spring_steel() -> None:
    """G/E = 0.386, the value for which the limit of stability is quoted: to half of its last digit."""
    ratio = SHEAR_MODULUS / ELASTIC_MODULUS
    assert ratio == pytest.approx(0.386, abs=0.0005)


@pytest.mark.parametrize("seating", SEATINGS)
def test_stability_limit(seating: str) -> None:
    """EN 13906-1: no buckling for L0/D < 2.62/ν with G/E 0.386. The limit is given to 0.005, so 2.61 must stand and
    2.63 must give way: both lie beyond the rounding."""
    D, coefficient = 0.07, SEATINGS[seating]
    steady, unsteady = 2.61 * D / coefficient, 2.63 * D / coefficient
    assert isinf(float(buckling_share(steady, D, coefficient, 0.386)))
    assert 0.5 < float(buckling_share(unsteady, D, coefficient, 0.386)) < 1
    coil = Coil(0.01, D, 5, 7, unsteady, 0.386 * 206e9, 206e9, seating, None)
    assert coil.buckling_deflection == pytest.approx(
        unsteady * float(buckling_share(unsteady, D, coefficient, 0.386)), rel=1e-12
    )


def column_transfer(force: float, bending: float, shear: float, length: float) -> Floats:
    """(4, 4) from (sideways movement, rotation, moment, sideways force) at the foot to those at the top of a column
    under `force`, whose shear force P θ + Q lies in the section turned by θ (Haringx): y′ = θ + (Pθ + Q)/S, Bθ′ = M,
    M′ = −P y′ − Q."""
    P, B, S = force, bending, shear
    slope = np.array([0, 1 + P / S, 0, 1 / S])
    field = np.array([slope, [0, 0, 1 / B, 0], -P * slope - [0, 0, 0, 1], np.zeros(4)])
    return np.asarray(expm(field * length))


FREE_AT_FOOT = {"clamped": (2, 3), "clamped-pivoted": (2, 3), "pivoted": (1, 3), "sliding": (2, 3), "free": (2, 3)}
NIL_AT_TOP = {"clamped": (0, 1), "clamped-pivoted": (0, 2), "pivoted": (0, 2), "sliding": (1, 3), "free": (2, 3)}
"""Of movement, rotation, moment and force: which are unknown at the foot and which vanish at the top."""


def column_share(seating: str, slenderness: float, ratio: float) -> float:
    """Least s/L0 at which a column gives way whose stiffness in bending and shear shrinks with its length.

    In units of L0 and R L0: bending of a helix for each length D²/(2 + 4G/E), shear E/G, force s.
    """
    rows, columns = NIL_AT_TOP[seating], FREE_AT_FOOT[seating]

    def determinant(share: float) -> float:
        left = 1 - share
        bending, shear = left / slenderness**2 / (2 + 4 * ratio), left / ratio
        return float(np.linalg.det(column_transfer(share, bending, shear, left)[np.ix_(rows, columns)]))

    shares = np.linspace(0.002, 0.7, 350)
    signs = np.sign([determinant(share) for share in shares])
    first = int(np.flatnonzero(signs[1:] != signs[:-1])[0])
    return float(brentq(determinant, shares[first], shares[first + 1], xtol=1e-12))


@pytest.mark.parametrize(
    ("seating", "tolerance"),
    [("clamped", 1e-8), ("pivoted", 1e-8), ("sliding", 1e-8), ("free", 1e-8), ("clamped-pivoted", 0.02)],
)
@pytest.mark.parametrize("slenderness", [6.0, 9.0])
def test_buckling_of_a_column(seating: str, tolerance: float, slenderness: float) -> None:
    """The field equations of a Haringx column, integrated exactly: root-finding limits the tolerance. For one clamped
    and one pivoted end ν is the 0.7 of a column without shear, from memory, so 2 %."""
    expected = column_share(seating, slenderness, 0.386)
    actual = float(buckling_share(slenderness, 1.0, SEATINGS[seating], 0.386))
    assert actual == pytest.approx(expected, rel=tolerance)


def helix_stiffness(wire: float, diameter: float, turns: int, length: float, shear: float, elastic: float) -> Floats:
    """(6, 6) forces and moments on the axis at the top of a helix of wire whose foot is held, for unit movements.

    Unit-load integrals of torsion and bending of the wire along the helix (Castigliano), 400 steps a turn.
    """
    steps = 400 * turns
    phi = np.linspace(0, 2 * pi * turns, steps + 1)
    pitch = length / (2 * pi * turns)
    radius = diameter / 2
    place = np.column_stack([radius * np.cos(phi), radius * np.sin(phi), pitch * phi])
    tangent = np.column_stack([-radius * np.sin(phi), radius * np.cos(phi), np.full(len(phi), pitch)])
    speed = float(np.hypot(radius, pitch))
    tangent /= speed
    arm = np.array([0, 0, length]) - place
    of_force, of_moment = np.cross(arm[:, None, :], np.eye(3)), np.broadcast_to(np.eye(3), (len(phi), 3, 3))
    moment = np.concatenate([of_force, of_moment], axis=1)
    twist = np.einsum("pij,pj->pi", moment, tangent)
    second = pi * wire**4 / 64
    work = np.einsum("pi,pj->pij", twist, twist) * (1 / (2 * shear * second) - 1 / (elastic * second))
    work += np.einsum("pik,pjk->pij", moment, moment) / (elastic * second)
    return np.linalg.inv(np.trapezoid(work, dx=speed * 2 * pi * turns / steps, axis=0))


@pytest.mark.parametrize("slenderness", [0.5, 1.0, 2.0])
def test_rates_of_a_helix_of_wire(slenderness: float) -> None:
    """Axial and lateral rate of wire in torsion and bending, without any theory of springs, seats parallel.

    The formulas are for a pitch that is small against the coil, and leave out the wire's tension and transverse shear,
    as does this helix. With 40 turns the pitch is at most D/20, its angle 0.016: its square and the share of one turn,
    1/40 of 1/40, stay below 0.1 %.
    """
    d, D, turns, G, E = 0.002, 0.08, 40, 79.5e9, 206e9
    length = slenderness * D
    stiffness = helix_stiffness(d, D, turns, length, G, E)
    expected = rate(d, D, float(turns), G)
    assert stiffness[2, 2] == pytest.approx(expected, rel=1e-3)
    sideways = 0.5 * (stiffness[0, 0] + stiffness[1, 1])
    assert lateral_rate(expected, length, D, G / E) == pytest.approx(sideways, rel=1e-3)


@pytest.mark.parametrize(
    ("slenderness", "limit"),
    [(1e-4, lambda L: 206 / 79.5), (1e3, lambda L: 6 / ((1 + 2 * 79.5 / 206) * L**2))],
)
def test_lateral_rate_of_short_and_long_springs(slenderness: float, limit: Callable[[float], float]) -> None:
    """R_Q/R is E/G of a spring that only shears and 6/((1 + 2G/E)(L/D)²) of one that only bends; what is neglected is
    below 10⁻⁵ of either."""
    assert lateral_rate(1.0, slenderness, 1.0, 79.5 / 206) == pytest.approx(limit(slenderness), rel=1e-5)
