"""A drawing that we write and read back gives the same case: outline, openings, jacks and equipment."""

from __future__ import annotations

import csv
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from ezdxf.filemanagement import readfile
from shapely import Polygon
from shapely.affinity import scale

import jackfield.drawings
import postprocess.cad.document
from jackfield.drawings import write_drawings
from postprocess.cad.jack_lines import jack_lines
from postprocess.cad.setting_out import setting_out
from postprocess.schedule import STATES, JackSchedule
from preprocess.cad.drawing_in import read_drawing
from preprocess.cad.rules import DEFAULT_LAYERS, DrawingRules
from preprocess.case import Case
from preprocess.reader import read_case
from tests.cases.drawn_case import assert_same_plan, drawing_table, without_plan

CASES = Path(__file__).parents[2] / "cases"
MARKED_MM = 0.1
"""People mark out to a millimetre, so a tenth is never seen."""
HALF_DIGIT_MM = 0.051
"""Tables have tenths of a mm."""
ROUNDING_MM = 1e-6
"""A drawing holds sixteen digits of a few thousand mm."""


def unloaded(case: Case) -> JackSchedule:
    """A schedule for drawings that show no loads."""
    jacks, nothing = case.jacks, np.zeros(len(case.jacks))
    return JackSchedule(
        ids=jacks.ids,
        xy=jacks.xy,
        springs=tuple(spring.code for spring in jacks.springs),
        rates=jacks.rates,
        rated_loads=jacks.rated_loads,
        solid_deflections=jacks.solid_deflections,
        advance=jacks.advance,
        loads=dict.fromkeys(STATES, nothing),
        deflections=dict.fromkeys(STATES, nothing),
        tributary_loads=nothing,
        band=case.target.load_ratio,
    )


@pytest.fixture
def setting_out_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither the other drawings nor PDF files."""
    monkeypatch.setattr(jackfield.drawings, "contents", lambda fabric, lift: {"setting-out": setting_out()})
    monkeypatch.setattr(postprocess.cad.document, "svg_page", lambda *page: "<svg xmlns='http://www.w3.org/2000/svg'/>")


@pytest.mark.usefixtures("setting_out_only")
def test_setting_out_drawing_read_back_is_the_same_case(tmp_path: Path) -> None:
    case = read_case(CASES / "weights-room")
    folder = tmp_path / "drawn"
    shutil.copytree(case.folder, folder)
    write_drawings(case, unloaded(case), (), None, folder)
    (folder / "jacks.csv").unlink()
    text = without_plan((folder / "case.toml").read_text(encoding="utf-8"))
    (folder / "case.toml").write_text(text + drawing_table("setting-out.dxf"), encoding="utf-8")
    found = read_case(folder)
    assert_same_plan(found, case, ROUNDING_MM)
    assert [remark for remark in found.remarks if "nothing on it" not in remark] == []


@pytest.mark.usefixtures("setting_out_only")
@pytest.mark.parametrize("name", ["weights-room", "weights-room-b", "studio", "roof-deck"])
def test_dimensions_of_the_demo_cases_are_those_of_their_jack_lists(name: str, tmp_path: Path) -> None:
    """By a plain reading of the file: the figures beside the plan lead to each jack of jacks.csv within 0.1 mm, or its
    coordinates stand in the table."""
    case = read_case(CASES / name)
    write_drawings(case, unloaded(case), (), None, tmp_path)
    document = readfile(tmp_path / "setting-out.dxf")
    written: tuple[list[float], list[float]] = ([], [])
    for dimension in document.modelspace().query("DIMENSION"):
        (figure,) = dimension.get_geometry_block().query("MTEXT")
        written[0 if dimension.dxf.dimtype & 64 else 1].append(number(figure.plain_text()))
    words = [text.plain_text() for text in document.paperspace().query("TEXT")]
    heads = [at for at, word in enumerate(words) if word in {"Jacks by coordinates", "Jacks off the lines"}]
    words = words[heads[0] :] if heads else []
    with (CASES / name / "jacks.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    assert len(rows) == len(case.jacks)
    for row in rows:
        place = float(row["x_mm"]), float(row["y_mm"])
        if row["id"] in words:
            at = words.index(row["id"])
            assert [number(word) for word in words[at + 1 : at + 3]] == pytest.approx(place, abs=HALF_DIGIT_MM)
        else:
            gaps = [min(abs(figure - x) for figure in axis) for axis, x in zip(written, place, strict=True)]
            assert max(gaps) <= MARKED_MM


def number(figure: str) -> float:
    return float(figure.replace("\N{MINUS SIGN}", "-"))


def test_lines_do_not_speak_for_jacks_beside_them() -> None:
    """0.04 mm off its line a jack has the line's dimension, 0.06 mm off it has its own coordinates."""
    xy = np.array([(x, y) for y in (0.3, 1.5, 2.7) for x in (0.3, 1.5, 2.7, 3.9)])
    xy[5] += (0.00004, 0.0)
    xy[6] += (0.0, 0.00006)
    assert jack_lines([f"J{n}" for n in range(len(xy))], xy).off(xy) == (6,)


@pytest.mark.usefixtures("setting_out_only")
def test_words_of_the_case_come_back_as_they_were(tmp_path: Path) -> None:
    """Codes that DXF would interpret, markup and formulas are plain text on the way out and in; openings come back."""
    case = read_case(CASES / "roof-deck")
    words = ["50%%d and %%%", r"\P{\fArial;A} \U+0041", "^J <script>", '=1+1 "q" ü', "%%c %%065 100 %"]
    items = tuple(
        replace(item, name=f"{words[number % len(words)]} {number}") for number, item in enumerate(case.equipment)
    )
    ids = tuple(f"{words[number % len(words)][:12].strip()}{number}".lstrip("=") for number in range(len(case.jacks)))
    hostile = replace(case, equipment=items, jacks=replace(case.jacks, ids=ids))
    write_drawings(hostile, unloaded(hostile), (), None, tmp_path)
    plan, _ = read_drawing(tmp_path / "setting-out.dxf", DrawingRules(layers=DEFAULT_LAYERS))
    assert plan.outline is not None
    found = Polygon(plan.outline.corners, [ring.corners for ring in plan.openings])
    assert len(found.interiors) == len(case.slab.plan.interiors) > 0
    assert found.hausdorff_distance(scale(case.slab.plan, 1e3, 1e3, origin=(0, 0))) < ROUNDING_MM
    places = [(jack.x_mm, jack.y_mm) for jack in plan.jacks]
    np.testing.assert_allclose(places, 1e3 * case.jacks.xy, rtol=0, atol=ROUNDING_MM)
    assert tuple(jack.id for jack in plan.jacks) == ids
    assert [item.name for item in plan.equipment] == [item.name for item in items]
