"""What the floor in motion says in the terminal, on a case and an invented view."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO
from pathlib import Path

import pytest
from rich.console import Console

from jackfield.impact_terminal import show_impact
from jackfield.terminal import show_verdicts
from postprocess.checks import Check
from postprocess.dynamics.checks import dynamics_checks
from postprocess.dynamics.words import LIMITS, share_words
from postprocess.view import FloorView
from preprocess.reader import read_case
from tests.unit.impact_cases import impact_view, long_names


def test_terminal_names_drops_modes_stops_and_dangers(
    floor_view: FloorView, small_case: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "200")
    view = impact_view(floor_view)
    bad = replace(view.drops[0], reserve=-0.004)
    view = replace(view, drops=(bad, view.drops[1]))
    checks = dynamics_checks(view, floor_view.schedule.ids)
    show_impact(read_case(small_case), floor_view.schedule, checks, view=view, folder=Path("out"))
    said = " ".join(capsys.readouterr().out.split())
    for part in ("14.09", "42.34", "63.91", "-4.0 SOLID", "NOT SAFE", "goes solid: 4.0 mm short", "Mode 1: 3.10 Hz"):
        assert part in said
    assert view.air is not None
    for part in ("Air in a gap of 50 mm (vents): heave 5.10 Hz, 3.50 Hz on", "STOP second harmonic meets", "% of g"):
        assert part in said
    for drop in view.drops:
        assert f"{drop.name}: {share_words(drop)}" in said
    assert said.count("they amplify at 1 to 4 Hz") == 2
    assert "MIND Bay 1: springs deflect 6.2 times" in said
    assert "Mode 4" not in said
    assert not any(sentence in said for sentence in (*LIMITS, *view.sentences))
    assert "dynamics.json" in said
    assert "drops: least travel left to solid" in said


def test_terminal_stays_short(
    floor_view: FloorView, small_case: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three drops, two bays, air, three moving loads, long names, 80 columns: three screens of 24 lines."""
    monkeypatch.setenv("COLUMNS", "80")
    view = impact_view(floor_view, drops=3)
    checks = dynamics_checks(view, floor_view.schedule.ids, acceleration=0.5, dose=0.4)
    show_impact(read_case(small_case), floor_view.schedule, checks, view=view, folder=Path("out"))
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) <= 72
    assert "\N{HORIZONTAL ELLIPSIS}" not in "".join(lines)


def test_names_with_markup_stay_as_they_are(
    floor_view: FloorView, small_case: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "70")
    view = long_names(impact_view(floor_view, drops=14, steady=2))
    show_impact(read_case(small_case), floor_view.schedule, [], view=view, folder=Path("out"))
    said = " ".join(capsys.readouterr().out.split())
    assert "<b>[red]" in said
    assert "and 2 more, see drops.csv" in said


def test_terminal_without_drops_bays_and_air(
    floor_view: FloorView, small_case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    view = impact_view(floor_view, drops=0, bays=0, air=False, steady=0)
    show_impact(read_case(small_case), floor_view.schedule, [], view=view, folder=Path("out"))
    said = capsys.readouterr().out
    assert "Sideways, rigid slab: lowest 2.10 Hz" in said
    assert "SOLID" not in said


def test_terminal_names_the_worst_place_and_what_is_to_be_minded(
    floor_view: FloorView, small_case: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "200")
    view, ids = impact_view(floor_view), floor_view.schedule.ids
    grid = view.drop_map
    assert grid is not None
    first = replace(view.drops[0], depth=0.061, full_reserve=-0.002)
    bad = replace(view.steady[1], reserve=-0.003, least_load=-400.0, clearance=-0.001)
    view = replace(view, drops=(first, view.drops[1]), steady=(view.steady[0], bad, view.steady[2]))
    show_impact(read_case(small_case), floor_view.schedule, [], view=view, folder=Path("out"))
    said = " ".join(capsys.readouterr().out.split())
    most, least = int(grid.force.argmax()), int(grid.reserve.argmin())
    force = f"{grid.force[most] / 1e3:.1f} kN into the structure"
    left = f"{1e3 * grid.reserve[least]:.1f} mm of travel left at jack {ids[grid.worst_jack[least]]}"
    x, y = grid.xy[most]
    assert most == least  # a corner of this map
    assert f"Worst place for the heaviest drop: ({x:.2f}, {y:.2f}) m: {force}, {left}" in said
    assert f"MIND {first.name}: covering pressed 61.0 mm deep" in said
    assert f"MIND {first.name}: With all imposed load on the floor at the same time a spring would go SOLID" in said
    for part in ("goes solid: 3.0 mm short", "lets go: least jack load", "touches the structural floor: gap 1.0 mm"):
        assert part in said
    assert said.count(f"NOT SAFE {bad.name}") == 3
    assert said.index(f"Group {bad.name}") < said.index(f"Group {view.steady[0].name}")


@pytest.mark.parametrize("width", [60, 78, 80, 84, 90, 120, 160])
def test_no_number_of_a_verdict_is_cut_at_any_width(width: int) -> None:
    """A table where it fits, else a line a check; places beside it only where they have room."""
    names = ("groups, machines: least travel left to solid", "drops: vibration dose of a day")
    made = [Check(name, 1.0, 10.25, "m/s¹·⁷⁵", "at least", "", "jack A1, the bar") for name in names]
    console = Console(width=width, record=True, file=StringIO(), color_system=None)
    show_verdicts(console, made)
    said = console.export_text()
    assert "\N{HORIZONTAL ELLIPSIS}" not in said
    whole = " ".join(said.split())
    for part in (*names, "10.25", "NOT MET", "the bar"):
        assert whole.count(part) >= 1
    assert ("━" in said) == (width >= 79)  # 44 of names, 12 of values, 7 of limits, 7 of verdicts, 9 between
