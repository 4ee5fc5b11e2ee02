"""A lift with what `jackfield lift` found beyond the run: sizes of pass, what can go wrong, and its notes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from postprocess.lift.views import FaultView, LiftView, PeakView, SizeView


def with_record(lift: LiftView, record: Mapping[str, Any], ids: Sequence[str]) -> LiftView:
    """lift: as the run computed it. record: the contents of lift.json for the same input. ids: of the jacks."""
    jack_of = {name: number for number, name in enumerate(ids)}
    return replace(
        lift,
        sizes=tuple(_size(each, jack_of) for each in record["pass_sizes"]),
        faults=tuple(_fault(each, jack_of) for each in record["faults"]),
        notes=tuple(record["notes"]),
    )


def _size(found: Mapping[str, Any], jack_of: Mapping[str, int]) -> SizeView:
    peak = found["peak"]
    view = PeakView(
        jack=jack_of[peak["jack"]],
        pass_number=0,  # the record of a size does not say
        moment=1e3 * peak["moment_kNm_m"],
        use=peak["cracking_use"],
        place=peak["place"],
        xy=(peak["x_mm"] / 1e3, peak["y_mm"] / 1e3),
        face=peak["tension_face"],
    )
    return SizeView(found["turns"], view, found["earliest_age_days"])


def _fault(found: Mapping[str, Any], jack_of: Mapping[str, int]) -> FaultView:
    return FaultView(
        words=found["fault"],
        jack=jack_of[found["jack"]],
        height_change=found["height_change_mm"] / 1e3,
        load_change=1e3 * found["load_change_kN"],
        use=found["cracking_use"],
        noticed=found["noticed"],
        harmful=found["harmful"],
    )
