"""A sound case arrives in SI; unsound ones stand in test_bad_input.py."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from preprocess.case import Case, Factors, LevelRules, Mat, Reinforcement
from preprocess.reader import read_case


@pytest.fixture
def case(small_case: Path) -> Case:
    return read_case(small_case)


def without(folder: Path, *lines: str) -> None:
    """Takes lines out of case.toml."""
    path = folder / "case.toml"
    text = path.read_text(encoding="utf-8")
    for line in lines:
        assert f"{line}\n" in text
        text = text.replace(f"{line}\n", "")
    path.write_text(text, encoding="utf-8")


def test_project_and_name(case: Case, small_case: Path) -> None:
    assert case.name == "small"
    assert case.folder == small_case
    assert (case.project.title, case.project.reference, case.project.revision) == (
        "Practice room over a workshop",
        "T-1",
        "B",
    )


def test_slab(case: Case) -> None:
    assert case.slab.plan.area == pytest.approx(54, rel=1e-14)
    assert case.slab.thickness == 0.125
    assert case.slab.mass == pytest.approx(54 * 0.125 * 2500, rel=1e-14)
    assert case.slab.poissons_ratio == 0.2
    # Ecm of C32/40 by EN 1992-1-1:2004, Table 3.1, worked out by hand to four digits
    assert case.slab.modulus == pytest.approx(33.35e9, abs=0.005e9)


def test_jacks(case: Case) -> None:
    assert len(case.jacks) == 35
    assert case.jacks.ids[:2] == ("J1", "J2")
    assert case.jacks.xy[8].tolist() == [1.8, 1.725]
    assert case.jacks.footprint == 0.15
    assert case.jacks.springs[15].parts == ("A7", "B2")
    assert case.jacks.rates[15] == pytest.approx(360e3, rel=1e-15)
    assert case.jacks.rated_loads[0] == 7000
    assert case.jacks.solid_deflections[15] == 0.054
    assert not case.jacks.advance.any()


def test_loads(case: Case) -> None:
    timber, tiles = case.finishes
    assert (timber.pressure, timber.area) == (300, None)
    assert tiles.area is not None
    assert tiles.area.area == pytest.approx(4, rel=1e-14)
    rack, platform = case.equipment
    assert rack.feet is not None
    assert rack.feet.tolist() == [[1, 4.3], [1, 3.3], [2.2, 4.3], [2.2, 3.3]]
    assert (rack.mass, rack.foot, rack.area) == (840, 0.1, None)
    assert platform.area is not None
    assert platform.feet is None
    [partition] = case.line_loads
    assert partition.load == 800
    assert partition.path.shape == (3, 2)
    assert (case.imposed.pressure, case.imposed.service_fraction) == (5000, 0.1)


def test_target_lift_and_mesh(case: Case) -> None:
    assert case.target.natural_frequency == 3.6
    assert case.target.load_ratio == (0.75, 1.05)
    assert case.lift is not None
    assert (case.lift.pitch, case.lift.turns_per_pass, case.lift.passes) == (0.003, 2, 10)
    assert (case.lift.order, case.lift.age_days) == ("listed", 4)
    assert (case.mesh.size, case.mesh.corner_size, case.mesh.jack_size) == (None, None, None)


def test_lift_in_si(small_case: Path) -> None:
    """Lengths in m, bond in Pa, stiffness in N/m3; an air gap leaves the number of passes open."""
    path = small_case / "case.toml"
    text = path.read_text(encoding="utf-8").replace("passes = 10", "air_gap_mm = 50")
    more = "slack_mm = 4\nbond_kpa = 2\nsheet_stiffness_N_mm3 = 20\nlattice_mm = 350\n"
    path.write_text(text.replace('order = "listed"', f'order = "from-middle"\n{more}'), encoding="utf-8")
    lift = read_case(small_case).lift
    assert lift is not None
    assert (lift.passes, lift.air_gap, lift.order) == (None, 0.05, "from-middle")
    assert (lift.slack, lift.bond, lift.sheet_stiffness, lift.lattice) == (0.004, 2000, 20e9, 0.35)
    assert lift.floor is None


def test_lift_and_level_without_keys(case: Case) -> None:
    """3 mm under a straightedge of 2 m is class SR1 of BS 8204; the others are the program's own."""
    lift = case.lift
    assert lift is not None
    assert (lift.air_gap, lift.slack, lift.bond, lift.sheet_stiffness, lift.lattice) == (None, 0, 0, 10e9, None)
    assert case.level == LevelRules(0.003, 0.003, 2, 0.0005, "bare", "service", 10, None)


def test_level_in_si(small_case: Path) -> None:
    with (small_case / "case.toml").open("a", encoding="utf-8") as file:
        file.write(
            "[level]\noverall_mm = 5\nstraightedge_mm = 2\nstraightedge_m = 3\nsurvey_deviation_mm = 1\n"
            'surveyed_in = "service"\nlevel_in = "full"\nmost_turns = 4.5\nage_days = 14\n'
        )
    rules = LevelRules(0.005, 0.002, 3, 0.001, "service", "full", 4.5, 14)
    assert read_case(small_case).level == rules


def test_reinforcement_and_factors(small_case: Path) -> None:
    """Lengths in m, strength in Pa; a factor that is not given does not change."""
    with (small_case / "case.toml").open("a", encoding="utf-8") as file:
        file.write(
            '[reinforcement]\nbottom = "A252"\ntop = "choose"\nbottom_cover_mm = 25\ntop_cover_mm = 20\n'
            'bottom_outer = "y"\nyield_strength_mpa = 460\ntrimmer_diameter_mm = 16\n'
            '[factors]\nequipment = "permanent"\ngamma_c = 1.4\nw_max_mm = 0.2\n'
        )
    case = read_case(small_case)
    bottom = Mat("A252", (0.008, 0.008), (0.2, 0.2))
    assert case.reinforcement == Reinforcement(bottom, None, 0.025, 0.020, "y", "x", 460e6, 0.016)
    assert case.factors == Factors({"gamma_c": 1.4, "w_max": 0.0002}, "permanent")


def test_jacks_carry_about_nine_tenths_of_their_rating_in_service(case: Case) -> None:
    """Keeps the shared case sane: permanent loads and the sustained imposed load over all rated loads."""
    area = case.slab.plan.area
    masses = case.slab.mass + sum(item.mass for item in case.equipment)
    spread = 300 * area + 500 * 4 + 0.1 * 5000 * area
    line = 800 * (1.2 + 3.0)
    ratio = (9.80665 * masses + spread + line) / case.jacks.rated_loads.sum()
    assert 0.8 < ratio < 1.0


def test_arrays_are_read_only(case: Case) -> None:
    rack = case.equipment[0]
    assert rack.feet is not None
    for array in (case.jacks.xy, case.jacks.advance, rack.feet, case.line_loads[0].path):
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 0


def test_defaults(small_case: Path) -> None:
    """Defaults of the contract, density after EN 1991-1-1:2002, Table A.1."""
    without(
        small_case,
        "openings_mm = []",
        "density_kg_m3 = 2500",
        'cement_class = "N"',
        "poissons_ratio = 0.2",
        "footprint_mm = 150",
        "foot_mm = 100",
        "[imposed]\npressure_kpa = 5.0\nservice_fraction = 0.1",
        "[target]\nnatural_frequency_hz = 3.6\nload_ratio = [0.75, 1.05]",
        'pitch_mm = 3.0\nturns_per_pass = 2\npasses = 10\norder = "listed"',
        'reference = "T-1"\nrevision = "B"',
    )
    case = read_case(small_case)
    assert (case.project.reference, case.project.revision) == ("", "A")
    assert (case.slab.density, case.slab.poissons_ratio) == (2500, 0.2)
    assert case.slab.concrete.cement_class == "N"
    assert case.jacks.footprint == 0.15
    assert case.equipment[0].foot == 0.1
    assert (case.imposed.pressure, case.imposed.service_fraction) == (0, 0)
    assert (case.target.natural_frequency, case.target.load_ratio) == (None, (0.75, 1.05))
    assert case.lift is not None
    assert (case.lift.pitch, case.lift.turns_per_pass, case.lift.passes) == (0.003, 2, 10)


def test_optional_tables(small_case: Path) -> None:
    path = small_case / "case.toml"
    text = path.read_text(encoding="utf-8")
    text = text[: text.index("[lift]")] + "[mesh]\nsize_mm = 800\ncorner_size_mm = 200\n"
    path.write_text(
        text.replace("thickness_mm = 125", "thickness_mm = 125\nmodulus_gpa = 20"), encoding="utf-8"
    )
    case = read_case(str(small_case))
    assert case.lift is None
    assert (case.mesh.size, case.mesh.corner_size, case.mesh.jack_size) == (0.8, 0.2, None)
    assert case.slab.modulus == 20e9


def test_byte_order_marks_and_crlf_are_forgiven(small_case: Path) -> None:
    plain = read_case(small_case)
    for name in ("case.toml", "springs.toml", "jacks.csv"):
        path = small_case / name
        path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    marked = read_case(small_case)
    assert marked.jacks.ids == plain.jacks.ids
    assert np.array_equal(marked.jacks.xy, plain.jacks.xy)
    assert marked.project == plain.project


def test_either_direction_and_a_closing_corner_give_the_same_plan(small_case: Path) -> None:
    path = small_case / "case.toml"
    text = path.read_text(encoding="utf-8")
    turned = "[[0, 0], [0, 6000], [9000, 6000], [9000, 0], [0, 0]]"
    path.write_text(text.replace("[[0, 0], [9000, 0], [9000, 6000], [0, 6000]]", turned, 1), encoding="utf-8")
    plan = read_case(small_case).slab.plan
    assert plan.exterior.is_ccw
    assert len(plan.exterior.coords) == 5
    assert plan.area == pytest.approx(54, rel=1e-14)


def test_files_in_a_subfolder(small_case: Path) -> None:
    (small_case / "data").mkdir()
    (small_case / "jacks.csv").rename(small_case / "data" / "positions.csv")
    path = small_case / "case.toml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("jacks.csv", "data/positions.csv"), encoding="utf-8"
    )
    assert len(read_case(small_case).jacks) == 35


def test_least_case(small_case: Path) -> None:
    """Only what the contract marks as required: files by their usual names, strength class and all else by default."""
    outline = "outline_mm = [[0, 0], [9000, 0], [9000, 6000], [0, 6000]]"
    text = f'[project]\ntitle = "T"\n[slab]\n{outline}\nthickness_mm = 125\n'
    (small_case / "case.toml").write_text(text, encoding="utf-8")
    case = read_case(small_case)
    assert len(case.jacks) == 35
    assert case.slab.concrete.strength_class == "C32/40"
    assert case.equipment == case.finishes == case.line_loads == ()
    assert case.reinforcement is None
    assert case.factors == Factors({}, "variable")
