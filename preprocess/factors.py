"""The table `[factors]`: values that EN 1990 and EN 1992-1-1 leave to each country, where a case changes them.

A key that is not given leaves the recommended value as it is, so no default stands here. The ranges are those
outside which a value makes no sense; each holds the recommended value and those of national annexes.
"""

from __future__ import annotations

from typing import Annotated, Final, Literal, TypeAlias

from pydantic import BaseModel

from preprocess.entries import number, one_of

Share: TypeAlias = Annotated[float, number(0, 1)] | None
PartialFactor: TypeAlias = Annotated[float, number(1, 2.5)] | None
Enhancement: TypeAlias = Annotated[float, number(1, 3)] | None
Depths: TypeAlias = Annotated[float, number(1, 6)] | None
GreatestPitchMm: TypeAlias = Annotated[float, number(50, 1000, "mm")] | None

VALUES: Final = ("recommended",)
"""Sets of values by name: those that the standards themselves recommend."""

EQUIPMENT: Final = ("variable", "permanent")


class FactorsTable(BaseModel, extra="forbid", frozen=True):
    """Lengths carry their unit in the key; all else has none. None: as recommended."""

    values: Annotated[str, one_of(VALUES, "set of values")] = "recommended"
    equipment: Annotated[Literal["variable", "permanent"], one_of(EQUIPMENT, "kind of action")] = "variable"
    """Machines and racks come and go: movable objects are imposed loads, EN 1991-1-1:2002, 6.1(1), from memory."""

    gamma_g: Annotated[float, number(1, 2)] | None = None
    gamma_g_favourable: Share = None
    gamma_q: PartialFactor = None
    creep_coefficient: Annotated[float, number(0, 6)] | None = None

    gamma_c: PartialFactor = None
    gamma_s: Annotated[float, number(1, 2)] | None = None
    alpha_cc: Annotated[float, number(0.8, 1)] | None = None

    crd_c: Annotated[float, number(0.05, 0.3)] | None = None
    v_min: Annotated[float, number(0, 0.1)] | None = None
    nu: Annotated[float, number(0.1, 1)] | None = None
    v_rd_max: Annotated[float, number(0.1, 0.5)] | None = None
    beta_interior: Enhancement = None
    beta_edge: Enhancement = None
    beta_corner: Enhancement = None

    w_max_mm: Annotated[float, number(0.05, 1, "mm")] | None = None
    k3: Annotated[float, number(0, 5)] | None = None
    k4: Annotated[float, number(0.1, 1)] | None = None

    as_min_tension: Annotated[float, number(0.1, 1)] | None = None
    as_min_ratio: Annotated[float, number(0.0005, 0.01)] | None = None
    as_max_ratio: Annotated[float, number(0.01, 0.1)] | None = None
    pitch_depths: Depths = None
    pitch_mm: GreatestPitchMm = None


VALUE_KEYS: Final = tuple(key for key in FactorsTable.model_fields if key not in ("values", "equipment"))
"""The keys that change a value of the standards."""


def changes(table: FactorsTable) -> dict[str, float]:
    """The values that the case gives: name without unit -> number in SI."""
    given = {key: value for key in VALUE_KEYS if (value := getattr(table, key)) is not None}
    return {key.removesuffix("_mm"): value / 1000 if key.endswith("_mm") else value for key, value in given.items()}
