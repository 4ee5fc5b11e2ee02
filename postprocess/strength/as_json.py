"""The slab's strength for results.json, in the units of the case files."""

from __future__ import annotations

from dataclasses import asdict
from math import degrees, isfinite
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from postprocess.strength.factors import RECOMMENDED, SOURCES, UNITS
from postprocess.strength.layers import FACES, Face
from postprocess.strength.result import CornerVerdict, LayerVerdict, LiftVerdict, PunchingPlace, StateCracking, Strength


def strength_json(strength: Strength) -> dict[str, Any]:
    """Everything but the checks, which stand among those of the run."""
    return {
        "standard": "EN 1992-1-1:2004",
        "strip_mm": strength.strip * 1e3,
        "layers": [_layer(strength, verdict) for verdict in strength.layer_verdicts],
        "chosen_by_program": strength.chosen,
        "materials": _materials(strength),
        "factors": _factors(strength),
        "combinations": list(strength.combinations),
        "punching": [_punching(place) for place in strength.punching],
        "corners": [_corner(corner, strength.trimmer_diameter) for corner in strength.corners],
        "imposed_patterns": [_pattern(name, shape) for name, shape in strength.patterns.items()],
        "remarks": list(strength.remarks),
        "cracking": [_cracking(state) for state in strength.cracking],
        "lift": None if strength.lift is None else _lift(strength.lift),
    }


def _layer(strength: Strength, verdict: LayerVerdict) -> dict[str, Any]:
    face = verdict.face
    return {
        "face": face,
        "fabric": verdict.fabric,
        "cover_mm": strength.layers.cover(face) * 1e3,
        "directions": [_direction(strength, verdict, face, i) for i in (0, 1)],
        "fails_without": list(verdict.fails_without),
    }


def _direction(strength: Strength, verdict: LayerVerdict, face: Face, i: int) -> dict[str, Any]:
    direction = ("x", "y")[i]
    wires = strength.layers.section(face, "x" if i == 0 else "y").tension
    assert wires, "a slab that is assessed has both mats"
    return {
        "along": direction,
        "diameter_mm": wires.diameter * 1e3,
        "pitch_mm": wires.pitch * 1e3,
        "area_mm2_m": wires.area * 1e6,
        "effective_depth_mm": wires.depth * 1e3,
        "resistance_kNm_m": float(strength.resistance[FACES.index((face, "x" if i == 0 else "y"))]) / 1e3,
        "use": float(verdict.use[i]),
        "where": verdict.where[i],
        "share_of_area_used_above_half": float(verdict.share_used[i]),
    }


def _materials(strength: Strength) -> dict[str, float]:
    materials = strength.materials
    return {
        "fck_mpa": materials.fck / 1e6,
        "fcd_mpa": materials.fcd / 1e6,
        "fyk_mpa": materials.fyk / 1e6,
        "fyd_mpa": materials.fyd / 1e6,
    }


def _factors(strength: Strength) -> list[dict[str, Any]]:
    """Each value that a country may set, that which the standard recommends, and its clause."""
    return [
        {"name": name, "value": value, "recommended": getattr(RECOMMENDED, name), "unit": UNITS[name],
         "source": SOURCES[name]}
        for name, value in asdict(strength.materials.values).items()
    ]  # fmt: skip


def _pattern(name: str, shape: BaseGeometry) -> dict[str, Any]:
    """The loaded areas of a pattern, each by its outline and the openings in it, to a tenth of a millimetre."""
    areas = [
        {
            "outline_mm": _ring(part.exterior),
            "openings_mm": [_ring(ring) for ring in part.interiors],
        }
        for part in shapely.get_parts(shape)
    ]
    return {"name": name, "area_m2": float(shape.area), "areas": areas}


def _ring(ring: BaseGeometry) -> list[list[float]]:
    return [[float(x), float(y)] for x, y in np.round(shapely.get_coordinates(ring)[:-1] * 1e3, 1)]


def _punching(place: PunchingPlace) -> dict[str, Any]:
    return {
        "place": place.name,
        "kind": place.kind,
        "x_mm": place.xy[0] * 1e3,
        "y_mm": place.xy[1] * 1e3,
        "position": place.perimeter.position,
        "force_kN": place.force / 1e3,
        "perimeter_mm": place.perimeter.length * 1e3,
        "stress_mpa": _finite(place.stress / 1e6),
        "strength_mpa": place.strength / 1e6,
        "stress_at_load_mpa": _finite(place.face_stress / 1e6),
        "strength_at_load_mpa": place.face_limit / 1e6,
        "use": _finite(place.use),
    }


def _corner(corner: CornerVerdict, diameter: float) -> dict[str, Any]:
    return {
        "x_mm": corner.xy[0] * 1e3,
        "y_mm": corner.xy[1] * 1e3,
        "trimmers_along_deg": degrees(corner.across),
        "strip_mm": corner.strip * 1e3,
        "zone_mm": corner.zone * 1e3,
        "moment_across_kNm_m": {state: moment / 1e3 for state, moment in corner.moments.items()},
        "cracking_use": dict(corner.cracking_use),
        "design_moment_kNm_m": {"sagging": corner.design_sagging / 1e3, "hogging": corner.design_hogging / 1e3},
        "trimmers": {face: {"bars": bars, "diameter_mm": diameter * 1e3} for face, bars in corner.trimmers.items()},
    }


def _cracking(state: StateCracking) -> dict[str, Any]:
    return {
        "state": state.state,
        "moment_kNm_m": state.moment / 1e3,
        "cracking_moment_kNm_m": state.limit / 1e3,
        "where": state.where,
        "x_mm": state.xy[0] * 1e3,
        "y_mm": state.xy[1] * 1e3,
    }


def _lift(lift: LiftVerdict) -> dict[str, Any]:
    concrete = lift.concrete
    return {
        "age_days": concrete.age,
        "fcm_mpa": concrete.fcm / 1e6,
        "fck_mpa": concrete.fck / 1e6,
        "fctm_mpa": concrete.fctm / 1e6,
        "fctk_005_mpa": concrete.fctk_005 / 1e6,
        "modulus_gpa": concrete.modulus / 1e9,
        "moment_kNm_m": lift.moment / 1e3,
        "cracking_moment_kNm_m": lift.limit / 1e3,
        "earliest_age_days": lift.earliest_age,
    }


def _finite(value: float) -> float | None:
    """JSON has no infinity: null where openings leave no perimeter at all."""
    return value if isfinite(value) else None
