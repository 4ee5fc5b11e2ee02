"""What the floor in motion says in the terminal, on a case and an invented view."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from jackfield.impact_terminal import show_impact
from postprocess.dynamics.checks import dynamics_checks
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
    for part in (*view.sentences, view.air.sentence, "STOP second harmonic meets", "Springs amplify at 1 to 4 Hz"):
        assert part in said
    assert "drops: least travel left to solid" in said


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
    assert "Sideways, rigid slab: 2.10 Hz" in said
    assert "SOLID" not in said
