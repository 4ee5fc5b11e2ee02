"""Punching at one place line by line, EN 1992-1-1:2004, 6.4, without shear reinforcement."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi, sqrt

import numpy as np

from postprocess.report.model import Working
from postprocess.strength.layers import Face
from postprocess.strength.punching import eccentricity_factor, face_strength
from postprocess.strength.result import PunchingPlace, Strength

CHORDS = 1e-3
"""m: perimeters are drawn with chords, and are shorter than arcs by less than this."""


def punching_workings(strength: Strength, place: PunchingPlace, size: float) -> Iterator[Working]:
    """From depth and steel to the stress on the control perimeter. size: diameter of a housing or side of a foot, m."""
    face: Face = "top" if place.kind == "jack" else "bottom"
    layers, materials, values = strength.layers, strength.materials, strength.materials.values
    depths = [layers.effective_depth(face, direction) * 1e3 for direction in ("x", "y")]
    d = float(np.mean(depths))
    wires = [layers.section(face, direction).tension for direction in ("x", "y")]
    ratios = [each.area / each.depth for each in wires if each]
    if len(ratios) < 2 or not place.perimeter.length:
        return
    rho = min(sqrt(ratios[0] * ratios[1]), 0.02)
    k, fck = min(1 + sqrt(200 / d), 2.0), materials.fck / 1e6
    main = values.crd_c / values.gamma_c * k * (100 * rho * fck) ** (1 / 3)
    least = values.v_min * k**1.5 * sqrt(fck)
    beta, u1 = eccentricity_factor(place.perimeter.position, values), place.perimeter.length * 1e3
    stress = beta * place.force / (u1 * d)
    yield Working(
        "Effective depth", f"d = (dx + dy)/2 = ({depths[0]:.1f} + {depths[1]:.1f})/2", f"{d:.2f} mm", "Eq. 6.32"
    )
    yield Working(
        "Steel ratio",
        f"ρl = √(ρlx ρly) = √({ratios[0]:.5f} × {ratios[1]:.5f})",
        f"{rho:.5f} (at most 0.02)",
        f"6.4.4(1), mat near the {face}",
    )
    yield Working("Size", f"k = 1 + √(200/d) = 1 + √(200/{d:.2f})", f"{k:.3f} (at most 2)", "6.4.4(1)")
    yield Working(
        "Strength",
        f"CRd,c k (100 ρl fck)^⅓ = {values.crd_c:g}/{values.gamma_c:g} × {k:.3f} × (100 × {rho:.5f} × {fck:g})^⅓",
        f"{main:.3f} MPa",
        "Eq. 6.47",
    )
    formula = f"vmin = {values.v_min:g} k^1.5 √fck = {values.v_min:g} × {k:.3f}^1.5 × √{fck:g}"
    yield Working("At least", formula, f"{least:.3f} MPa", "Eq. 6.3N")
    yield Working(
        "Strength that counts", f"vRd,c = max({main:.3f}; {least:.3f})", f"{max(main, least):.3f} MPa", "6.4.4(1)"
    )
    yield _perimeter(place, size * 1e3, d, u1)
    yield Working(
        "Stress on it",
        f"vEd = β VEd/(u1 d) = {beta:g} × {place.force / 1e3:.2f} × 1000/({u1:.0f} × {d:.2f})",
        f"{stress:.3f} MPa, {stress / max(main, least):.2f} of vRd,c",
        f"Eq. 6.38; β of 6.4.3(6), {place.perimeter.position}",
    )
    u0 = place.perimeter.face * 1e3
    yield Working(
        "Stress at the load",
        f"β VEd/(u0 d) = {beta:g} × {place.force / 1e3:.2f} × 1000/({u0:.0f} × {d:.2f})",
        f"{beta * place.force / (u0 * d):.3f} MPa (at most vRd,max = {face_strength(materials) / 1e6:.3f})",
        "Eq. 6.53; 6.4.5(3)",
    )


def _perimeter(place: PunchingPlace, size: float, d: float, u1: float) -> Working:
    """The control perimeter: in closed form where nothing cuts it, else as drawn on the plan. mm."""
    whole = pi * (size + 4 * d) if place.kind == "jack" else 4 * size + 4 * pi * d
    if place.perimeter.position == "interior" and abs(u1 - whole) < CHORDS * whole:
        letters = "π (c + 4d)" if place.kind == "jack" else "4c + 4πd"
        figures = f"π × ({size:g} + 4 × {d:.2f})" if place.kind == "jack" else f"4 × {size:g} + 4π × {d:.2f}"
        return Working("Control perimeter", f"u1 = {letters} = {figures}", f"{u1:.0f} mm", "6.4.2(1)")
    return Working(
        "Control perimeter",
        f"u1 at 2d = 2 × {d:.2f} mm, cut at edges and openings of the plan (uncut it would be {whole:.0f} mm)",
        f"{u1:.0f} mm",
        "6.4.2(2) to (4)",
    )
