"""A booth with bays, steel and doubt, solved once for the tests of lists, workbook and results."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from jackfield import papers
from jackfield.doubt import case_doubt
from jackfield.lists import Lists, case_lists
from jackfield.pipeline import MeshCheck, Solution, solve
from jackfield.strength import slab_strength
from postprocess.results import Results
from postprocess.schedule import JackSchedule
from preprocess.case import Case
from preprocess.floor import build_floor
from preprocess.reader import read_case
from tests.cases.booth import edit, write_booth

STEEL = """
[reinforcement]
bottom = "A252"
top = { x_diameter_mm = 8, x_pitch_mm = 150, y_diameter_mm = 8, y_pitch_mm = 200 }
bottom_cover_mm = 25
top_cover_mm = 30
sheet_mm = [3600, 2000]

[ordering]
concrete_waste_percent = 8
"""
BAYS = """
[[bays]]
name = "=1+1"
corners_mm = [[-200, -200], [1666, 3700]]
frequency_hz = 12
mass_kg_m2 = 700

[[bays]]
name = "East & <b>"
corners_mm = [[1666, -200], [4800, 1800]]
frequency_hz = 12
mass_kg_m2 = 700
"""
DOUBT = """
[doubt]
samples = 100
"""
TITLE = "@Booth & _x0041_ <script>"


@dataclass(frozen=True, eq=False)
class Listed:
    """A case with its lists and results."""

    case: Case
    solution: Solution
    schedule: JackSchedule
    lists: Lists
    results: Results


def listed(folder: Path) -> Listed:
    """The booth, without its lift, of which jacks A2 to C2 stand on the border of two bays and B3 to C4 in the other or
    in none."""
    write_booth(folder)
    path = folder / "case.toml"
    edit(path, 'title = "Booth"', f'title = "{TITLE}"\ndate = 2026-03-04')
    with path.open("a", encoding="utf-8") as file:
        file.write(STEEL + BAYS + DOUBT)
    case = read_case(folder)
    solution = solve(build_floor(case))
    schedule = papers.jack_schedule(solution.floor, solution.states)
    strength = slab_strength(solution)
    lists = case_lists(solution, schedule, strength, None)
    mesh = MeshCheck("every triangle cut into four", 0.1, 0.2, 0.3, 0.01)
    findings = papers.Findings(mesh, strength, case_doubt(solution), (), (), lists)
    return Listed(case, solution, schedule, lists, papers.results(solution, schedule, findings))
