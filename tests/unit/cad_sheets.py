"""Small floors for the drawings, with layers of steel and a lift, and the files drawn of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi
from pathlib import Path

import numpy as np
from ezdxf.document import Drawing
from ezdxf.filemanagement import readfile
from shapely import LineString, Polygon, box

from fem.mesh import Mesh
from postprocess.cad.compose import write_drawing
from postprocess.cad.details import Details, Piece, SpringType
from postprocess.cad.drawings import contents
from postprocess.fabric.trimmers import Bar, CornerBars, corner_bars
from postprocess.fabric.views import FabricLayer, FabricPiece
from postprocess.schedule import JackSchedule
from postprocess.strength.layers import Face
from postprocess.strength.result import CornerVerdict
from postprocess.view import PlanItem, PlanView
from tests.unit.lift_views import lift_of

NAMES = ("setting-out", "springs", "fabric-bottom", "fabric-top", "lift-passes", "equipment")
HOSTILE = ("<script>alert(1)</script>", "=1+1", "100 %%d hot", "{\\C1;x}", "a^Jb", "x\\U+00B0y", "é ≥ 雪", "caret^")
"""What markup, a spreadsheet or a CAD program would read as something else than text."""
LONG = "Very long name of a rack that goes on and on " * 5
BAR = Bar(0.012, 0.85)
OPENING = box(2.6, 1.8, 3.2, 2.3)


@dataclass(frozen=True, eq=False)
class Drawn:
    """A floor, what else its drawings show, where they are, and the documents as they are read again."""

    view: PlanView
    details: Details
    folder: Path
    documents: dict[str, Drawing]


def springs_of(schedule: JackSchedule) -> dict[str, SpringType]:
    """Types of which the codes with a plus are pairs."""
    return {
        code: SpringType(code, float(rate), float(load), 0.04, tuple(code.split("+")))
        for code, rate, load in zip(schedule.springs, schedule.rates, schedule.rated_loads, strict=True)
    }


def pieces() -> tuple[Piece, ...]:
    """Feet and areas; two names differ only in letters that names of blocks cannot have."""
    feet = np.array([[1.0, 3.0], [1.6, 3.0], [1.0, 3.3], [1.6, 3.3]])
    names = ("Rack/1", "Rack:1", *HOSTILE, LONG)
    spread = []
    for i, name in enumerate(names):
        x, y = 0.9 + 1.9 * (i % 3), 0.2 + 0.95 * (i // 3)
        spread.append(Piece(name, 100.0 + i, None, 0.0, box(x, y, x + 0.2, y + 0.3)))
    return (*spread, Piece("Desk", 240.25, feet, 0.08, None))


def layer_of(plan: Polygon, face: str) -> FabricLayer:
    """Four pieces that lap by 0.3 m."""
    inner = plan.buffer(-0.03, join_style="mitre")
    x0, y0, x1, y1 = inner.bounds
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    parts = [box(x0, y0, x + 0.15, y + 0.15), box(x - 0.15, y0, x1, y + 0.15)]
    parts += [box(x0, y - 0.15, x + 0.15, y1), box(x - 0.15, y - 0.15, x1, y1)]
    made = tuple(
        FabricPiece(f"{face[0].upper()}{i}", part.intersection(inner), (3.0, 2.1), i == 1)
        for i, part in enumerate(parts, start=1)
    )
    basis = "EN 1992-1-1, 8.7.3: 30 diameters"
    return FabricLayer(face, "A252", (4.8, 2.4), (0.3, 0.3), basis, made, 4, inner.area, 27.0, 46.08, 45.5, False)  # type: ignore[arg-type]


def trimmers(plan: Polygon, face: Face) -> tuple[CornerBars, ...]:
    """Three bars near the bottom at each corner of the opening, none to three near the top."""
    x0, y0, x1, y1 = OPENING.bounds
    places = (((x0, y0), -pi / 4), ((x1, y0), pi / 4), ((x1, y1), 3 * pi / 4), ((x0, y1), 5 * pi / 4))
    corners = [
        CornerVerdict(xy, across, 0.3, 0.5, {}, {}, 0.0, 0.0, {"bottom": 3, "top": number})
        for number, (xy, across) in enumerate(places)
    ]
    return corner_bars(corners, face, BAR, plan, 0.02)


def drawn_details(view: PlanView) -> Details:
    """Springs, equipment and steel of the floor."""
    faces: tuple[Face, ...] = ("bottom", "top")
    return Details(
        springs_of(view.schedule),
        pieces(),
        {"bottom": "Cover 20 mm, outer wires along x.", "top": "Cover 25 mm, outer wires along y."},
        {face: trimmers(view.plan, face) for face in faces},
        "",
        "2026-05-28 (as the case gives it)",
        ("Nobody goes under a slab that is not packed.",),
    )


def draw_all(view: PlanView, mesh: Mesh, folder: Path, *, only: str = "") -> Drawn:
    """All six drawings of a floor, or one."""
    details = drawn_details(view)
    layers = [layer_of(view.plan, face) for face in ("bottom", "top")]
    found = contents(layers, lift_of(view, mesh, 3))
    names = (only,) if only else tuple(found)
    for name in names:
        write_drawing(view, details, found[name], folder / name)
    return Drawn(view, details, folder, {name: readfile(folder / f"{name}.dxf") for name in names})


def odd_view(view: PlanView, plan: Polygon | None = None, rotation: np.ndarray | None = None) -> PlanView:
    """The floor with text that means something elsewhere, a jack off its lines and a screw ahead.

    plan, rotation: instead of its own, and the matrix from its coordinates to those of this plan.
    """
    xy = view.schedule.xy.copy()
    xy[5] += (0.0007, -0.0021)
    xy = xy if rotation is None else xy @ rotation
    schedule = replace(view.schedule, xy=xy, advance=np.where(np.arange(len(xy)) == 2, 3e-3, 0.0))
    items = (
        PlanItem("%%uWall^M", "line load", "0.8 kN/m", LineString([(4.2, 0.0), (4.2, 1.5), (6.0, 1.5)])),
        PlanItem("Tiles {\\H5;}", "finish", "0.50 kPa", box(4.5, 2, 6, 4)),
    )
    plan = view.plan if plan is None else plan
    return replace(
        view, plan=plan, title=f"{HOSTILE[0]} {HOSTILE[2]}", reference="=1+1", schedule=schedule, items=items
    )
