"""The mats that a case may name: square fabrics of BS 4483, or bars by diameter and pitch."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Final, TypeAlias

from pydantic import BaseModel, PlainValidator, TypeAdapter

from preprocess.case import Mat
from preprocess.entries import positive, refusal
from preprocess.wording import nearest

CHOOSE: Final = "choose"
"""The word that leaves a mat to the program."""

WIDEST_PITCH_MM: Final = 500.0

DiameterMm = Annotated[float, positive(40, "mm")]
PitchMm = Annotated[float, positive(WIDEST_PITCH_MM, "mm")]


class BarsTable(BaseModel, extra="forbid", frozen=True):
    """Bars along x and bars along y. Largest diameter and pitch in slabs: common practice, no source."""

    x_diameter_mm: DiameterMm
    x_pitch_mm: PitchMm
    y_diameter_mm: DiameterMm
    y_pitch_mm: PitchMm


def _square(name: str, diameter: float) -> Mat:
    return Mat(name, (diameter, diameter), (0.200, 0.200))


FABRICS: Final = {
    mat.name: mat
    for mat in (_square("A142", 0.006), _square("A193", 0.007), _square("A252", 0.008), _square("A393", 0.010))
}
"""Square fabrics of BS 4483, 200 × 200 mm, lightest first."""

_NAMES = (*FABRICS, CHOOSE)
_ALLOWED = f"one of {', '.join(_NAMES)}, or bars as a table with {', '.join(BarsTable.model_fields)}"


def mat_entry(value: object) -> str | BarsTable:
    """The name of a fabric, the word that leaves the choice to the program, or a table of bars."""
    if isinstance(value, Mapping):
        return BarsTable.model_validate(value)
    if not isinstance(value, str):
        raise refusal(_ALLOWED)
    if value.strip() not in _NAMES:
        raise refusal(nearest(value, _NAMES, "fabric"))
    return value.strip()


MatEntry: TypeAlias = Annotated[str | BarsTable, PlainValidator(mat_entry)]

MAT = TypeAdapter[str | BarsTable](MatEntry)
DIAMETER_MM = TypeAdapter[float](DiameterMm)
PITCH_MM = TypeAdapter[float](PitchMm)


def to_mat(entry: str | BarsTable) -> Mat | None:
    """The mat in SI; None where the program is to choose it."""
    if isinstance(entry, str):
        return None if entry == CHOOSE else FABRICS[entry]
    diameters, pitches = (entry.x_diameter_mm, entry.y_diameter_mm), (entry.x_pitch_mm, entry.y_pitch_mm)
    parts = [f"{diameter:g} at {pitch:g}" for diameter, pitch in zip(diameters, pitches, strict=True)]
    return Mat(
        " × ".join(parts) + " mm",
        (diameters[0] / 1000, diameters[1] / 1000),
        (pitches[0] / 1000, pitches[1] / 1000),
    )
