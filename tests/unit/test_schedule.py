"""The jack schedule and its file."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from postprocess.schedule import STATES
from postprocess.schedule_file import write_schedule
from postprocess.view import FloorView

COLUMNS = (
    "id,x_mm,y_mm,spring,advance_mm,rate_N_mm,rated_load_kN,load_bare_kN,load_service_kN,load_full_kN,"
    "deflection_bare_mm,deflection_service_mm,deflection_full_mm,load_ratio_bare,load_ratio_service,"
    "load_ratio_full,tributary_load_kN,computed_over_tributary,solid_reserve_full_mm,status"
)


def read(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_file_says_what_the_schedule_holds(floor_view: FloorView, tmp_path: Path) -> None:
    schedule = replace(floor_view.schedule, advance=np.linspace(0, 0.0055, len(floor_view.schedule)))
    write_schedule(schedule, tmp_path / "jack-schedule.csv")
    assert (tmp_path / "jack-schedule.csv").read_text(encoding="utf-8").splitlines()[0] == COLUMNS
    rows = read(tmp_path / "jack-schedule.csv")
    assert [row["id"] for row in rows] == list(schedule.ids)
    assert [row["spring"] for row in rows] == list(schedule.springs)
    assert [row["status"] for row in rows] == list(schedule.status)
    for i, row in enumerate(rows):
        assert float(row["x_mm"]) == pytest.approx(1e3 * schedule.xy[i, 0], abs=0.051)  # one decimal
        assert float(row["rate_N_mm"]) == pytest.approx(schedule.rates[i] / 1e3)
        for state in STATES:
            load, sink = schedule.loads[state][i], schedule.deflections[state][i]
            assert float(row[f"load_{state}_kN"]) == pytest.approx(load / 1e3, abs=5.1e-4)  # three decimals
            assert float(row[f"deflection_{state}_mm"]) == pytest.approx(1e3 * sink, abs=5.1e-4)
            ratio = load / schedule.rated_loads[i]
            assert float(row[f"load_ratio_{state}"]) == pytest.approx(ratio, abs=5.1e-4)
        reserve = schedule.solid_deflections[i] - schedule.deflections["full"][i] - schedule.advance[i]
        assert float(row["solid_reserve_full_mm"]) == pytest.approx(1e3 * reserve, abs=5.1e-3)  # two decimals
        assert float(row["advance_mm"]) == pytest.approx(5.5 * i / (len(rows) - 1), abs=5.1e-3)
        share = schedule.loads["service"][i] / schedule.tributary_loads[i]
        assert float(row["computed_over_tributary"]) == pytest.approx(share, abs=5.1e-4)


def test_status_follows_the_band(floor_view: FloorView) -> None:
    loads = floor_view.schedule.rated_loads * np.linspace(0.70, 1.10, len(floor_view.schedule))
    schedule = replace(floor_view.schedule, loads={**floor_view.schedule.loads, "service": loads})
    ratios = np.linspace(0.70, 1.10, len(schedule))
    expected = np.where(ratios < 0.75, "under", np.where(ratios > 1.05, "over", "ok"))
    assert list(schedule.status) == expected.tolist()
    assert {"under", "ok", "over"} == set(schedule.status)


def test_names_with_commas_and_other_letters_survive(floor_view: FloorView, tmp_path: Path) -> None:
    names = tuple(f'Å{i}, "corner"' for i in range(len(floor_view.schedule)))
    write_schedule(replace(floor_view.schedule, ids=names), tmp_path / "jack-schedule.csv")
    assert tuple(row["id"] for row in read(tmp_path / "jack-schedule.csv")) == names
