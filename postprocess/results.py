"""results.json: the figures of a run for other programs, in the units of the case files."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fem.modes import ModalResult
from postprocess.checks import Check
from postprocess.doubt.as_json import doubt_json
from postprocess.doubt.result import FloorDoubt
from postprocess.key_moments import KeyMoments
from postprocess.schedule import JackSchedule
from postprocess.strength.as_json import strength_json
from postprocess.strength.result import Strength

FORMAT = "jackfield-results/1"


@dataclass(frozen=True)
class StateSummary:
    """load: applied downward, reaction: of all jacks, N. equilibrium_error: relative, worst of force and moments."""

    load: float
    reaction: float
    equilibrium_error: float


@dataclass(frozen=True)
class MeshSummary:
    """change_percent: of jack load, moments and frequency, against the mesh named in `compared_with`."""

    triangles: int
    unknowns: int
    compared_with: str
    change_percent: Mapping[str, float]


@dataclass(frozen=True, eq=False)
class Results:
    """Everything that results.json holds, SI units; `as_json` converts.

    coils: figures of the springs that the catalogue gives by their geometry, in the units of case files. lists: loads
    on the existing floor, fabric and quantities as they stand in the file, by their keys there. remarks: on the reading
    of the input.
    """

    case: Mapping[str, str]
    slab: Mapping[str, float]
    states: Mapping[str, StateSummary]
    schedule: JackSchedule
    modes: ModalResult
    moments: Mapping[str, KeyMoments]
    checks: Sequence[Check]
    mesh: MeshSummary
    strength: Strength | None
    doubt: FloorDoubt | None
    coils: Sequence[Mapping[str, Any]]
    lists: Mapping[str, Any]
    remarks: Sequence[str]
    left_out: Sequence[str]
    cautions: Sequence[str]

    def as_json(self, papers: Sequence[str]) -> dict[str, Any]:
        """The contents of results.json; `papers`: names of the files that the run wrote beside it."""
        return {
            "format": FORMAT,
            "case": dict(self.case),
            "slab": dict(self.slab),
            "states": {
                name: {
                    "load_kN": state.load / 1e3,
                    "reaction_kN": state.reaction / 1e3,
                    "equilibrium_error": state.equilibrium_error,
                }
                for name, state in self.states.items()
            },
            "jacks": _jacks(self.schedule, self.moments),
            "modes": _modes(self.modes),
            "moments": {name: _spans(key) for name, key in self.moments.items()},
            "checks": [check_json(check) for check in self.checks],
            "mesh": {
                "triangles": self.mesh.triangles,
                "unknowns": self.mesh.unknowns,
                "compared_with": self.mesh.compared_with,
                "change_percent": dict(self.mesh.change_percent),
            },
            "strength": None if self.strength is None else strength_json(self.strength),
            "doubt": None if self.doubt is None else doubt_json(self.doubt),
            "coils": [dict(coil) for coil in self.coils],
            **self.lists,
            "remarks": list(self.remarks),
            "left_out": list(self.left_out),
            "cautions": list(self.cautions),
            "papers": list(papers),
        }


def write_results(results: Results, papers: Sequence[str], path: Path) -> None:
    """Write results.json at `path`; numbers that JSON cannot hold (NaN, infinity) raise ValueError."""
    text = json.dumps(results.as_json(papers), indent=1, allow_nan=False, ensure_ascii=False)
    path.write_text(text + "\n", encoding="utf-8")


def schedule_json(schedule: JackSchedule) -> list[dict[str, Any]]:
    """One entry a jack, in the units of case files."""
    status = schedule.status
    return [
        {
            "id": schedule.ids[j],
            "x_mm": float(schedule.xy[j, 0]) * 1e3,
            "y_mm": float(schedule.xy[j, 1]) * 1e3,
            "spring": schedule.springs[j],
            "rate_N_mm": float(schedule.rates[j]) / 1e3,
            "rated_load_kN": float(schedule.rated_loads[j]) / 1e3,
            "advance_mm": float(schedule.advance[j]) * 1e3,
            "load_kN": {name: float(load[j]) / 1e3 for name, load in schedule.loads.items()},
            "deflection_mm": {name: float(w[j]) * 1e3 for name, w in schedule.deflections.items()},
            "load_ratio": {name: float(schedule.load_ratio(name)[j]) for name in schedule.loads},
            "tributary_load_kN": {"service": float(schedule.tributary_loads[j]) / 1e3},
            "status": status[j],
        }
        for j in range(len(schedule))
    ]


def _jacks(schedule: JackSchedule, moments: Mapping[str, KeyMoments]) -> list[dict[str, Any]]:
    return [
        {**jack, "strip_moment_kNm_m": {name: _strips(key, j) for name, key in moments.items()}}
        for j, jack in enumerate(schedule_json(schedule))
    ]


def _strips(key: KeyMoments, jack: int) -> dict[str, float]:
    return {"Mx": key.at_jacks[jack, 0] / 1e3, "My": key.at_jacks[jack, 1] / 1e3}


def _modes(modes: ModalResult) -> list[dict[str, Any]]:
    return [
        {
            "number": i + 1,
            "frequency_hz": float(modes.frequencies[i]),
            "heave_share": float(modes.heave[i]),
            "rock_x_share": float(modes.rock_x[i]),
            "rock_y_share": float(modes.rock_y[i]),
            "kind": kind,
        }
        for i, kind in enumerate(modes.kinds)
    ]


def _spans(key: KeyMoments) -> dict[str, Any]:
    return {
        "strip_mm": key.strip * 1e3,
        "largest_kNm_m": key.largest / 1e3,
        "at_jacks_kNm_m": {"most_sagging": key.at_jacks.max() / 1e3, "most_hogging": key.at_jacks.min() / 1e3},
        "spans": [
            {"x_mm": x * 1e3, "y_mm": y * 1e3, "Mx_kNm_m": Mx / 1e3, "My_kNm_m": My / 1e3, "Mxy_kNm_m": Mxy / 1e3}
            for (x, y), (Mx, My, Mxy) in zip(key.span_xy, key.in_spans, strict=True)
        ],
    }


def check_json(check: Check) -> dict[str, Any]:
    """A verdict with its basis."""
    return {
        "name": check.name,
        "value": float(check.value),
        "limit": check.limit,
        "sense": check.sense,
        "unit": check.unit,
        "ok": bool(check.ok),
        "basis": check.basis,
        "where": check.where,
        **({} if check.xy is None else {"x_mm": check.xy[0] * 1e3, "y_mm": check.xy[1] * 1e3}),
        **({"combination": check.combination} if check.combination else {}),
    }
