"""What a new revision of a case changes: loads that came, went, moved or weigh otherwise, the slab, the jacks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import isclose
from typing import Final, Literal

import numpy as np
import shapely

from fem.gravity import GRAVITY
from preprocess.case import Case, Spring
from preprocess.loads import AppliedLoad, applied_loads

SAME_PLACE: Final = 1e-3
"""Outlines and jacks that differ by less, m, are the same."""

SAME_ADVANCE: Final = 1e-6
"""Screw advances that differ by less, m, are the same."""

Kind = Literal["added", "removed", "moved", "changed"]


@dataclass(frozen=True, eq=False)
class LoadChange:
    """A load that differs. old, new: None where there is none. words: what changes, with units."""

    name: str
    kind: Kind
    old: AppliedLoad | None
    new: AppliedLoad | None
    words: str


@dataclass(frozen=True, eq=False)
class Revision:
    """loads: those that differ. other: differences of slab, imposed load, target and advances, in words.

    jacks: ids that only one revision has or that stand elsewhere, in words; with any, springs cannot be kept.
    shared_jacks: how many stand at the same place in both.
    """

    loads: tuple[LoadChange, ...]
    other: tuple[str, ...]
    jacks: tuple[str, ...]
    shared_jacks: int


def revision(old: Case, new: Case) -> Revision:
    """What differs from `old` to `new`; springs are not compared."""
    jacks = tuple(_jack_changes(old, new))
    before = dict(zip(old.jacks.ids, old.jacks.xy, strict=True))
    after = zip(new.jacks.ids, new.jacks.xy, strict=True)
    shared = sum(name in before and np.hypot(*(xy - before[name])) < SAME_PLACE for name, xy in after)
    return Revision(tuple(_load_changes(old, new)), tuple(_other_changes(old, new)), jacks, shared)


def _load_changes(old: Case, new: Case) -> Iterator[LoadChange]:
    before, after = _named_loads(old), _named_loads(new)
    for key in dict.fromkeys([*before, *after]):
        was, now = before.get(key), after.get(key)
        if was is None and now is not None:
            yield LoadChange(now.name, "added", None, now, f"new, {weight_words(now)}")
        elif now is None and was is not None:
            yield LoadChange(was.name, "removed", was, None, f"gone, {weight_words(was)}")
        elif was is not None and now is not None:
            words = list(_differences(was, now))
            if words:
                moved = words[0].startswith("moved")
                yield LoadChange(now.name, "moved" if moved else "changed", was, now, ", ".join(words))


def _named_loads(case: Case) -> dict[tuple[str, str], AppliedLoad]:
    """What stands or lies on the slab, by kind and name; its own weight and the imposed load are told apart."""
    loads = applied_loads(case)
    return {(load.pattern, load.name): load for load in loads if load.pattern not in ("self-weight", "imposed")}


def _differences(was: AppliedLoad, now: AppliedLoad) -> Iterator[str]:
    there, here = was.shape.centroid, now.shape.centroid
    if there.distance(here) >= SAME_PLACE:
        yield f"moved by {_shift(here.x - there.x, here.y - there.y)}"
    elif shapely.hausdorff_distance(was.shape, now.shape) >= SAME_PLACE:
        yield "other outline or feet"
    if not isclose(was.force, now.force, rel_tol=1e-9):
        yield f"{weight_words(was)} before, {weight_words(now)} now"


def weight_words(load: AppliedLoad) -> str:
    """The whole of a load in words: equipment by its mass, others by their force."""
    if load.pattern == "equipment":
        return f"{load.force / GRAVITY:.0f} kg"
    return f"{load.force / 1e3:.2f} kN"


def _other_changes(old: Case, new: Case) -> Iterator[str]:
    if shapely.hausdorff_distance(old.slab.plan, new.slab.plan) >= SAME_PLACE:
        yield f"plan of the slab: {old.slab.plan.area:.2f} m2 before, {new.slab.plan.area:.2f} m2 now"
    figures: tuple[tuple[str, Callable[[Case], float | None], str], ...] = (
        ("thickness", lambda case: 1e3 * case.slab.thickness, "mm"),
        ("density", lambda case: case.slab.density, "kg/m3"),
        ("modulus", lambda case: case.slab.modulus / 1e9, "GPa"),
        ("imposed load", lambda case: case.imposed.pressure / 1e3, "kPa"),
        ("sustained share of the imposed load", lambda case: case.imposed.service_fraction, ""),
        ("target frequency", lambda case: case.target.natural_frequency, "Hz"),
        ("least load ratio", lambda case: case.target.load_ratio[0], ""),
        ("greatest load ratio", lambda case: case.target.load_ratio[1], ""),
        ("travel left to solid", lambda case: 1e3 * case.target.solid_reserve, "mm"),
        ("most types of spring", lambda case: case.choice.most_types, ""),
        ("Poisson's ratio", lambda case: case.slab.poissons_ratio, ""),
        ("housing of a jack", lambda case: 1e3 * case.jacks.footprint, "mm"),
    )
    for name, figure, unit in figures:
        value, new_value = figure(old), figure(new)
        if value != new_value:
            yield f"{name}: {_figure(value, unit)} before, {_figure(new_value, unit)} now"

    yield from _advance_changes(old, new)
    for code in sorted({spring.code for spring in old.jacks.springs} & new.catalogue.keys()):
        was, now = (_spring_words(case.catalogue[code]) for case in (old, new))
        if was != now:
            yield f"spring {code} in the catalogue: {was} before, {now} now; the new figures count"


def _advance_changes(old: Case, new: Case) -> Iterator[str]:
    """Screws that are turned otherwise, which changes loads like a moved rack does."""
    before = dict(zip(old.jacks.ids, old.jacks.advance, strict=True))
    for name, advance in zip(new.jacks.ids, new.jacks.advance, strict=True):
        was = before.get(name, advance)
        if abs(advance - was) > SAME_ADVANCE:
            yield f"screw of jack {name}: advance {1e3 * was:.6g} mm before, {1e3 * advance:.6g} mm now"


def _spring_words(spring: Spring) -> str:
    return (
        f"{spring.rate / 1e3:.6g} N/mm, rated load {spring.rated_load / 1e3:.6g} kN, "
        f"solid at {1e3 * spring.solid_deflection:.6g} mm"
    )


def _figure(value: float | None, unit: str) -> str:
    return "none" if value is None else f"{value:.6g} {unit}".rstrip()


def _jack_changes(old: Case, new: Case) -> Iterator[str]:
    before = dict(zip(old.jacks.ids, old.jacks.xy, strict=True))
    after = dict(zip(new.jacks.ids, new.jacks.xy, strict=True))
    for name in before:
        if name not in after:
            yield f"jack {name} is gone"
    for name, xy in after.items():
        if name not in before:
            yield f"jack {name} is new"
        elif np.hypot(*(xy - before[name])) >= SAME_PLACE:
            yield f"jack {name} moved by {_shift(*(xy - before[name]))}"


def _shift(x: float, y: float) -> str:
    parts = [f"{1e3 * way:+.0f} mm in {axis}" for axis, way in (("x", x), ("y", y)) if abs(way) >= SAME_PLACE / 2]
    return " and ".join(parts)
