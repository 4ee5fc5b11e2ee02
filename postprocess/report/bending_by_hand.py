"""Bending resistance as it is found by hand: one equation for the neutral axis, then moments about the block.

EN 1992-1-1:2004, 6.1 with the rectangular block of 3.1.7(3) and steel elastic and then plastic, 3.2.7(2). Apart from
`postprocess.strength.bending`, which halves an interval: each mat is assumed to yield or not, and to lie within the
block or not, and the assumption that proves true is kept.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from math import sqrt
from typing import Final

from postprocess.report.model import Working
from postprocess.strength.layers import FACES, Face, Layers, Section, Wires
from postprocess.strength.materials import STEEL_MODULUS, Materials

CLOSE: Final = 1e-9
"""Share by which an assumption may be missed by rounding."""
MEANT: Final = {-1: "yields in tension", 0: "does not yield", 1: "yields in compression"}


@dataclass(frozen=True)
class HandMat:
    """One mat in a section. force: tension positive, N/m. yields: -1 in tension, 1 in compression, 0 not."""

    wires: Wires
    force: float
    yields: int


@dataclass(frozen=True)
class HandResistance:
    """A section at its resistance, a metre wide. axis: x, m. block: λx, m. pressure: of the block, N/m.

    mats: that in tension, then the other where there is one. moment: MRd, N·m/m.
    """

    axis: float
    block: float
    pressure: float
    mats: tuple[HandMat, ...]
    moment: float


def resistance_by_hand(section: Section, materials: Materials) -> HandResistance | None:
    """MRd of a section with one mat or two; None without steel near the face in tension."""
    if section.tension is None:
        return None
    wires = [each for each in (section.tension, section.other) if each]
    for yields in product((-1, 0, 1), repeat=len(wires)):
        for within in product((False, True), repeat=len(wires)):
            found = _tried(wires, materials, yields, within)
            if found is not None:
                return found
    raise ValueError("no neutral axis fits the section: its steel exceeds what the concrete can balance")


def _tried(
    wires: list[Wires], materials: Materials, yields: tuple[int, ...], within: tuple[bool, ...]
) -> HandResistance | None:
    """The section under one set of assumptions; None where they prove wrong.

    η fcd λ x + Σ As (σs − η fcd where the block lies) = 0 with σs = ±fyd or Es εcu3 (x − d)/x: a quadratic in x.
    """
    f, lam, strain, fyd = materials.block_strength, materials.block_depth, materials.ultimate_strain, materials.fyd
    linear = constant = 0.0
    for mat, state, inside in zip(wires, yields, within, strict=True):
        linear += mat.area * (state * fyd if state else STEEL_MODULUS * strain) - (mat.area * f if inside else 0.0)
        constant -= 0.0 if state else mat.area * STEEL_MODULUS * strain * mat.depth
    square = linear**2 - 4 * f * lam * constant
    if square < 0:
        return None
    x = (-linear + sqrt(square)) / (2 * f * lam)
    if x <= 0:
        return None
    mats = []
    for mat, state, inside in zip(wires, yields, within, strict=True):
        elastic = STEEL_MODULUS * strain * (x - mat.depth) / x
        fits = state * elastic >= fyd * (1 - CLOSE) if state else abs(elastic) <= fyd * (1 + CLOSE)
        if not fits or inside != (mat.depth < lam * x):
            return None
        stress = (state * fyd if state else elastic) - (f if inside else 0.0)
        mats.append(HandMat(mat, -mat.area * stress, state))
    moment = sum(each.force * (each.wires.depth - lam * x / 2) for each in mats)
    return HandResistance(x, lam * x, f * lam * x, tuple(mats), moment)


def resistance_workings(layers: Layers, materials: Materials) -> Iterator[Working]:
    """MRd for each face and direction, line by line."""
    yield Working(
        "Concrete in compression",
        f"η fcd = αcc fck/γc = {materials.values.alpha_cc:g} × {materials.fck / 1e6:g}/{materials.values.gamma_c:g}",
        f"{materials.block_strength / 1e6:.2f} MPa",
        "EN 1992-1-1, Eq. 3.15, 3.19 and 3.21",
    )
    yield Working(
        "Steel",
        f"fyd = fyk/γs = {materials.fyk / 1e6:g}/{materials.values.gamma_s:g}",
        f"{materials.fyd / 1e6:.2f} MPa",
        "EN 1992-1-1, 3.2.7(2)",
    )
    for face, direction in FACES:
        section = layers.section(face, direction)
        found = resistance_by_hand(section, materials)
        if found is not None:
            yield from _side(f"{face} {direction}", face, section, found)


def _side(name: str, face: Face, section: Section, found: HandResistance) -> Iterator[Working]:
    """The lines of one face and direction."""
    main = found.mats[0]
    wires, h = main.wires, section.thickness * 1e3
    d, block = wires.depth * 1e3, found.block * 1e3
    yield Working(
        f"{name}: steel",
        f"As = π φ²/4 / s = π × {wires.diameter * 1e3:g}²/4 / {wires.pitch:g}",
        f"{wires.area * 1e6:.1f} mm²/m",
        "",
    )
    yield Working(
        f"{name}: effective depth",
        f"d = h − c − φ/2 = {h:g} − {wires.cover * 1e3:g} − {wires.diameter * 1e3:g}/2",
        f"{d:.1f} mm",
        f"cover of these wires, from the {face} face",
    )
    others = "".join(
        f"; mat near the other face: T′ = {other.force / 1e3:.2f} kN/m at d′ = {other.wires.depth * 1e3:.1f} mm, "
        f"{MEANT[other.yields]}"
        for other in found.mats[1:]
    )
    tensions = " + ".join(f"{each.force / 1e3:.2f}" for each in found.mats)
    yield Working(
        f"{name}: block",
        f"λx = ΣT/(η fcd) = ({tensions})/{found.pressure / found.block / 1e6:.3f}",
        f"{block:.2f} mm, x = {found.axis * 1e3:.2f} mm",
        f"EN 1992-1-1, 3.1.7(3); the mat in tension {MEANT[main.yields]}{others}",
    )
    yield Working(f"{name}: lever arm", f"z = d − λx/2 = {d:.1f} − {block:.2f}/2", f"{d - block / 2:.2f} mm", "")
    arms = " + ".join(f"{each.force / 1e3:.2f} × {each.wires.depth - found.block / 2:.5f}" for each in found.mats)
    letters = "T z" if len(found.mats) == 1 else "T z + T′ (d′ − λx/2)"
    yield Working(
        f"{name}: resistance",
        f"MRd = {letters} = {arms}",
        f"{found.moment / 1e3:.2f} kN·m/m",
        "EN 1992-1-1, 6.1",
    )
