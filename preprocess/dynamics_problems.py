"""What no single key shows of the tables on what moves the floor: keys that belong together or exclude each other."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pydantic import TypeAdapter

from preprocess.dynamics_si import contact_time
from preprocess.dynamics_tables import DEFAULT_RESTITUTION, DROP_KG, EDGES, RESTITUTION, STIFFNESS_N_MM, Edge
from preprocess.entries import NAME
from preprocess.errors import Problem
from preprocess.schema import CASE_FILE
from preprocess.validation import location, table_of, tables_of, usable
from preprocess.wording import nearest, quoted, shown

Tables = Mapping[str, Any]

LEAST_TOUCH: Final = 1e-3
MOST_TOUCH: Final = 0.2
"""Bounds of the first touch, s: outside them a mass or a stiffness is a slip of the pen. No source."""

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
    """A name that no covering has, or a weight that would lie on its covering far too long or too short."""
    name = usable(NAME, item.get("covering"))
    coverings = _coverings(data)
    if name is None or coverings is None:
        return []
    where = location(data, ("impacts", index, "covering"))
    if name not in coverings:
        return [Problem(CASE_FILE, where, quoted(name), nearest(name, coverings, "covering"))]
    mass = usable(DROP_KG, item.get("mass_kg"))
    stiffness = usable(STIFFNESS_N_MM, coverings[name].get("stiffness_N_mm"))
    restitution = usable(RESTITUTION, coverings[name].get("restitution", DEFAULT_RESTITUTION))
    if mass is None or stiffness is None or restitution is None:
        return []
    touch = contact_time(mass, restitution, 1000 * stiffness)
    if LEAST_TOUCH <= touch <= MOST_TOUCH:
        return []
    value = f"{quoted(name)}, on which {mass:g} kg lie for {1000 * touch:.3g} ms"
    change = "softer" if touch < LEAST_TOUCH else "stiffer"
    allowed = f"a covering with a first touch of {1000 * LEAST_TOUCH:g} to {1000 * MOST_TOUCH:g} ms: a {change} one"
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
