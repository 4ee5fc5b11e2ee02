"""Bad input: every problem at once, with file, key or row, value and what is allowed."""

# ruff: noqa: E501 - a table of bad input reads best with one case a line

from __future__ import annotations

import os
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from preprocess.case import Case
from preprocess.errors import InputError, Problem
from preprocess.reader import read_case
from preprocess.reinforcement import candidates

CASE, SPRINGS, JACKS = "case.toml", "springs.toml", "jacks.csv"
OUTLINE = "outline_mm = [[0, 0], [9000, 0], [9000, 6000], [0, 6000]]"
FIRST_JACK = "J1,450,450,A7"

REINFORCEMENT = """
[reinforcement]
bottom = "A252"
top = "choose"
bottom_cover_mm = 25
top_cover_mm = 20
bottom_outer = "y"
yield_strength_mpa = 500
trimmer_diameter_mm = 12

[factors]
values = "recommended"
equipment = "variable"
gamma_c = 1.5
w_max_mm = 0.3
"""


def edit(folder: Path, name: str, old: str, new: str) -> None:
    """Replaces the first `old` in a file of the case by `new`."""
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def messages(folder: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_case(folder)
    assert str(caught.value).splitlines() == [str(problem) for problem in caught.value.problems]
    return [str(problem) for problem in caught.value.problems]


BAD_INPUT = [
    # numbers that make no sense
    (CASE, "thickness_mm = 125", "thickness_mm = nan", "slab.thickness_mm: got nan: a number from 30 to 1,000 mm"),
    (CASE, "thickness_mm = 125", "thickness_mm = inf", "slab.thickness_mm: got inf: a number from 30 to 1,000 mm"),
    (CASE, "thickness_mm = 125", "thickness_mm = -125", "slab.thickness_mm: got -125: a number from 30"),
    (CASE, "thickness_mm = 125", "thickness_mm = 0", "slab.thickness_mm: got 0: a number from 30 to 1,000 mm"),
    (CASE, "thickness_mm = 125", "thickness_mm = 0.125", "slab.thickness_mm: got 0.125: a number from 30 to"),
    (CASE, "thickness_mm = 125", 'thickness_mm = "125"', "slab.thickness_mm: got '125': a number from 30"),
    (CASE, "thickness_mm = 125", "thickness_mm = true", "slab.thickness_mm: got true: a number from 30 to"),
    (CASE, "thickness_mm = 125", "", "slab.thickness_mm: required, but missing"),
    (CASE, "density_kg_m3 = 2500", "density_kg_m3 = 25", "slab.density_kg_m3: got 25: a number from 500 to 6,000 kg/m3"),
    (CASE, "poissons_ratio = 0.2", "poissons_ratio = 0.5", "slab.poissons_ratio: got 0.5: a number from 0 to 0.45"),
    (CASE, "poissons_ratio = 0.2", "modulus_gpa = 33000", "slab.modulus_gpa: got 33000: a number from 1 to 100 GPa"),
    (CASE, "footprint_mm = 150", "footprint_mm = 0", "jacks.footprint_mm: got 0: a number from 1 to 2,000 mm"),
    (CASE, "pressure_kpa = 0.30", "pressure_kpa = -0.3", 'finishes 1 ("Timber floor").pressure_kpa: got -0.3: a number above 0'),
    (CASE, "mass_kg = 840", "mass_kg = nan", 'equipment 1 ("Rack").mass_kg: got nan: a number above 0, at most 1,000,000 kg'),
    (CASE, "foot_mm = 100", "foot_mm = -100", 'equipment 1 ("Rack").foot_mm: got -100: a number from 1 to 5,000 mm'),
    (CASE, "load_kN_m = 0.8", "load_kN_m = 0", 'line_loads 1 ("Partition").load_kN_m: got 0: a number above 0'),
    (CASE, "pressure_kpa = 5.0", "pressure_kpa = -5", "imposed.pressure_kpa: got -5: a number from 0 to 100 kPa"),
    (CASE, "service_fraction = 0.1", "service_fraction = 10", "imposed.service_fraction: got 10: a number from 0 to 1"),
    (CASE, "natural_frequency_hz = 3.6", "natural_frequency_hz = 0", "target.natural_frequency_hz: got 0: a number above 0"),
    (CASE, "load_ratio = [0.75, 1.05]", "load_ratio = [1.05, 0.75]", "target.load_ratio: got [1.05, 0.75]: two numbers [lower, upper]"),
    (CASE, "load_ratio = [0.75, 1.05]", "load_ratio = 1", "target.load_ratio: got 1: two numbers [lower, upper]"),
    (CASE, "pitch_mm = 3.0", "pitch_mm = 0", "lift.pitch_mm: got 0: a number above 0, at most 50 mm"),
    (CASE, "passes = 10", "passes = 2.5", "lift.passes: got 2.5: a whole number from 1 to 1000"),
    (CASE, "age_days = 4", "age_days = -4", "lift.age_days: got -4: a number from 1 to 36,500 days"),
    (CASE, "age_days = 4", "age_days = 0.9", "lift.age_days: got 0.9: a number from 1 to 36,500 days"),
    (CASE, "age_days = 4", "slack_mm = -1", "lift.slack_mm: got -1: a number from 0 to 100 mm"),
    (CASE, "age_days = 4", "bond_kpa = nan", "lift.bond_kpa: got nan: a number from 0 to 20 kPa"),
    (CASE, "age_days = 4", "sheet_stiffness_N_mm3 = 0", "lift.sheet_stiffness_N_mm3: got 0: a number from 0.1 to 1,000 N/mm3"),
    (CASE, "age_days = 4", "lattice_mm = 0.35", "lift.lattice_mm: got 0.35: a number from 100 to 1,000 mm"),
    (CASE, "age_days = 4", "lattice_mm = 100", "lift.lattice_mm: got 100 on 54 m2, about 5,400 cells: at most 5,000 contact cells: lift.lattice_mm at least 110"),
    (CASE, "passes = 10", "air_gap_mm = 0", "lift.air_gap_mm: got 0: a number above 0, at most 500 mm"),
    (CASE, "passes = 10", "passes = 10\nair_gap_mm = 50", "lift.passes and lift.air_gap_mm: got passes = 10 and air_gap_mm = 50: passes or air_gap_mm, not both"),
    (CASE, "age_days = 4", 'underside = "plane"', "lift.underside: got 'plane': no underside without floor_heights"),
    (CASE, "age_days = 4", 'floor_heights = "none.csv"\nunderside = "flat"', "lift.underside: got 'flat': no such underside; "),
    (CASE, "age_days = 4", "floor_heights = 7", "lift.floor_heights: got 7: one line of text in quotes"),
    (CASE, "age_days = 4", 'floor_heights = "none.csv"', 'lift.floor_heights: got "none.csv": a regular file in the folder of the case, at most 10 MB; there is no such file'),
    (CASE, '"listed"', '"from-midle"', "lift.order: got 'from-midle': no such order; the nearest is \"from-middle\""),
    (CASE, "[lift]", "[level]\noverall_mm = 0\n[lift]", "level.overall_mm: got 0: a number above 0, at most 100 mm"),
    (CASE, "[lift]", "[level]\nstraightedge_mm = -3\n[lift]", "level.straightedge_mm: got -3: a number above 0, at most 100 mm"),
    (CASE, "[lift]", "[level]\nstraightedge_m = 2000\n[lift]", "level.straightedge_m: got 2000: a number from 0.5 to 10 m"),
    (CASE, "[lift]", "[level]\nsurvey_deviation_mm = 0\n[lift]", "level.survey_deviation_mm: got 0: a number above 0, at most 20 mm"),
    (CASE, "[lift]", '[level]\nsurveyed_in = "empty"\n[lift]', "level.surveyed_in: got 'empty': no such load state; known: bare, service, full"),
    (CASE, "[lift]", "[level]\nlevel_in = 1\n[lift]", "level.level_in: got 1: one of bare, service, full"),
    (CASE, "[lift]", "[level]\nmost_turns = 0.1\n[lift]", "level.most_turns: got 0.1: a number from 0.25 to 100 turns"),
    (CASE, "[lift]", "[level]\nage_days = 0\n[lift]", "level.age_days: got 0: a number from 1 to 36,500 days"),
    (CASE, "[lift]", "[level]\novral_mm = 3\n[lift]", 'level.ovral_mm: got 3: no such key; the nearest is "overall_mm"'),
    (CASE, "[lift]", "[mesh]\nsize_mm = 0.5\n[lift]", "mesh.size_mm: got 0.5: a number from 10 to 10,000 mm"),
    (SPRINGS, "rate_N_mm = 280", "rate_N_mm = -280", 'spring 1 ("A7").rate_N_mm: got -280: a number above 0'),
    (SPRINGS, "rated_load_kN = 7.0", "rated_load_kN = inf", 'spring 1 ("A7").rated_load_kN: got inf: a number above 0'),
    (JACKS, FIRST_JACK, "J1,nan,450,A7", "row 2, column x_mm: got 'nan': a number in mm"),
    # classes, names and keys
    (CASE, '"C32/40"', '"C32/41"', "slab.strength_class: got 'C32/41': no such strength class; the nearest is \"C32/40\""),
    (CASE, 'cement_class = "N"', 'cement_class = "Q"', "slab.cement_class: got 'Q': no such cement class; known: R, N, S"),
    (CASE, 'cement_class = "N"', "cement_class = 1", "slab.cement_class: got 1: one of R, N, S"),
    (CASE, '"listed"', '"as listed"', "lift.order: got 'as listed': no such order; the nearest is \"listed\""),
    (CASE, "poissons_ratio", "poisons_ratio", 'slab.poisons_ratio: got 0.2: no such key; the nearest is "poissons_ratio"'),
    (CASE, "[imposed]", "[impossed]", 'impossed: got {\'pressure_kpa\': 5.0, \'service_fraction\': 0.1}: no such key; the nearest is "imposed"'),
    (CASE, "foot_mm = 100", "size = 100", 'equipment 1 ("Rack").size: got 100: no such key; known: name, mass_kg'),
    (SPRINGS, "rated_load_kN = 7.0", "rated_load_kN = 7.0\nrate_N_m = 1", 'spring 1 ("A7").rate_N_m: got 1: no such key; the nearest is "rate_N_mm"'),
    (SPRINGS, 'inner = "B2"', 'inner = "B3"', 'nested 1 ("A7+B2").inner: got "B3": no such spring; known: A7, B2'),
    (SPRINGS, 'code = "A7+B2"', 'code = "A7"', 'nested 1 ("A7").code: got "A7": each code once; spring 1 has it already'),
    (SPRINGS, "solid_deflection_mm = 56", "solid_deflection_mm = 25", 'spring 1 ("A7").solid_deflection_mm: got 25: more than'),
    (JACKS, FIRST_JACK, "J1,450,450,A7+B3", "row 2, column spring: got 'A7+B3': no such spring; the nearest is \"A7+B2\""),
    (CASE, '"Practice room over a workshop"', '""', "project.title: got '': text that is not empty"),
    (CASE, '"Practice room over a workshop"', '"two\\nlines"', "project.title: got 'two\\nlines': one line of text"),
    (CASE, 'name = "Tiles"', 'name = "Timber floor"', 'finishes 2 ("Timber floor").name: got "Timber floor": each name once; finishes 1'),
    (CASE, 'name = "Platform"', 'name = "Rack"', 'equipment 2 ("Rack").name: got "Rack": each name once; equipment 1'),
    # the shape of the tables
    (CASE, "[imposed]", "[[imposed]]", "imposed: got [{'pressure_kpa': 5.0, 'service_fraction': 0.1}]: a table, written [imposed]"),
    (CASE, "[[line_loads]]", "[line_loads]", "…: tables, each written [[line_loads]]"),
    (CASE, OUTLINE, "outline_mm = 9000", "slab.outline_mm: got 9000: a list of points [x, y] in mm"),
    (CASE, OUTLINE, "outline_mm = [[0, 0], [9000, 0], [9000], [0, 6000]]", "slab.outline_mm, corner 3: got [9000]: a point [x, y]"),
    (CASE, OUTLINE, "outline_mm = [[0, 0], [9000, nan], [9000, 6000], [0, 6000]]", "slab.outline_mm, corner 2: got [9000, nan]: a point"),
    (CASE, "openings_mm = []", "openings_mm = 5", "slab.openings_mm: got 5: a list of openings, each a list of points"),
    (CASE, "openings_mm = []", "openings_mm = [[[1, 2], 3]]", "slab.openings_mm, opening 1, corner 2: got 3: a point [x, y]"),
    (CASE, "openings_mm = []", "openings_mm = [5]", "slab.openings_mm, opening 1: got 5: a list of points"),
    (CASE, "foot_mm = 100", "outline_mm = [[1, 1], [2, 1], [2, 2]]", 'equipment 1 ("Rack"): got feet_mm and outline_mm: exactly one of'),
    (CASE, "feet_mm = [[1000, 4300], [1000, 3300], [2200, 4300], [2200, 3300]]", "", 'equipment 1 ("Rack"): got neither: exactly one of'),
    (CASE, "feet_mm = [[1000, 4300], [1000, 3300], [2200, 4300], [2200, 3300]]", "feet_mm = []", 'equipment 1 ("Rack").feet_mm: got []: 1 or more points [x, y]'),
    (CASE, "path_mm = [[3000, 6000], [3000, 4800], [0, 4800]]", "path_mm = [[3000, 6000]]", 'line_loads 1 ("Partition").path_mm: got [[3000, 6000]]: 2 or more points'),
    # geometry
    (CASE, OUTLINE, "outline_mm = [[0, 0], [9000, 6000], [9000, 0], [0, 6000]]", "slab.outline_mm: got edges 1 and 3 crossing at (4500, 3000) mm"),
    (CASE, OUTLINE, "outline_mm = [[0, 0], [9000, 0]]", "slab.outline_mm: got 2 corners: at least three corners"),
    (CASE, OUTLINE, OUTLINE.replace("[9000, 0],", "[9000, 0], [9000, 0],"), "slab.outline_mm, corner 3: got (9000, 0) mm, as corner 2"),
    (CASE, "openings_mm = []", "openings_mm = [[[9500, 0], [9900, 0], [9900, 400]]]", "slab.openings_mm, opening 1: got outside the outline"),
    (CASE, "openings_mm = []", "openings_mm = [[[8700, 900], [9900, 900], [9900, 1000]]]", "slab.openings_mm, opening 1: got on or across the outline"),
    (JACKS, FIRST_JACK, "J1,-450,450,A7", 'row 2, jack "J1": got (-450, 450) mm, off the slab: on the slab, 75 mm'),
    (JACKS, FIRST_JACK, "J1,60,450,A7", 'row 2, jack "J1": got (60, 450) mm, footprint 60 mm from an edge'),
    (JACKS, "J2,1800,450,A7", "J2,450,450,A7", 'row 3, jack "J2": got (450, 450) mm, 0 mm from the jack of row 2'),
    (JACKS, "J2,1800", "J1,1800", 'row 3, column id: got "J1": each id once; row 2 has it already'),
    (CASE, "[1000, 4300]", "[-1000, 4300]", 'equipment 1 ("Rack").feet_mm, foot 1: got (-1000, 4300) mm, pad off the slab'),
    (CASE, "[1000, 4300]", "[0, 4300]", 'equipment 1 ("Rack").feet_mm, foot 1: got (0, 4300) mm, pad over an edge'),
    (CASE, "[4000, 1000], [6000, 1000]", "[4000, -900], [6000, 1000]", 'equipment 2 ("Platform").outline_mm: got partly off the slab'),
    (CASE, "[7000, 0], [9000, 0]", "[7000, 0], [9900, 0]", 'finishes 2 ("Tiles").outline_mm: got partly off the slab near'),
    (CASE, "[7000, 0], [9000, 0]", "[9000, 2000], [9000, 0]", 'finishes 2 ("Tiles").outline_mm, corner 3: got (9000, 2000) mm, as corner 1'),
    (CASE, "[[3000, 6000], [3000, 4800]", "[[3000, 6600], [3000, 4800]", 'line_loads 1 ("Partition").path_mm: got partly off the slab'),
    (CASE, "[1000, 3300]", "[1060, 4300]", 'equipment 1 ("Rack").feet_mm, foot 2: got (1060, 4300) mm, pad over that of foot 1: feet at least foot_mm, 100 mm, apart'),
    (CASE, "[1000, 3300]", "[1000, 4300]", 'equipment 1 ("Rack").feet_mm, foot 2: got (1000, 4300) mm, pad over that of foot 1'),
    (CASE, "[3000, 4800],", "[3000, 4800], [3000, 4800],", 'line_loads 1 ("Partition").path_mm, point 3: got (3000, 4800) mm: another point than the one before'),
    (CASE, 'name = "Platform"', 'name = "Platform"\nfoot_mm = 80', 'equipment 2 ("Platform").foot_mm: got 80: no foot_mm beside outline_mm'),
    # more triangles than can be solved
    (CASE, OUTLINE, "outline_mm = [[0, 0], [900000, 0], [900000, 900000], [0, 900000]]", "slab.outline_mm: got 810,000 m2, about 5,180,000 triangles: at most 150,000 triangles: mesh.size_mm at least 3530, or the slab in parts"),
    (CASE, "[lift]", "[mesh]\nsize_mm = 10\n[lift]", "mesh.size_mm: got 10 on 54 m2, about 1,240,000 triangles: at most 150,000 triangles: mesh.size_mm at least 30"),
    # columns and rows of the jack list
    (JACKS, "id,x_mm,y_mm,spring", "id,x_mm,spring", "row 1, column y_mm: required, but missing"),
    (JACKS, "id,x_mm,y_mm,spring", "id,x_mm,y_mm,spring,note", "row 1: got 'note': no such column; known: id, x_mm"),
    (JACKS, FIRST_JACK, "J1,450,A7", "row 2: got 3 cells: 4 cells, as in row 1"),
    # files
    (CASE, '"jacks.csv"', '"jack.csv"', 'jacks.positions: got "jack.csv": a regular file in the folder of the case, at most 10 MB; there is no such file'),
    (CASE, '"springs.toml"', '"."', 'springs.catalogue: got ".": a regular file in the folder of the case, at most 10 MB; it is a folder'),
    (CASE, '"jacks.csv"', '"/dev/zero"', 'jacks.positions: got "/dev/zero": a regular file in the folder of the case, at most 10 MB; this path is absolute'),
    (CASE, '"jacks.csv"', '"../small/jacks.csv"', 'jacks.positions: got "../small/jacks.csv": a regular file in the folder of the case, at most 10 MB; this path has .. in it'),
    (CASE, '"jacks.csv"', '"jacks.csv/x"', 'jacks.positions: got "jacks.csv/x": a regular file'),
    (CASE, "thickness_mm = 125", "thickness_mm = ", "line 9: got 'thickness_mm =': valid TOML: Invalid value"),
    (CASE, "thickness_mm = 125", "thickness_mm = " + 5000 * "9", "a number: got thousands of digits"),
    (CASE, "thickness_mm = 125", "thickness_mm = 0x" + 5000 * "9", "slab.thickness_mm: got a number of thousands of digits: a number from 30"),
    (CASE, "thickness_mm = 125", "thickness_mm = " + 5000 * "[", "a list: got hundreds of brackets inside each other"),
    (SPRINGS, "[[nested]]", "[[nested]", "line 13: got '[[nested]': valid TOML: "),
]  # fmt: skip


BARS = "bottom = { x_diameter_mm = 10, x_pitch_mm = 150, y_diameter_mm = 8, y_pitch_mm = 200 }"

BAD_STRENGTH = [
    # fabrics and bars
    ('"A252"', '"A253"', "reinforcement.bottom: got 'A253': no such fabric; the nearest is \"A252\""),
    ('"choose"', '"chose"', "reinforcement.top: got 'chose': no such fabric; the nearest is \"choose\""),
    ('"A252"', '"mesh"', "reinforcement.bottom: got 'mesh': no such fabric; known: A142, A193, A252, A393, choose"),
    ('"A252"', "252", "reinforcement.bottom: got 252: one of A142, A193, A252, A393, choose, or bars as a table with x_diameter_mm, x_pitch_mm, y_diameter_mm, y_pitch_mm"),
    ('"A252"', '["A252"]', "reinforcement.bottom: got ['A252']: one of A142, A193"),
    ('bottom = "A252"', "", "reinforcement.bottom: required, but missing"),
    ('bottom = "A252"', BARS.replace("= 10", "= 0"), "reinforcement.bottom.x_diameter_mm: got 0: a number above 0, at most 40 mm"),
    ('bottom = "A252"', BARS.replace("= 8", "= 50"), "reinforcement.bottom.y_diameter_mm: got 50: a number above 0, at most 40 mm"),
    ('bottom = "A252"', BARS.replace("200", "501"), "reinforcement.bottom.y_pitch_mm: got 501: a number above 0, at most 500 mm"),
    ('bottom = "A252"', BARS.replace("200", "nan"), "reinforcement.bottom.y_pitch_mm: got nan: a number above 0, at most 500 mm"),
    ('bottom = "A252"', BARS.replace("150", "10"), "reinforcement.bottom.x_pitch_mm: got 10: more than x_diameter_mm, 10 mm, at most 500 mm"),
    ('bottom = "A252"', BARS.replace("200", "7.5"), "reinforcement.bottom.y_pitch_mm: got 7.5: more than y_diameter_mm, 8 mm, at most 500 mm"),
    ('bottom = "A252"', BARS.replace("x_pitch_mm = 150, ", ""), "reinforcement.bottom.x_pitch_mm: required, but missing"),
    ('bottom = "A252"', BARS.replace("{", "{ x_diamter_mm = 9,"), 'reinforcement.bottom.x_diamter_mm: got 9: no such key; the nearest is "x_diameter_mm"'),
    ('bottom = "A252"', BARS.replace("= 10", '= "10"'), "reinforcement.bottom.x_diameter_mm: got '10': a number above 0"),
    # covers and layers in a slab of 125 mm
    ("bottom_cover_mm = 25", "", "reinforcement.bottom_cover_mm: required, but missing"),
    ("bottom_cover_mm = 25", "bottom_cover_mm = 0", "reinforcement.bottom_cover_mm: got 0: a number above 0, at most 200 mm"),
    ("top_cover_mm = 20", "top_cover_mm = nan", "reinforcement.top_cover_mm: got nan: a number above 0, at most 200 mm"),
    ("top_cover_mm = 20", "top_cover_mm = 201", "reinforcement.top_cover_mm: got 201: a number above 0, at most 200 mm"),
    ("bottom_cover_mm = 25", "bottom_cover_mm = 109", "reinforcement.bottom_cover_mm: got 109: less than 109 mm, or no effective depth is left: the slab has 125 mm, the wires of A252 take 16 mm"),
    ("top_cover_mm = 20", "top_cover_mm = 150", "reinforcement.top_cover_mm: got 150: less than 113 mm, or no effective depth is left: the slab has 125 mm, even the wires of A142 take 12 mm"),
    ('top = "choose"\nbottom_cover_mm = 25', 'top = "A393"\nbottom_cover_mm = 70', "reinforcement: got 126 mm of covers and wires: layers that do not overlap, both within slab.thickness_mm, 125 mm"),
    ("bottom_cover_mm = 25", "bottom_cover_mm = 78", 'reinforcement.top: got "choose": layers that do not overlap, both within slab.thickness_mm, 125 mm; even A252 at the bottom and A142 at the top make 126 mm of covers and wires'),
    ('"A252"\ntop = "choose"\nbottom_cover_mm = 25', '"choose"\ntop = "choose"\nbottom_cover_mm = 82', 'reinforcement.bottom and reinforcement.top: got "choose": layers that do not overlap'),
    ("thickness_mm = 125", "thickness_mm = 74", "slab.thickness_mm: got 74: a number from 75 to 400 mm with [reinforcement]"),
    ("thickness_mm = 125", "thickness_mm = 400.5", "slab.thickness_mm: got 400.5: a number from 75 to 400 mm with [reinforcement]"),
    ('bottom_outer = "y"', 'bottom_outer = "z"', "reinforcement.bottom_outer: got 'z': no such direction; known: x, y"),
    ('bottom_outer = "y"', "bottom_outer = 1", "reinforcement.bottom_outer: got 1: one of x, y"),
    ('bottom_outer = "y"', "bottom_outr = 1", 'reinforcement.bottom_outr: got 1: no such key; the nearest is "bottom_outer"'),
    # strengths and factors
    ("yield_strength_mpa = 500", "yield_strength_mpa = 399", "reinforcement.yield_strength_mpa: got 399: a number from 400 to 600 MPa"),
    ("yield_strength_mpa = 500", "yield_strength_mpa = 601", "reinforcement.yield_strength_mpa: got 601: a number from 400 to 600 MPa"),
    ("trimmer_diameter_mm = 12", "trimmer_diameter_mm = 5", "reinforcement.trimmer_diameter_mm: got 5: a number from 6 to 40 mm"),
    ('values = "recommended"', 'values = "recomended"', "factors.values: got 'recomended': no such set of values; the nearest is \"recommended\""),
    ('"variable"', '"movable"', "factors.equipment: got 'movable': no such kind of action; the nearest is \"variable\""),
    ('"variable"', "true", "factors.equipment: got true: one of variable, permanent"),
    ("gamma_c = 1.5", "gamma_c = 0.5", "factors.gamma_c: got 0.5: a number from 1 to 2.5"),
    ("gamma_c = 1.5", "gamma_c = nan", "factors.gamma_c: got nan: a number from 1 to 2.5"),
    ("gamma_c = 1.5", 'gamma_c = "1.5"', "factors.gamma_c: got '1.5': a number from 1 to 2.5"),
    ("gamma_c = 1.5", "gamma_c = true", "factors.gamma_c: got true: a number from 1 to 2.5"),
    ("gamma_c = 1.5", "creep_coefficient = 6.1", "factors.creep_coefficient: got 6.1: a number from 0 to 6"),
    ("gamma_c = 1.5", "gamma_cc = 1.5", 'factors.gamma_cc: got 1.5: no such key; the nearest is "gamma_c"'),
    ("w_max_mm = 0.3", "w_max = 0.3", 'factors.w_max: got 0.3: no such key; the nearest is "w_max_mm"'),
    ("w_max_mm = 0.3", "w_max_mm = 0.0003", "factors.w_max_mm: got 0.0003: a number from 0.05 to 1 mm"),
    # the shape of the tables
    ("[reinforcement]", "[[reinforcement]]", "…: a table, written [reinforcement] with bottom, top, bottom_cover_mm and top_cover_mm, at least"),
    ("[factors]", "[[factors]]", "…: a table, written [factors]"),
]  # fmt: skip


@pytest.fixture
def reinforced_case(small_case: Path) -> Path:
    """The small case with two layers of steel and two factors."""
    with (small_case / CASE).open("a", encoding="utf-8") as file:
        file.write(REINFORCEMENT)
    return small_case


@pytest.mark.parametrize(("old", "new", "expected"), BAD_STRENGTH, ids=[e[:60] for _, _, e in BAD_STRENGTH])
def test_one_message_for_each_fault_of_steel_and_factors(
    reinforced_case: Path, old: str, new: str, expected: str
) -> None:
    edit(reinforced_case, CASE, old, new)
    [message] = messages(reinforced_case)
    assert message.startswith("case.toml: ")
    assert expected in message


def test_all_faults_of_steel_and_factors_at_once(reinforced_case: Path) -> None:
    """Nine at once, in two tables of one file: a cover is checked though the other mat is not usable."""
    edit(reinforced_case, CASE, 'top = "choose"', "top = { x_diameter_mm = 10, x_pich_mm = 8, y_diameter_mm = 8, y_pitch_mm = 8 }")
    edit(reinforced_case, CASE, "bottom_cover_mm = 25", "bottom_cover_mm = 110")
    edit(reinforced_case, CASE, 'bottom_outer = "y"', 'bottom_outer = "up"')
    edit(reinforced_case, CASE, "yield_strength_mpa = 500", "yield_strength_mpa = 50")
    edit(reinforced_case, CASE, "gamma_c = 1.5", "gama_c = 1.5\ngamma_s = 0")
    edit(reinforced_case, CASE, "age_days = 4", "age_days = 0")
    assert [message.split(": ")[1] for message in messages(reinforced_case)] == [
        "lift.age_days",
        "reinforcement.top.x_pitch_mm",
        "reinforcement.top.x_pich_mm",
        "reinforcement.bottom_outer",
        "reinforcement.yield_strength_mpa",
        "reinforcement.top.y_pitch_mm",
        "reinforcement.bottom_cover_mm",
        "factors.gamma_s",
        "factors.gama_c",
    ]


def test_thickness_and_steel_are_refused_together(reinforced_case: Path) -> None:
    """A thickness without meaning for the strength says so beside an unknown fabric; without steel it may stand."""
    edit(reinforced_case, CASE, "thickness_mm = 125", "thickness_mm = 60")
    edit(reinforced_case, CASE, '"A252"', '"A25"')
    thickness, fabric = messages(reinforced_case)
    assert thickness.startswith("case.toml: slab.thickness_mm: got 60: a number from 75 to 400 mm with [reinf")
    assert fabric.startswith("case.toml: reinforcement.bottom: got 'A25': no such fabric")
    path = reinforced_case / CASE
    text = path.read_text(encoding="utf-8")
    path.write_text(text[: text.index("[reinforcement]")], encoding="utf-8")
    assert read_case(reinforced_case).slab.thickness == 0.060


@pytest.mark.parametrize(
    ("name", "old", "new", "expected"), BAD_INPUT, ids=[f"{n}-{e[:40]}" for n, _, _, e in BAD_INPUT]
)
def test_message_names_place_value_and_what_is_allowed(
    small_case: Path, name: str, old: str, new: str, expected: str
) -> None:
    edit(small_case, name, old, new)
    found = messages(small_case)
    assert any(message.startswith(f"{name}: ") and expected in message for message in found), found
    for jargon in ("pydantic", "http", "Input should", "type="):
        assert jargon not in "".join(found)


def test_opening_over_a_jack(small_case: Path) -> None:
    opening = "[[[300, 300], [700, 300], [700, 700], [300, 700]]]"
    edit(small_case, CASE, "openings_mm = []", f"openings_mm = {opening}")
    [message] = messages(small_case)
    assert message.startswith(
        'jacks.csv: row 2, jack "J1": got (450, 450) mm, in an opening: on the slab, 75 mm'
    )


def test_no_such_folder(tmp_path: Path) -> None:
    [message] = messages(tmp_path / "nowhere")
    assert message == f"case.toml: {tmp_path / 'nowhere'}: got no such folder: a folder that holds case.toml"


def test_folder_without_a_case(tmp_path: Path) -> None:
    [message] = messages(tmp_path)
    assert message == f"case.toml: {tmp_path}: got no case.toml in it: a folder that holds case.toml"


def test_the_file_in_place_of_its_folder(small_case: Path) -> None:
    path = small_case / CASE
    [message] = messages(path)
    assert message.startswith(f"case.toml: {path}: got a file: a folder that holds case.toml; name its folder, ")


@pytest.mark.parametrize("text", ["", "# nothing\n"])
def test_an_empty_case(small_case: Path, text: str) -> None:
    (small_case / CASE).write_text(text, encoding="utf-8")
    assert messages(small_case) == [
        "case.toml: project: required, but missing: a table, written [project] with title, at least",
        "case.toml: slab: required, but missing: a table, written [slab] with outline_mm and thickness_mm, at least",
    ]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes on this system")
@pytest.mark.parametrize("name", [CASE, SPRINGS, JACKS])
def test_a_pipe_is_not_waited_for(small_case: Path, name: str) -> None:
    (small_case / name).unlink()
    os.mkfifo(small_case / name)
    [message] = messages(small_case)
    assert message.endswith("a regular file in the folder of the case, at most 10 MB; it is a device or a pipe")


@pytest.mark.parametrize("name", [CASE, SPRINGS, JACKS])
def test_a_link_must_stay_in_the_folder(small_case: Path, name: str) -> None:
    path = small_case / name
    outside = path.rename(small_case.parent / "outside")
    path.symlink_to(outside)
    [message] = messages(small_case)
    assert message.endswith("it is a link that leads out of the folder")
    path.unlink()
    path.symlink_to(outside.rename(small_case / "inside"))
    assert len(read_case(small_case).jacks) == 35


@pytest.mark.parametrize("name", [CASE, SPRINGS, JACKS])
def test_a_file_of_more_than_10_mb(small_case: Path, name: str) -> None:
    with (small_case / name).open("ab") as file:
        file.truncate(10_200_000)
    [message] = messages(small_case)
    assert message.endswith("at most 10 MB; it has 10.2 MB")


def test_more_jacks_than_can_be_solved(small_case: Path) -> None:
    rows = "".join(f"J{number},450,450,A7\n" for number in range(10_001))
    (small_case / JACKS).write_text("id,x_mm,y_mm,spring\n" + rows, encoding="utf-8")
    assert messages(small_case) == [
        "jacks.csv: rows: got 10,001 jacks: at most 10,000 jacks; a larger slab in parts"
    ]


def test_an_empty_jack_list_is_one_problem(small_case: Path) -> None:
    (small_case / JACKS).write_text("", encoding="utf-8")
    [message] = messages(small_case)
    assert message.startswith("jacks.csv: row 1: got nothing: columns id,x_mm,y_mm,spring")


def test_a_wrong_header_is_one_problem(small_case: Path) -> None:
    edit(small_case, JACKS, "id,x_mm,y_mm,spring", "id,x_mm,spring")
    assert len(messages(small_case)) == 1


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ('code = "A7"\n', "", "spring 1.code: required, but missing"),
        ('code = "B2"', 'code = "A7"', 'spring 2 ("A7").code: got "A7": each code once; spring 1 has it already'),
        ('code = "A7"\n', 'code = "=A7"\n', 'spring 1 ("=A7").code: got \'=A7\': one line of 1 to 24'),
    ],
)
def test_a_bad_code_brings_no_complaints_about_jacks(
    small_case: Path, old: str, new: str, expected: str
) -> None:
    edit(small_case, SPRINGS, old, new)
    if new.startswith("code = \"="):  # the same slip all over
        for name in (SPRINGS, JACKS):
            path = small_case / name
            text = path.read_text(encoding="utf-8").replace('outer = "A7"', 'outer = "=A7"')
            path.write_text(text.replace(",A7\n", ",=A7\n"), encoding="utf-8")
    [message] = messages(small_case)
    assert message.startswith(f"springs.toml: {expected}")


def test_an_unknown_spring_is_one_problem_and_stands_before_later_rows(small_case: Path) -> None:
    path = small_case / JACKS
    text = path.read_text(encoding="utf-8").replace(",A7\n", ",Q\n")
    path.write_text(text.replace("J4,4500,450", "J4,45OO,450"), encoding="utf-8")
    unknown, number = messages(small_case)
    assert unknown == (
        "jacks.csv: rows 2, 3, 4 and 30 more, column spring: got 'Q': no such spring; known: A7, B2, A7+B2"
    )
    assert number.startswith("jacks.csv: row 5, column x_mm: got '45OO'")


@pytest.mark.parametrize("name", [CASE, SPRINGS, JACKS])
def test_not_utf_8(small_case: Path, name: str) -> None:
    path = small_case / name
    lines = path.read_bytes().split(b"\n")
    lines[2] += b" # \xe9"  # é in Latin-1
    path.write_bytes(b"\n".join(lines))
    assert messages(small_case) == [f"{name}: line 3: got byte 0xe9: text in UTF-8"]


@pytest.mark.parametrize(("count", "value"), [(0, "0 jacks"), (1, "1 jack"), (2, "2 jacks"), (7, "7 jacks in one line")])
def test_too_few_jacks_or_all_in_one_line(small_case: Path, count: int, value: str) -> None:
    path = small_case / JACKS
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join(lines[: 1 + count]), encoding="utf-8")
    expected = f"jacks.csv: rows: got {value}: at least three jacks that are not in one line"
    assert messages(small_case) == [expected]


def test_rows_that_cannot_be_read_still_count_as_jacks(small_case: Path) -> None:
    (small_case / JACKS).write_text(
        "id,x_mm,y_mm,spring\nJ1,500,500\nJ2,900,500\nJ3,900,900,A7\n", encoding="utf-8"
    )
    expected = [f"jacks.csv: row {row}: got 3 cells: 4 cells, as in row 1" for row in (2, 3)]
    assert messages(small_case) == expected


def test_all_problems_at_once_in_the_order_of_the_files(small_case: Path) -> None:
    """Twelve problems in three files: none hides another, though some sit in the same table or row."""
    edit(small_case, CASE, "thickness_mm = 125", "thicknes_mm = 125")
    edit(small_case, CASE, "openings_mm = []", "openings_mm = [[[8700, 900], [9900, 900], [9900, 1000]]]")
    edit(small_case, CASE, "mass_kg = 840", "mass_kg = -840")
    edit(small_case, CASE, "[2200, 3300]]", "[-2200, 3300]]")
    edit(small_case, CASE, 'name = "Platform"', 'name = "Rack"')
    edit(small_case, CASE, "age_days = 4", "age_days = 0")
    edit(small_case, SPRINGS, "rate_N_mm = 80", "rate_N_mm = nan")
    edit(small_case, JACKS, FIRST_JACK, "J1,-450,450,A9")
    edit(small_case, JACKS, "J5,5850,450,A7", "J5,5850,4x0,A7")
    edit(small_case, JACKS, "J9,1800,1725,A7", "J9,1800,1725")
    places = [
        message[: message.index(": got")] if ": got" in message else message
        for message in messages(small_case)
    ]
    assert places == [
        "case.toml: slab.thickness_mm: required, but missing",
        "case.toml: slab.thicknes_mm",
        "case.toml: slab.openings_mm, opening 1",
        'case.toml: equipment 1 ("Rack").mass_kg',
        'case.toml: equipment 1 ("Rack").feet_mm, foot 4',
        'case.toml: equipment 2 ("Rack").name',
        "case.toml: lift.age_days",
        'springs.toml: spring 2 ("B2").rate_N_mm',
        "jacks.csv: row 2, column spring",
        'jacks.csv: row 2, jack "J1"',
        "jacks.csv: row 6, column y_mm",
        "jacks.csv: row 10",
    ]


def test_values_are_shown_shortened(small_case: Path) -> None:
    edit(small_case, CASE, '"C32/40"', f'"{300 * "C"}"')
    [message] = messages(small_case)
    assert f"got '{58 * 'C'}…: " in message


def outcome(folder: Path) -> tuple[Case | None, tuple[Problem, ...]]:
    """The case or the problems; any other exception passes through and fails the test."""
    try:
        return read_case(folder), ()
    except InputError as error:
        return None, error.problems


@pytest.fixture(scope="module")
def shared_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("fuzz")


TOKENS = [b"nan", b"-1", b"0", b"1e308", b'""', b"[]", b"[[", b"]", b"{}", b",", b"\n", b"\r", b"\0", b'"', b"\xff", b"true", b"1979-05-27", b"'", b"\xc2\xa0"]  # fmt: skip


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    name=st.sampled_from([CASE, SPRINGS, JACKS]),
    cuts=st.lists(
        st.tuples(st.floats(0, 1), st.integers(0, 30), st.sampled_from(TOKENS) | st.binary(max_size=6)),
        min_size=1,
        max_size=4,
    ),
)
def test_any_damage_gives_a_case_or_an_input_error(
    reinforced_case: Path, shared_folder: Path, name: str, cuts: list[tuple[float, int, bytes]]
) -> None:
    """Random cuts and insertions in one file: never another exception, never an error without a problem."""
    for file in (CASE, SPRINGS, JACKS):
        content = (reinforced_case / file).read_bytes()
        for place, length, token in cuts if file == name else []:
            start = int(place * len(content))
            content = content[:start] + token + content[start + length :]
        (shared_folder / file).write_bytes(content)
    case, problems = outcome(shared_folder)
    assert (case is None) == bool(problems)
    assert all(problem.file and problem.where and problem.allowed for problem in problems)


NUMBERS = st.sampled_from(["nan", "inf", "-1", "0", "1e400", "1e-320", "2.5", "70", "4500", "8999.9999", "[]", "true", '"x"'])  # fmt: skip


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_number_exchanged_gives_a_sound_case_or_an_input_error(
    reinforced_case: Path, shared_folder: Path, data: st.DataObject
) -> None:
    """Numbers exchanged in otherwise valid files reach deep into the geometry; what passes is sound."""
    for file in (CASE, SPRINGS, JACKS):
        words = re.split(r"(-?\b\d+(?:\.\d+)?\b)", (reinforced_case / file).read_text(encoding="utf-8"))
        numbers = range(1, len(words), 2)
        for index in data.draw(st.lists(st.sampled_from(numbers), max_size=3)):
            words[index] = data.draw(NUMBERS)
        (shared_folder / file).write_text("".join(words), encoding="utf-8")
    case, problems = outcome(shared_folder)
    assert (case is None) == bool(problems)
    if case is not None:
        assert case.slab.plan.is_valid
        assert case.slab.plan.area > 0
        assert np.isfinite(case.jacks.xy).all()
        assert (case.jacks.rates > 0).all()
        assert candidates(case) or case.reinforcement is None
