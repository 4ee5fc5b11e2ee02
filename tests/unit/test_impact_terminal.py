"""What the floor in motion says in the terminal, on a case and an invented view."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from jackfield.impact_terminal import show_impact
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
    assert "MIND bay Bay 1: springs deflect 6.2 times" in said
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
