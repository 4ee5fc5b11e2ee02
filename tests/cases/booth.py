"""A small booth on twelve jacks, and the site on which it is lifted and surveyed, for the tests of both jobs.

What the site measures comes from the whole model of the slab with the springs as they really are; the jobs know of
these only what the surveys say.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fem.statics import StaticResult, solve_states
from preprocess.case import Case
from preprocess.floor import Floor, build_floor
from preprocess.loads import state_factors
from preprocess.reader import read_case

Floats = NDArray[np.float64]

GRAVITY = 9.80665
"""m/s2, ISO 80000-3."""
PITCH = 3e-3
"""Screw advance a turn, m."""
WEIGHT = 4.6 * 3.5 * 0.125 * 2500 * GRAVITY
"""Of the bare slab, N."""
PIANO = 500 * GRAVITY
"""N."""

_CASE = """\
[project]
title = "Booth"

[slab]
outline_mm = [[0, 0], [4600, 0], [4600, 3500], [0, 3500]]
thickness_mm = 125
density_kg_m3 = 2500

[jacks]
positions = "jacks.csv"

[springs]
catalogue = "springs.toml"

[[equipment]]
name = "Piano"
mass_kg = 500
feet_mm = [[3000, 2300], [4000, 2300], [3500, 1300]]
foot_mm = 100

[imposed]
pressure_kpa = 3.0

[target]
load_ratio = [0.4, 1.4]

[mesh]
size_mm = 1200
corner_size_mm = 600
jack_size_mm = 600

[lift]
pitch_mm = 3.0
turns_per_pass = 1
passes = 7
order = "listed"
age_days = 4
lattice_mm = 500
"""

_SPRINGS = """\
[[spring]]
code = "S40"
rate_N_mm = 400
rated_load_kN = 5.0
solid_deflection_mm = 45

[[spring]]
code = "S50"
rate_N_mm = 500
rated_load_kN = 6.0
solid_deflection_mm = 45
"""


def write_booth(folder: Path) -> Path:
    """Twelve jacks in three rows of four under 4.6 × 3.5 m; the last two, beside the piano, have stronger springs."""
    folder.mkdir(parents=True)
    rows = ["id,x_mm,y_mm,spring"]
    for number in range(12):
        row, column = divmod(number, 4)
        code = "S50" if number >= 10 else "S40"
        rows.append(f"{'ABC'[row]}{column + 1},{400 + 1266 * column},{400 + 1350 * row},{code}")
    for name, text in (("case.toml", _CASE), ("springs.toml", _SPRINGS), ("jacks.csv", "\n".join(rows) + "\n")):
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def edit(path: Path, old: str, new: str) -> None:
    """Put `new` in the place of `old` in a file that has it."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def record(folder: Path, name: str) -> dict[str, Any]:
    """A JSON file of a folder."""
    found: dict[str, Any] = json.loads((folder / name).read_text(encoding="utf-8"))
    return found


@dataclass(frozen=True, eq=False)
class Site:
    """A slab as it stands. rates: (n,) real ones, N/m. floor_height: (n,) of the structural floor at the jacks, m."""

    case: Case
    floor: Floor
    rates: Floats
    floor_height: Floats

    @classmethod
    def of(cls, folder: Path, *, rates: ArrayLike = 1.0, slope: tuple[float, float] = (0.0, 0.0)) -> Site:
        """rates: real over nominal ones. slope: of the structural floor along x and y, m/m."""
        case = read_case(folder)
        xy = case.jacks.xy
        return cls(case, build_floor(case), case.jacks.rates * np.asarray(rates), 0.021 + xy @ np.array(slope))

    def afloat(self, turns: Floats, state: str = "bare") -> StaticResult:
        """The floating slab after turns (n,) in all."""
        assert self.case.lift is not None
        model = self.floor.model.of_modulus(self.case.slab.concrete.modulus_at(self.case.lift.age_days))
        column = list(state_factors(self.case)).index(state)
        [found] = solve_states(model, self.floor.state_loads()[:, [column]], self.rates, turns * PITCH)
        return found

    def heights(self, turns: Floats, state: str = "bare") -> Floats:
        """(n,) of the slab at the jacks above the benchmark, m; at rest without any turns."""
        if not turns.any():
            return self.floor_height
        return self.floor_height - self.afloat(turns, state).jack_deflection

    def survey(self, path: Path, in_all: Floats, since: Floats, *, noise: float = 3e-4, seed: int = 1) -> Path:
        """Measure after turns (n,) in all, of which `since` (n,) since the survey before; noise: of a reading, m."""
        read = self.heights(in_all) + np.random.default_rng(seed).normal(0, noise, len(in_all))
        return write_survey(path, self.case.jacks.ids, read * 1e3, since)


def write_survey(path: Path, ids: Sequence[str], heights_mm: Floats, turns: Floats) -> Path:
    """Heights to a tenth of a millimetre and turns, one row a jack."""
    rows = [f"{name},{height:.1f},{turn:g}" for name, height, turn in zip(ids, heights_mm, turns, strict=True)]
    path.write_text("\n".join(["id,height_mm,turns", *rows, ""]), encoding="utf-8")
    return path
