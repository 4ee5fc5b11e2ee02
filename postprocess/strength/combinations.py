"""Strength combinations of the load patterns, EN 1990, 6.4.3.2, Eq. 6.10 with Table A1.2(B), set B.

What is permanent comes from one source and has one factor everywhere: the unfavourable or the favourable one. Imposed
load, and equipment that may come and go, is there with its factor or absent; both are one action (EN 1991-1-1, 6.1:
movable objects are imposed load, from memory), so there is no accompanying value with ψ0. The screw advances are an
imposed deformation of known size and have the factor 1.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product

import numpy as np
from numpy.typing import NDArray

from postprocess.strength.factors import NationalValues

Floats = NDArray[np.float64]

PERMANENT = ("self-weight", "finishes", "line loads")
EQUIPMENT, IMPOSED, ADVANCE = "equipment", "imposed", "advance"


@dataclass(frozen=True)
class Actions:
    """The load columns that are combined, in order: PERMANENT, equipment, advance, imposed everywhere, patterns.

    patterns: names of the areas on which imposed load alone may lie. equipment_stays: it is permanent. has_imposed,
    has_equipment: whether there is any.
    """

    patterns: tuple[str, ...]
    equipment_stays: bool
    has_imposed: bool
    has_equipment: bool

    @property
    def columns(self) -> tuple[str, ...]:
        """Names of all columns."""
        return (*PERMANENT, EQUIPMENT, ADVANCE, IMPOSED, *self.patterns)


@dataclass(frozen=True, eq=False)
class Combinations:
    """k combinations. names: in words, with their factors. factors: (s, k) of the columns of `Actions`."""

    names: tuple[str, ...]
    factors: Floats = field(repr=False)

    def __len__(self) -> int:
        return len(self.names)


def strength_combinations(actions: Actions, values: NationalValues) -> Combinations:
    """All of them: the bare slab; and permanent load, equipment and imposed load, each at its higher and lower factor,
    with the imposed load everywhere, nowhere, on each pattern and on all but each pattern.
    """
    names, columns = [], []
    for gamma_g in dict.fromkeys((values.gamma_g, values.gamma_g_favourable)):
        names.append(f"{gamma_g:g} self-weight")
        columns.append(_column(actions, {"self-weight": gamma_g}))
        levels = product(_equipment(actions, values, gamma_g), _imposed(actions))
        for gamma_e, (words, imposed) in levels:
            factors = dict.fromkeys(PERMANENT, gamma_g) | {EQUIPMENT: gamma_e}
            factors |= {name: values.gamma_q * share for name, share in imposed.items()}
            parts = [f"{gamma_g:g} permanent"]
            comes_and_goes = actions.has_equipment and not actions.equipment_stays
            if comes_and_goes and gamma_e:
                parts.append(f"{gamma_e:g} equipment")
            if imposed:
                parts.append(f"{values.gamma_q:g} imposed {words}")
            gone = ", equipment gone" if comes_and_goes and not gamma_e else ""
            names.append(" + ".join(parts) + gone)
            columns.append(_column(actions, factors))
    return Combinations(tuple(names), np.column_stack(columns))


def _equipment(actions: Actions, values: NationalValues, gamma_g: float) -> Sequence[float]:
    if actions.equipment_stays or not actions.has_equipment:
        return (gamma_g,)
    return values.gamma_q, 0.0


def _imposed(actions: Actions) -> Iterator[tuple[str, dict[str, float]]]:
    """Where imposed load lies, in words, and the shares of its columns."""
    yield "nowhere", {}
    if not actions.has_imposed:
        return
    yield "everywhere", {IMPOSED: 1.0}
    for name in actions.patterns:
        yield f"on {name}", {name: 1.0}
        yield f"on all but {name}", {IMPOSED: 1.0, name: -1.0}


def _column(actions: Actions, factors: dict[str, float]) -> Floats:
    """(s,) the factors in the order of the columns; the screw advances are always there."""
    return np.array([1.0 if name == ADVANCE else factors.get(name, 0.0) for name in actions.columns])
