"""Re-entrant corners in every state: where cracks start, and the diagonal trimmer bars across them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import cos, pi, sin

import numpy as np
from numpy.typing import NDArray

from postprocess.checks import Check
from postprocess.strength.bending import required_steel
from postprocess.strength.design import Design
from postprocess.strength.effects import Effects
from postprocess.strength.layers import COLUMNS, FACES, Face
from postprocess.strength.result import CornerVerdict
from postprocess.strength.wood_armer import design_moments

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SIDES: tuple[Face, Face] = ("bottom", "top")
"""Faces in the order of the extremes in `Effects.across_design`."""
LEAST_TRIMMERS = 2
"""Bars across a corner near each face where a moment stretches it: common practice, no source."""
SHARES: Floats = np.linspace(0.0, 1.0, 9)
"""Shares of what the trimmers bear that are tried."""
TRIMMER_PITCH = 0.05
"""Bars lie at least this far apart, m: room for the concrete between them (EN 1992-1-1:2004, 8.2) and for laying."""


def resistance_across(design: Design, face: Face, angle: float) -> float:
    """Moment that the fabric bears across a direction at `angle`, rad from x, N·m/m: MRx cos² + MRy sin².

    Johansen's stepped yield line (K. W. Johansen, Yield-line theory, 1943, from memory).
    """
    by_side = dict(zip(FACES, design.resistances, strict=True))
    return float(by_side[face, "x"] * cos(angle) ** 2 + by_side[face, "y"] * sin(angle) ** 2)


def corner_checks(effects: Effects, design: Design) -> Iterator[Check]:
    """In each state the corner that is used most against what the fabric alone bears across it; under the strength
    combinations against fabric and trimmers."""
    corners = effects.places.zones
    if not len(corners.xy):
        return
    fabric = {face: _resistances_across(design, face, corners.across) for face in SIDES}
    for state, moments in effects.across_zone.items():
        limit = np.where(moments > 0, fabric["bottom"], fabric["top"])
        words = f"mean over {corners.widths.max() * 1e3:.0f} mm; fabric alone"
        yield _corner_check(f"re-entrant corner, {state}", effects, moments, limit, words)
    moments = np.concatenate([effects.across_design[:, 0], effects.across_design[:, 1]])
    bars = np.concatenate([_trimmer_resistances(effects, design, face) for face in SIDES])
    limit = np.concatenate([fabric["bottom"], fabric["top"]]) + bars
    words = f"mean over {corners.widths.max() * 1e3:.0f} mm; fabric and trimmers"
    columns = np.concatenate([effects.across_column[:, 0], effects.across_column[:, 1]])
    yield _corner_check("re-entrant corner, combinations", effects, moments, limit, words, columns=columns)
    yield from _bending_checks(effects, design)


def _bending_checks(effects: Effects, design: Design) -> Iterator[Check]:
    """Wood-Armer moments of the zones' mean triples, less what the trimmers take, against MRd of the mats.

    The trimmers bear a moment along their own direction up to their resistance; any share of it that is in
    equilibrium may be taken off the triple (lower bound theorem), so that share counts with which the mats are used
    least, of SHARES.
    """
    corners = effects.places.zones
    turn = np.stack([np.cos(corners.across) ** 2, np.sin(corners.across) ** 2, np.sin(2 * corners.across) / 2], axis=1)
    turn, widths = np.tile(turn, (3, 1)), np.tile(corners.widths, 3)  # zones and side zones
    for face, sign in zip(SIDES, (1.0, -1.0), strict=True):
        bars = np.tile(_trimmer_resistances(effects, design, face), 3)
        taken = SHARES[:, None, None, None] * (bars[:, None] * turn)[None, :, :, None]
        moments = design_moments(np.moveaxis(sign * effects.zone_moments[None] - taken, 2, 3))[..., :2]
        limits = design.resistances[COLUMNS[face]]
        use = np.divide(moments, limits, out=np.where(moments > 0, np.inf, 0.0), where=limits > 0)
        share = use.max(axis=-1).argmin(axis=0)  # (c, k)
        moments = np.take_along_axis(moments, share[None, ..., None], axis=0)[0]
        for i, side in enumerate(("x", "y")):
            at, column = (int(n) for n in np.unravel_index(int(moments[..., i].argmax()), moments.shape[:2]))
            x, y = corners.xy[at % len(corners.xy)]
            yield Check(
                f"bending at corners, {face} {side}",
                float(moments[at, column, i]) / 1e3,
                float(limits[i]) / 1e3,
                "kN·m/m",
                "at most",
                f"EN 1992-1-1, 6.1; Wood-Armer, mean over {widths[at] * 1e3:.0f} mm, less what trimmers bear",
                f"corner at ({x:.3f}, {y:.3f}) m",
                (float(x), float(y)),
                effects.combinations[column],
            )


def _corner_check(
    name: str, effects: Effects, moments: Floats, limit: Floats, words: str, *, columns: Ints | None = None
) -> Check:
    """The worst of moments and limits, (c,) or a multiple of it; columns: their combinations."""
    use = np.divide(np.abs(moments), limit, out=np.where(moments == 0, 0.0, np.inf), where=limit > 0)
    worst = int(use.argmax())
    x, y = effects.places.zones.xy[worst % len(effects.places.zones.xy)]
    return Check(
        name,
        abs(float(moments[worst])) / 1e3,
        float(limit[worst]) / 1e3,
        "kN·m/m",
        "at most",
        f"EN 1992-1-1, 6.1, {words}",
        f"corner at ({x:.3f}, {y:.3f}) m, {'bottom' if moments[worst] > 0 else 'top'}",
        (float(x), float(y)),
        "" if columns is None else effects.combinations[columns[worst]],
    )


def _resistances_across(design: Design, face: Face, angles: Floats) -> Floats:
    return np.array([resistance_across(design, face, angle) for angle in angles])


def corner_verdicts(effects: Effects, design: Design, cracking: Mapping[str, float]) -> tuple[CornerVerdict, ...]:
    """Every re-entrant corner. cracking: load state -> moment at which the slab may crack then, N·m/m."""
    corners = effects.places.corners
    bars = {face: _trimmers(effects, design, face) for face in SIDES}
    return tuple(
        CornerVerdict(
            xy=(float(corners.xy[i, 0]), float(corners.xy[i, 1])),
            across=float(corners.across[i]),
            strip=float(corners.widths[i]),
            zone=float(effects.places.zones.widths[i]),
            moments={state: float(found[i]) for state, found in effects.across.items()},
            cracking_use={state: float(found[i]) / cracking[state] for state, found in effects.corner_cracking.items()},
            design_sagging=float(effects.across_design[i, 0]),
            design_hogging=float(effects.across_design[i, 1]),
            trimmers={face: int(bars[face][i]) for face in SIDES},
        )
        for i in range(len(corners.xy))
    )


def _trimmers(effects: Effects, design: Design, face: Face) -> Ints:
    """(c,) bars near `face` of each corner that bear the whole moment of its zone by themselves, at least
    LEAST_TRIMMERS where there is one, and no more than have room."""
    widths = effects.places.zones.widths
    depth = design.trimmer_depth(face)
    room = np.floor(widths / TRIMMER_PITCH + 1e-9).astype(np.int64) + 1
    if depth <= 0:
        return np.zeros_like(room)
    moment = np.abs(effects.across_design[:, SIDES.index(face)])
    bar = pi / 4 * design.trimmer_diameter**2
    needed = np.ceil(required_steel(moment, depth, design.materials) * widths / bar - 1e-9)
    return np.where(moment == 0, 0, np.clip(needed, LEAST_TRIMMERS, room)).astype(np.int64)


def _trimmer_resistances(effects: Effects, design: Design, face: Face) -> Floats:
    """(c,) what the trimmers near `face` add to the mats, spread over the zone, N·m/m; 0 where the mat is left out.

    The stress block of both together is a = af + at deep, so bars with the force F at depth d add
    F (d − (af + at)/2) and take Ff at/2 = F af/2 from the mats: F (d − af − at/2) in all.
    """
    corners = effects.places.zones
    fabric = design.layers.fabric(face)
    if fabric is None:
        return np.zeros(len(corners.xy))
    materials = design.materials
    along = fabric.area("x") * np.cos(corners.across) ** 2 + fabric.area("y") * np.sin(corners.across) ** 2
    bars = pi / 4 * design.trimmer_diameter**2 * _trimmers(effects, design, face) / corners.widths
    mats, trimmers = (area * materials.fyd / materials.block_strength for area in (along, bars))
    lever = np.maximum(design.trimmer_depth(face) - mats - trimmers / 2, 0.0)
    return np.asarray(bars * materials.fyd * lever)
