"""Drawings as DXF: they open without errors, and what they say is what the floor is."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import ezdxf.bbox
import numpy as np
import pytest
from ezdxf.document import Drawing
from ezdxf.entities.insert import Insert
from ezdxf.entities.text import Text
from shapely import LineString, MultiPoint, Polygon, STRtree, box

from postprocess.cad.compose import write_drawing
from postprocess.cad.drawings import contents
from postprocess.cad.plain_text import escaped, restored
from postprocess.drawing import CAUTION, datum_corner
from postprocess.view import FloorView
from tests.unit.cad_sheets import (
    HOSTILE,
    LONG,
    NAMES,
    OPENING,
    Drawn,
    draw_all,
    drawn_details,
    layer_of,
    odd_view,
)
from tests.unit.lift_views import lift_of

MARKED = 0.1
"""mm: people mark out to a millimetre, so a tenth is never seen."""


@pytest.fixture(scope="module")
def drawn(floor_view: FloorView, tmp_path_factory: pytest.TempPathFactory) -> Drawn:
    """The small floor with an opening, odd names and one jack beside its lines."""
    return draw_all(odd_view(floor_view), floor_view.fields.mesh, tmp_path_factory.mktemp("cad"))


def inserts(document: Drawing, layer: str) -> list[Insert]:
    return [insert for insert in document.modelspace().query("INSERT") if insert.dxf.layer == layer]


def texts(document: Drawing) -> list[str]:
    """Every text on the sheet as a CAD program shows it."""
    return [text.plain_text() for text in document.paperspace().query("TEXT")]


def dimensioned(document: Drawing, axis: int) -> np.ndarray:
    """What all running dimensions along x (0) or y (1) measure from their origin to their feature, mm."""
    found = []
    for dimension in document.modelspace().query("DIMENSION"):
        if bool(dimension.dxf.dimtype & 64) == (axis == 0):
            found.append((dimension.dxf.defpoint2 - dimension.dxf.defpoint)[axis])
    return np.array(found)


@pytest.mark.parametrize("name", NAMES)
def test_it_opens_again_without_errors(drawn: Drawn, name: str) -> None:
    document = drawn.documents[name]
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    assert document.dxfversion >= "AC1024"  # R2010
    assert (document.header["$INSUNITS"], document.header["$MEASUREMENT"]) == (4, 1)  # mm, metric


@pytest.mark.parametrize("name", NAMES)
def test_outline_openings_and_jacks_are_those_of_the_floor(drawn: Drawn, name: str) -> None:
    """To 1e-6 mm: the file holds sixteen digits, so nothing but rounding may be lost."""
    document, view = drawn.documents[name], drawn.view
    model = document.modelspace()
    rings = {layer: model.query(f'LWPOLYLINE[layer=="{layer}"]') for layer in ("OUTLINE", "OPENINGS")}
    assert [len(found) for found in rings.values()] == [1, 1]
    for layer, ring in (("OUTLINE", view.plan.exterior), ("OPENINGS", view.plan.interiors[0])):
        (polyline,) = rings[layer]
        assert polyline.closed
        np.testing.assert_allclose(polyline.get_points("xy"), 1e3 * np.asarray(ring.coords)[:-1], atol=1e-6)
    jacks = inserts(document, "JACKS")
    assert {insert.dxf.name for insert in jacks} == {"JACK"}
    values = [{attribute.dxf.tag: restored(attribute.dxf.text) for attribute in jack.attribs} for jack in jacks]
    assert tuple(value["ID"] for value in values) == view.schedule.ids
    assert tuple(value["SPRING"] for value in values) == view.schedule.springs
    np.testing.assert_allclose([(j.dxf.insert.x, j.dxf.insert.y) for j in jacks], 1e3 * view.schedule.xy, atol=1e-6)
    np.testing.assert_allclose([float(v["ADVANCE_MM"]) for v in values], 1e3 * view.schedule.advance, atol=1e-6)
    (circle,) = document.blocks["JACK"].query("CIRCLE")
    assert 2 * circle.dxf.radius == pytest.approx(1e3 * view.footprint, abs=1e-6)


def test_equipment_can_be_read_back(drawn: Drawn) -> None:
    found = inserts(drawn.documents["setting-out"], "EQUIPMENT")
    assert len({insert.dxf.name.lower() for insert in found}) == len(drawn.details.pieces)
    for insert, piece in zip(found, drawn.details.pieces, strict=True):
        values = {attribute.dxf.tag: restored(attribute.dxf.text) for attribute in insert.attribs}
        assert values["NAME"] == piece.name
        assert float(values["MASS_KG"]) == pytest.approx(piece.mass, abs=1e-9)
        rings = [entity for entity in insert.virtual_entities() if entity.dxftype() == "LWPOLYLINE"]
        shapes = [Polygon(ring.get_points("xy")) for ring in rings]
        if piece.area is not None:
            assert [ring.dxf.layer for ring in rings] == ["EQUIPMENT"]
            assert shapes[0].area == pytest.approx(1e6 * piece.area.area, rel=1e-9)
        else:
            assert {ring.dxf.layer for ring in rings} == {"FEET"}
            centres = [(shape.centroid.x, shape.centroid.y) for shape in shapes]
            np.testing.assert_allclose(centres, 1e3 * piece.feet, atol=1e-6)
            assert [shape.area for shape in shapes] == pytest.approx([80.0**2] * 4)


def test_every_jack_and_edge_has_its_dimensions(drawn: Drawn) -> None:
    """Each coordinate of each jack is a running dimension within 0.1 mm, or the jack stands in the table."""
    document, view = drawn.documents["setting-out"], drawn.view
    datum = 1e3 * datum_corner(view.plan)
    places = 1e3 * view.schedule.xy - datum
    corners = 1e3 * np.concatenate([np.asarray(ring.coords) for ring in (view.plan.exterior, *view.plan.interiors)])
    on_lines = np.ones(len(places), dtype=bool)
    for axis in (0, 1):
        measured = dimensioned(document, axis)
        on_lines &= np.abs(places[:, axis, None] - measured).min(axis=1) <= MARKED
        assert np.abs(corners[:, axis, None] - datum[axis] - measured).min(axis=1).max() <= MARKED
        true = np.concatenate([places[:, axis], corners[:, axis] - datum[axis]])
        assert np.abs(measured[:, None] - true).min(axis=1).max() <= MARKED
    assert np.flatnonzero(~on_lines).tolist() == [5]  # which stands beside its lines
    words = texts(document)
    row = words.index(view.schedule.ids[5])
    assert words[row + 1 : row + 3] == ["2200.7", "2597.9"]


def test_dimensions_are_shown_as_they_are_measured(drawn: Drawn) -> None:
    """Within half of the last digit, a tenth of a mm."""
    for dimension in drawn.documents["setting-out"].modelspace().query("DIMENSION"):
        axis = 0 if dimension.dxf.dimtype & 64 else 1
        measured = (dimension.dxf.defpoint2 - dimension.dxf.defpoint)[axis]
        (shown,) = dimension.get_geometry_block().query("MTEXT")
        assert float(shown.plain_text().replace("\N{MINUS SIGN}", "-")) == pytest.approx(measured, abs=0.051)


@pytest.mark.parametrize("name", NAMES)
def test_scale_sheet_and_frame(drawn: Drawn, name: str) -> None:
    document, view = drawn.documents[name], drawn.view
    words = texts(document)
    scale = int(next(word for word in words if word.startswith("1:")).removeprefix("1:"))
    sheet = document.layout_names_in_taborder()[-1]
    layout = document.paperspace(sheet)
    (viewport,) = [found for found in layout.viewports() if found.dxf.id > 1]
    assert viewport.get_scale() == pytest.approx(1 / scale, rel=1e-12)
    assert sheet in words
    assert (layout.dxf.paper_width, layout.dxf.paper_height) == {"A3": (420, 297), "A1": (841, 594)}[sheet]
    seen = viewport.get_modelspace_limits()
    model = [entity for entity in document.modelspace() if entity.dxf.layer != "EQUIPMENT"]  # with unseen names
    low, high = ezdxf.bbox.extents(model, fast=True)
    assert seen[0] <= low.x <= high.x <= seen[2]
    assert seen[1] <= low.y <= high.y <= seen[3]
    paper = [entity for entity in layout if entity.dxftype() != "VIEWPORT"]
    low, high = ezdxf.bbox.extents(paper, fast=True)
    assert min(low.x, low.y) >= 10 - 1e-6
    assert (high.x, high.y) <= (layout.dxf.paper_width - 10 + 1e-6, layout.dxf.paper_height - 10 + 1e-6)
    assert CAUTION in " ".join(words)
    assert "Do not scale: use written dimensions." in " ".join(words)
    assert any(view.title.startswith(word) for word in words)


@pytest.mark.parametrize("name", NAMES)
def test_no_words_on_words(drawn: Drawn, name: str) -> None:
    """On the sheet, and on the plan among words that are placed freely; boxes less a tenth for air in the font."""
    document = drawn.documents[name]
    for layout in (document.paperspace(), document.modelspace()):
        shapes = [box_of(text) for text in layout.query("TEXT")]
        pairs = STRtree(shapes).query(shapes, predicate="intersects")
        assert not [pair for pair in pairs.T.tolist() if pair[0] < pair[1]]


def box_of(text: Text) -> Polygon:
    low, high = ezdxf.bbox.extents([text], fast=True)
    return box(*low.vec2, *high.vec2).buffer(-0.1 * text.dxf.height, join_style="mitre")


@pytest.mark.parametrize("face", ["bottom", "top"])
def test_trimmers_are_true_to_size_and_place(drawn: Drawn, face: str) -> None:
    """Each corner has its number of bars of the length ordered: centred on the line that halves the corner and at right
    angles to it, a zone of 0.5 m shared evenly; the schedule says the same."""
    document = drawn.documents[f"fabric-{face}"]
    lines = list(document.modelspace().query('LINE[layer=="TRIMMERS"]'))
    x0, y0, x1, y1 = (1e3 * bound for bound in OPENING.bounds)
    numbers = [3, 3, 3, 3] if face == "bottom" else [0, 1, 2, 3]
    assert len(lines) == sum(numbers)
    for (x, y, outward), number in zip(
        ((x0, y0, (-1, -1)), (x1, y0, (1, -1)), (x1, y1, (1, 1)), (x0, y1, (-1, 1))), numbers, strict=True
    ):
        way = np.array(outward) / 2**0.5
        found = []
        for line in lines:
            start, end = np.array(line.dxf.start.vec2), np.array(line.dxf.end.vec2)
            middle = (start + end) / 2 - (x, y)
            if abs(middle @ way - np.hypot(*middle)) < 1e-6:
                assert np.hypot(*(end - start)) == pytest.approx(850, abs=1e-6)
                assert (end - start) @ way == pytest.approx(0, abs=1e-6)
                found.append(float(middle @ way))
        np.testing.assert_allclose(sorted(found), 500 * (np.arange(number) + 0.5) / max(number, 1), atol=1e-6)
    words = texts(document)
    row = words.index(f"{face[0].upper()}D1")
    assert words[row + 1 : row + 5] == (["4", "3", "12", "850"] if face == "bottom" else ["1", "1", "12", "850"])
    assert f"{sum(numbers)} bars in this layer." in " ".join(words)


def test_bars_that_edges_or_housings_meet_are_told(drawn: Drawn) -> None:
    words = " ".join(texts(drawn.documents["fabric-bottom"]))
    jacks, reach = 1e3 * drawn.view.schedule.xy, 500 * drawn.view.footprint + 6
    lines = [
        np.array([line.dxf.start.vec2, line.dxf.end.vec2])
        for line in drawn.documents["fabric-bottom"].modelspace().query('LINE[layer=="TRIMMERS"]')
    ]
    met = sum(LineString(line).distance(MultiPoint(jacks)) < reach for line in lines)
    assert (f"{met} of them meet a jack housing" in words) == bool(met)
    assert "meet an edge" not in words


def test_no_trimmers_without_the_strength(floor_view: FloorView, tmp_path: Path) -> None:
    """Then none are drawn, and the drawing says so."""
    details = replace(drawn_details(floor_view), trimmers={}, no_trimmers="No trimmer bars are drawn.")
    content = contents([layer_of(floor_view.plan, "bottom")], None)["fabric-bottom"]
    write_drawing(odd_view(floor_view), details, content, tmp_path / "fabric-bottom")
    document = ezdxf.readfile(tmp_path / "fabric-bottom.dxf")  # type: ignore[attr-defined]
    assert not document.modelspace().query('LINE[layer=="TRIMMERS"]')
    assert "No trimmer bars are drawn." in " ".join(texts(document))


def test_pieces_have_their_places(drawn: Drawn) -> None:
    """Lower left corners from the datum and sizes in whole mm."""
    words = texts(drawn.documents["fabric-bottom"])
    for piece in layer_of(drawn.view.plan, "bottom").pieces:
        row = len(words) - words[::-1].index(piece.mark) - 1
        place = 1e3 * (np.array(piece.outline.bounds[:2]) - datum_corner(drawn.view.plan))
        assert words[row + 1 : row + 5] == [f"{value:.0f}" for value in (*place, *(1e3 * s for s in piece.size))]


def test_hostile_text_stays_plain(drawn: Drawn) -> None:
    names = [
        restored(attribute.dxf.text)
        for insert in inserts(drawn.documents["equipment"], "EQUIPMENT")
        for attribute in insert.attribs
        if attribute.dxf.tag == "NAME"
    ]
    assert set(HOSTILE) <= set(names)
    assert LONG in names
    shown = texts(drawn.documents["equipment"])
    assert {"<script>alert(1)</script>", "=1+1", "100 %%d hot", "{\\C1;x}", "a^Jb"} <= set(shown)


@pytest.mark.parametrize("words", [*HOSTILE, "%", "%%", "%%%", "50 %%%c", "%%092", "^", "^^", "^ ", LONG])
@pytest.mark.parametrize("after", ["", "\\P", "\\U+", "\\U+0041", "\\M+182A0"])
def test_escapes_are_restored(words: str, after: str) -> None:
    assert restored(escaped(words + after)) == words + after
    assert not re.search(r"\\[UuMm]\+[0-9A-Fa-f]{4}", escaped(words + after))  # what programs take for a letter


@pytest.mark.parametrize("words", ["%%d", "%%%", "%%u", "a^Jb", "^ b"])
def test_escaped_words_are_plain_to_the_library(words: str) -> None:
    """The library's own reading of TEXT is the independent reader here."""
    text = Text.new(dxfattribs={"text": escaped(words)})
    assert text.plain_text() == words
    assert Text.new(dxfattribs={"text": words}).plain_text() != words or words == "^ b"


def test_the_same_floor_gives_the_same_files(drawn: Drawn, floor_view: FloorView, tmp_path: Path) -> None:
    content = contents((), lift_of(drawn.view, floor_view.fields.mesh, 3))["lift-passes"]
    write_drawing(drawn.view, drawn.details, content, tmp_path / "lift-passes")
    for ending in ("dxf", "pdf"):
        name = f"lift-passes.{ending}"
        assert (tmp_path / name).read_bytes() == (drawn.folder / name).read_bytes()
