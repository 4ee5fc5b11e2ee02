"""A drawing of a case by the conventions for drawings, made by hand for the tests of reading it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ezdxf
import numpy as np

from preprocess.case import Case

LAYERS = ("outline", "openings", "jacks", "equipment")


def draw(case: Case, path: Path, *, springs: bool = True, masses: bool = True) -> None:
    """Outline, openings, jacks and equipment of `case` in mm."""
    document = ezdxf.new("R2010", units=4)
    for layer in LAYERS:
        document.layers.add(layer.upper())
    space = document.modelspace()
    for ring, layer in (
        (case.slab.plan.exterior, "OUTLINE"),
        *((hole, "OPENINGS") for hole in case.slab.plan.interiors),
    ):
        space.add_lwpolyline(1000 * np.array(ring.coords)[:-1], close=True, dxfattribs={"layer": layer})
    document.blocks.new("JACK").add_circle((0, 0), 500 * case.jacks.footprint)
    for name, xy, spring, advance in zip(
        case.jacks.ids, 1000 * case.jacks.xy, case.jacks.springs, 1000 * case.jacks.advance, strict=True
    ):
        insert = space.add_blockref("JACK", xy, dxfattribs={"layer": "JACKS"})
        insert.add_attrib("ID", name)
        insert.add_attrib("ADVANCE_MM", repr(float(advance)))
        if springs:
            insert.add_attrib("SPRING", spring.code)
    for number, item in enumerate(case.equipment):
        block = document.blocks.new(f"ITEM{number}")
        if item.feet is None:
            assert item.area is not None
            block.add_lwpolyline(1000 * np.array(item.area.exterior.coords)[:-1], close=True)
        else:
            for x, y in 1000 * item.feet:
                _square(block, x, y, 1000 * item.foot)
        insert = space.add_blockref(block.name, (0, 0), dxfattribs={"layer": "EQUIPMENT"})
        insert.add_attrib("NAME", item.name)
        if masses:
            insert.add_attrib("MASS_KG", repr(item.mass))
    document.saveas(path)


def assert_same_plan(found: Case, case: Case, millimetres: float) -> None:
    """Outline, openings, jacks and equipment are those of `case` within a distance."""
    distance = millimetres / 1000
    plan = case.slab.plan
    assert len(found.slab.plan.interiors) == len(plan.interiors)
    assert found.slab.plan.hausdorff_distance(plan) <= distance
    assert found.jacks.ids == case.jacks.ids
    np.testing.assert_allclose(found.jacks.xy, case.jacks.xy, rtol=0, atol=distance)
    np.testing.assert_allclose(found.jacks.advance, case.jacks.advance, rtol=0, atol=distance)
    assert [spring.code for spring in found.jacks.springs] == [spring.code for spring in case.jacks.springs]
    assert [item.name for item in found.equipment] == [item.name for item in case.equipment]
    for new, old in zip(found.equipment, case.equipment, strict=True):
        assert new.mass == old.mass
        if old.feet is None:
            assert new.feet is None
            assert new.area is not None
            assert old.area is not None
            assert new.area.hausdorff_distance(old.area) <= distance
        else:
            np.testing.assert_allclose(new.feet, old.feet, rtol=0, atol=distance)
            assert abs(new.foot - old.foot) <= distance


def without_plan(text: str) -> str:
    """The text of a case.toml without the keys and tables that a drawing gives."""
    tables = ("[[equipment]]",)
    kept, dropping, brackets = [], False, 0
    for line in text.split("\n"):
        words = line.split("#")[0]
        if line.startswith("["):
            dropping = line.strip() in tables
        starts = line.startswith(("outline_mm", "openings_mm", "positions")) and not dropping and not _in_table(kept)
        if starts or brackets:
            brackets += words.count("[") - words.count("]")
            continue
        if not dropping:
            kept.append(line)
    return "\n".join(kept)


def drawing_table(file: str) -> str:
    """A table [drawing] for all layers."""
    return f'\n[drawing]\nfile = "{file}"\n' + "".join(f'{part}_layer = "{part.upper()}"\n' for part in LAYERS)


def _in_table(lines: list[str]) -> bool:
    """Whether the last table that begins in these lines is one of a list, which has outlines of its own."""
    heads = [line for line in lines if line.startswith("[")]
    return bool(heads) and heads[-1].startswith("[[")


def _square(block: Any, x: float, y: float, side: float) -> None:
    half = side / 2
    corners = [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)]
    block.add_lwpolyline(corners, close=True, dxfattribs={"layer": "FEET"})
