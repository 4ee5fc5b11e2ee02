"""The strength part on a small case from end to end: as objects, and by the command with the file that it writes.

An angle of slab with 18 jacks, one re-entrant corner, a rack on feet, imposed load, a lift at four days.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import redirect_stdout
from dataclasses import fields, replace
from io import StringIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial import Delaunay, KDTree
from shapely import Point

import jackfield.judged
import jackfield.run
import jackfield.strength
from jackfield.load_columns import LoadColumns, bare_at, solve_columns
from jackfield.main import main
from jackfield.pipeline import Solution, solve
from jackfield.strength import slab_strength
from postprocess.checks import Check
from postprocess.strength.combinations import strength_combinations
from postprocess.strength.design import Design
from postprocess.strength.factors import RECOMMENDED, NationalValues
from postprocess.strength.result import Strength
from postprocess.strength.slab_checks import crack_widths
from postprocess.strength.wood_armer import design_moments
from preprocess.floor import build_floor
from preprocess.reader import read_case
from tests.cases.conftest import leave_pictures_out

Floats = NDArray[np.float64]

LIFT = "\n[lift]\nage_days = 4\n"
REINFORCEMENT = """
[reinforcement]
bottom = { x_diameter_mm = 8, x_pitch_mm = 150, y_diameter_mm = 8, y_pitch_mm = 150 }
top = { x_diameter_mm = 8, x_pitch_mm = 150, y_diameter_mm = 8, y_pitch_mm = 150 }
bottom_cover_mm = 30
top_cover_mm = 30
"""
REST = """\
[project]
title = "Angle"

[slab]
outline_mm = [[0, 0], [5200, 0], [5200, 2600], [2600, 2600], [2600, 4000], [0, 4000]]
thickness_mm = 125

[[finishes]]
name = "Tiles"
pressure_kpa = 0.5

[[equipment]]
name = "Rack"
mass_kg = 900
feet_mm = [[700, 700], [1900, 700], [700, 1900], [1900, 1900]]

[imposed]
pressure_kpa = 5.0
service_fraction = 0.4

[mesh]
size_mm = 800
"""
SPRINGS = """\
[[spring]]
code = "A24"
rate_N_mm = 240
rated_load_kN = 6.0
solid_deflection_mm = 60
"""
STRIP, THICKNESS = 0.275, 0.125


def write(folder: Path, case: str) -> Path:
    """Jacks J1 to J18 in rows from south to north; those of the outer rows stand at edges and corners."""
    folder.mkdir(parents=True)
    places = [
        (x, y)
        for y in (300, 1300, 2300, 3700)
        for x in (300, 1300, 2300, 3600, 4900)
        if y < 2600 or x < 2600
    ]  # fmt: skip
    rows = [f"J{i + 1},{x},{y},A24" for i, (x, y) in enumerate(places)]
    (folder / "jacks.csv").write_text("\n".join(["id,x_mm,y_mm,spring", *rows]) + "\n", encoding="utf-8")
    (folder / "springs.toml").write_text(SPRINGS, encoding="utf-8")
    (folder / "case.toml").write_text(case, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def solution(tmp_path_factory: pytest.TempPathFactory) -> Solution:
    folder = write(tmp_path_factory.mktemp("strength") / "angle", REST + REINFORCEMENT + LIFT)
    return solve(build_floor(read_case(folder)), 3)


@pytest.fixture(scope="module")
def columns(solution: Solution) -> LoadColumns:
    return solve_columns(solution.floor, solution.factor)


@pytest.fixture(scope="module")
def strength(solution: Solution) -> Strength:
    found = slab_strength(solution)
    assert found is not None
    return found


@pytest.fixture
def reassess(
    solution: Solution, columns: LoadColumns, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Callable[[str], Strength]:
    """reassess(text): the strength with other tables [reinforcement], [factors], [lift] of the same floor.

    Its load columns, which do not depend on them, are those solved before; looked at from 0.5 m to 0.5 m.
    """
    monkeypatch.setattr(jackfield.judged, "VIEW_SIZE", 0.5)
    monkeypatch.setattr(
        jackfield.strength,
        "solve_columns",
        lambda floor, factor: replace(
            columns,
            actions=replace(columns.actions, equipment_stays=floor.case.factors.equipment == "permanent"),
        ),
    )

    def found(text: str, name: str = "case") -> Strength:
        case = read_case(write(tmp_path / name, REST + text))
        result = slab_strength(replace(solution, floor=replace(solution.floor, case=case)))
        assert result is not None
        return result

    return found


def by_name(strength: Strength) -> dict[str, Check]:
    found = {check.name: check for check in strength.checks}
    assert len(found) == len(strength.checks), "each name once"
    return found


def test_every_check_is_there(strength: Strength) -> None:
    """Value, limit, clause and what governs; a place on the plan for all but those of the steel alone."""
    found = by_name(strength)
    faces = ("bottom", "top")
    assert set(found) == {
        *(f"{where}, {face} {side}" for where in ("bending", "bending at corners") for face in faces for side in "xy"),
        *(f"{words}, {face}" for face in faces for words in ("least steel", "greatest pitch")),
        *(f"crack width, {face}, service" for face in faces),
        *(f"re-entrant corner, {state}" for state in ("bare", "service", "full", "combinations")),
        *(f"punching at {kind}, {where}" for kind in ("jacks", "feet") for where in ("perimeter", "at the load")),
        *(f"{words}, day of lifting" for words in ("concrete strength", "bending", "punching", "cracking")),
        *(f"bearing at {kind}" for kind in ("jacks", "feet")),
        "greatest steel", "shear without links", "sag between jacks, service", "age for the lift",
    }  # fmt: skip
    x0, y0, x1, y1 = 0, 0, 5.2, 4.0
    for name, check in found.items():
        assert "EN 1992-1-1" in check.basis
        assert np.isfinite([check.value, check.limit]).all()
        of_steel = name.startswith(("least steel", "greatest")) or "concrete" in name or "age" in name
        assert (check.xy is None) is of_steel, name
        if check.xy:
            assert x0 <= check.xy[0] <= x1
            assert y0 <= check.xy[1] <= y1
        if check.combination and "day of lifting" not in name:
            assert check.combination in strength.combinations


def test_bending_is_that_of_its_place_and_combination(strength: Strength, columns: LoadColumns) -> None:
    """From the load columns again, by plain sampling: the moment at the place, or over the strip of a jack in steps of
    0.14 mm, of the combination that the check names; and no other combination gives more.

    Tolerance: at points rounding; over strips 0.5 %, as moments bend sharply at the rim of a housing.
    """
    combinations = strength_combinations(columns.actions, RECOMMENDED)
    assert combinations.names == strength.combinations
    jacks = {f"jack {name}": xy for name, xy in _jacks(columns)}
    for side, name in enumerate(("bottom x", "bottom y", "top x", "top y")):
        check = by_name(strength)[f"bending, {name}"]
        assert check.xy
        if check.where in jacks:
            assert check.xy == pytest.approx(jacks[check.where])
            along = np.array([0.0, 1.0]) if name.endswith("x") else np.array([1.0, 0.0])
            steps = (np.arange(2000) + 0.5) / 2000 - 0.5
            points, tolerance = np.array(check.xy) + STRIP * steps[:, None] * along, 5e-3
        else:
            points, tolerance = np.array([check.xy]), 1e-9
        triples = columns.bending.moments(points).mean(axis=0) @ combinations.factors
        sizes = np.abs(design_moments(triples.T)[:, side]) / 1e3
        assert check.value == pytest.approx(sizes[combinations.names.index(check.combination)], rel=tolerance)
        assert sizes.max() <= check.value * (1 + tolerance)
    assert any(by_name(strength)[f"bending, top {d}"].where in jacks for d in "xy"), "the slab hogs most over a jack"


def _jacks(columns: LoadColumns) -> list[tuple[str, Floats]]:
    return [(f"J{i + 1}", xy) for i, xy in enumerate(columns.bending.forces.xy[:18])]


def test_greatest_moment_anywhere(strength: Strength, columns: LoadColumns) -> None:
    """No point of a grid of 0.1 m that lies clear of jacks, feet and the corner's zone shows notably more than the
    check: within 3 %, as the check looks at points 0.15 m apart.
    """
    combinations = strength_combinations(columns.actions, RECOMMENDED)
    x, y = np.meshgrid(np.arange(0.02, 5.2, 0.1), np.arange(0.02, 4.0, 0.1))
    grid = np.column_stack([x.ravel(), y.ravel()])
    grid = grid[((grid[:, 0] < 2.6) | (grid[:, 1] < 2.6)) & (np.hypot(*(grid - 2.6).T) > 0.5 + 0.15)]
    spots = columns.bending.forces.xy
    grid = grid[np.hypot(*(grid[:, None] - spots[None]).transpose(2, 0, 1)).min(axis=1) > STRIP / 2]
    triples = columns.bending.moments(grid) @ combinations.factors
    sizes = np.abs(design_moments(np.moveaxis(triples, 1, 2))).max(axis=(0, 1)) / 1e3
    for side, name in enumerate(("bottom x", "bottom y", "top x", "top y")):
        assert sizes[side] <= 1.03 * by_name(strength)[f"bending, {name}"].value


def test_forces_of_jacks_and_feet(strength: Strength, columns: LoadColumns) -> None:
    """The greatest of all combinations for each; feet: 1.5 × 900 kg/4, and no more. Rounding."""
    combinations = strength_combinations(columns.actions, RECOMMENDED)
    forces = columns.bending.magnitudes @ combinations.factors
    expected = np.concatenate([-forces[:18].min(axis=1), forces[18:].max(axis=1)])
    np.testing.assert_allclose([place.force for place in strength.punching], expected, rtol=1e-9)
    np.testing.assert_allclose(expected[18:], 1.5 * 900 * 9.80665 / 4)
    positions = {place.perimeter.position for place in strength.punching[:18]}
    assert positions == {"interior", "edge", "corner"}


def test_shear_is_that_of_its_place_and_combination(
    strength: Strength, columns: LoadColumns, solution: Solution
) -> None:
    """√(Qx² + Qy²) there, clear of housings and pads by 2 h, of edges by h, and of the corner's zone. Rounding."""
    check = by_name(strength)["shear without links"]
    combinations = strength_combinations(columns.actions, RECOMMENDED)
    assert check.xy
    shear = columns.bending.shear_forces(np.array([check.xy]))[0] @ combinations.factors
    size = np.hypot(*shear) / 1e3
    assert check.value == pytest.approx(size[combinations.names.index(check.combination)], rel=1e-9)
    assert size.max() == pytest.approx(check.value, rel=1e-9)
    away = np.hypot(*(columns.bending.forces.xy - np.array(check.xy)).T)
    assert away[:18].min() >= 0.15 / 2 + 2 * THICKNESS - 1e-3  # discs are drawn with chords
    assert away[18:].min() >= 0.1 / 2 + 2 * THICKNESS - 1e-3
    assert np.hypot(*(np.array(check.xy) - 2.6)) >= 0.5 - 1e-3
    assert solution.floor.case.slab.plan.boundary.distance(Point(check.xy)) >= THICKNESS - 1e-9


def test_shear_is_looked_at_wherever_it_counts(strength: Strength, columns: LoadColumns, solution: Solution) -> None:
    """The greatest of a lattice of 200 mm with the same clearances, made here by plain distances. Rounding."""
    x, y = (part.ravel() for part in np.meshgrid(np.arange(0.1, 5.2, 0.2), np.arange(0.1, 4.0, 0.2)))
    xy, forces = np.column_stack([x, y]), columns.bending.forces.xy
    plan = solution.floor.case.slab.plan
    size = np.where(np.arange(len(forces)) < 18, 0.15, 0.1)
    distance = np.hypot(x[:, None] - forces[:, 0], y[:, None] - forces[:, 1])
    keep = [plan.contains(Point(p)) and plan.boundary.distance(Point(p)) >= THICKNESS for p in xy]
    keep &= np.all(distance > size / 2 + 2 * THICKNESS, axis=1) & (np.hypot(x - 2.6, y - 2.6) > 0.5)
    factors = strength_combinations(columns.actions, RECOMMENDED).factors
    Qx, Qy = (columns.bending.shear_forces(xy[keep]) @ factors).transpose(1, 0, 2)
    assert by_name(strength)["shear without links"].value == pytest.approx(np.hypot(Qx, Qy).max() / 1e3)


def test_strip_and_zone_of_the_corner(strength: Strength) -> None:
    """Housing and thickness, 275 mm, where cracks are judged; four thicknesses for resistance."""
    (corner,) = strength.corners
    assert (corner.strip, corner.zone) == (pytest.approx(0.275), pytest.approx(0.5))
    assert strength.strip == pytest.approx(0.275)


def test_jacks_push_on_the_day_of_lifting(strength: Strength, solution: Solution) -> None:
    """Punching then is 1.35 times the load of the jack that is named, on its perimeter: no stress without a load."""
    case = solution.floor.case
    beta = float(np.exp(0.25 * (1 - np.sqrt(28 / 4))))
    loads = -bare_at(solution.floor, case.slab.modulus * beta**0.3).magnitudes[:18, 0]
    check = by_name(strength)["punching, day of lifting"]
    name = check.where.split(",")[0]
    number = case.jacks.ids.index(name.removeprefix("jack "))
    (place,) = [place for place in strength.punching if place.name == name]
    assert check.value == pytest.approx(place.stress / 1e6 * 1.35 * loads[number] / place.force)
    assert loads.min() > 0


def test_cracks_are_those_of_the_service_state(strength: Strength, solution: Solution) -> None:
    """At vertices clear of jacks, feet and the corner: widths by the moments of the state that `solve` gives, which
    the load columns reproduce to 1e-6."""
    case = solution.floor.case
    xy = strength.mesh.vertices
    spots = np.vstack([case.jacks.xy, np.concatenate([item.feet for item in case.equipment if item.feet is not None])])
    clear = KDTree(spots).query(xy)[0] > 0.3
    clear &= np.hypot(*(xy - [2.6, 2.6]).T) > 0.6
    design = Design(strength.layers, strength.materials, case.slab.concrete.fctm, case.slab.modulus, 0.012)
    column = list(solution.states).index("service")
    sizes = np.abs(design_moments(solution.bending.moments(xy[clear])[:, :, column]))
    expected = crack_widths(sizes, design)
    np.testing.assert_allclose(strength.crack_width[clear], expected, rtol=1e-5, atol=1e-5 * expected.max())
    assert expected.max() > 1e-6


def test_sag_of_the_worst_span(strength: Strength, solution: Solution) -> None:
    """Between neighbours (Delaunay, up to 1.5 times the median distance, the corner not in between): middle less mean
    of both ends, service, over the length; times 1 + φ = 3.
    """
    jacks, state = solution.floor.case.jacks, solution.states["service"]
    pairs = {tuple(sorted(p)) for t in Delaunay(jacks.xy).simplices for p in (t[[0, 1]], t[[1, 2]], t[[2, 0]])}
    spans = [(a, b, float(np.hypot(*(jacks.xy[a] - jacks.xy[b])))) for a, b in pairs]
    median = np.median([length for *_, length in spans])
    worst: tuple[float, float, str] = (0.0, 0.0, "")
    for a, b, length in spans:
        middle = jacks.xy[[a, b]].mean(axis=0)
        outside = middle.min() > 2.6
        if length > 1.5 * median or outside:
            continue
        deflection = float((solution.floor.sampler.points(middle[None]).rows @ state.displacement)[0])
        sag = abs(deflection - state.jack_deflection[[a, b]].mean())
        worst = max(worst, (sag / length, sag, f"jacks {jacks.ids[min(a, b)]} and {jacks.ids[max(a, b)]}"))
    check = by_name(strength)["sag between jacks, service"]
    assert check.value == pytest.approx(3e3 * worst[1], rel=1e-6)
    assert check.where == worst[2]


def test_day_of_lifting_has_the_modulus_of_its_age(strength: Strength, solution: Solution) -> None:
    """The greatest moment of the bare slab with Ecm(4) = Ecm βcc(4)^0.3, class N, where it is named. Rounding."""
    case = solution.floor.case
    beta = float(np.exp(0.25 * (1 - np.sqrt(28 / 4))))
    bare = bare_at(solution.floor, case.slab.modulus * beta**0.3)
    check = by_name(strength)["cracking, day of lifting"]
    assert strength.lift
    assert strength.lift.concrete.modulus == pytest.approx(case.slab.modulus * beta**0.3, rel=1e-12)
    assert check.xy
    if check.where.startswith("slab"):
        Mx, My, Mxy = bare.moments(np.array([check.xy]))[0, :, 0] / 1e3
        principal = np.abs(np.linalg.eigvalsh([[Mx, Mxy], [Mxy, My]])).max()
        assert check.value == pytest.approx(principal, rel=1e-9)
    assert check.value == pytest.approx(strength.lift.moment / 1e3)
    old = bare_at(solution.floor, case.slab.modulus)
    assert np.abs(old.magnitudes - bare.magnitudes).max() > 1.0, "the modulus changes jack loads"


EXPECTED: dict[str, tuple[float, str, str, int]] = {
    "gamma_g": (1.2, "punching at jacks, perimeter", "value", -1),
    "gamma_q": (2.0, "punching at jacks, perimeter", "value", 1),
    "creep_coefficient": (3.0, "sag between jacks, service", "value", 1),
    "gamma_c": (1.3, "bearing at jacks", "limit", 1),
    "gamma_s": (1.0, "bending, bottom x", "limit", 1),
    "alpha_cc": (0.85, "bearing at jacks", "limit", -1),
    "crd_c": (0.3, "shear without links", "limit", 1),
    "v_min": (0.05, "punching at jacks, perimeter", "limit", 1),
    "nu": (0.5, "punching at feet, at the load", "limit", -1),
    "v_rd_max": (0.4, "punching at jacks, at the load", "limit", -1),
    "beta_interior": (3.0, "punching at jacks, perimeter", "value", 1),
    "beta_edge": (3.0, "punching at jacks, perimeter", "value", 1),
    "beta_corner": (3.0, "punching at jacks, perimeter", "value", 1),
    "w_max_mm": (0.2, "crack width, top, service", "limit", -1),
    "k3": (2.0, "crack width, bottom, service", "value", -1),
    "k4": (0.3, "crack width, bottom, service", "value", -1),
    "as_min_tension": (0.4, "least steel, bottom", "limit", 1),
    "as_min_ratio": (0.005, "least steel, top", "limit", 1),
    "as_max_ratio": (0.03, "greatest steel", "limit", -1),
    "pitch_depths": (1.5, "greatest pitch, top", "limit", -1),
    "pitch_mm": (200.0, "greatest pitch, bottom", "limit", -1),
}
"""Key of [factors] -> its new value, the check that it moves, what of it, and which way (+1: it grows)."""


def test_every_value_of_a_country_is_looked_at() -> None:
    keys = {key.removesuffix("_mm") for key in (*EXPECTED, "gamma_g_favourable")}
    assert keys == {field.name for field in fields(NationalValues)}


def test_values_of_a_country_change_the_result(reassess: Callable[..., Strength]) -> None:
    """One by one through the case file: the check that rests on it moves the way it must, by more than rounding."""
    plain = by_name(reassess(REINFORCEMENT, "plain"))
    wrong = []
    for key, (value, name, part, way) in EXPECTED.items():
        found = by_name(reassess(f"{REINFORCEMENT}\n[factors]\n{key} = {value}\n", key))
        change = getattr(found[name], part) / getattr(plain[name], part) - 1
        if not way * change > 1e-3:
            wrong.append((key, change))
    assert not wrong


def test_lower_permanent_load_lets_patterns_hog_more(reassess: Callable[..., Strength]) -> None:
    """γG,inf from 1.0 to 0: with less weight that holds down, imposed load on one part lifts the other part more."""
    plain = by_name(reassess(REINFORCEMENT, "plain"))
    found = by_name(reassess(f"{REINFORCEMENT}\n[factors]\ngamma_g_favourable = 0.0\n", "none"))
    changes = [found[name].value / plain[name].value for name in plain if name.startswith("bending")]
    assert max(changes) > 1.01
    assert min(changes) > 1 - 1e-12, "a wider range of factors never makes the worst case better"


def test_recommended_values_by_one_word(reassess: Callable[..., Strength]) -> None:
    """The same as no table at all, check by check; a changed value beside the word stays changed."""
    plain = reassess(REINFORCEMENT, "plain")
    named = reassess(f'{REINFORCEMENT}\n[factors]\nvalues = "recommended"\n', "named")
    assert named.checks == plain.checks
    assert named.materials == plain.materials
    changed = reassess(f'{REINFORCEMENT}\n[factors]\nvalues = "recommended"\ngamma_c = 1.3\n', "changed")
    assert changed.materials.values == replace(RECOMMENDED, gamma_c=1.3)
    assert changed.checks != plain.checks


def test_equipment_that_stays(reassess: Callable[..., Strength]) -> None:
    """γG instead of γQ on feet: 1.35/1.5 of the force."""
    plain = by_name(reassess(REINFORCEMENT, "plain"))
    stays = by_name(reassess(f'{REINFORCEMENT}\n[factors]\nequipment = "permanent"\n', "stays"))
    name = "punching at feet, at the load"
    assert stays[name].value / plain[name].value == pytest.approx(1.35 / 1.5)


def test_the_program_chooses(reassess: Callable[..., Strength]) -> None:
    """The lightest pair of fabrics that passes: it passes, and lighter neighbours do not."""
    text = '\n[reinforcement]\nbottom = "{}"\ntop = "{}"\nbottom_cover_mm = 30\ntop_cover_mm = 30\n'
    chosen = reassess(text.format("choose", "choose"), "choose")
    assert chosen.chosen
    assert chosen.layers.bottom
    assert chosen.layers.top
    assert all(check.ok for check in chosen.checks)
    fabrics = ("A142", "A193", "A252", "A393")
    bottom, top = (fabrics.index(mat.name) for mat in (chosen.layers.bottom, chosen.layers.top))
    assert bottom + top > 0
    for lighter in ((bottom - 1, top), (bottom, top - 1)):
        if min(lighter) >= 0:
            found = reassess(text.format(*(fabrics[i] for i in lighter)), f"pair {lighter}")
            assert not all(check.ok for check in found.checks)
            assert not found.chosen


def test_no_reinforcement_no_strength(solution: Solution, tmp_path: Path) -> None:
    case = read_case(write(tmp_path / "plain", REST))
    assert slab_strength(replace(solution, floor=replace(solution.floor, case=case))) is None


def run(folder: Path, out: Path) -> dict[str, Any]:
    assert main(["run", str(folder), "--out", str(out), "--quiet"]) == 0
    return dict(json.loads((out / "results.json").read_text(encoding="utf-8")))


@pytest.fixture(scope="module")
def whole_run(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, Any], str]:
    """results.json of a run with all, and what the run says."""
    place, said = tmp_path_factory.mktemp("whole"), StringIO()
    folder = write(place / "angle", REST + REINFORCEMENT + LIFT)
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(said):
        leave_pictures_out(patch)
        assert main(["run", str(folder), "--out", str(place / "papers")]) == 0
    return json.loads((place / "papers" / "results.json").read_text(encoding="utf-8")), said.getvalue()


def test_command_with_all(strength: Strength, whole_run: tuple[dict[str, Any], str]) -> None:
    """results.json: the strength, and its checks among the others with clause, place in mm and combination."""
    results = whole_run[0]
    assert not [words for words in results["left_out"] if "strength" in words]
    found = {row["name"]: row for row in results["checks"]}
    assert len(found) == len(results["checks"])
    for check in strength.checks:
        row = found[check.name]
        assert row["value"] == pytest.approx(check.value, rel=1e-6)
        assert row["limit"] == pytest.approx(check.limit, rel=1e-6)
        assert (row["unit"], row["basis"], row["ok"]) == (check.unit, check.basis, check.ok)
        assert (row["where"], row.get("combination", "")) == (check.where, check.combination)
        if check.xy:
            assert (row["x_mm"], row["y_mm"]) == pytest.approx((1e3 * check.xy[0], 1e3 * check.xy[1]))
        else:
            assert not {"x_mm", "y_mm"} & set(row)
    part = results["strength"]
    assert [layer["fabric"] for layer in part["layers"]] == ["8 at 150 × 8 at 150 mm"] * 2
    assert part["combinations"] == list(strength.combinations)
    assert len(part["punching"]) == 18 + 4
    assert [(row["x_mm"], row["y_mm"]) for row in part["corners"]] == [(pytest.approx(2600), pytest.approx(2600))]
    assert strength.lift
    assert part["lift"]["earliest_age_days"] == strength.lift.earliest_age


@pytest.mark.usefixtures("no_pictures")
def test_command_without_a_lift(tmp_path: Path) -> None:
    """The rest of the strength is there; that the day of lifting was left out is said."""
    results = run(write(tmp_path / "angle", REST + REINFORCEMENT), tmp_path / "papers")
    assert results["strength"]["lift"] is None
    assert not [row for row in results["checks"] if "lift" in row["name"]]
    assert [row for row in results["checks"] if row["name"] == "bending, bottom x"]
    assert [words for words in results["left_out"] if "day of lifting" in words and "[lift]" in words]


@pytest.mark.usefixtures("no_pictures")
def test_command_without_reinforcement(tmp_path: Path) -> None:
    """Jacks and modes as before; that the strength was left out is said."""
    results = run(write(tmp_path / "angle", REST + LIFT), tmp_path / "papers")
    assert results["strength"] is None
    assert len(results["jacks"]) == 18
    names = [row["name"] for row in results["checks"] if "EN 1992" in row["basis"]]
    assert not [name for name in names if not name.startswith("lift: ")]
    assert [words for words in results["left_out"] if "strength" in words and "[reinforcement]" in words]


def test_terminal_says_what_the_layers_are_for(strength: Strength, whole_run: tuple[dict[str, Any], str]) -> None:
    """Both layers with their use, what fails without them, the corner's trimmers, and the first day of the lift."""
    said = " ".join(whole_run[1].split())
    for layer in strength.layer_verdicts:
        assert " ".join(f"│ {use:.0%}" for use in layer.use) in said
        assert f"Without the {layer.face} layer fails: {'; '.join(layer.fails_without)}" in said
    assert "Re-entrant corner at (2.600, 2.600) m: cracks start here; trimmers" in said
    assert strength.lift
    assert f"passes from day {strength.lift.earliest_age} on" in said
