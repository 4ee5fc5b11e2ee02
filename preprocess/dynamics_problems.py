"""What no single key shows of the tables on what moves the floor: keys that belong together or exclude each other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil
from typing import Any, Final

from pydantic import TypeAdapter

from fem.gravity import GRAVITY
from preprocess.dynamics_si import contact_stiffness, contact_time
from preprocess.dynamics_tables import (
    CONTACT_MS,
    DEFAULT_RESTITUTION,
    DEFAULT_STIFFNESS_N_MM,
    DROP_KG,
    EDGES,
    HEIGHT_MM,
    RESTITUTION,
    STIFFNESS_N_MM,
    Edge,
)
from preprocess.entries import NAME
from preprocess.errors import Problem
from preprocess.schema import CASE_FILE
from preprocess.validation import location, table_of, tables_of, usable
from preprocess.wording import nearest, quoted, shown

Tables = Mapping[str, Any]

LEAST_TOUCH: Final = 1e-3
MOST_TOUCH: Final = 0.2
"""Bounds of the first touch, s: outside them a mass or a stiffness is a slip of the pen. No source."""

SET_DOWN: Final = 4.0
"""Least height of a drop over what the weight presses its covering in at rest: `_height_problems`."""

MOST: Final = {"impacts": 12, "groups": 24, "machines": 24, "response_points": 24, "bays": 60}
"""Tables of a kind, at most."""

_EDGE = TypeAdapter[str](Edge)


def dynamics_problems(data: Tables) -> list[Problem]:
    """All of it, from the parsed TOML, usable or not."""
    problems = [*_vent_problems(data), *_impact_problems(data), *_machine_problems(data)]
    problems += _one_of_two(data, "bays", ("modal_mass_kg", "mass_kg_m2"))
    problems += _one_of_two(data, "groups", ("activity", "factors"))
    for kind, most in MOST.items():
        if (given := len(list(tables_of(data, kind)))) > most:
            allowed = f"at most {most}: each has sheets of its own; a copy of the folder takes more"
            problems.append(Problem(CASE_FILE, kind, f"{given} tables", allowed))
    return problems


def _one_of_two(data: Tables, kind: str, keys: tuple[str, str]) -> list[Problem]:
    problems = []
    for index, item in tables_of(data, kind):
        given = [key for key in keys if key in item]
        if len(given) != 1:
            allowed = f"exactly one of {keys[0]} and {keys[1]}"
            where = location(data, (kind, index))
            problems.append(Problem(CASE_FILE, where, " and ".join(given) or "neither", allowed))
    return problems


def _vent_problems(data: Tables) -> list[Problem]:
    """Vents without an edge that has some, the reverse, and the depth of a slot that has no width."""
    problems = []
    edge = usable(_EDGE, table_of(data, "air").get("edge"))
    vents = "vents" in data and data["vents"] != []
    if edge == "vents" and not vents:
        allowed = f'one [[vents]] or more with it; or one of {", ".join(EDGES[:-1])}'
        problems.append(Problem(CASE_FILE, "air.edge", quoted("vents"), allowed))
    if vents and edge != "vents" and (edge is not None or "air" not in data):
        value = "no [air]" if edge is None else f"air.edge = {quoted(edge)}"
        problems.append(Problem(CASE_FILE, "vents", value, 'no [[vents]] unless [air] has edge = "vents"'))
    for index, item in tables_of(data, "vents"):
        if "depth_mm" in item and "width_mm" not in item:
            where = location(data, ("vents", index, "depth_mm"))
            allowed = "no depth_mm without width_mm; both are of a slot between slab and wall"
            problems.append(Problem(CASE_FILE, where, shown(item["depth_mm"]), allowed))
    return problems


def _impact_problems(data: Tables) -> list[Problem]:
    """Both ways to say what a weight falls on, a restitution that belongs to neither, a covering that is not there."""
    problems = []
    for index, item in tables_of(data, "impacts"):
        if "covering" in item and "contact_ms" in item:
            where = location(data, ("impacts", index))
            allowed = "covering or contact_ms, not both: either of them says how stiff the touch is"
            problems.append(Problem(CASE_FILE, where, "covering and contact_ms", allowed))
        if "restitution" in item and "contact_ms" not in item:
            where = location(data, ("impacts", index, "restitution"))
            allowed = "no restitution without contact_ms; that of a covering stands in [[coverings]]"
            problems.append(Problem(CASE_FILE, where, shown(item["restitution"]), allowed))
        problems += _covering_problems(data, index, item)
    return problems


def _covering_problems(data: Tables, index: int, item: Tables) -> list[Problem]:
    """A name that no covering has, a weight that lies on its covering far too long or too short, or is set down."""
    name, coverings = usable(NAME, item.get("covering")), _coverings(data)
    if name is not None and coverings is not None and name not in coverings:
        where = location(data, ("impacts", index, "covering"))
        return [Problem(CASE_FILE, where, quoted(name), nearest(name, coverings, "covering"))]
    mass, covering = usable(DROP_KG, item.get("mass_kg")), _covering(item, coverings)
    if mass is None or covering is None:
        return []
    return _touch_problems(data, index, mass, covering) or _height_problems(data, index, mass, covering)


@dataclass(frozen=True)
class _Covering:
    """What a weight falls on: N/m or, where its contact is given instead, None; that contact, s; restitution."""

    stiffness: float | None
    contact: float
    restitution: float

    def under(self, mass: float) -> float:
        """Its stiffness under `mass` kg, N/m."""
        return self.stiffness or contact_stiffness(mass, self.restitution, self.contact)


def _covering(item: Tables, coverings: Mapping[str, Tables] | None) -> _Covering | None:
    """What a drop says that it falls on, None where that cannot be told."""
    if "covering" in item and "contact_ms" in item:
        return None
    if "contact_ms" in item:
        contact = usable(CONTACT_MS, item["contact_ms"])
        restitution = usable(RESTITUTION, item.get("restitution", DEFAULT_RESTITUTION))
        return None if contact is None or restitution is None else _Covering(None, contact / 1000, restitution)
    named: Tables = {"stiffness_N_mm": DEFAULT_STIFFNESS_N_MM}
    if "covering" in item:
        named = (coverings or {}).get(usable(NAME, item["covering"]) or "", {})
    stiffness = usable(STIFFNESS_N_MM, named.get("stiffness_N_mm"))
    restitution = usable(RESTITUTION, named.get("restitution", DEFAULT_RESTITUTION))
    return None if stiffness is None or restitution is None else _Covering(1000 * stiffness, 0.0, restitution)


def _touch_problems(data: Tables, index: int, mass: float, covering: _Covering) -> list[Problem]:
    """A weight that lies on a named covering too long or too short."""
    touch = contact_time(mass, covering.restitution, covering.under(mass))
    name = data["impacts"][index].get("covering")
    if name is None or LEAST_TOUCH <= touch <= MOST_TOUCH:
        return []
    value = f"{quoted(name)}, on which {mass:g} kg lie for {1000 * touch:.3g} ms"
    change = "softer" if touch < LEAST_TOUCH else "stiffer"
    allowed = f"a covering with a first touch of {1000 * LEAST_TOUCH:g} to {1000 * MOST_TOUCH:g} ms: a {change} one"
    return [Problem(CASE_FILE, location(data, ("impacts", index, "covering")), value, allowed)]


def _height_problems(data: Tables, index: int, mass: float, covering: _Covering) -> list[Problem]:
    """A weight that is set down rather than dropped, from less than `SET_DOWN` times what it presses in at rest.

    With d0 = M g/k, a weight dropped from h presses the covering on a rigid base in by d = d0 (1 + √(1 + 2h/d0)). As
    the covering lets go with k/e² it gives back e² k d²/2 over a way of e² d, and the weight is thrown off only where
    that is more than M g e² d: where d is above 2 d0, which a height of nothing gives. From h = 4 d0 on d is 4 d0 or
    more and half of what is given back is to spare for what the floor below takes; a weight that does not come off
    again rests on the floor, and its mass would have to be added to it. Common sense, no source.
    """
    height = usable(HEIGHT_MM, data["impacts"][index].get("height_mm"))
    pressed = 1000 * mass * GRAVITY / covering.under(mass)
    if height is None or height >= SET_DOWN * pressed:
        return []
    where = location(data, ("impacts", index, "height_mm"))
    rest = f"at rest {mass:g} kg press the covering in by {pressed:.3g} mm"
    value = f"{height:g}, a weight set down rather than dropped: {rest}"
    allowed = f"{ceil(SET_DOWN * pressed):,} mm or more, {SET_DOWN:g} times that, or a stiffer covering"
    return [Problem(CASE_FILE, where, value, allowed)]


def _coverings(data: Tables) -> dict[str, Tables] | None:
    """The coverings by name, None if one of them has none, since then it cannot be told which are meant."""
    listed = data.get("coverings", [])
    named = {usable(NAME, item.get("name")): item for _, item in tables_of(data, "coverings")}
    if not isinstance(listed, list) or None in named or not all(isinstance(item, Mapping) for item in listed):
        return None
    return {name: item for name, item in named.items() if name is not None}


def _machine_problems(data: Tables) -> list[Problem]:
    """Unbalance given twice, by half or not at all."""
    allowed = "unbalance_kg_mm, or rotor_kg with grade_mm_s"
    problems = []
    for index, item in tables_of(data, "machines"):
        given = [key for key in ("unbalance_kg_mm", "rotor_kg", "grade_mm_s") if key in item]
        if given not in (["unbalance_kg_mm"], ["rotor_kg", "grade_mm_s"]):
            where = location(data, ("machines", index))
            problems.append(Problem(CASE_FILE, where, " and ".join(given) or "none of them", allowed))
    return problems
