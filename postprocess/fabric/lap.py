"""How far sheets of fabric lap: EN 1992-1-1:2004, 8.4 and 8.7, all wires lapped in one place and fully stressed.

Table 8.4, with shorter laps, is for secondary steel alone (8.7.5.2): in a lifted slab both directions are main ones.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, log
from typing import Final

from postprocess.strength.materials import MPA, Materials

ALL_LAPPED: Final = 1.5
"""α6 where more than half of the wires lap in one section (8.7.3, Table 8.3)."""
GOOD_BOND_UP_TO: Final = 0.250
"""Thickness, m, up to which all steel has good bond (8.4.2(2), Figure 8.2)."""
POOR_BOND: Final = 0.7
"""η1 elsewhere (8.4.2(2))."""
GREATEST_FCTK: Final = 0.7 * 2.12 * log(1 + 68 / 10) * MPA
"""fctk,0.05 of C60/75, Pa (Table 3.1), the most that counts for bond (8.4.2(2))."""
LAYERED_ALL: Final = 1200e-6
"""Steel, m²/m, up to which all wires may lap in one place where sheets lie on each other (8.7.5.1(6))."""
STEP: Final = 0.025
"""Laps are rounded up to this, m."""


@dataclass(frozen=True)
class Lap:
    """A lap of wires. anchorage: lb,rqd. design: l0. length: l0 rounded up to `STEP`. All in m."""

    anchorage: float
    design: float
    length: float


@dataclass(frozen=True)
class Laps:
    """Of one layer, of wires along x and along y, m. lengths: as laid. least: what the standard asks for.

    basis: where the lengths are from, in words. remarks: what has to be told.
    """

    lengths: tuple[float, float]
    least: tuple[float, float]
    basis: str
    remarks: tuple[str, ...]


def good_bond(face: str, thickness: float) -> bool:
    """Whether the steel near `face` of a slab of `thickness` m has good bond (8.4.2(2))."""
    return face == "bottom" or thickness <= GOOD_BOND_UP_TO


def bond_strength(fctk_005: float, gamma_c: float, *, good: bool) -> float:
    """fbd, Pa, of ribbed wires up to 32 mm: 2.25 η1 η2 fctd with η2 = 1 (Eq. 8.2), fctd = fctk,0.05/γc (Eq. 3.16)."""
    return 2.25 * (1.0 if good else POOR_BOND) * min(fctk_005, GREATEST_FCTK) / gamma_c


def design_lap(diameter: float, bond: float, stress: float) -> Lap:
    """The lap of wires of `diameter`, m, at a bond strength and a steel stress in Pa.

    lb,rqd = φ/4 σsd/fbd (Eq. 8.3); l0 = α6 lb,rqd, the other α being 1 (Eq. 8.10), at least 15 φ and 200 mm (Eq. 8.11,
    whose 0.3 α6 lb,rqd is always less than l0 then).
    """
    anchorage = diameter / 4 * stress / bond
    design = max(ALL_LAPPED * anchorage, 15 * diameter, 0.200)
    return Lap(anchorage, design, ceil(design / STEP - 1e-9) * STEP)


def layer_laps(
    face: str,
    diameters: tuple[float, float],
    areas: tuple[float, float],
    materials: Materials,
    fctk_005: float,
    *,
    thickness: float,
    given: float | None,
) -> Laps:
    """The laps of the layer near `face`, of wires along x and along y. diameters: m. areas: m²/m.

    fctk_005: of the concrete at 28 days, Pa. given: the lap that the case wants, m, None for the computed one.
    """
    good = good_bond(face, thickness)
    bond = bond_strength(fctk_005, materials.values.gamma_c, good=good)
    along_x, along_y = (design_lap(diameter, bond, materials.fyd) for diameter in diameters)
    least = along_x.design, along_y.design
    lengths = (along_x.length, along_y.length) if given is None else (given, given)
    standard = (
        f"EN 1992-1-1:2004, 8.7.3 and 8.7.5.1: l0 = α6 φ/4 σsd/fbd = {_both(least)} with α6 = {ALL_LAPPED:g} (all "
        f"wires lapped in one place), φ {_both(diameters)}, σsd = fyd = {materials.fyd / MPA:.0f} MPa, fbd = "
        f"{bond / MPA:.2f} MPa ({'good' if good else 'poor'} bond, 28 days), at least 15 φ and 200 mm; Table 8.4 does "
        "not apply, both directions being main ones"
    )
    said = f"{standard}; rounded up to {STEP * 1e3:g} mm" if given is None else f"lap_mm of the case; {standard}"
    return Laps(lengths, least, said, tuple(_remarks(face, lengths, least, areas)))


def _remarks(
    face: str, lengths: tuple[float, float], least: tuple[float, float], areas: tuple[float, float]
) -> Iterator[str]:
    for axis, length, needed, area in zip("xy", lengths, least, areas, strict=True):
        if length < needed - 1e-9:
            yield (
                f"{face} layer: the lap along {axis} that the case gives, {length * 1e3:g} mm, is less than the "
                f"{needed * 1e3:.0f} mm of EN 1992-1-1, 8.7.3, for wires that are fully stressed"
            )
        if area > LAYERED_ALL:
            yield (
                f"{face} layer: {area * 1e6:.0f} mm²/m along {axis}; above {LAYERED_ALL * 1e6:.0f} mm²/m only 60 % may "
                "lap in one place where sheets lie on each other (EN 1992-1-1, 8.7.5.1(6)): lay single bars, staggered"
            )


def _both(lengths: tuple[float, float]) -> str:
    """The lengths along x and along y in mm, once where they are alike."""
    x, y = (f"{length * 1e3:.4g}" for length in lengths)
    return f"{x} mm" if x == y else f"{x} mm along x and {y} mm along y"
