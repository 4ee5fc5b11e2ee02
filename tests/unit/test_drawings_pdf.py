"""Drawings as PDF: the size of the paper and the scale of the plan, measured on the page; text stays text."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pypdf import PdfReader
from shapely import Polygon

from postprocess.cad.drawings import contents
from postprocess.cad.sheet import A1, A3, sheets
from postprocess.view import FloorView
from tests.unit.cad_sheets import Drawn, draw_all, odd_view

MM_PER_POINT = 25.4 / 72
PLACED = 0.1
"""mm on paper: a tenth is the width of a fine line. Widths of figures are equal, so labels start alike."""


@pytest.fixture(scope="module")
def setting_out(floor_view: FloorView, tmp_path_factory: pytest.TempPathFactory) -> Drawn:
    """One drawing, with the details of the others."""
    return draw_all(odd_view(floor_view), floor_view.fields.mesh, tmp_path_factory.mktemp("pdf"), only="setting-out")


@pytest.fixture(scope="module")
def lettering(setting_out: Drawn) -> tuple[str, list[tuple[float, float]]]:
    return letters_on(setting_out.folder / "setting-out.pdf")


def letters_on(path: Path) -> tuple[str, list[tuple[float, float]]]:
    """All letters but blanks in the order of the file, and where each starts, mm from the page's lower left corner."""
    letters: list[str] = []
    places: list[tuple[float, float]] = []

    def visit(words: str, page: list[float], line: list[float], *_: Any) -> None:
        x = line[4] * page[0] + line[5] * page[2] + page[4]
        y = line[4] * page[1] + line[5] * page[3] + page[5]
        for letter in "".join(words.split()):
            letters.append(letter)
            places.append((x * MM_PER_POINT, y * MM_PER_POINT))

    PdfReader(path).pages[0].extract_text(visitor_text=visit)
    return "".join(letters), places


def test_size_and_title_of_the_page(setting_out: Drawn) -> None:
    reader = PdfReader(setting_out.folder / "setting-out.pdf")
    (page,) = reader.pages
    size = [float(side) * MM_PER_POINT for side in (page.mediabox.width, page.mediabox.height)]
    assert size == pytest.approx([420, 297], abs=0.1)  # A3, ISO 216
    assert reader.metadata is not None
    assert reader.metadata.title == f"{setting_out.view.title}: Setting-out of jacks"


def test_the_plan_is_to_scale_on_the_page(setting_out: Drawn, lettering: tuple[str, list[tuple[float, float]]]) -> None:
    """Distances between labels on the page, times the scale in the title block, are those in the model.

    The plan comes last in the file, after the notes.
    """
    letters, marks = lettering
    scale = int(re.findall(r"Scale1:(\d+)", letters)[0])
    model = setting_out.documents["setting-out"].modelspace()
    places = {}
    for insert in model.query('INSERT[layer=="JACKS"]'):
        (label,) = [attribute for attribute in insert.attribs if attribute.dxf.tag == "ID"]
        places[label.dxf.text] = np.array(label.dxf.align_point.vec2)
    first, *others = places
    for other in others:
        on_page = np.subtract(marks[letters.rindex(other)], marks[letters.rindex(first)])
        np.testing.assert_allclose(on_page, (places[other] - places[first]) / scale, atol=PLACED)


def test_text_can_be_searched(lettering: tuple[str, list[tuple[float, float]]]) -> None:
    letters, _ = lettering
    assert "Setting-outofjacks" in letters
    assert "<script>alert(1)</script>100%%dhot" in letters


def rectangle(width: float, height: float) -> Polygon:
    return Polygon([(0, 0), (width, 0), (width, height), (0, height)])


def test_paper_and_scale() -> None:
    """Up to 1:50 on A3; a larger plan on A1 at the first usual scale that fits."""
    small, large = next(sheets(rectangle(8, 6))), next(sheets(rectangle(30, 20)))
    assert small.paper is A3
    assert small.denominator <= 50
    assert large.paper is A1
    for sheet in (small, large):
        width, height = sheet.view.width * sheet.denominator, sheet.view.height * sheet.denominator
        assert width > sheet.bounds[2] - sheet.bounds[0]
        assert height > sheet.bounds[3] - sheet.bounds[1]


def test_slanted_walls_have_coordinates(floor_view: FloorView, tmp_path: Path) -> None:
    """A floor whose jacks share no lines: every jack is in the table, from the datum corner, with true minus signs."""
    turn = np.deg2rad(17)
    rotation = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    plan = Polygon(np.asarray(floor_view.plan.exterior.coords) @ rotation)
    drawn = draw_all(odd_view(floor_view, plan, rotation), floor_view.fields.mesh, tmp_path, only="setting-out")
    document, schedule = drawn.documents["setting-out"], drawn.view.schedule
    words = [text.plain_text() for text in document.paperspace().query("TEXT")]
    datum = np.array([0.0, 0.0])  # the corner of the rectangle about which it is turned
    for name, place in zip(schedule.ids, schedule.xy - datum, strict=True):
        row = words.index(name)
        shown = [float(word.replace("\N{MINUS SIGN}", "-")) for word in words[row + 1 : row + 3]]
        assert shown == pytest.approx((1e3 * place).tolist(), abs=0.051)  # half of the last digit
    assert len(document.modelspace().query("DIMENSION")) == 8  # both coordinates of four corners


def test_no_layers_no_lift_no_such_drawings() -> None:
    assert list(contents((), None)) == ["setting-out", "springs", "equipment"]
