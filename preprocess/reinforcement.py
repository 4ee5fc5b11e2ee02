"""Whether two layers of steel can be built into the slab, and which fabrics a case leaves to choose from."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product
from typing import Any, Final, Literal

from preprocess.case import Case, Mat
from preprocess.entries import SHEET_MM
from preprocess.errors import Problem
from preprocess.fabrics import CHOOSE, DIAMETER_MM, FABRICS, MAT, PITCH_MM, WIDEST_PITCH_MM, to_mat
from preprocess.schema import CASE_FILE, COVER_MM, DEFAULT_SHEET_MM, LAP_MM, THICKNESS_MM
from preprocess.validation import table_of, usable
from preprocess.wording import quoted, shown

Tables = Mapping[str, Any]
Face = Literal["bottom", "top"]
Layer = tuple[Mat, float]
"""A mat, the lightest fabric where one is to be chosen, and its cover in m."""

FACES: Final[tuple[Face, Face]] = ("bottom", "top")
THINNEST_MM, THICKEST_MM = 75.0, 400.0
"""Range of slab thickness for which the strength is checked."""

TOLERANCE: Final = 1e-6
"""How much, m, layers may exceed the thickness: it forgives rounding, so that mats may touch."""


def candidates(case: Case) -> tuple[tuple[Mat, Mat], ...]:
    """Pairs (bottom, top) that the case leaves open and that can be built, the lightest first.

    Of equally heavy pairs the one with the lighter top comes first. One pair if nothing is to be chosen; none without
    reinforcement.
    """
    steel = case.reinforcement
    if steel is None:
        return ()
    mats = [[mat] if mat else list(FABRICS.values()) for mat in (steel.bottom, steel.top)]
    pairs = [
        (bottom, top)
        for bottom, top in product(*mats)
        if filled(bottom, steel.bottom_cover, top, steel.top_cover) <= case.slab.thickness + TOLERANCE
    ]
    return tuple(sorted(pairs, key=lambda pair: (pair[0].volume + pair[1].volume, pair[1].volume)))


def filled(bottom: Mat, bottom_cover: float, top: Mat, top_cover: float) -> float:
    """Thickness that covers and wires of both layers take, m."""
    return bottom_cover + bottom.depth + top.depth + top_cover


def reinforcement_problems(data: Tables) -> list[Problem]:
    """What no single key of `[reinforcement]` shows: bars that overlap, layers that do not fit into the slab.

    data: the parsed case.toml, usable or not; layers are checked if covers, mats and thickness are usable.
    """
    if "reinforcement" not in data:
        return []
    table = table_of(data, "reinforcement")
    problems = [problem for face in FACES for problem in _pitch_problems(table, face)] + _lap_problems(table)
    thickness = usable(THICKNESS_MM, table_of(data, "slab").get("thickness_mm"))
    if thickness is None:
        return problems
    if not THINNEST_MM <= thickness <= THICKEST_MM:
        allowed = f"a number from {THINNEST_MM:g} to {THICKEST_MM:g} mm with [reinforcement]"
        return [Problem(CASE_FILE, "slab.thickness_mm", f"{thickness:g}", allowed), *problems]
    layers = {face: _layer(table, face) for face in FACES}
    through = [_reach_problem(table, face, layer, thickness) for face, layer in layers.items() if layer]
    problems += [problem for problem in through if problem]
    bottom, top = layers["bottom"], layers["top"]
    if bottom and top and not any(through):
        problems += _overlap_problems(table, bottom, top, thickness)
    return problems


def _pitch_problems(table: Tables, face: Face) -> list[Problem]:
    """Bars of the mat near `face` that overlap their neighbours."""
    bars = table_of(table, face)
    problems = []
    for axis in ("x", "y"):
        diameter = usable(DIAMETER_MM, bars.get(f"{axis}_diameter_mm"))
        pitch = usable(PITCH_MM, bars.get(f"{axis}_pitch_mm"))
        if diameter is not None and pitch is not None and pitch <= diameter:
            where = f"reinforcement.{face}.{axis}_pitch_mm"
            allowed = f"more than {axis}_diameter_mm, {diameter:g} mm, at most {WIDEST_PITCH_MM:g} mm"
            problems.append(Problem(CASE_FILE, where, f"{pitch:g}", allowed))
    return problems


def _lap_problems(table: Tables) -> list[Problem]:
    """A lap that leaves too little of a sheet of fabric."""
    lap, sheet = usable(LAP_MM, table.get("lap_mm")), table.get("sheet_mm", list(DEFAULT_SHEET_MM))
    sides = usable(SHEET_MM, sheet)
    if lap is None or sides is None or lap <= min(sides) / 3:
        return []
    allowed = f"at most a third of the shorter side of a sheet of fabric, {min(sides) / 3:.0f} mm"
    return [Problem(CASE_FILE, "reinforcement.lap_mm", f"{lap:g}", allowed)]


def _layer(table: Tables, face: Face) -> Layer | None:
    """The layer near `face`, None if its mat or its cover is not usable."""
    entry, cover = usable(MAT, table.get(face)), usable(COVER_MM, table.get(f"{face}_cover_mm"))
    if entry is None or cover is None:
        return None
    return to_mat(entry) or next(iter(FABRICS.values())), cover / 1000


def _reach_problem(table: Tables, face: Face, layer: Layer, thickness: float) -> Problem | None:
    """A layer that reaches through a slab of `thickness` mm."""
    mat, cover = layer
    room = thickness - 1000 * mat.depth
    if 1000 * cover < room:
        return None
    value = table[f"{face}_cover_mm"]
    even = "even " if _is_open(table, face) else ""
    allowed = (
        f"less than {room:g} mm, or no effective depth is left: the slab has {thickness:g} mm, "
        f"{even}the wires of {mat.name} take {1000 * mat.depth:g} mm"
    )
    return Problem(CASE_FILE, f"reinforcement.{face}_cover_mm", shown(value), allowed)


def _overlap_problems(table: Tables, bottom: Layer, top: Layer, thickness: float) -> list[Problem]:
    """Layers that do not fit into a slab of `thickness` mm together."""
    taken = filled(*bottom, *top)
    if taken <= thickness / 1000 + TOLERANCE:
        return []
    value = f"{1000 * taken:g} mm of covers and wires"
    allowed = f"layers that do not overlap, both within slab.thickness_mm, {thickness:g} mm"
    chosen = [f"reinforcement.{face}" for face in FACES if _is_open(table, face)]
    if not chosen:
        return [Problem(CASE_FILE, "reinforcement", value, allowed)]
    even = " and ".join(f"{mat.name} at the {face}" for face, (mat, _) in zip(FACES, (bottom, top), strict=True))
    return [Problem(CASE_FILE, " and ".join(chosen), quoted(CHOOSE), f"{allowed}; even {even} make {value}")]


def _is_open(table: Tables, face: Face) -> bool:
    """Whether the case leaves the mat near `face` to the program."""
    value = table.get(face)
    return isinstance(value, str) and value.strip() == CHOOSE
