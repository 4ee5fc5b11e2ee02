"""What the sheets and lists of single jobs show: setting out jacks, choosing springs, comparing two revisions."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float64]
Coils = tuple[str, ...]
"""Codes of the coils under one jack: one, or outer and inner of a nested pair, or none."""


@dataclass(frozen=True, eq=False)
class SetOutView:
    """How jacks were set out; jacks are named by their index in the jack list.

    rows: jacks on one straight line, in order along it. zones: name and area without jacks, m. lines: name and path
    (n, 2) that has jacks, m. notes: rules, measured figures and what governs, a sentence each. added: jacks that were
    moved or added because a load would have exceeded the strongest spring.
    """

    rows: tuple[tuple[int, ...], ...]
    zones: tuple[tuple[str, Polygon], ...]
    lines: tuple[tuple[str, Floats], ...]
    notes: tuple[str, ...]
    added: tuple[int, ...]


@dataclass(frozen=True)
class BuyingRow:
    """One kind of coil to buy. rate: N/m. rated_load: N. under_jacks, spares: how many."""

    coil: str
    rate: float
    rated_load: float
    under_jacks: int
    spares: int

    @property
    def total(self) -> int:
        """Under jacks and spares."""
        return self.under_jacks + self.spares


@dataclass(frozen=True, eq=False)
class Habit:
    """The springs that loads by the area nearest to each jack would have picked, for n jacks.

    springs: (n,) codes. ratios: (n,) computed service load over rated load with this spring at the jack and the chosen
    ones elsewhere. wrong: (n,) whether that is outside the band. wrong_together: jacks outside the band with all of
    these springs in place at once.
    """

    springs: tuple[str, ...]
    ratios: Floats
    wrong: NDArray[np.bool_]
    wrong_together: int


@dataclass(frozen=True, eq=False)
class ChoiceView:
    """A choice of springs for n jacks, beside the schedule with these springs in place.

    coils: (n,) what stands under each jack. buying: one row a kind of coil. pair_reasons: jack -> why it has a nested
    pair. shortfalls: where no choice works and what would, a sentence each. heave_frequency, target_frequency: Hz.
    solid_reserve: least travel to solid that is asked for in the full state, m. most_types: None for any number.
    """

    coils: tuple[Coils, ...]
    buying: tuple[BuyingRow, ...]
    pair_reasons: dict[int, str]
    shortfalls: tuple[str, ...]
    heave_frequency: float
    target_frequency: float | None
    solid_reserve: float
    most_types: int | None
    habit: Habit


@dataclass(frozen=True)
class Swap:
    """A spring to change. jack: index in the new jack list. out, into: codes of the catalogue.

    out_coils, in_coils: what is taken out and put in. load_before: service load of the old layout on the old spring,
    N (NaN where the jack is new). load_unswapped: of the new layout on the old springs, N (NaN where the jack is new).
    load_after: of the new layout after all swaps, N. ratio_after: over the rated load of the new spring.
    """

    jack: int
    out: str
    into: str
    out_coils: Coils
    in_coils: Coils
    load_before: float
    load_unswapped: float
    load_after: float
    ratio_after: float


@dataclass(frozen=True, eq=False)
class ItemChange:
    """What stands on the slab and differs between two revisions.

    kind: "moved", "added", "removed" or "changed" where it stands. old, new: its shape in each revision, m, or None.
    words: the change in words with units, such as "moved by 1.20 m along x" or "gone, 840 kg".
    """

    name: str
    kind: str
    old: BaseGeometry | None
    new: BaseGeometry | None
    words: str


@dataclass(frozen=True, eq=False)
class RevisionView:
    """What a new revision changes; n jacks of the new jack list.

    old_revision, new_revision: what the papers call them. swaps: in the order in which the crew does them. items:
    changes on the slab. other: further differences in words, such as a thickness. least: whether it is proven that
    fewer swaps do not suffice. at_least: swaps of which it is proven that fewer do not suffice. problems: what remains,
    a sentence each. old_springs: (n,) codes before. loads_before: (n,) service loads of the old layout, N, NaN for a
    new jack. loads_unswapped: (n,) of the new layout on the old springs, N, NaN where there is none. The schedule
    beside it has the loads after the swaps. standing: what the old springs miss under the new layout, in words.
    """

    old_revision: str
    new_revision: str
    swaps: tuple[Swap, ...]
    items: tuple[ItemChange, ...]
    other: tuple[str, ...]
    least: bool
    at_least: int
    problems: tuple[str, ...]
    old_springs: tuple[str, ...]
    loads_before: Floats
    loads_unswapped: Floats
    standing: tuple[str, ...]
