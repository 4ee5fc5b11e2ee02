"""A stiff block on four equal springs, whose motion can be reckoned by hand, for tests of the floor in motion."""

from __future__ import annotations

from pathlib import Path

SIDE, THICKNESS, DENSITY = 3.0, 0.9, 2500.0
"""m, m, kg/m3."""
MASS = SIDE**2 * THICKNESS * DENSITY
RATE = 2.0e6
"""Of each of the four springs, N/m."""

_CASE = f"""\
[project]
title = "Block"

[slab]
outline_mm = [[0, 0], [3000, 0], [3000, 3000], [0, 3000]]
thickness_mm = {1e3 * THICKNESS:g}
density_kg_m3 = {DENSITY:g}
modulus_gpa = 100

[jacks]
positions = "jacks.csv"

[springs]
catalogue = "springs.toml"

[damping]
springs_percent = 2
slab_percent = 2

"""
_JACKS = "id,x_mm,y_mm,spring\nA1,400,400,S\nA2,2600,400,S\nB1,400,2600,S\nB2,2600,2600,S\n"
_SPRINGS = f"""\
[[spring]]
code = "S"
rate_N_mm = {RATE / 1e3:g}
rated_load_kN = 50
solid_deflection_mm = 60
"""


def write_block(folder: Path, tables: str = "") -> Path:
    """The folder of the case, with more tables."""
    folder.mkdir(parents=True)
    (folder / "case.toml").write_text(_CASE + tables, encoding="utf-8")
    (folder / "jacks.csv").write_text(_JACKS, encoding="utf-8")
    (folder / "springs.toml").write_text(_SPRINGS, encoding="utf-8")
    return folder
