"""For scripts: a case opened, varied, solved and judged, without papers.

Keys and figures are those of the case files and of results.json, with the unit in the name; arrays on the objects are
in SI (m, N, Pa, Hz), deflection and load positive downward, a jack's load in compression.

>>> from jackfield import open_case, solve
>>> floor = solve(open_case("cases/studio"))
>>> abs(floor.load_kN("service") - sum(floor.jack_loads_kN("service").values())) < 1e-6
True
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from fem.errors import JackfieldError
from fem.modes import ModalResult
from jackfield import papers
from jackfield.choosing import choose_springs as _choose
from jackfield.desk import draft_desk
from jackfield.dynamics import case_checks, why_still
from jackfield.impact import moved
from jackfield.judged import judge
from jackfield.pipeline import MeshCheck, Solution, check_mesh
from jackfield.pipeline import solve as _solve
from jackfield.raising import Raised, raise_floor
from jackfield.strength import slab_strength
from postprocess.checks import Check
from postprocess.dynamics.views import DynamicsView
from postprocess.results import schedule_json
from postprocess.schedule import JackSchedule
from postprocess.strength.result import Strength
from preprocess.case import Case
from preprocess.errors import InputError, Problem
from preprocess.floor import build_floor
from preprocess.reader import read_case, read_draft
from preprocess.schema import CASE_FILE
from preprocess.wording import nearest, quoted

Loads = dict[str, float]


class NotGiven(JackfieldError):
    """The case does not hold the data for what is asked."""

    exit_code = 2


@dataclass(frozen=True, eq=False)
class SolvedFloor:
    """A floor solved in its three load states, with its modes.

    solution: displacements, moments and modes as arrays. schedule: loads and deflections of the jacks as arrays.

    >>> floor = solve(open_case("cases/studio", {"slab.thickness_mm": 130}))
    >>> jack = floor.jacks[0]
    >>> abs(jack["load_kN"]["full"] - jack["rate_N_mm"] * jack["deflection_mm"]["full"] / 1000) < 1e-9
    True
    >>> floor.heave_frequency_hz <= floor.case.target.natural_frequency
    True
    >>> [layer.face for layer in floor.strength.layer_verdicts]
    ['bottom', 'top']
    >>> [check.name for check in floor.checks if not check.ok]  # the springs were chosen for a thinner slab
    ['largest load ratio, service']
    """

    case: Case
    solution: Solution
    schedule: JackSchedule

    @property
    def jacks(self) -> list[dict[str, Any]]:
        """A dictionary a jack, with the names of results.json."""
        return schedule_json(self.schedule)

    def jack_loads_kN(self, state: str) -> Loads:
        """Jack -> load in a state ("bare", "service" or "full"), kN."""
        loads = self._of_state(self.schedule.loads, state) / 1e3
        return dict(zip(self.schedule.ids, loads.tolist(), strict=True))

    def load_ratios(self, state: str = "service") -> Loads:
        """Jack -> load over rated load."""
        ratios = self._of_state(self.schedule.loads, state) / self.schedule.rated_loads
        return dict(zip(self.schedule.ids, ratios.tolist(), strict=True))

    @property
    def modes(self) -> ModalResult:
        """The lowest modes in service: frequencies in Hz, shares of the mass in heave and rocking, kinds."""
        return self.solution.modes

    def load_kN(self, state: str) -> float:
        """All that presses down on the floor in a state, kN."""
        states = list(self.solution.states)
        self._of_state(self.schedule.loads, state)
        force = (self.solution.floor.resultants @ self.solution.floor.state_matrix())[0]
        return float(force[states.index(state)]) / 1e3

    @property
    def heave_frequency_hz(self) -> float:
        """Frequency in service of the mode with the largest share of the mass in heave, Hz."""
        return self.solution.heave_frequency

    @cached_property
    def strength(self) -> Strength:
        """The slab to EN 1992-1-1; raises NotGiven without [reinforcement]."""
        found = slab_strength(self.solution)
        if found is None:
            raise NotGiven("strength: case.toml has no [reinforcement]")
        return found

    @cached_property
    def mesh_check(self) -> MeshCheck:
        """How far one refinement of the mesh would change the answers, %."""
        return check_mesh(self.solution)

    @property
    def checks(self) -> list[Check]:
        """Every verdict on jacks, heave frequency and, with [reinforcement], strength; each says whether it is `ok`."""
        found = papers.spring_checks(self.case, self.schedule, self.heave_frequency_hz)
        return found + (list(self.strength.checks) if self.case.reinforcement else [])

    def _of_state(self, values: Mapping[str, Any], state: str) -> Any:
        if state not in values:
            raise ValueError(f"load state: got {state!r}; allowed: {', '.join(values)}")
        return values[state]


def open_case(folder: str | Path, changes: Mapping[str, object] | None = None) -> Case:
    """The case in `folder`, checked, with `changes` made to the tables of its case.toml before it is checked.

    changes: key as in the file, joined by points -> value in the unit of the key; an item of a list of tables is
    called by its name or number. Raises InputError with every problem.

    >>> case = open_case("cases/studio", {"slab.thickness_mm": 150, "imposed.pressure_kpa": 4.0})
    >>> case.slab.thickness, case.imposed.pressure
    (0.15, 4000.0)
    """
    if changes is not None and not (isinstance(changes, Mapping) and all(isinstance(key, str) for key in changes)):
        allowed = 'a dictionary of keys and values, such as {"slab.thickness_mm": 150}'
        raise TypeError(f"open_case: changes: got {changes!r}; allowed: {allowed}")
    return read_case(folder, changes or {})


def with_springs(case: Case, springs: Mapping[str, str]) -> Case:
    """The same case with other springs of its catalogue under some jacks: jack -> code.

    Raises InputError for jacks and codes that the case does not have.

    >>> case = open_case("cases/studio")
    >>> stronger = max(case.catalogue.values(), key=lambda spring: spring.rated_load)
    >>> before, after = solve(case), solve(with_springs(case, {case.jacks.ids[0]: stronger.code}))
    >>> first = case.jacks.ids[0]
    >>> after.jack_loads_kN("service")[first] > before.jack_loads_kN("service")[first]  # it draws load
    True
    """
    problems = [
        Problem("springs", quoted(jack), quoted(code), nearest(jack, case.jacks.ids, "jack"))
        for jack, code in springs.items()
        if jack not in case.jacks.ids
    ]
    problems += [
        Problem("springs", quoted(jack), quoted(code), nearest(code, case.catalogue, "spring"))
        for jack, code in springs.items()
        if code not in case.catalogue
    ]
    if problems:
        raise InputError(problems)
    pairs = zip(case.jacks.ids, case.jacks.springs, strict=True)
    chosen = tuple(case.catalogue[springs[jack]] if jack in springs else spring for jack, spring in pairs)
    return replace(case, jacks=replace(case.jacks, springs=chosen))


def solve(case: Case) -> SolvedFloor:
    """The floor of a case meshed and solved: three load states, moments and modes.

    >>> floor = solve(open_case("cases/studio"))
    >>> low, high = floor.case.target.load_ratio
    >>> [jack for jack, ratio in floor.load_ratios().items() if not low <= ratio <= high]
    []
    """
    if not isinstance(case, Case):
        raise TypeError(f"solve: got {type(case).__name__}; allowed: a case, as open_case gives it")
    floor = build_floor(case)
    solution = _solve(floor)
    return SolvedFloor(case, solution, papers.jack_schedule(floor, solution.states))


def choose_springs(folder: str | Path) -> Case:
    """The case in `folder` on springs chosen for its jacks; springs in its jack list are not looked at.

    >>> chosen = solve(choose_springs("cases/studio"))
    >>> all(check.ok for check in chosen.checks if "load ratio" in check.name)
    True
    """
    draft = read_draft(folder, "positions")
    return draft.with_springs(_choose(draft_desk(draft)).springs)


def lift_floor(case: Case) -> Raised:
    """The lift that the case asks for, turn by turn: heights, loads, bending, and the verdicts on it.

    Raises NotGiven without [lift], InputError where the lift cannot be done.

    >>> done = lift_floor(open_case("cases/studio"))
    >>> len(done.course.passes) == open_case("cases/studio").lift.passes
    True
    >>> done.worst.use < 1  # of the moment at which the young slab may crack
    True
    """
    if case.lift is None:
        raise NotGiven(f"the lift: {CASE_FILE} has no [lift]")
    floor = build_floor(case)
    return raise_floor(floor, judge(floor), lambda _: None)


def move_floor(case: Case) -> tuple[DynamicsView, list[Check]]:
    """Drops, groups, machines and air on the floor in motion, and the verdicts on it.

    Raises NotGiven where nothing in the case moves the floor, or the slab is too large for it.

    >>> case = open_case("cases/studio")
    >>> move_floor(case)  # doctest: +ELLIPSIS
    Traceback (most recent call last):
        ...
    jackfield.api.NotGiven: the floor in motion: case.toml has no [[impacts]], [[groups]], ...
    """
    if (reason := why_still(case)) is not None:
        raise NotGiven(reason)
    _, view = moved(case, lambda _: None)
    return view, case_checks(view, case)
