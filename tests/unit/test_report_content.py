"""What the report of a case says: hand sums, figures of jacks, every check, text that stays text, pictures that fit."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from math import pi, sqrt
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import jackfield.report
import postprocess.report.paper
from jackfield import CAUTIONS
from jackfield.doubt import floor_doubt
from jackfield.job_record import level_record, lift_record
from jackfield.report import Gathered, case_report
from jackfield.report_basis import load_entries, moving_mass, slab_facts
from postprocess.checks import Check
from postprocess.report.check_sections import check_section
from postprocess.report.cover import cover
from postprocess.report.doubt_sections import doubt_section
from postprocess.report.governing import governing_jack
from postprocess.report.jack_plan import JackPlan
from postprocess.report.jack_sections import jack_plan, rigid_heave
from postprocess.report.jack_values import values_of
from postprocess.report.lift_record import with_record
from postprocess.report.lift_sections import level_section, lift_section
from postprocess.report.load_sections import state_sums
from postprocess.report.model import Block, Picture, Report, Section, Signatures, Table, Working
from postprocess.report.motion_sections import motion_section
from postprocess.report.pdf import PICTURE_HEIGHT
from postprocess.strength.layers import FACES
from postprocess.view import FloorView
from preprocess.case import Doubt
from tests.unit.impact_cases import impact_view
from tests.unit.lift_views import lift_of
from tests.unit.report_case import MARKUP, gather_hall, write_hall

GRAVITY = 9.80665
"""m/s2, ISO 80000-3."""
AREA = 5.2 * 3.9 - 1.3 * 1.3 - 0.5 * 0.4
"""Of the slab: the rectangle less the nook and the opening, m2."""
LARGEST = 300_000
"""Bytes of a picture."""
WIDEST = 180.0
"""mm: the column of text on A4."""
SMALLEST = 6.0
"""Points: numbers on the bars of the lift, which its sheet has as well; all else is 6.5 and more."""


@pytest.fixture(scope="module")
def hall(tmp_path_factory: pytest.TempPathFactory) -> Gathered:
    return gather_hall(write_hall(tmp_path_factory.mktemp("report") / "hall"))


@pytest.fixture(scope="module")
def report(hall: Gathered) -> Report:
    return case_report(hall)


def blocks(report: Report, kind: type) -> Iterator[Any]:
    for section in report.sections:
        yield from (block for block in section.blocks if isinstance(block, kind))


def section(report: Report, title: str) -> Section:
    return next(each for each in report.sections if each.title == title)


def table(where: Section, beginning: str) -> Table:
    return next(block for block in where.blocks if isinstance(block, Table) and block.caption.startswith(beginning))


def working(where: Section, name: str) -> Working:
    return next(block for block in where.blocks if isinstance(block, Working) and block.name == name)


def first_number(words: str) -> float:
    return float(words.split(maxsplit=1)[0])


def test_hand_sums_are_the_loads_of_the_case_and_what_the_jacks_carry(hall: Gathered, report: Report) -> None:
    """Loads typed out here; the solver's equilibrium is kept near 1e-13, rounding of sums leaves 1e-9."""
    slab, finish, rack, parapet = AREA * 0.125 * 2500 * GRAVITY, 400 * AREA, 400 * GRAVITY, 600 * 4.8
    expected = {
        "bare": slab,
        "service": slab + finish + rack + parapet + 0.2 * 2000 * AREA,
        "full": slab + finish + rack + parapet + 2000 * AREA,
    }
    sums = {each.state: each for each in state_sums(load_entries(hall.solution.floor.case), hall.schedule)}
    plan = section(report, "Plan and loads")
    for row in table(plan, "Loads added up").rows:
        state, each = row[0], sums[row[0]]
        assert each.force == pytest.approx(expected[state], rel=1e-9)
        assert each.reaction == pytest.approx(expected[state], rel=1e-9)
        np.testing.assert_allclose(each.reaction_centre, each.centre, atol=1e-9)
        assert float(row[1]) == pytest.approx(expected[state] / 1e3, abs=5.1e-4)
        assert first_number(working(plan, f"Load, {state}").result) == pytest.approx(expected[state] / 1e3, abs=0.0051)
    assert first_number(working(plan, "Area of the slab").result) == pytest.approx(AREA, abs=5.1e-4)
    assert first_number(working(plan, "Perimeter").result) == pytest.approx(2 * (5.2 + 3.9) + 2 * 0.9, abs=5.1e-4)
    assert slab_facts(hall.solution.floor.case).mass == pytest.approx(AREA * 0.125 * 2500, rel=1e-12)


def test_governing_jack_by_hand(hall: Gathered, report: Report) -> None:
    """Rate × (deflection + advance), from the printed figures: rounding of the last printed digit, 0.001 mm or kN."""
    jacks = section(report, "Jacks and springs")
    j = next(iter(blocks(report, JackPlan))).governing
    schedule = hall.schedule
    for state in ("bare", "service", "full"):
        line = working(jacks, f"Load, {state}")
        rate, rest = line.formula.split("=")[-1].split("× (")
        deflection, advance = rest.strip(" )").split("+")
        load = float(rate) * (float(deflection) + float(advance))
        assert first_number(line.result) == pytest.approx(load, abs=1e-3)
        assert load == pytest.approx(schedule.loads[state][j] / 1e3, abs=1e-3)
    estimate = sqrt(schedule.rates.sum() / moving_mass(hall.solution.floor.case)) / (2 * pi)
    assert rigid_heave(schedule, moving_mass(hall.solution.floor.case)) == pytest.approx(estimate, rel=1e-12)
    mass = AREA * 0.125 * 2500 + 400 * AREA / GRAVITY + 400 + 600 * 4.8 / GRAVITY
    assert moving_mass(hall.solution.floor.case) == pytest.approx(mass, rel=1e-12)
    assert first_number(working(jacks, "Heave of a rigid slab").result) == pytest.approx(estimate, abs=5e-4)


def test_figures_of_every_jack_in_every_state(hall: Gathered) -> None:
    assert hall.existing is not None
    plan = jack_plan(hall.view, governing_jack(hall.schedule), hall.existing.cases, 0.004)
    quantities = {quantity.key: quantity for quantity in plan.quantities}
    assert list(plan.states)[:3] == ["bare", "service", "full"]
    assert plan.states["spring_removed_service"].short == "spring removed, service"
    for column in plan.paper:
        assert np.isfinite(values_of(plan, quantities[column.quantity], column.state)).all(), column.heading
    assert {column.state for column in plan.paper if column.quantity == "load"} == set(plan.states)
    assert "spring_removed_service" in plan.states
    rates = hall.schedule.rates / 1e6
    for state in ("bare", "service", "full"):
        squeezed = quantities["compression"].values[state]
        np.testing.assert_allclose(quantities["load"].values[state], rates * squeezed, rtol=1e-12)
        np.testing.assert_allclose(quantities["travel-left"].values[state], 60 - squeezed, rtol=1e-12)
        advance = squeezed - quantities["deflection"].values[state]
        np.testing.assert_allclose(advance, [2.0 if name == "B1" else 0.0 for name in plan.ids], atol=1e-9)
    assert quantities["travel-left"].limits[0] == 4.0
    removed = next(case for case in hall.existing.cases if case.key == "spring_removed_service")
    np.testing.assert_array_equal(quantities["load"].values["spring_removed_service"], removed.loads / 1e3)
    for quantity in plan.quantities:
        assert set(quantity.values) in ({"all"}, set(plan.states)), quantity.key
    assert np.isnan(quantities["deflection"].values["spring_removed_service"]).all()


def test_every_check_stands_in_the_section_of_checks(hall: Gathered, report: Report) -> None:
    found = [row[1] for block in section(report, "Checks").blocks if isinstance(block, Table) for row in block.rows]
    assert sorted(found) == sorted(check.name for check in hall.results.checks)
    assert not any(block.failed for block in section(report, "Checks").blocks if isinstance(block, Table))


def test_a_check_that_is_not_met_is_marked_and_governs(hall: Gathered) -> None:
    missed = Check("settlement", 12.0, 10.0, "mm", "at most", "the contract", "jack C2")
    checks = [*hall.results.checks, missed]
    rows = table(check_section(checks), "Checks of the floor")
    assert {rows.rows[row][1] for row in rows.failed} == {"settlement"}
    results, jack, nothing = replace(hall.results, checks=checks), governing_jack(hall.schedule), Picture("", "", "")
    whole, _, governing, *_ = cover(results, {}, jack, nothing, lift=None, cautions=()).headlines
    assert (whole.verdict, governing.verdict) == ("NOT MET", "NOT MET")
    assert whole.words.startswith(f"{len(checks) - 1} of {len(checks)} checks met. Not met: settlement")
    assert governing.words.startswith("settlement: 12 mm, allowed at most 10 mm, 1.20 of the limit (jack C2)")


def test_first_page(hall: Gathered, report: Report) -> None:
    front = report.cover
    assert front.cautions == CAUTIONS
    assert (front.reference, front.revision) == ("R-1", "C")
    assert not {"R-1", "C"} & set(front.facts.values())
    names = [headline.name for headline in front.headlines]
    assert names[:3] == ["The whole", "Governing jack", "Governing check"]
    assert {"Largest jack load", "Heave frequency", "Layers of steel", "Bending"} <= set(names)
    jack = governing_jack(hall.schedule)
    assert front.headlines[1].words.startswith(f"jack {hall.schedule.ids[jack.jack]} at ")
    for file in hall.inputs.files:
        assert file.digest[:12] in front.facts[f"File {file.name}"]
    assert hall.inputs.date_words in front.facts["Date of the input"]


def test_resistance_by_hand_is_that_of_the_checks(hall: Gathered, report: Report) -> None:
    """To the last printed digit, 0.01 kN·m/m."""
    strength = hall.results.strength
    assert strength is not None
    lines = section(report, "Bending resistance by hand")
    for (face, direction), resistance in zip(FACES, strength.resistance, strict=True):
        line = working(lines, f"{face} {direction}: resistance")
        assert first_number(line.result) == pytest.approx(resistance / 1e3, abs=0.0051)


def test_punching_by_hand_is_that_of_the_checks(hall: Gathered, report: Report) -> None:
    """To the last printed digit, 0.001 MPa."""
    strength, name = hall.results.strength, hall.schedule.ids[governing_jack(hall.schedule).jack]
    assert strength is not None
    place = next(each for each in strength.punching if each.name == f"jack {name}")
    lines = section(report, "Punching by hand")
    assert first_number(working(lines, "Stress on it").result) == pytest.approx(place.stress / 1e6, abs=5.1e-4)
    assert first_number(working(lines, "Strength that counts").result) == pytest.approx(
        place.strength / 1e6, abs=5.1e-4
    )
    assert first_number(working(lines, "Stress at the load").result) == pytest.approx(
        place.face_stress / 1e6, abs=5.1e-4
    )


def strings(thing: Any) -> Iterator[str]:
    """Every string of a report but the pictures."""
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, dict):
        yield from (text for pair in thing.items() for each in pair for text in strings(each))
    elif isinstance(thing, tuple):
        yield from (text for each in thing for text in strings(each))
    elif is_dataclass(thing) and not isinstance(thing, type):
        for field in fields(thing):
            if field.name not in {"svg", "plan", "xy", "items", "shape"}:
                yield from strings(getattr(thing, field.name))


def test_text_of_the_case_stays_as_it_stands(report: Report) -> None:
    assert report.cover.title == "Hall <b>&amp;</b> #strong[stage]"
    assert any(row[0] == MARKUP for row in table(section(report, "Plan and loads"), "Loads, downward").rows)
    assert not any("&lt;" in words for words in strings(report))
    assert MARKUP in report.cover.picture.words


def test_tables_are_whole(report: Report) -> None:
    for block in blocks(report, Table):
        assert block.rows, block.caption
        for row in block.rows:
            assert len(row) == len(block.columns), block.caption
            assert not {"nan", "inf", "-inf"} & {cell.strip() for cell in row}, block.caption
        assert all(0 <= row < len(block.rows) for row in block.failed)


def check_picture(picture: Picture) -> None:
    """Vectors with text as text, no larger than the column and no heavier than agreed; nothing that runs or loads."""
    root = ET.fromstring(picture.svg)
    width, height = (float(root.attrib[side].removesuffix("pt")) * 25.4 / 72 for side in ("width", "height"))
    assert width <= WIDEST + 0.1
    assert height <= PICTURE_HEIGHT + 0.1
    assert len(picture.svg.encode()) < LARGEST
    assert picture.caption
    assert picture.words
    names = {element.tag.rpartition("}")[2] for element in root.iter()}
    assert "text" in names
    assert not names & {"script", "foreignObject", "a"}
    sizes = [
        float(part.split("px")[0].split()[-1])
        for element in root.iter()
        for part in [element.attrib.get("style", "")]
        if element.tag.endswith("text") and "px" in part
    ]
    assert not sizes or min(sizes) >= SMALLEST


def test_pictures_fit(report: Report) -> None:
    found = [report.cover.picture, *blocks(report, Picture)]
    assert len(found) == 5, "plan, moments of two states, use of steel, modes"
    for picture in found:
        check_picture(picture)
    assert len({picture.caption for picture in found}) == len(found)


def test_closing_pages(report: Report) -> None:
    last: tuple[Block, ...] = report.sections[-1].blocks
    assert isinstance(last[-1], Signatures)
    assert last[-1].roles == ("Prepared by", "Checked by", "Approved by")
    assert any(getattr(block, "items", ()) == CAUTIONS for block in last)


def test_assumptions_say_whether_they_are_given(report: Report) -> None:
    rows = {row[0]: row[1:] for row in table(section(report, "The job and its assumptions"), "Assumptions").rows}
    assert rows["Thickness, everywhere"] == ("125 mm", "slab.thickness_mm of the case")
    assert rows["Density"] == ("2500 kg/m³", "assumed by the program: the case has no slab.density_kg_m3")
    assert rows["Its sustained share, which counts in service"] == ("0.2", "imposed.service_fraction of the case")
    assert rows["Screw advance"][0] == "as listed for single jacks"


def test_without_steel_the_report_says_so(hall: Gathered, monkeypatch: pytest.MonkeyPatch) -> None:
    """Pictures and known answers have tests of their own."""
    monkeypatch.setattr(postprocess.report.paper, "svg_of", lambda figure, name: "<svg/>")
    monkeypatch.setattr(jackfield.report, "known_answers", tuple)
    results = replace(hall.results, strength=None, left_out=("strength of the slab: case.toml has no [reinforcement]",))
    bare = case_report(replace(hall, results=results, fabric=(), quantities=None))
    titles = [each.title for each in bare.sections]
    assert "Bending resistance by hand" not in titles
    assert "Bending of the slab" in titles
    assert "Layers of steel" not in [headline.name for headline in bare.cover.headlines]
    assert any(results.left_out == getattr(block, "items", ()) for block in bare.sections[0].blocks)


def test_lift(floor_view: FloorView) -> None:
    lift = lift_of(floor_view, floor_view.fields.mesh, 4)
    ids = floor_view.schedule.ids
    found = lift_section(lift, ids, ())
    rows = table(found, "The lift pass by pass")
    assert [row[0] for row in rows.rows] == ["1", "2", "3", "4"]
    assert float(rows.rows[2][6]) == pytest.approx(lift.passes[2].loads.max() / 1e3, abs=0.0051)
    assert rows.failed == {i for i, each in enumerate(lift.passes) if each.peak.use > 1}
    faults = table(found, "What may go wrong")
    assert len(faults.failed) == sum(fault.harmful for fault in lift.faults)
    for picture in (block for block in found.blocks if isinstance(block, Picture)):
        check_picture(picture)


RECORD: dict[str, Any] = {
    "notes": ["Safe only as planned."],
    "pass_sizes": [
        {
            "turns": 2.0,
            "peak": {"moment_kNm_m": 2.5, "cracking_use": 0.77, "place": "slab", "tension_face": "top"},
            "earliest_age_days": 3,
        }
    ],
    "faults": [
        {"fault": "stuck", "height_change_mm": 1.2, "load_change_kN": 4.16, "cracking_use": 1.49, "noticed": "no"},
        {
            "fault": "turned twice",
            "height_change_mm": 0.7,
            "load_change_kN": 1.75,
            "cracking_use": 0.9,
            "noticed": "no",
        },
    ],
}
"""What lift.json says of sizes of pass and faults, but for the jack, its place and harm."""


def test_lift_with_what_its_own_job_found(floor_view: FloorView) -> None:
    """Figures of the record stand in the tables in its own units."""
    lift = lift_of(floor_view, floor_view.fields.mesh, 2)
    ids = floor_view.schedule.ids
    size, (stuck, twice) = RECORD["pass_sizes"][0], RECORD["faults"]
    record = {
        "notes": RECORD["notes"],
        "pass_sizes": [size | {"peak": size["peak"] | {"jack": ids[1], "x_mm": 1500.0, "y_mm": 300.0}}],
        "faults": [stuck | {"jack": ids[2], "harmful": True}, twice | {"jack": ids[0], "harmful": False}],
    }
    found = lift_section(with_record(lift, record, ids), ids, ())
    assert table(found, "Sizes of pass").rows == (("2", "2.50", "77 %", "3 days"),)
    faults = table(found, "What may go wrong")
    assert faults.rows[0] == ("stuck", ids[2], "1.2", "4.16", "149 %", "no", "HARM")
    assert faults.rows[1][:5] == ("turned twice", ids[0], "0.7", "1.75", "90 %")
    assert faults.failed == {0}
    assert any(getattr(block, "items", ()) == ("Safe only as planned.",) for block in found.blocks)


def test_records_of_jobs_count_for_the_same_input_only(hall: Gathered, tmp_path: Path) -> None:
    for name, read in (("lift", lift_record), ("level", level_record)):
        file = tmp_path / name / f"{name}.json"
        assert read(tmp_path, hall.inputs) is None
        file.parent.mkdir()
        case = {"input_sha256": hall.inputs.digest}
        good = {"format": f"jackfield-{name}/1", "case": case}
        file.write_text(json.dumps(good), encoding="utf-8")
        assert read(tmp_path, hall.inputs) == good
        for bad in (good | {"case": {"input_sha256": "0" * 64}}, good | {"format": "other/1"}, good | {"case": 1}, []):
            file.write_text(json.dumps(bad), encoding="utf-8")
            assert read(tmp_path, hall.inputs) is None
        file.write_text("{", encoding="utf-8")
        assert read(tmp_path, hall.inputs) is None


def test_motion(floor_view: FloorView) -> None:
    motion = impact_view(floor_view)
    found = motion_section(motion, floor_view.schedule.ids)
    drops = table(found, "Drops")
    assert [float(row[3]) for row in drops.rows] == pytest.approx(
        [drop.springs.peak_force / 1e3 for drop in motion.drops], abs=0.0051
    )
    assert len(table(found, "The structural floor").rows) == len(motion.bays)
    assert len(table(found, "Groups and machines").rows) == len(motion.steady)
    pictures = [block for block in found.blocks if isinstance(block, Picture)]
    assert len(pictures) == 3
    for picture in pictures:
        check_picture(picture)
    still = motion_section(replace(motion, drops=(), steady=(), air=None, bays=()), floor_view.schedule.ids)
    assert len([block for block in still.blocks if isinstance(block, Picture)]) == 1


def test_level() -> None:
    jack = {"quarter_turns": 5, "height_mm": {"before": 1.0, "after": 0.25}, "load_kN": {"after": 7.125}}
    jacks = [jack | {"id": "A1", "order": 2}, jack | {"id": "A2", "order": 1}, jack | {"id": "A3", "order": None}]
    limits = {
        "overall_mm": {"before": 6.0, "after": 2.0, "limit": 3.0},
        "straightedge_mm": {"before": 4.0, "after": 3.5, "limit": 3.0},
    }
    head = {"surveyed_in": "bare", "level_in": "service", "age_days": 4.0, "notes": ["Look twice."]}
    found = level_section(head | {"reach": limits | {"words": "Nearly level."}, "jacks": jacks})
    assert [row[1:3] for row in table(found, "Turns").rows] == [("A2", "up 1 1/4"), ("A1", "up 1 1/4")]
    assert table(found, "How level").failed == {1}


def test_doubt(hall: Gathered) -> None:
    doubt = floor_doubt(hall.solution, Doubt(100, 1, 0.1, 0.5, 0.005, 2.0, 0.1))
    found = doubt_section(doubt)
    rows = table(found, "Jacks that leave").rows
    j = doubt.ids.index(rows[0][0])
    assert float(rows[0][1]) == pytest.approx(hall.schedule.loads["service"][j] / 1e3, abs=0.0051)
    assert float(rows[0][2]) < float(rows[0][1]) < float(rows[0][3])
