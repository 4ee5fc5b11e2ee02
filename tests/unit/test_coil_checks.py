"""Coils whose geometry is known, held against giving way sideways and against their allowed stress at each jack."""

from __future__ import annotations

from dataclasses import replace
from math import pi
from pathlib import Path

import pytest

from jackfield.choosing import choose_springs
from jackfield.desk import draft_desk
from jackfield.papers import spring_checks
from postprocess.schedule import JackSchedule
from postprocess.view import FloorView
from preprocess.case import Case
from preprocess.reader import read_case, read_draft
from preprocess.springs import usable_travel

SLENDER = """
[[spring]]
code = "Slender"
wire_mm = 14.8
coil_mm = 60
active_turns = 8
free_length_mm = 260
rated_load_kN = 7.0
allowed_stress_mpa = 900
"""
"""276 N/mm, index 4.05, L0/D = 4.3: with ends that can slide it gives way sideways before half its travel to solid."""


@pytest.fixture
def folder(small_case: Path) -> Path:
    with (small_case / "springs.toml").open("a", encoding="utf-8") as file:
        file.write(SLENDER)
    return small_case


def on_one_spring(folder: Path, full: float, floor_schedule: JackSchedule) -> tuple[Case, JackSchedule]:
    """Every jack on the slender spring, all shortened by `full` m in the full state."""
    case = read_case(folder)
    springs = (case.catalogue["Slender"],) * 12
    schedule = replace(
        floor_schedule, deflections={**floor_schedule.deflections, "full": 0 * floor_schedule.rates + full}
    )
    return replace(case, jacks=replace(case.jacks, springs=springs)), schedule


@pytest.mark.parametrize("full", [0.02, 0.06])
def test_stress_and_stability_in_the_full_state(folder: Path, floor_view: FloorView, full: float) -> None:
    """τ = 8 F D/(π d³) with F = G d⁴ s/(8 D³ n), EN 13906-1, by hand: G d s/(π D² n)."""
    case, schedule = on_one_spring(folder, full, floor_view.schedule)
    checks = {check.name: check for check in spring_checks(case, schedule)}
    stress = checks["shear stress of coils, full"]
    assert stress.value == pytest.approx(79.5e3 * 14.8 * 1e3 * full / (pi * 60**2 * 8), rel=1e-12)
    assert stress.limit == pytest.approx(900)
    assert stress.ok == (stress.value <= 900)
    left = checks["least travel left to giving way sideways, full"]
    coil = case.catalogue["Slender"].coil
    assert coil is not None
    assert left.value == pytest.approx(1e3 * (coil.buckling_deflection - full), rel=1e-12)
    assert left.ok == (full <= coil.buckling_deflection)


def test_springs_by_rate_have_no_such_checks(small_case: Path, floor_view: FloorView) -> None:
    case = read_case(small_case)
    case = replace(case, jacks=replace(case.jacks, springs=case.jacks.springs[:12]))
    names = [check.name for check in spring_checks(case, floor_view.schedule)]
    assert not any("coil" in name or "sideways" in name for name in names)


def test_a_spring_that_gives_way_before_the_full_state_is_not_chosen(folder: Path) -> None:
    """Its rate and rated load are nearly those of A7, so only its travel keeps it away."""
    case = read_case(folder)
    slender = case.catalogue["Slender"]
    assert usable_travel(slender, case.catalogue) < slender.solid_deflection
    chosen = choose_springs(draft_desk(read_draft(folder, "positions")))
    full = chosen.choice.deflection[:, 2].max()
    assert full > usable_travel(slender, case.catalogue)
    for spring, compression in zip(chosen.springs, chosen.choice.deflection[:, 2], strict=True):
        assert compression <= usable_travel(spring, case.catalogue)
