"""A small sound case, written afresh for every test that wants one."""

from __future__ import annotations

import os
from pathlib import Path

if "PYTEST_XDIST_WORKER" in os.environ:  # workers share the cores among them, and so do their child processes
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read as numpy and scipy are loaded, which is later

import pytest

CASE_TOML = """\
[project]
title = "Practice room over a workshop"
reference = "T-1"
revision = "B"

[slab]
outline_mm = [[0, 0], [9000, 0], [9000, 6000], [0, 6000]]
openings_mm = []
thickness_mm = 125
density_kg_m3 = 2500
strength_class = "C32/40"
cement_class = "N"
poissons_ratio = 0.2

[jacks]
positions = "jacks.csv"
footprint_mm = 150

[springs]
catalogue = "springs.toml"

[[finishes]]
name = "Timber floor"
pressure_kpa = 0.30

[[finishes]]
name = "Tiles"
pressure_kpa = 0.50
outline_mm = [[7000, 0], [9000, 0], [9000, 2000], [7000, 2000]]

[[equipment]]
name = "Rack"
mass_kg = 840
feet_mm = [[1000, 4300], [1000, 3300], [2200, 4300], [2200, 3300]]
foot_mm = 100

[[equipment]]
name = "Platform"
mass_kg = 600
outline_mm = [[4000, 1000], [6000, 1000], [6000, 2500], [4000, 2500]]

[[line_loads]]
name = "Partition"
load_kN_m = 0.8
path_mm = [[3000, 6000], [3000, 4800], [0, 4800]]

[imposed]
pressure_kpa = 5.0
service_fraction = 0.1

[target]
natural_frequency_hz = 3.6
load_ratio = [0.75, 1.05]

[lift]
pitch_mm = 3.0
turns_per_pass = 2
passes = 10
order = "listed"
age_days = 4
"""

SPRINGS_TOML = """\
[[spring]]
code = "A7"
rate_N_mm = 280
rated_load_kN = 7.0
solid_deflection_mm = 56

[[spring]]
code = "B2"
rate_N_mm = 80
rated_load_kN = 2.0
solid_deflection_mm = 54

[[nested]]
code = "A7+B2"
outer = "A7"
inner = "B2"
"""


def jacks_csv() -> str:
    """35 jacks at 1350 × 1275 mm, nested pairs at the two nearest to the rack."""
    lines = ["id,x_mm,y_mm,spring"]
    for row in range(5):
        for column in range(7):
            spring = "A7+B2" if column == 1 and row in (2, 3) else "A7"
            lines.append(f"J{7 * row + column + 1},{450 + 1350 * column},{450 + 1275 * row},{spring}")
    return "\n".join(lines) + "\n"


@pytest.fixture(scope="session")
def small_case_files() -> dict[str, str]:
    """Name and text of the files of the small case."""
    return {"case.toml": CASE_TOML, "springs.toml": SPRINGS_TOML, "jacks.csv": jacks_csv()}


def write_small_case(folder: Path) -> Path:
    """A floor of 9 × 6 m whose jacks carry about 0.9 of their rated load in service; returns the folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in (("case.toml", CASE_TOML), ("springs.toml", SPRINGS_TOML), ("jacks.csv", jacks_csv())):
        (folder / name).write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def small_case(tmp_path: Path) -> Path:
    """Folder of the small case."""
    return write_small_case(tmp_path / "small")
