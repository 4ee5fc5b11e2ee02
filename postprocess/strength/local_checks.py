"""Checks where forces enter: punching at jacks (upward) and feet (downward), bearing below both."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from math import pi

import numpy as np
import shapely
from numpy.typing import NDArray

from postprocess.checks import Check
from postprocess.strength.bearing import bearing_strength
from postprocess.strength.design import Design
from postprocess.strength.effects import Effects
from postprocess.strength.layers import Face
from postprocess.strength.perimeter import Perimeter, control_perimeters
from postprocess.strength.places import Spots
from postprocess.strength.punching import punching, steel_ratio
from postprocess.strength.result import PunchingPlace

Floats = NDArray[np.float64]

TENSION_FACE: dict[str, Face] = {"jack": "top", "foot": "bottom"}
"""The face that is in tension over a jack and under a foot."""
NAMES = {"jack": "jacks", "foot": "feet"}


@dataclass(frozen=True, eq=False)
class Perimeters:
    """Control perimeters of all spots, each depth drawn once: many pairs of mats share a depth."""

    effects: Effects
    _drawn: dict[tuple[str, float], tuple[Perimeter, ...]] = field(default_factory=dict, init=False)

    def at(self, kind: str, depth: float) -> tuple[Perimeter, ...]:
        """Of all jacks or all feet at effective depth `depth`, m."""
        key = kind, round(depth, 6)
        if key not in self._drawn:
            spots = self.effects.places.spots
            those = of_kind(spots, kind)
            self._drawn[key] = control_perimeters(
                self.effects.plan, spots.xy[those], spots.size[those], "disc" if kind == "jack" else "square", depth
            )
        return self._drawn[key]


def of_kind(spots: Spots, kind: str) -> slice:
    """The jacks or the feet among the spots."""
    return slice(0, spots.jacks) if kind == "jack" else slice(spots.jacks, len(spots.names))


def punching_places(
    effects: Effects, design: Design, perimeters: Perimeters, kind: str, forces: Floats | None = None
) -> tuple[PunchingPlace, ...]:
    """Every jack or foot; empty if there is none. forces: upward at jacks, N; default: those of the combinations.

    Raises ValueError where the mat near the face in tension is left out.
    """
    spots, face = effects.places.spots, TENSION_FACE[kind]
    those = of_kind(spots, kind)
    force = effects.spots.force[those] if forces is None else np.maximum(forces, 0.0)
    fabric = design.layers.fabric(face)
    if fabric is None:
        raise ValueError(f"punching: no mat near the {face}")
    depth = design.mean_depth(face)
    ratios = [fabric.area(side) / design.layers.effective_depth(face, side) for side in ("x", "y")]
    drawn = perimeters.at(kind, depth)
    found = punching(force, drawn, depth, steel_ratio(ratios[0], ratios[1]), design.materials)
    return tuple(
        PunchingPlace(
            spots.names[spot],
            spots.kind(spot),
            (float(spots.xy[spot, 0]), float(spots.xy[spot, 1])),
            float(force[i]),
            drawn[i],
            float(found.stress[i]),
            found.strength,
            float(found.face_stress[i]),
            found.face_limit,
        )
        for i, spot in enumerate(range(len(spots.names))[those])
    )


def punching_checks(effects: Effects, design: Design, perimeters: Perimeters) -> Iterator[Check]:
    """The worst jack and the worst foot, on the control perimeter and around the loaded area."""
    for kind, words in NAMES.items():
        those = of_kind(effects.places.spots, kind)
        numbers = range(len(effects.places.spots.names))[those]
        if not numbers:
            continue
        name = f"punching at {words}"
        if design.layers.fabric(TENSION_FACE[kind]) is None:
            force = float(effects.spots.force[those].max()) / 1e3
            basis = "EN 1992-1-1, 6.4: no steel near the face in tension"
            yield Check(f"{name}, perimeter", force, 0.0, "kN", "at most", basis)
            continue
        places = punching_places(effects, design, perimeters, kind)
        causes = [effects.combinations[effects.spots.column[spot]] for spot in numbers]
        at = max(range(len(places)), key=lambda i: places[i].stress)
        yield perimeter_check(f"{name}, perimeter", places[at], "EN 1992-1-1, 6.4.4", causes[at])
        at = max(range(len(places)), key=lambda i: places[i].face_stress)
        place = places[at]
        yield Check(
            f"{name}, at the load",
            place.face_stress / 1e6,
            place.face_limit / 1e6,
            "MPa",
            "at most",
            "EN 1992-1-1, 6.4.5(3)",
            f"{place.name}, {place.perimeter.position}",
            place.xy,
            causes[at],
        )


def perimeter_check(name: str, place: PunchingPlace, basis: str, combination: str) -> Check:
    """vEd on the control perimeter against vRd,c; as forces, none allowed, where openings leave no perimeter."""
    left = np.isfinite(place.stress)
    return Check(
        name,
        place.stress / 1e6 if left else place.force / 1e3,
        place.strength / 1e6 if left else 0.0,
        "MPa" if left else "kN",
        "at most",
        basis if left else f"{basis}: openings leave no perimeter",
        f"{place.name}, {place.perimeter.position}",
        place.xy,
        combination,
    )


def bearing_checks(effects: Effects, design: Design) -> Iterator[Check]:
    """Mean pressure of the worst housing and the worst foot on the concrete."""
    spots = effects.places.spots
    boundary = effects.plan.boundary
    for kind, words in NAMES.items():
        those = of_kind(spots, kind)
        numbers = range(len(spots.names))[those]
        if not numbers:
            continue
        size = spots.size[those]
        area = pi / 4 * size**2 if kind == "jack" else size**2
        pressure = effects.spots.force[those] / area
        edge = np.asarray(shapely.distance(shapely.points(spots.xy[those]), boundary))
        limit = bearing_strength(size, design.layers.thickness, edge, design.materials)
        at = int(np.argmax(pressure / limit))
        spot = numbers[at]
        yield Check(
            f"bearing at {words}",
            float(pressure[at]) / 1e6,
            float(limit[at]) / 1e6,
            "MPa",
            "at most",
            "EN 1992-1-1, 6.7",
            spots.names[spot],
            (float(spots.xy[spot, 0]), float(spots.xy[spot, 1])),
            effects.combinations[effects.spots.column[spot]],
        )
