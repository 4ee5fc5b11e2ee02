"""Bad input on what moves the floor: every problem at once, by table, number and name, never a traceback."""

# ruff: noqa: E501 - a table of bad input reads best with one case a line

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from preprocess.dynamics import Dynamics
from preprocess.errors import InputError, Problem
from preprocess.reader import read_case, read_draft
from tests.unit.dynamics_case import DYNAMICS, add_dynamics

BAY = 'bays 1 ("West")'
VENT = 'vents 1 ("Slot")'
BAR = 'impacts 1 ("Loaded bar")'
FAN = 'machines 1 ("Fan")'
CLASS = 'groups 1 ("Class")'

BAD_INPUT = [
    # numbers that make no sense
    ("frequency_hz = 9.5", "frequency_hz = 0", f"{BAY}.frequency_hz: got 0: a number from 1 to 100 Hz"),
    ("frequency_hz = 9.5", "frequency_hz = -9.5", f"{BAY}.frequency_hz: got -9.5: a number from 1 to 100 Hz"),
    ("frequency_hz = 9.5", "frequency_hz = nan", f"{BAY}.frequency_hz: got nan: a number from 1 to 100 Hz"),
    ("modal_mass_kg = 5000", "modal_mass_kg = 0", f"{BAY}.modal_mass_kg: got 0: a number from 1 to 100,000,000 kg"),
    ("damping_percent = 4", "damping_percent = 0", f"{BAY}.damping_percent: got 0: a number from 0.05 to 50 %"),
    ("damping_percent = 4", "damping_percent = -1", f"{BAY}.damping_percent: got -1: a number from 0.05 to 50 %"),
    ("gap_mm = 45", "gap_mm = 0", "air.gap_mm: got 0: a number from 5 to 1,000 mm"),
    ("gap_mm = 45", "gap_mm = 4500", "air.gap_mm: got 4500: a number from 5 to 1,000 mm"),
    ("gap_mm = 45", "", "air.gap_mm: required, but missing"),
    ("exponent = 1.2", "exponent = 0.9", "air.exponent: got 0.9: a number from 1 to 1.4"),
    ("loss_factor = 0.05", "loss_factor = -0.1", "air.loss_factor: got -0.1: a number from 0.001 to 1"),
    ("width_mm = 20", "width_mm = 0", f"{VENT}.width_mm: got 0: a number from 1 to 1,000 mm"),
    ("springs_percent = 0.5", "springs_percent = 90", "damping.springs_percent: got 90: a number from 0.05 to 50 %"),
    ("stiffness_N_mm = 800", "stiffness_N_mm = 0", 'coverings 1 ("Thick tiles").stiffness_N_mm: got 0: a number from 10 to 1,000,000 N/mm'),
    ("stiffness_N_mm = 800", "", 'coverings 1 ("Thick tiles").stiffness_N_mm: required, but missing'),
    ("restitution = 0.3", "restitution = 1.3", 'coverings 1 ("Thick tiles").restitution: got 1.3: a number from 0.05 to 1'),
    ("mass_kg = 140", "mass_kg = inf", f"{BAR}.mass_kg: got inf: a number from 0.5 to 5,000 kg"),
    ("height_mm = 1200", "height_mm = -1200", f"{BAR}.height_mm: got -1200: a number from 1 to 20,000 mm"),
    ("footprint_mm = 450", "footprint_mm = 0", f"{BAR}.footprint_mm: got 0: a number from 1 to 2,000 mm"),
    ("drops_a_day = 40", "drops_a_day = 0.5", f"{BAR}.drops_a_day: got 0.5: a whole number from 1 to 100000"),
    ("contact_ms = 20", "contact_ms = 0", 'impacts 2 ("Ball").contact_ms: got 0: a number from 1 to 200 ms'),
    ("people = 10", "people = 0", f"{CLASS}.people: got 0: a whole number from 1 to 10000"),
    ("person_kg = 80", "person_kg = true", 'groups 2 ("Jumpers").person_kg: got true: a number from 10 to 300 kg'),
    ("[2, 2.75]", "[2.75, 2]", f"{CLASS}.frequency_hz: got [2.75, 2]: two numbers [from, to] in Hz, from not above to, both within 0.5 to 4 Hz"),
    ("[2, 2.75]", "[0, 2.75]", f"{CLASS}.frequency_hz: got [0, 2.75]: two numbers [from, to] in Hz"),
    ("[2, 2.75]", "2", f"{CLASS}.frequency_hz: got 2: two numbers [from, to] in Hz"),
    ("[1.2, 0.4, 0]", "[1.2, 0.4]", 'groups 3 ("Own factors").factors: got [1.2, 0.4]: three numbers from 0 to 5'),
    ("[1.2, 0.4, 0]", "[0, 0, 0]", 'groups 3 ("Own factors").factors: got [0, 0, 0]: three numbers from 0 to 5, of harmonics 1 to 3, one of them above 0'),
    ("[900, 1450]", "[1450, 900]", f"{FAN}.speed_rpm: got [1450, 900]: two numbers [from, to] in rpm, from not above to"),
    ("[900, 1450]", "[0, 1450]", f"{FAN}.speed_rpm: got [0, 1450]: two numbers [from, to] in rpm"),
    ("unbalance_kg_mm = 5", "unbalance_kg_mm = -5", 'machines 2 ("Treadmill").unbalance_kg_mm: got -5: a number above 0'),
    ("frequency_hz = 14", "frequency_hz = 0", "rubber.frequency_hz: got 0: a number from 1 to 100 Hz"),
    ("lateral_share = 0.8", "lateral_share = 0", "sideways.lateral_share: got 0: a number above 0, at most 10"),
    ("rate_N_mm_m = 25", "rate_N_mm_m = 0", 'edge_strips 1 ("South wall").rate_N_mm_m: got 0: a number above 0'),
    ("shear_share = 0.4", "shear_share = 4", 'edge_strips 1 ("South wall").shear_share: got 4: a number from 0 to 1'),
    ("dose_m_s175 = 0.4", "dose_m_s175 = 0", "vibration.dose_m_s175: got 0: a number above 0"),
    # choices, keys, shapes
    ('edge = "vents"', 'edge = "vent"', "air.edge: got 'vent': no such edge; the nearest is \"vents\""),
    ('"rhythmic"', '"rythmic"', f"{CLASS}.activity: got 'rythmic': no such activity; the nearest is \"rhythmic\""),
    ("drops_a_day", "drops_per_day", f'{BAR}.drops_per_day: got 40: no such key; the nearest is "drops_a_day"'),
    ("[damping]", "[[damping]]", "damping: got [{'springs_percent': 0.5, 'slab_percent': 1.5}]: a table, written [damping]"),
    ("[[response_points]]", "[response_points]", "response_points: got {'name': 'Middle', 'place_mm': [4500, 3000]}: tables, each written [[response_points]] with name and place_mm, at least"),
    ("place_mm = [4500, 3000]", "place_mm = [[4500, 3000]]", 'response_points 1 ("Middle").place_mm: got [[4500, 3000]]: a point [x, y]'),
    ("path_mm = [[9000, 1000], [9000, 6000]]", "path_mm = [[9000, 1000]]", 'vents 2 ("Open end").path_mm: got [[9000, 1000]]: 2 or more points'),
    ('name = "East"', 'name = "West"', 'bays 2 ("West").name: got "West": each name once; bays 1 has it already'),
    ('name = "Ball"', 'name = "Loaded bar"', 'impacts 2 ("Loaded bar").name: got "Loaded bar": each name once; impacts 1'),
    ('name = "Mat"', 'name = "Thick tiles"', 'coverings 2 ("Thick tiles").name: got "Thick tiles": each name once'),
    # keys that belong together or exclude each other
    ("modal_mass_kg = 5000", "", f"{BAY}: got neither: exactly one of modal_mass_kg and mass_kg_m2"),
    ("modal_mass_kg = 5000", "modal_mass_kg = 5000\nmass_kg_m2 = 600", f"{BAY}: got modal_mass_kg and mass_kg_m2: exactly one of"),
    ('edge = "vents"', 'edge = "sealed"', 'vents: got air.edge = "sealed": no [[vents]] unless [air] has edge = "vents"'),
    ("width_mm = 20\n", "", f"{VENT}.depth_mm: got 100: no depth_mm without width_mm"),
    ('covering = "Thick tiles"', 'covering = "Thick tile"', f'{BAR}.covering: got "Thick tile": no such covering; the nearest is "Thick tiles"'),
    ('covering = "Thick tiles"', 'covering = "Thick tiles"\ncontact_ms = 20', f"{BAR}: got covering and contact_ms: covering or contact_ms, not both"),
    ("contact_ms = 20\n", "", 'impacts 2 ("Ball").restitution: got 0.8: no restitution without contact_ms'),
    ("stiffness_N_mm = 800", "stiffness_N_mm = 10", f'{BAR}.covering: got "Thick tiles", on which 140 kg lie for 242 ms: a covering with a first touch of 1 to 200 ms: a stiffer one'),
    ("mass_kg = 140", "mass_kg = 0.5", None),
    # a weight set down: 140 kg x 9.80665 on 800 N/mm press it in by 1.716 mm, 5000 kg on the assumed 1500 N/mm by 32.69;
    # a contact of 200 ms with restitution 0.8 by g (2τ/(π(1 + e)))2 = 49.07 mm, any mass; four times that, rounded up
    ("height_mm = 1200", "height_mm = 6", f"{BAR}.height_mm: got 6, a weight set down rather than dropped: at rest 140 kg press the covering in by 1.72 mm: 7 mm or more, 4 times that, or a stiffer covering"),
    ("height_mm = 1200", "height_mm = 7", None),
    ("mass_kg = 40\nheight_mm = 600", "mass_kg = 5000\nheight_mm = 130", 'impacts 3 ("Dumb-bell").height_mm: got 130, a weight set down rather than dropped: at rest 5000 kg press the covering in by 32.7 mm: 131 mm or more'),
    ("mass_kg = 40\nheight_mm = 600", "mass_kg = 5000\nheight_mm = 131", None),
    ("height_mm = 1000\nplace_mm = [6000, 3000]\ncontact_ms = 20", "height_mm = 196\nplace_mm = [6000, 3000]\ncontact_ms = 200", 'impacts 2 ("Ball").height_mm: got 196, a weight set down rather than dropped: at rest 2.5 kg press the covering in by 49.1 mm: 197 mm or more'),
    ("height_mm = 1000\nplace_mm = [6000, 3000]\ncontact_ms = 20", "height_mm = 197\nplace_mm = [6000, 3000]\ncontact_ms = 200", None),
    ('activity = "rhythmic"', "", f"{CLASS}: got neither: exactly one of activity and factors"),
    ('activity = "rhythmic"', 'activity = "rhythmic"\nfactors = [1, 1, 1]', f"{CLASS}: got activity and factors: exactly one of"),
    ("rotor_kg = 60\n", "", f"{FAN}: got grade_mm_s: unbalance_kg_mm, or rotor_kg with grade_mm_s"),
    ("rotor_kg = 60\n", "unbalance_kg_mm = 1\n", f"{FAN}: got unbalance_kg_mm and grade_mm_s: unbalance_kg_mm, or"),
    ("unbalance_kg_mm = 5\n", "", 'machines 2 ("Treadmill"): got none of them: unbalance_kg_mm, or rotor_kg with'),
    # places
    ("[[0, 6500], [4500, -500]]", "[[0, 6500], [0, -500]]", f"{BAY}.corners_mm: got [[0, 6500], [0, -500]]: two opposite corners [[x, y], [x, y]] in mm, 100 mm or more apart both in x and in y"),
    ("[[0, 6500], [4500, -500]]", "[[0, 6500]]", f"{BAY}.corners_mm: got [[0, 6500]]: two opposite corners"),
    ("[[0, 6500], [4500, -500]]", "[[0, 6500], 4500]", f"{BAY}.corners_mm: got [[0, 6500], 4500]: a point [x, y]"),
    ("[[0, 6500], [4500, -500]]", "[[0, 6500], [4600, -500]]", f'bays 2 ("East").corners_mm: got a rectangle that overlaps {BAY} near (4550, 3000) mm: bays that meet at their edges at most'),
    ("[[0, 6500], [4500, -500]]", "[[-2000, 6500], [-400, -500]]", f"{BAY}.corners_mm: got a rectangle without a jack: a rectangle with one jack or more inside it"),
    ("[[0, 6500], [4500, -500]]", "[[0, 6500], [450, -500]]", f"{BAY}.corners_mm: got a rectangle without a jack"),
    ("[[0, 5000], [0, 0], [3000, 0]]", "[[0, 5000], [3000, 0]]", f"{VENT}.path_mm: got a path off the perimeter near (1500.2, 2499.7) mm, by 1500 mm: a path along the slab's outline or the edge of an opening"),
    ("[[0, 5000], [0, 0], [3000, 0]]", "[[0, 5000], [0, 6100]]", f"{VENT}.path_mm: got a path off the perimeter near (0, 6050.5) mm, by 50.5 mm"),
    ("[[0, 5000], [0, 0], [3000, 0]]", "[[0, 5000], [0, 0], [0, 3000]]", f"{VENT}.path_mm: got a path that meets itself: a path that runs along each place once"),
    ("[[0, 5000], [0, 0], [3000, 0]]", "[[0, 5000], [0, 5000], [0, 0]]", f"{VENT}.path_mm, point 2: got (0, 5000) mm: another point than the one before"),
    ("[[9000, 1000], [9000, 6000]]", "[[2000, 0], [9000, 0]]", f'vents 2 ("Open end").path_mm: got a path on that of {VENT} near (2500, 0) mm: each part of the edge in one vent only'),
    ("[[0, 0], [9000, 0]]\nrate", "[[0, 5], [9000, 5]]\nrate", 'edge_strips 1 ("South wall").path_mm: got a path off the perimeter near (4500, 5) mm, by 5 mm'),
    ("place_mm = [2000, 2000]", "place_mm = [-2000, 2000]", f"{BAR}.place_mm: got (-2000, 2000) mm, off the slab: on the slab, 225 mm (half of footprint_mm) clear of edges"),
    ("place_mm = [2000, 2000]", "place_mm = [224, 2000]", f"{BAR}.place_mm: got (224, 2000) mm, footprint 224 mm from an edge"),
    ("place_mm = [8000, 5000]", "place_mm = [8950, 5000]", 'impacts 3 ("Dumb-bell").place_mm: got (8950, 5000) mm, footprint 50 mm from an edge'),
    ("place_mm = [5000, 5000]", "place_mm = [5000, 6001]", f"{FAN}.place_mm: got (5000, 6001) mm, off the slab: on the slab"),
    ("place_mm = [4500, 3000]", "place_mm = [9500, 3000]", 'response_points 1 ("Middle").place_mm: got (9500, 3000) mm, off the slab'),
    ("[8800, 200], [8800, 3000]", "[9800, 200], [8800, 3000]", f"{CLASS}.outline_mm: got partly off the slab near"),
]  # fmt: skip


@pytest.fixture
def moving_case(small_case: Path) -> Path:
    """The small case with every table on what moves it."""
    return add_dynamics(small_case)


def edit(folder: Path, old: str, new: str) -> None:
    """Replaces the first `old` in the tables on what moves the floor by `new`."""
    path = folder / "case.toml"
    text = path.read_text(encoding="utf-8")
    start = text.index("[[bays]]")
    assert old in text[start:]
    path.write_text(text[:start] + text[start:].replace(old, new, 1), encoding="utf-8")


def outcome(folder: Path) -> tuple[Dynamics | None, tuple[Problem, ...]]:
    """What moves the floor or the problems; any other exception passes through and fails the test."""
    try:
        return read_case(folder).dynamics, ()
    except InputError as error:
        return None, error.problems


def messages(folder: Path) -> list[str]:
    return [str(problem) for problem in outcome(folder)[1]]


@pytest.mark.parametrize(("old", "new", "expected"), BAD_INPUT, ids=[f"{n[:50]}" for _, n, _ in BAD_INPUT])
def test_one_message_for_each_fault(moving_case: Path, old: str, new: str, expected: str | None) -> None:
    edit(moving_case, old, new)
    found = messages(moving_case)
    assert len(found) == (expected is not None), found
    for message in found:
        assert message.startswith("case.toml: ")
        assert str(expected) in message


def test_sound_on_the_edges_of_what_is_allowed(moving_case: Path) -> None:
    """A drop that touches the edge, bays that touch, a vent all round, paths in whole millimetres."""
    edit(moving_case, "place_mm = [2000, 2000]", "place_mm = [225, 5775]")
    edit(moving_case, "[[0, 5000], [0, 0], [3000, 0]]", "[[0, 1], [1, 5999], [8999, 5999], [8999, 1000]]")
    edit(moving_case, "[[9000, 1000], [9000, 6000]]", "[[9000, 1000], [9000, 0], [0, 0], [0, 1]]")
    assert messages(moving_case) == []


def test_a_vent_round_an_opening(moving_case: Path) -> None:
    path = moving_case / "case.toml"
    ring = "[[2500, 1900], [2900, 1900], [2900, 2300], [2500, 2300]"
    text = path.read_text(encoding="utf-8").replace("openings_mm = []", f"openings_mm = [{ring}]]")
    path.write_text(text, encoding="utf-8")
    edit(moving_case, "[[9000, 1000], [9000, 6000]]", f"{ring}, [2500, 1900]]")
    assert messages(moving_case) == []
    edit(moving_case, "place_mm = [4500, 3000]", "place_mm = [2700, 2100]")
    [message] = messages(moving_case)
    assert "(2700, 2100) mm, in an opening: on the slab" in message


def test_vents_need_a_table_of_air_and_the_edge_its_vents(moving_case: Path) -> None:
    path = moving_case / "case.toml"
    text = path.read_text(encoding="utf-8")
    start, vents, end = text.index("[air]"), text.index("[[vents]]"), text.index("[damping]")
    path.write_text(text[:start] + text[vents:], encoding="utf-8")
    [message] = messages(moving_case)
    assert message == 'case.toml: vents: got no [air]: no [[vents]] unless [air] has edge = "vents"'
    path.write_text(text[:vents] + text[end:], encoding="utf-8")
    [message] = messages(moving_case)
    assert message == 'case.toml: air.edge: got "vents": one [[vents]] or more with it; or one of sealed, open'


def test_a_bay_without_a_jack_is_no_fault_while_jacks_are_set_out(moving_case: Path) -> None:
    edit(moving_case, "[[0, 6500], [4500, -500]]", "[[-2000, 6500], [-400, -500]]")
    assert read_draft(moving_case, "plan").rows == ()
    with pytest.raises(InputError):
        read_draft(moving_case, "positions")


def test_lateral_rates_must_be_positive(small_case: Path) -> None:
    path = small_case / "springs.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("rate_N_mm = 280", "rate_N_mm = 280\nlateral_rate_N_mm = 0"), encoding="utf-8")
    [message] = messages(small_case)
    assert message.startswith('springs.toml: spring 1 ("A7").lateral_rate_N_mm: got 0: a number above 0')


def test_all_problems_at_once_in_the_order_of_the_tables(moving_case: Path) -> None:
    """None hides another, though some sit in the same table, and keys beside a bad one are checked all the same."""
    edit(moving_case, "frequency_hz = 9.5", "frequency_hz = -9.5")
    edit(moving_case, "[[0, 6500], [4500, -500]]", "[[-2000, 6500], [-400, -500]]")
    edit(moving_case, "[3000, 0]]", "[3000, 100]]")
    edit(moving_case, "stiffness_N_mm = 800", "")
    edit(moving_case, "mass_kg = 140", "mass_kg = -140")
    edit(moving_case, "place_mm = [2000, 2000]", "place_mm = [100, 2000]")
    edit(moving_case, 'activity = "rhythmic"', "")
    edit(moving_case, "place_mm = [5000, 5000]", "place_mm = [50000, 5000]")
    edit(moving_case, "rotor_kg = 60", "rotor_kg = 0\nunbalance_kg_mm = 1")
    places = [re.split(r": (?:got|required)", message)[0].removeprefix("case.toml: ") for message in messages(moving_case)]
    assert places == [
        f"{BAY}.frequency_hz",
        f"{BAY}.corners_mm",
        f"{VENT}.path_mm",
        'coverings 1 ("Thick tiles").stiffness_N_mm',
        f"{BAR}.mass_kg",
        f"{BAR}.place_mm",
        CLASS,
        f"{FAN}.rotor_kg",
        FAN,
        f"{FAN}.place_mm",
    ]


ODD = st.sampled_from(["nan", "inf", "-inf", "-1", "0", "1e308", "1e-320", "0x" + 400 * "9", "true", '"x"', '""', "[]", "[[]]", "[[1, 2], [3]]", "[nan, 1]", "{ a = 1 }", "1979-05-27", "[[[0, 0]]]"])  # fmt: skip


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_value_exchanged_gives_a_sound_case_or_an_input_error(
    moving_case: Path, small_case_files: dict[str, str], data: st.DataObject
) -> None:
    """Whole values, single numbers, keys and headings exchanged: a case that is sound or problems, nothing else."""
    path = moving_case / "case.toml"
    lines = DYNAMICS.splitlines()
    for _ in range(data.draw(st.integers(1, 3))):
        index = data.draw(st.sampled_from([number for number, line in enumerate(lines) if line]))
        lines[index] = damaged(lines[index], data)
    path.write_text(small_case_files["case.toml"] + "\n".join(lines), encoding="utf-8")
    dynamics, problems = outcome(moving_case)
    assert (dynamics is None) == bool(problems)
    assert all(problem.file and problem.where and problem.allowed for problem in problems)
    if dynamics is None:
        return
    assert all(bay.mass > 0 and bay.frequency > 0 and bay.low < bay.high for bay in dynamics.bays)
    assert all(0 < impact.covering.stiffness < np.inf for impact in dynamics.impacts)
    assert all(0 < machine.unbalance < np.inf for machine in dynamics.machines)
    assert all(vent.depth > 0 and np.isfinite(vent.path).all() for vent in (dynamics.air.vents if dynamics.air else ()))


def damaged(line: str, data: st.DataObject) -> str:
    """The line with another value, another number in it, without its key, or as another kind of heading."""
    if line.startswith("["):
        name = line.strip("[]")
        return data.draw(st.sampled_from([f"[{name}]", f"[[{name}]]", f"[{name}.x]", f"{name} = 1", ""]))
    key, value = line.split(" = ", 1)
    numbers = list(re.finditer(r"-?\d+(?:\.\d+)?", value))
    kind = data.draw(st.sampled_from(["value", "number", "drop", "double"]))
    if kind == "number" and numbers:
        found = data.draw(st.sampled_from(numbers))
        return f"{key} = {value[: found.start()]}{data.draw(ODD)}{value[found.end() :]}"
    if kind == "drop":
        return ""
    return f"{key}{'x' if kind == 'double' else ''} = {data.draw(ODD)}"


def test_too_many_drops_are_refused(moving_case: Path) -> None:
    """Each has two sheets: dozens of them would be minutes of drawing that nobody looks at."""
    drops = "".join(
        f'[[impacts]]\nname = "Drop {number}"\nmass_kg = 5\nheight_mm = 500\nplace_mm = [2000, 2000]\n'
        for number in range(12)
    )
    file = moving_case / "case.toml"
    file.write_text(file.read_text(encoding="utf-8") + drops, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_case(moving_case)
    assert "tables: at most 12" in str(caught.value)
