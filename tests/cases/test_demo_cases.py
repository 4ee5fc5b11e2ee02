"""The demo cases and the starter case, read and solved, against sums that a checker would do by hand.

Nothing here is a stored result of the program. Areas are sums of rectangles or of cross products written out; weights
are plain arithmetic on the numbers of case.toml, without the program's reader or geometry.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import jackfield.new
from jackfield.dynamics import case_checks, floor_dynamics
from jackfield.lists import case_lists
from jackfield.new import new
from jackfield.papers import Findings, checks, jack_schedule
from jackfield.pipeline import Solution, check_mesh, solve
from jackfield.strength import slab_strength
from preprocess import dynamics_tables
from preprocess.floor import build_floor
from preprocess.reader import read_case
from preprocess.table import Table

CASES = Path(__file__).parents[2] / "cases"
GRAVITY = 9.80665
"""Standard acceleration of free fall, m/s2, exact by definition (ISO 80000-3)."""
STATES = ("bare", "service", "full")


@dataclass(frozen=True)
class Demo:
    """A demo case with its area in m2, worked out by hand from the outline, and its number of jacks."""

    name: str
    area: float
    jacks: int

    @property
    def folder(self) -> Path:
        return CASES / self.name

    @property
    def tables(self) -> dict[str, Any]:
        return toml(self.folder / "case.toml")

    @property
    def solution(self) -> Solution:
        return solved(self.folder)


DEMOS = (
    # west leg, the strip south of the stair core, east leg
    Demo("weights-room", 4.5 * 10.6 + 3.3 * 4.35 + 3.2 * 9.35, jacks=9 * 4 + 4 * 5 + 3 * 4),
    # bounding rectangle less the corner that is cut out, the roof light and the riser; of 11 × 8 jacks,
    # 3 × 2 are cut off with the corner and one falls into the roof light
    Demo("roof-deck", 14.1 * 10.05 - 4.05 * 2.7 - 2.1 * 2.1 - 0.75 * 2.1, jacks=11 * 8 - 3 * 2 - 1),
    # half the sum of the cross products of neighbouring corners; the two at the datum are 0
    Demo(
        "studio",
        ((5.9 * 2.5 + 7.15 * 0.35) + (7.15 * 5.45 - 6.3 * 2.5) + (6.3 * 6.15 - 1.2 * 5.45) + (1.2 * 3.1 + 0.65 * 6.15))
        / 2,
        jacks=17 + 11 + 4,
    ),
)
every_demo = pytest.mark.parametrize("demo", DEMOS, ids=[demo.name for demo in DEMOS])


@cache
def solved(folder: Path) -> Solution:
    return solve(build_floor(read_case(folder)))


def toml(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def polygon_area(corners_mm: Sequence[Sequence[float]]) -> float:
    """Area in m2 by Gauss's formula."""
    pairs = zip(corners_mm, [*corners_mm[1:], corners_mm[0]], strict=True)
    return abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs)) / 2e6


def path_length(points_mm: Sequence[Sequence[float]]) -> float:
    """Length in m."""
    return sum(math.dist(a, b) for a, b in pairwise(points_mm)) / 1e3


def masses(case: dict[str, Any], area: float) -> dict[str, float]:
    """Mass in kg of the slab, and of all that is fixed to it or stands on it."""
    slab = case["slab"]
    finishes = sum(
        1e3 * item["pressure_kpa"] * (polygon_area(item["outline_mm"]) if "outline_mm" in item else area)
        for item in case["finishes"]
    )
    lines = sum(1e3 * item["load_kN_m"] * path_length(item["path_mm"]) for item in case.get("line_loads", []))
    return {
        "slab": area * slab["thickness_mm"] / 1e3 * slab["density_kg_m3"],
        "carried": (finishes + lines) / GRAVITY + sum(item["mass_kg"] for item in case["equipment"]),
    }


def weights(case: dict[str, Any], area: float) -> dict[str, float]:
    """Load state -> weight in N."""
    mass = masses(case, area)
    imposed = 1e3 * case["imposed"]["pressure_kpa"] * area
    bare, permanent = mass["slab"] * GRAVITY, sum(mass.values()) * GRAVITY
    sustained = case["imposed"]["service_fraction"] * imposed
    return {"bare": bare, "service": permanent + sustained, "full": permanent + imposed}


def springs_of_jacks(folder: Path) -> list[tuple[float, float, float]]:
    """Rate in N/mm, rated load in kN and solid deflection in mm at each jack, from the two files of the case."""
    file = toml(folder / "springs.toml")
    known = {s["code"]: (s["rate_N_mm"], s["rated_load_kN"], s["solid_deflection_mm"]) for s in file["spring"]}
    for pair in file.get("nested", []):
        (k1, p1, s1), (k2, p2, s2) = known[pair["outer"]], known[pair["inner"]]
        known[pair["code"]] = (k1 + k2, p1 + p2, min(s1, s2))
    rows = (folder / "jacks.csv").read_text(encoding="utf-8").split()[1:]
    return [known[row.split(",")[3]] for row in rows]


def rigid_heave_frequency(demo: Demo) -> float:
    """√(Σk / m) / 2π in Hz, the heave of the slab if it were rigid; imposed load is not mass."""
    total_rate = sum(1e3 * rate for rate, _, _ in springs_of_jacks(demo.folder))
    return math.sqrt(total_rate / sum(masses(demo.tables, demo.area).values())) / (2 * math.pi)


@every_demo
def test_area_and_mass_of_the_slab(demo: Demo) -> None:
    """To rounding: both sides are a few dozen products of the same decimals."""
    slab = demo.solution.floor.case.slab
    assert slab.plan.area == pytest.approx(demo.area, rel=1e-12)
    assert slab.mass == pytest.approx(masses(demo.tables, demo.area)["slab"], rel=1e-12)


@every_demo
def test_number_of_jacks(demo: Demo) -> None:
    assert len(demo.solution.floor.case.jacks) == demo.jacks


@every_demo
@pytest.mark.parametrize("state", STATES)
def test_jacks_carry_the_weight(demo: Demo, state: str) -> None:
    """To 1e-9, the limit that the program sets itself for equilibrium."""
    reaction = float(demo.solution.states[state].jack_load.sum())
    assert reaction == pytest.approx(weights(demo.tables, demo.area)[state], rel=1e-9)


@every_demo
def test_every_spring_is_in_its_band_in_service(demo: Demo) -> None:
    low, high = demo.tables["target"]["load_ratio"]
    rated = np.array([1e3 * load for _, load, _ in springs_of_jacks(demo.folder)])
    ratio = demo.solution.states["service"].jack_load / rated
    assert (ratio >= low).all()
    assert (ratio <= high).all()


@every_demo
def test_no_spring_is_solid_or_slack_in_any_state(demo: Demo) -> None:
    """Deflection is load over rate, from the case's own rates, and stays between nothing and solid."""
    rate, _, solid = np.array(springs_of_jacks(demo.folder)).T
    for state in demo.solution.states.values():
        deflection_mm = state.jack_load / rate
        assert (deflection_mm > 0).all()
        assert (deflection_mm < solid).all()


@every_demo
def test_heave_meets_the_target_and_is_near_that_of_a_rigid_slab(demo: Demo) -> None:
    """Within 5 %, because the springs of these cases are matched to the loads.

    A rigid motion r strains nothing, so rᵀKr = Σk and the square of the rigid slab's frequency is the mean of the
    squares of all natural frequencies, weighted by their shares of the mass in heave. Springs in proportion to the
    load on them would make the three lowest frequencies equal; rounding to a catalogue, and the imposed share of the
    load, which is no mass, part them by some per cent, and the heave mode is not further from their mean than that.
    """
    rigid = rigid_heave_frequency(demo)
    heave = demo.solution.heave_frequency
    assert heave <= demo.tables["target"]["natural_frequency_hz"]
    assert heave == pytest.approx(rigid, rel=0.05)


@every_demo
def test_lowest_mode_lies_below_the_rigid_slab(demo: Demo) -> None:
    """Rayleigh's principle with rigid heave as the trial motion; exact, so the slack is for rounding alone."""
    assert demo.solution.modes.frequencies[0] <= rigid_heave_frequency(demo) * (1 + 1e-9)


@every_demo
def test_squared_frequencies_weighted_by_heave_add_up_to_the_rigid_slab(demo: Demo) -> None:
    """The sum over all modes is exact (see above), so the first ten must stay below it; 1e-9 is for rounding.

    What they leave out is bending between jacks under the springs' own forces: as a share, the sag of a panel over
    the compression of the springs, 0.006 (a/ℓ)⁴ for an inner panel of a flat slab (Timoshenko and Woinowsky-Krieger,
    flat slabs, from memory), with spacing a and ℓ = (D × area / Σk)^¼. Here a/ℓ is about 0.6, which gives 0.1 %; edge
    panels sag more, so 0.5 % is allowed.
    """
    modes = demo.solution.modes
    mean_square = float(np.sum(modes.heave * modes.frequencies**2))
    rigid_square = rigid_heave_frequency(demo) ** 2
    assert mean_square <= rigid_square * (1 + 1e-9)
    assert mean_square >= rigid_square * 0.995


@every_demo
def test_three_lowest_modes_hold_nearly_all_rigid_motion(demo: Demo) -> None:
    """For each rigid motion the shares of all modes add up to 1 exactly (Bessel and Parseval), so three stay below.

    They are close to 1 because springs are matched to loads. To first order a rigid motion of frequency f mixes with
    bending of frequency b in the ratio e / (b²/f² − 1), where e is the unevenness of the deflection in service. At
    worst, in the weights room, e is 2.3 % (rms) and b²/f² − 1 is 0.17; the square of the ratio is below 0.02.
    """
    modes = demo.solution.modes
    for share in (modes.heave, modes.rock_x, modes.rock_y):
        assert 0.98 <= share[:3].sum() <= 1 + 1e-9


def test_rack_edge_of_the_weights_room_has_nested_pairs_and_the_largest_loads() -> None:
    """Row A stands under the rear feet of the racks; no other row along an edge bears as much a jack.

    The others are I and H at the north ends of the legs, where there is nothing but tiles.
    """
    demo = DEMOS[0]
    jacks, load = demo.solution.floor.case.jacks, demo.solution.states["service"].jack_load
    is_pair = np.array([len(spring.parts) == 2 for spring in jacks.springs])
    row = np.array([name[0] for name in jacks.ids])
    assert is_pair[row == "A"].all()
    assert not is_pair[row != "A"].any()
    assert load[row == "A"].mean() > max(load[row == "I"].mean(), load[row == "H"].mean())


def test_roof_deck_openings_have_no_jack_and_no_weight() -> None:
    """A roof light and a riser: the slab without them would weigh their area × thickness × density more."""
    demo = DEMOS[1]
    case = demo.solution.floor.case
    assert len(case.slab.plan.interiors) == 2
    without_openings = 14.1 * 10.05 - 4.05 * 2.7
    hole = without_openings * case.slab.thickness * case.slab.density - case.slab.mass
    assert hole == pytest.approx((2.1 * 2.1 + 0.75 * 2.1) * 0.150 * 2500, rel=1e-10)
    assert "E5" not in case.jacks.ids


def test_outer_jacks_of_the_studio_follow_its_slanted_walls() -> None:
    """Ring A is 300 mm in from the nearest wall; its coordinates are rounded to 5 mm, so up to 3.6 mm either way."""
    case = DEMOS[2].solution.floor.case
    corners = np.asarray(case.slab.plan.exterior.coords)
    start, along = corners[:-1], np.diff(corners, axis=0)
    ring = case.jacks.xy[[name.startswith("A") for name in case.jacks.ids]]
    offset = ring[:, None] - start
    cross = along[:, 0] * offset[..., 1] - along[:, 1] * offset[..., 0]
    distance = np.abs(cross / np.linalg.norm(along, axis=1)).min(axis=1)
    np.testing.assert_allclose(distance, 0.300, atol=0.0036)


@pytest.fixture
def starter(tmp_path: Path) -> Path:
    """Folder of a fresh starter case."""
    new(tmp_path / "x")
    return tmp_path / "x"


def test_starter_meets_all_checks(starter: Path) -> None:
    """What `jackfield new` writes is a sound floor, on its mesh and on the finer one."""
    solution = solve(build_floor(read_case(starter)))
    schedule = jack_schedule(solution.floor, solution.states)
    strength = slab_strength(solution)
    lists = case_lists(solution, schedule, strength, None)
    findings = Findings(check_mesh(solution), strength, None, (), (), lists)
    found = checks(solution, schedule, findings)
    failed = [check.name for check in found if not check.ok]
    assert failed == []
    assert set(schedule.status) == {"ok"}
    assert solution.floor.case.target.natural_frequency is not None


def test_starter_weighs_what_its_numbers_say(starter: Path) -> None:
    """A rectangle of 6.0 × 4.2 m with 5 × 4 jacks; to 1e-9, the limit of the program for equilibrium."""
    solution = solve(build_floor(read_case(starter)))
    assert len(solution.floor.case.jacks) == 5 * 4
    for state, weight in weights(toml(starter / "case.toml"), 6.0 * 4.2).items():
        assert solution.states[state].jack_load.sum() == pytest.approx(weight, rel=1e-9)


@pytest.fixture
def full_starter(starter: Path) -> Path:
    """The starter with everything taken up: lines that start with "#" and no blank are optional keys and tables."""
    path = starter / "case.toml"
    lines = path.read_text(encoding="utf-8").splitlines()
    taken_up = [line[1:] if line.startswith("#") and not line.startswith("# ") else line for line in lines]
    path.write_text("\n".join(taken_up) + "\n", encoding="utf-8")
    return starter


def test_optional_keys_of_the_starter_work_once_their_marks_are_taken_away(full_starter: Path) -> None:
    """All of them at once, if need be."""
    case = read_case(full_starter)
    assert len(case.slab.plan.interiors) == 1
    assert [line.name for line in case.line_loads] == ["Partition"]
    assert case.lift is not None
    assert case.lift.passes == 10
    assert case.mesh.size == pytest.approx(0.6, rel=1e-15)
    assert case.slab.modulus == pytest.approx(33.3e9, rel=1e-15)
    dynamics = case.dynamics
    assert dynamics.air is not None
    assert [bay.mass for bay in dynamics.bays] == pytest.approx([700 * 6.4 * 4.6 / 4], rel=1e-12)
    assert [impact.name for impact in dynamics.impacts] == ["Dumb-bell", "Soft test ball"]
    assert [len(part) for part in (dynamics.air.vents, dynamics.groups, dynamics.machines, dynamics.points)] == [1] * 4
    assert len(dynamics.sideways.strips) == 1
    assert dynamics.limits.dose == 0.4


def test_starter_in_motion_meets_all_checks(full_starter: Path) -> None:
    """Nobody who takes the tables up as they stand is met by a verdict that the example has earned, not the floor."""
    case = read_case(full_starter)
    _, view = floor_dynamics(case, lambda words: None)
    found = case_checks(view, case)
    assert {"drops", "bays", "modes", "groups, machines"} <= {check.name.split(":")[0] for check in found}
    assert [check.name for check in found if not check.ok] == []


def test_defaults_that_the_starter_shows_are_those_of_the_program(starter: Path) -> None:
    """Optional tables whose keys all stand there with their defaults change nothing once they are taken up."""
    plain = read_case(starter).dynamics
    path = starter / "case.toml"
    text = path.read_text(encoding="utf-8")
    for table in ("damping", "rubber", "sideways"):
        start = text.index(f"#[{table}]")
        end = text.index("\n\n", start)
        taken_up = "\n".join(line.removeprefix("#") for line in text[start:end].splitlines())
        text = text[:start] + taken_up + text[end:]
    path.write_text(text, encoding="utf-8")
    given = read_case(starter).dynamics
    assert given.damping == plain.damping
    assert (given.rubber.frequency, given.rubber.loss) == (plain.rubber.frequency, plain.rubber.loss)
    assert given.sideways.lateral_share == plain.sideways.lateral_share
    assert given.sideways.equipment_height == plain.sideways.equipment_height
    assert (given.assumed, given.sideways.assumed) == ((), ())


def test_starter_explains_every_table_on_what_moves_the_floor() -> None:
    """Each key of those tables stands in the starter, taken up or not."""
    text = (Path(jackfield.new.__file__).parent / "starter" / "case.toml").read_text(encoding="utf-8")
    tables = [table for table in vars(dynamics_tables).values() if isinstance(table, type) and issubclass(table, Table)]
    assert len(tables) > 10
    keys = {key for table in tables for key in table.model_fields}
    assert not {key for key in keys if not re.search(rf"\b{key}\b", text)}
