"""From a computed lift to what its papers show."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from fem.lift import LiftPath
from jackfield.lifting import LiftDesk
from postprocess.checks import Check
from postprocess.lift.course import Course
from postprocess.lift.record import PassRecord, advance_by
from postprocess.lift.verdict import peak_view
from postprocess.lift.views import FaultView, LiftView, PassView, PeakView, SizeView

Floats = NDArray[np.float64]


def lift_view(
    desk: LiftDesk,
    course: Course,
    *,
    order_name: str,
    sizes: Sequence[SizeView],
    faults: Sequence[FaultView],
    notes: Sequence[str],
    checks: Sequence[Check],
) -> LiftView:
    """The lift pass by pass; order_name, notes: in words."""
    lift = desk.floor.case.lift
    assert lift is not None  # the desk was made from it
    ends = _joined([record.end for record in course.records])
    mesh = desk.places.mesh
    rows = desk.floor.sampler.points(mesh.vertices).rows
    mesh_heights = -(rows @ desk.bench.model.fields(ends)).T
    return LiftView(
        mesh=mesh,
        age=desk.concrete.age,
        cracking_moment=desk.cracking_moment,
        pitch=lift.pitch,
        passes=tuple(
            pass_view(desk, record, heights)
            for record, heights in zip(course.passes, mesh_heights[1:], strict=True)
        ),
        sizes=tuple(sizes),
        faults=tuple(faults),
        resting_height=-course.records[0].end.jack_deflection[0],
        notes=tuple(notes),
        worst=peak_view(course.worst, desk.bench, desk.cracking_moment),
        order_name=order_name,
        not_met=tuple(not_met_words(check) for check in checks if not check.ok),
    )


def not_met_words(check: Check) -> str:
    """A check that is not met, with what governs, in one line."""
    sign = "over" if check.sense == "at most" else "under"
    where = ", ".join(words for words in (check.where, check.combination) if words)
    unit = f" {check.unit}" if check.unit else ""
    words = f"{check.name}: {check.value:.2f}{unit}, {sign} the limit of {check.limit:.2f}"
    return f"{words} ({where})" if where else words


def _joined(paths: Sequence[LiftPath]) -> LiftPath:
    names = LiftPath.__dataclass_fields__
    return LiftPath(**{name: np.concatenate([getattr(path, name) for path in paths]) for name in names})


def pass_view(desk: LiftDesk, record: PassRecord, mesh_heights: Floats) -> PassView:
    """One pass; mesh_heights: (v,) after its last turn, m."""
    model, end = desk.bench.model, record.end
    touching = desk.on_floor(end.contact[0])
    steps = np.abs(np.diff(record.path.advance[:, desk.pairs], axis=2))[:, :, 0]
    _, pair = np.unravel_index(int(steps.argmax()), steps.shape)
    lift = desk.floor.case.lift
    assert lift is not None
    return PassView(
        number=record.number,
        turns=float(advance_by(record.turns, model.jacks).max()) / lift.pitch,
        order=tuple(int(jack) for jack in record.path.turned),
        advance=end.advance[0],
        heights=-end.jack_deflection[0],
        loads=end.jack_load[0],
        reserves=model.travel_left(end)[0],
        contact_share=desk.contact_share(end.contact[0]),
        contact=shapely.union_all(np.array(desk.bearing.cells.polygons, dtype=object)[touching]),
        mesh_heights=mesh_heights,
        peak=peak_view(record, desk.bench, desk.cracking_moment),
        step=float(steps.max()),
        step_jacks=(int(desk.pairs[pair, 0]), int(desk.pairs[pair, 1])),
    )


def lift_json(desk: LiftDesk, course: Course, view: LiftView) -> dict[str, Any]:
    """The lift in the units of lift.json."""
    ids = desk.floor.case.jacks.ids
    return {
        "age_days": view.age,
        "modulus_gpa": desk.concrete.modulus / 1e9,
        "cracking_moment_kNm_m": view.cracking_moment / 1e3,
        "order": view.order_name,
        "passes": [
            _pass_json(desk, record, shown) for record, shown in zip(course.passes, view.passes, strict=True)
        ],
        "worst": {**_peak(view.worst, ids), "pass": view.worst.pass_number},
        "pass_sizes": [
            {"turns": size.turns, "peak": _peak(size.peak, ids), "earliest_age_days": size.earliest_age}
            for size in view.sizes
        ],
        "faults": [
            {
                "fault": fault.words,
                "jack": ids[fault.jack],
                "height_change_mm": fault.height_change * 1e3,
                "load_change_kN": fault.load_change / 1e3,
                "cracking_use": fault.use,
                "noticed": fault.noticed,
                "harmful": fault.harmful,
            }
            for fault in view.faults
        ],
        "notes": list(view.notes),
    }


def _pass_json(desk: LiftDesk, record: PassRecord, view: PassView) -> dict[str, Any]:
    ids = desk.floor.case.jacks.ids
    mm = view.heights * 1e3
    uses = record.moments / desk.cracking_moment
    return {
        "pass": view.number,
        "turns": view.turns,
        "advance_mm": float(view.advance.mean()) * 1e3,
        "height_mm": {"mean": float(mm.mean()), "min": float(mm.min()), "max": float(mm.max())},
        "contact_share": view.contact_share,
        "jack_height_mm": dict(zip(ids, mm.tolist(), strict=True)),
        "jack_load_kN": dict(zip(ids, (view.loads / 1e3).tolist(), strict=True)),
        "travel_left_mm": dict(zip(ids, (view.reserves * 1e3).tolist(), strict=True)),
        "greatest_step_mm": view.step * 1e3,
        "peak": _peak(view.peak, ids),
        "turn_by_turn": [
            {"jack": ids[jack], "cracking_use": use, "place": desk.places.name(int(place))}
            for jack, use, place in zip(record.path.turned.tolist(), uses.tolist(), record.places, strict=True)
        ],
    }


def _peak(peak: PeakView, ids: tuple[str, ...]) -> dict[str, Any]:
    return {
        "jack": ids[peak.jack],
        "moment_kNm_m": peak.moment / 1e3,
        "cracking_use": peak.use,
        "place": peak.place,
        "tension_face": peak.face,
        "x_mm": peak.xy[0] * 1e3,
        "y_mm": peak.xy[1] * 1e3,
    }

