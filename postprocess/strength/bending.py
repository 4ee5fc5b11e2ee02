"""Resistance of a section to bending without axial force, after EN 1992-1-1:2004, 6.1, with the rectangular block.

Plane sections, no tension in concrete (6.1(2)P), steel elastic and then perfectly plastic (3.2.7(2)). All arguments
broadcast against each other; areas in m²/m, depths in m from the compressed face.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from postprocess.strength.layers import Section
from postprocess.strength.materials import STEEL_MODULUS, Materials

Floats = NDArray[np.float64]

HALVINGS: Final = 60
"""Bisections of the neutral axis: the thickness over 2⁶⁰ is below rounding."""


def single_resistance(area: Floats | float, depth: Floats | float, materials: Materials) -> Floats:
    """MRd of sections with steel in tension only, N·m/m."""
    strength, block = materials.block_strength, materials.block_depth
    As, d = np.broadcast_arrays(np.asarray(area, dtype=float), np.asarray(depth, dtype=float))
    x = As * materials.fyd / (strength * block)
    # steel that does not yield: η fcd λ x = As Es εcu3 (d − x)/x
    p = As * STEEL_MODULUS * materials.ultimate_strain / (strength * block)
    elastic = (np.sqrt(p**2 + 4 * p * d) - p) / 2
    x = np.where(x <= yielding_axis(d, materials), x, elastic)
    return np.asarray(strength * block * x * (d - block * x / 2))


def yielding_axis(depth: Floats | float, materials: Materials) -> Floats:
    """Greatest depth of the neutral axis, m, at which steel at `depth` yields as the concrete reaches εcu3."""
    strain = materials.ultimate_strain
    return np.asarray(np.asarray(depth) * strain / (strain + materials.yield_strain))


def layered_resistance(thickness: Floats | float, areas: Floats, depths: Floats, materials: Materials) -> Floats:
    """(...,) MRd of sections with several layers of steel, areas and depths (..., layers), N·m/m.

    The axis is found by bisection: the resultant of the section's stresses grows with its depth.
    """
    h = np.asarray(thickness, dtype=float)
    shape = np.broadcast_shapes(h.shape, areas.shape[:-1], depths.shape[:-1])
    low, high = np.zeros(shape), np.broadcast_to(h, shape).copy()
    for _ in range(HALVINGS):
        x = (low + high) / 2
        block, steel = _forces(x, areas, depths, materials)
        pressed = block + steel.sum(axis=-1) > 0
        low, high = np.where(pressed, low, x), np.where(pressed, x, high)
    block, steel = _forces(high, areas, depths, materials)
    arm = materials.block_depth * high / 2
    return np.asarray(-block * arm - (steel * depths).sum(axis=-1))


def _forces(x: Floats, areas: Floats, depths: Floats, materials: Materials) -> tuple[Floats, Floats]:
    """Compression (...,) of the block and of the layers (..., layers) at axis x, N/m; tension negative."""
    block = materials.block_depth * x
    strain = materials.ultimate_strain * (x[..., None] - depths) / x[..., None]
    stress = np.clip(STEEL_MODULUS * strain, -materials.fyd, materials.fyd)
    displaced = np.where(depths < block[..., None], materials.block_strength, 0.0)
    return materials.block_strength * block, areas * (stress - displaced)


def section_resistance(section: Section, materials: Materials) -> float:
    """MRd of one section with the mats that it has, N·m/m; 0 without any."""
    mats = [wires for wires in (section.tension, section.other) if wires]
    if not mats:
        return 0.0
    areas, depths = np.array([mat.area for mat in mats]), np.array([mat.depth for mat in mats])
    return float(layered_resistance(section.thickness, areas, depths, materials))


def required_steel(moment: Floats | float, depth: Floats | float, materials: Materials) -> Floats:
    """Steel in tension for a moment ≥ 0 (N·m/m), m²/m; inf where it would not yield or the block does not suffice."""
    M, d = np.broadcast_arrays(np.asarray(moment, dtype=float), np.asarray(depth, dtype=float))
    inside = np.maximum(d**2 - 2 * M / materials.block_strength, 0.0)
    block = d - np.sqrt(inside)  # from M = η fcd a (d − a/2); d where there is no such block, which never fits
    fits = block <= materials.block_depth * yielding_axis(d, materials)
    return np.asarray(np.where(fits, materials.block_strength * block / materials.fyd, np.inf))
