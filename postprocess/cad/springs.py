"""The drawing that says which spring goes under which jack."""

from __future__ import annotations

from collections import Counter

import numpy as np
from scipy.spatial import cKDTree

from postprocess.cad.compose import EQUIPMENT_LAYERS, Content, Page
from postprocess.cad.details import Details, SpringType
from postprocess.cad.dimensions import Marks, figures
from postprocess.cad.labels import around
from postprocess.cad.notes import Draw, Notes, Row
from postprocess.cad.pen import Pen, width_of
from postprocess.cad.plan import ID_CAP
from postprocess.cad.symbols import Symbol, symbols
from postprocess.drawing import number
from postprocess.view import PlanView

CODE_CAP, LOAD_CAP = 1.8, 1.8
"""Heights of codes and of loads, mm on A3."""
RADIUS = 1.9
"""Of a symbol, mm on A3."""


def springs() -> Content:
    """A symbol and the code of the spring at each jack, with the load in service where there is room."""
    return Content("Springs", _words, _draw, ids=False, frozen=(*EQUIPMENT_LAYERS, "JACKS", "JACK-LABELS"))


def _draw(page: Page) -> None:
    schedule, pen, u = page.view.schedule, page.pen, page.unit
    shapes = symbols(_in_order(page.details))
    loads = [f"{number(load / 1e3, 1)}" for load in schedule.loads["service"]]
    with_loads = _room_for_loads(page, loads)
    radius = RADIUS * u * pen.size
    for i, code in enumerate(schedule.springs):
        x, y = (1e3 * float(c) for c in schedule.xy[i])
        pen.circle((x, y), 500 * page.view.footprint, "HOUSINGS")
        shapes[code](pen, (x, y), radius, "SPRINGS")
    for i, code in enumerate(schedule.springs):
        _beside(page, i, schedule.ids[i], ID_CAP * u, (0, 2, 1, 3))
        _beside(page, i, code, CODE_CAP * u, (1, 3, 0, 2))
        if with_loads:
            _beside(page, i, loads[i], LOAD_CAP * u, (3, 2, 1, 0))


def _beside(page: Page, jack: int, words: str, cap: float, corners: tuple[int, int, int, int]) -> None:
    """Words at a free place beside a jack; corners: in which order these are tried."""
    pen = page.pen
    radius = RADIUS * page.unit * pen.size
    x, y = (1e3 * float(c) for c in page.view.schedule.xy[jack])
    half = width_of(words, cap) * pen.size / 2, cap * pen.size / 2
    options = around(x, y, radius + 0.5 * page.unit * pen.size, half)
    place = page.free.best([*(options[i] for i in corners), *options[4:]], width_of(words, cap), cap)
    pen.text(words, place, cap, "LABELS", align="middle")


def _room_for_loads(page: Page, loads: list[str]) -> bool:
    """Whether id, code and load stand clear of those of the next jack."""
    xy = page.view.schedule.xy
    if len(xy) < 2:
        return True
    nearest = float(np.min(np.asarray(cKDTree(xy).query(xy, k=2)[0])[:, 1])) * 1e3 / page.pen.size
    code = max(width_of(words, CODE_CAP * page.unit) for words in page.view.schedule.springs)
    load = max(width_of(words, LOAD_CAP * page.unit) for words in loads)
    return nearest > code + load + 2 * RADIUS * page.unit


def _words(view: PlanView, details: Details, found: Marks, notes: Notes) -> list[Row]:
    schedule, u = view.schedule, notes.unit
    counts = Counter(schedule.springs)
    kinds = _in_order(details)
    shapes = symbols(kinds)
    rows = notes.heading("Springs under jacks")
    rows += notes.words(
        "Open symbols: single springs. Filled symbols: nested pairs, an inner coil within an outer one."
    )
    for kind in kinds:
        jacks = "1 jack" if counts[kind.code] == 1 else f"{counts[kind.code]} jacks"
        words = f"{kind.code}: {jacks}, {kind.rate / 1e3:.4g} N/mm, rated {kind.rated_load / 1e3:.4g} kN"
        words += f", solid at {figures(1e3 * kind.solid_deflection)} mm"
        if len(kind.parts) > 1:
            words += f"; pair of {' and '.join(kind.parts)}"
        rows += notes.key(_key(shapes[kind.code], u), words, height=5.6)
    coils = Counter(part for code in schedule.springs for part in details.springs[code].parts)
    rows += notes.heading("Coils to lay out")
    rows += notes.words("Without spares: those are in the list of springs to buy.")
    rows += notes.table(("coil", "number"), [(code, str(n)) for code, n in sorted(coils.items())])
    rows += notes.heading("At each jack")
    rows += notes.words("Id of the jack, code of its spring and, where there is room, its load in service in kN.")
    if np.any(schedule.advance):
        ahead = [(schedule.ids[i], figures(1e3 * float(a))) for i, a in enumerate(schedule.advance) if a]
        rows += notes.words("Screws ahead of the others, mm:")
        rows += notes.table(("jack", "ahead"), ahead)
    rows += notes.words("Springs store energy: unload them before removal.")
    return rows


def _in_order(details: Details) -> list[SpringType]:
    """Single springs first, then pairs, each by their rate."""
    return sorted(details.springs.values(), key=lambda kind: (len(kind.parts), kind.rate, kind.code))


def _key(symbol: Symbol, unit: float) -> Draw:
    def draw(pen: Pen, x: float, y: float) -> None:
        symbol(pen, (x, y), RADIUS * unit, "SPRINGS")

    return draw
