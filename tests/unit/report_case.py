"""A report of a small case: a slab with an opening and a nook, two kinds of spring, text that looks like markup."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from jackfield import papers
from jackfield.lists import case_lists
from jackfield.pipeline import MeshCheck, solve
from jackfield.report import Gathered
from jackfield.strength import slab_strength
from preprocess.floor import build_floor
from preprocess.reader import read_case

MARKUP = "<script>alert(1)</script> =1+1 $x^2$ #let"
"""Text of a case that pages, sheets and printers would like to take for something else."""

_CASE = """\
[project]
title = "Hall <b>&amp;</b> #strong[stage]"
reference = "R-1"
revision = "C"

[slab]
outline_mm = [[0, 0], [5200, 0], [5200, 2600], [3900, 2600], [3900, 3900], [0, 3900]]
openings_mm = [[[1700, 1700], [2200, 1700], [2200, 2100], [1700, 2100]]]
thickness_mm = 125

[jacks]
positions = "jacks.csv"

[springs]
catalogue = "springs.toml"

[[finishes]]
name = "MARKUP"
pressure_kpa = 0.4

[[equipment]]
name = "Rack"
mass_kg = 400
feet_mm = [[700, 3000], [1500, 3000]]

[[line_loads]]
name = "Parapet"
load_kN_m = 0.6
path_mm = [[200, 200], [5000, 200]]

[imposed]
pressure_kpa = 2.0
service_fraction = 0.2

[target]
load_ratio = [0.3, 1.3]
natural_frequency_hz = 5.0

[mesh]
size_mm = 1300
corner_size_mm = 650
jack_size_mm = 650

[reinforcement]
bottom = "A393"
top = "A252"
bottom_cover_mm = 20
top_cover_mm = 25
"""

_SPRINGS = """\
[[spring]]
code = "K35"
rate_N_mm = 350
rated_load_kN = 8.0
solid_deflection_mm = 60

[[spring]]
code = "K45"
rate_N_mm = 450
rated_load_kN = 9.0
solid_deflection_mm = 60
"""


def write_hall(folder: Path) -> Path:
    """The files of the case; one jack stands 2 mm higher than the others."""
    folder.mkdir(parents=True)
    rows = ["id,x_mm,y_mm,spring,advance_mm"]
    for row, y in enumerate((400, 1300, 2200, 3500)):
        for column in range(4 if y < 2600 else 3):
            code, advance = "K45" if row == 0 else "K35", 2 if (row, column) == (1, 0) else 0
            rows.append(f"{'ABCD'[row]}{column + 1},{400 + 1450 * column},{y},{code},{advance}")
    texts = {
        "case.toml": _CASE.replace("MARKUP", MARKUP),
        "springs.toml": _SPRINGS,
        "jacks.csv": "\n".join(rows) + "\n",
    }
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def gather_hall(folder: Path) -> Gathered:
    """All that a run gathers, but for the second mesh, which tests of its own look at."""
    case = read_case(folder)
    solution = solve(build_floor(case))
    schedule = papers.jack_schedule(solution.floor, solution.states)
    strength = slab_strength(solution)
    mesh = MeshCheck("a mesh of twice the edge length", 0.01, 1.0, 1.5, 0.001)
    lists = case_lists(solution, schedule, strength, None)
    findings = papers.Findings(mesh, strength, None, (), (), lists)
    return Gathered(
        solution=solution,
        schedule=schedule,
        findings=findings,
        results=papers.results(solution, schedule, findings),
        view=replace(papers.floor_view(solution, schedule), strength=strength),
        motion=None,
        lift=None,
        level=None,
        existing=lists.existing,
        fabric=lists.fabric,
        quantities=lists.quantities,
        inputs=case.inputs,
    )
