"""Drawings that cannot be used: what is wrong, on which layer, with which handle, and what to do."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from preprocess.cad import blocks
from preprocess.cad.drawing_in import drawn_in, off_slab, read_drawing
from preprocess.cad.drawn import DrawnPlan
from preprocess.cad.rules import DEFAULT_LAYERS, DrawingRules
from preprocess.errors import InputError, Problem
from preprocess.files import LARGEST_DRAWING
from tests.unit.drawn_plans import (
    EQUIPMENT,
    JACKS,
    METRES,
    NAME,
    OPENINGS,
    OUTLINE,
    OUTLINE_ONLY,
    ROOM,
    UNITLESS,
    content,
    empty,
    read,
    refused,
    room,
    square,
)

ALL = DrawingRules(layers=DEFAULT_LAYERS, may_lack=frozenset(("openings", "jacks", "equipment")))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "nothing in it"),
        (b" \r\n", "nothing in it"),
        (b"AC1032\x00\x00", "a DWG file: a drawing in DXF, in text form; save it as DXF"),
        (b"AutoCAD Binary DXF\r\n\x1a\x00", "DXF in binary form"),
        (b"%PDF-1.7", "no DXF"),
        (b"0\nSECTION\n2\nENTITIES\n", "a file cut off, without its end mark (EOF): the whole drawing"),
        (b"0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n0\nENDSEC\n0\nEOF\n", "damaged beyond mending"),
    ],
)
def test_no_drawing(data: bytes, words: str) -> None:
    assert f"{NAME}: file: got {words}" in refused(data)


def test_file_that_is_missing_or_too_large(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no such file"):
        read_drawing(tmp_path / NAME, OUTLINE_ONLY)
    with (tmp_path / NAME).open("wb") as file:
        file.truncate(LARGEST_DRAWING + 1)
    with pytest.raises(InputError, match=r"it has 50\.0 MB; a drawing in DXF, .*, at most 50 MB"):
        read_drawing(tmp_path / NAME, OUTLINE_ONLY)


def test_damaged_file_is_mended_with_a_word() -> None:
    """A section without its end is a fault that can be mended."""
    whole = content(room())
    place = whole.rindex(b"  0\nENDSEC\n")
    plan, remarks = drawn_in(whole[:place] + whole[place + len(b"  0\nENDSEC\n") :], NAME, OUTLINE_ONLY)
    assert plan.outline is not None
    assert "mended as far as possible: DXF structure error: missing ENDSEC tag" in "\n".join(remarks)


def test_units_that_nobody_says_or_that_contradict() -> None:
    document = room()
    document.header["$INSUNITS"] = UNITLESS
    assert "units ($INSUNITS): got none" in refused(document)
    assert "one of mm, cm, m, in, ft" in refused(document)
    assert 'units: got "furlong": no such unit' in refused(document, DrawingRules("furlong", OUTLINE_ONLY.layers))
    document.header["$INSUNITS"] = 17
    assert "got 17, gigametres" in refused(document)
    document.header["$INSUNITS"] = 99
    assert "got 99, which stands for no unit" in refused(document)
    assert "got mm in the file, in in the case" in refused(room(), DrawingRules("in", OUTLINE_ONLY.layers))


def test_measurement_says_nothing_of_units() -> None:
    document = room()
    document.header["$INSUNITS"] = UNITLESS
    document.header["$MEASUREMENT"] = 1
    assert "units ($INSUNITS): got none" in refused(document)


@pytest.mark.parametrize("factor", [0.1, 1000.0])
def test_slab_of_an_impossible_size(factor: float) -> None:
    text = refused(room([(factor * x, factor * y) for x, y in ROOM]))
    assert f"handle 2F: got a slab of {6 * factor:g} m" in text
    assert "the units may be wrong: one unit of the drawing was taken for 1 mm" in text
    assert ("it would be 6 m in cm, 600 m in m" in text) == (factor < 1)  # no unit makes sense of the other one
    assert "set origin_mm" not in text


def test_millimetres_in_a_drawing_that_says_metres() -> None:
    """No other origin would help; the units that would are named with the size they give."""
    document = room()
    document.header["$INSUNITS"] = METRES
    text = refused(document)
    assert "got a slab of 6000 m: a slab of 1 m to 1 km" in text
    assert "one unit of the drawing was taken for 1000 mm; it would be 6 m in mm, 60 m in cm" in text
    assert "origin" not in text


def test_layers_that_are_missing() -> None:
    document = room()
    document.layers.add("JACKS")
    document.layout("Layout1").add_circle((0, 0), 5, dxfattribs=OPENINGS)
    rules = DrawingRules(layers={**DEFAULT_LAYERS, "outline": "Outlin"})
    text = refused(document, rules)
    assert 'layer of the outline: got "Outlin": no such layer; the nearest is "OUTLINE"' in text
    assert 'layers and the entities on them: "OUTLINE" (1)' in text
    assert 'layer of the jacks: got "JACKS": nothing on it in model space' in text
    assert '1 on it in paper space (layout "Layout1"): draw in model space' in text


def test_open_outline() -> None:
    document = empty()
    line = document.modelspace().add_lwpolyline([(0, 7), *ROOM[1:], (0, 0)], dxfattribs=OUTLINE)
    text = refused(document)
    assert f"layer OUTLINE, handle {line.dxf.handle}: got a loop open by 7 mm between (0, 7) mm and (0, 0) mm" in text
    assert "set closing_mm (--closing), now 5" in text


def test_several_outlines_or_none() -> None:
    document = room()
    second = square(document.modelspace(), 9000, 9000, 1500, "OUTLINE")
    text = refused(document)
    assert "handle 2F: got one of 2 closed loops, 24 m2" in text
    assert f"handle {second.dxf.handle}: got one of 2 closed loops, 2.25 m2" in text
    document = empty()
    document.modelspace().add_text("note", dxfattribs=OUTLINE)
    assert "layer OUTLINE: got no closed loop" in refused(document)


def test_lines_that_cross_overlap_fork_or_are_drawn_twice() -> None:
    document = empty()
    space = document.modelspace()
    sides = [((-10, 0), (6010, 0)), ((6000, 0), (6000, 4000)), ((6000, 4000), (0, 4000)), ((0, 4010), (0, -10))]
    handles = [space.add_line(start, end, dxfattribs=OUTLINE).dxf.handle for start, end in sides]
    again = space.add_line((6000, 4000), (6000, 0), dxfattribs=OUTLINE).dxf.handle
    over = space.add_line((2000, 4000), (1000, 4000), dxfattribs=OUTLINE).dxf.handle
    text = refused(document)
    assert f"handle {handles[3]}: got a line that crosses at (0, 0) mm that of handle {handles[0]}" in text
    assert f"handle {again}: got a line drawn twice, as handle {handles[1]} already" in text
    assert f"handle {over}: got a line that lies for 1000 mm near" in text
    assert f"on that of handle {handles[2]}" in text

    document = empty()
    space = document.modelspace()
    space.add_lwpolyline([*ROOM, ROOM[0]], dxfattribs=OUTLINE)
    tail = space.add_line(ROOM[0], (1000, 1000), dxfattribs=OUTLINE).dxf.handle
    assert f"and {tail}: got 3 ends at (0, 0) mm: two ends at each corner" in refused(document)


def test_outline_that_crosses_itself_and_openings_beyond_it() -> None:
    assert "handle 2F: got edges 2 and 4 crossing at" in refused(room([(0, 0), (6000, 0), (0, 4000), (6000, 4000)]))
    document = room()
    first = square(document.modelspace(), 6000, 2000, 500, "OPENINGS").dxf.handle
    second = square(document.modelspace(), 1000, 1000, 500, "OPENINGS").dxf.handle
    third = square(document.modelspace(), 1300, 1000, 500, "OPENINGS").dxf.handle
    text = refused(document, ALL)
    assert f"layer OPENINGS, handle {first}: got on or across the outline" in text
    assert f"handle {third}: got on or touching layer OPENINGS, handle {second}" in text


def test_things_in_space() -> None:
    document = room()
    space = document.modelspace()
    face = space.add_3dface([(0, 0, 0), (1, 0, 0), (1, 1, 1)], dxfattribs=OUTLINE).dxf.handle
    mesh = space.add_mesh(dxfattribs=OUTLINE)
    with mesh.edit_data() as data:
        data.vertices, data.faces = [(0, 0, 0), (1, 0, 0), (1, 1, 1)], [(0, 1, 2)]
    line = space.add_line((0, 0, 0), (100, 0, 2500), dxfattribs=OUTLINE).dxf.handle
    stair = space.add_polyline3d([(0, 0, 0), (100, 0, 30), (200, 0, 60)], dxfattribs=OUTLINE).dxf.handle
    tilted = space.add_circle((0, 0), 500, dxfattribs={"extrusion": (0, 1, 1), **OUTLINE}).dxf.handle
    text = refused(document)
    assert f"layer OUTLINE, handle {face}: got 3DFACE, a face or solid: a flat drawing; flatten it" in text
    assert f"handle {mesh.dxf.handle}: got MESH" in text
    assert f"handle {line}: got LINE from z = 0 to 2500" in text
    assert f"handle {stair}: got POLYLINE from z = 0 to 60" in text
    assert f"handle {tilted}: got CIRCLE that is tilted out of the plan" in text


def test_flat_drawing_at_a_height_is_fine() -> None:
    document = empty()
    document.modelspace().add_polyline3d([(x, y, 3200.0) for x, y in ROOM], close=True, dxfattribs=OUTLINE)
    plan, _ = read(document)
    assert plan.outline is not None
    assert plan.outline.corners == ROOM


def test_drawing_far_from_the_datum() -> None:
    text = refused(room([(x + 412_345_678, y + 5_712_345_678.5) for x, y in ROOM]))
    assert "layer OUTLINE, handle 2F: got coordinates up to 5,712,349,678 mm from the datum" in text
    assert "set origin_mm = [412345678, 5712345678] (--origin 412345678 5712345678)" in text


@pytest.mark.parametrize("bad", ["nan", "inf", "1e300"])
def test_coordinates_that_are_no_numbers(bad: str) -> None:
    data = content(room([(0, 0), (6000, 0), (6000, 4321.5), (0, 4000)])).replace(b"4321.5\n", f"{bad}\n".encode())
    assert f"layer OUTLINE, handle 2F: got LWPOLYLINE with the coordinate {float(bad):g}" in refused(data)


def test_block_that_contains_itself() -> None:
    document = room()
    first, second = document.blocks.new("One"), document.blocks.new("Two")
    first.add_blockref("Two", (1, 1))
    second.add_blockref("One", (1, 1))
    insert = document.modelspace().add_blockref("One", (0, 0), dxfattribs=EQUIPMENT).dxf.handle
    square(document.modelspace(), 3000, 2000, 500, "EQUIPMENT")
    text = refused(document, ALL)
    assert f"handle {insert}" in text
    assert "a block contains itself" in text


def test_blocks_that_multiply(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten insertions in each of ten blocks in a row are 10¹⁰ circles."""
    monkeypatch.setattr(blocks, "MOST_ENTITIES", 300)
    document = room()
    document.blocks.new("B0").add_circle((0, 0), 1)
    for level in range(1, 11):
        block = document.blocks.new(f"B{level}")
        for place in range(10):
            block.add_blockref(f"B{level - 1}", (place, 0))
    document.modelspace().add_blockref("B10", (0, 0), dxfattribs=OPENINGS)
    assert "got blocks of more entities than can be read: at most 300 entities" in refused(document, ALL)


def test_external_reference_is_named() -> None:
    document = room()
    document.add_xref_def("walls.dwg", "Walls")
    insert = document.modelspace().add_blockref("Walls", (0, 0)).dxf.handle
    _, remarks = read(document)
    assert f'external reference "walls", handle {insert}: not read' in remarks


def test_jacks_that_cannot_be() -> None:
    document = room()
    space = document.modelspace()
    document.blocks.new("JACK").add_circle((0, 0), 75)
    handles = []
    for x, name, spring, advance in ((500, "A1", "E16", "0"), (1500, "A1", "=1+1", "many"), (1500, "A2", "E16", "0")):
        insert = space.add_blockref("JACK", (x, 500), dxfattribs=JACKS)
        for tag, text in (("ID", name), ("SPRING", spring), ("ADVANCE_MM", advance)):
            insert.add_attrib(tag, text)
        handles.append(insert.dxf.handle)
    text = refused(document, ALL)
    assert f'handle {handles[1]}: got attribute ID "A1": each id once; handle {handles[0]} has it already' in text
    assert f'handle {handles[1]}: got attribute SPRING "=1+1": one line of 1 to 24 printable characters' in text
    assert f'handle {handles[1]}: got attribute ADVANCE_MM "many": a number in mm' in text
    assert f"handle {handles[2]}: got a jack at (1500, 500) mm, where handle {handles[1]} has one already" in text


def test_jacks_off_the_slab() -> None:
    document = room()
    space = document.modelspace()
    square(space, 3000, 2000, 500, "OPENINGS")
    handles = [space.add_circle((x, 2000), 75, dxfattribs=JACKS).dxf.handle for x in (500, 3000, 26000)]
    text = "\n".join(str(problem) for problem in off_slab(read(document, ALL)[0], NAME))
    assert f"layer JACKS, handle {handles[1]}: got a jack off the slab, at (3000, 2000) mm" in text
    assert f"layer JACKS, handle {handles[2]}: got a jack off the slab, at (26000, 2000) mm" in text
    assert handles[0] not in text


def test_masses_of_blocks_that_there_are_not() -> None:
    document = room()
    square(document.blocks.new("Rack"), 0, 0, 500, "0")
    document.modelspace().add_blockref("Rack", (1000, 1000), dxfattribs=EQUIPMENT)
    rules = DrawingRules(layers=DEFAULT_LAYERS, may_lack=ALL.may_lack, masses_kg={"RACK": 650.0, "Rak": 5.0})
    text = refused(document, rules)
    assert 'masses_kg: got "Rak": no such block on the layer of the equipment; the nearest is "Rack"' in text
    assert "RACK" not in text


@pytest.mark.parametrize("fit", [False, True])
def test_closed_flag_of_a_spline_closes_no_gap(fit: bool) -> None:
    """Ends apart by more than is closed, whatever the flag says; within that they are joined with a word."""
    document = empty()
    corners = [(0, 0), (3000, -400), (6000, 0), (6000, 4000), (0, 4000), (0, 600)]
    space = document.modelspace()
    spline = (space.add_spline if fit else space.add_open_spline)(corners, dxfattribs=OUTLINE)
    spline.closed = True
    text = refused(document)
    assert f"handle {spline.dxf.handle}: got a loop open by 600 mm between (0, 0) mm and (0, 600) mm" in text
    plan, remarks = read(document, DrawingRules(layers=OUTLINE_ONLY.layers, closing_mm=700))
    assert plan.outline is not None
    assert "closed over a gap of 600 mm" in remarks


def test_equipment_that_cannot_be() -> None:
    document = room()
    document.blocks.new("Line").add_line((0, 0), (1, 1))
    square(document.blocks.new("Rack"), 0, 0, 500, "0")
    space = document.modelspace()
    bare = space.add_blockref("Line", (0, 0), dxfattribs=EQUIPMENT).dxf.handle
    heavy = space.add_blockref("Rack", (1000, 1000), dxfattribs=EQUIPMENT)
    heavy.add_attrib("MASS_KG", "650,5")
    text = refused(document, ALL)
    assert f'handle {bare}, block "Line": got nothing closed in its block: a block with feet' in text
    assert f'handle {heavy.dxf.handle}, block "Rack": got attribute MASS_KG "650,5": a number in kg above 0' in text


def test_all_problems_come_at_once() -> None:
    document = room([(0, 0), (6000, 0), (0, 4000), (6000, 4000)])
    document.modelspace().add_line((0, 0), (0, 9), dxfattribs=OPENINGS)
    document.modelspace().add_circle((0, 0, 0), 5, dxfattribs={"extrusion": (1, 0, 0), **JACKS})
    text = refused(document, ALL)
    assert all(words in text for words in ("crossing", "layer OPENINGS", "tilted out of the plan"))


WHOLE = content(room())


@settings(max_examples=6, deadline=None, derandomize=True)
@given(st.integers(0, len(WHOLE)), st.integers(0, len(WHOLE)), st.binary(max_size=3))
def test_file_with_a_piece_lost_is_read_or_refused(start: int, length: int, put: bytes) -> None:
    data = WHOLE[:start] + put + WHOLE[start + length :]
    for damaged in (data, WHOLE[:start], WHOLE[:start] + b"\n  0\nEOF\n"):
        plan, problems = outcome(damaged)
        assert (plan is None) == bool(problems)
        assert plan is None or plan.outline is not None


def outcome(data: bytes) -> tuple[DrawnPlan | None, tuple[Problem, ...]]:
    """What is read, or why nothing is."""
    try:
        return drawn_in(data, NAME, OUTLINE_ONLY)[0], ()
    except InputError as error:
        return None, error.problems
