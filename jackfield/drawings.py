"""The drawings of a case: DXF files and the same sheets as PDF."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from jackfield import CAUTIONS, papers
from jackfield.fabric import bond_strengths
from postprocess.cad.compose import write_drawing
from postprocess.cad.details import Details, Piece, SpringType
from postprocess.cad.drawings import contents
from postprocess.fabric.trimmers import Bar, CornerBars, corner_bars
from postprocess.fabric.views import FabricLayer
from postprocess.lift.views import LiftView
from postprocess.quantities import trimmer_length
from postprocess.schedule import JackSchedule
from postprocess.strength.layers import Face
from postprocess.strength.result import Strength
from preprocess.case import Case
from preprocess.plan import re_entrant_corners
from preprocess.reinforcement import FACES

NO_TRIMMERS = (
    "No trimmer bars are drawn: the strength of the slab, from which follows how many each re-entrant corner needs, is "
    "not known."
)


def write_drawings(
    case: Case,
    schedule: JackSchedule,
    fabric: Sequence[FabricLayer],
    lift: LiftView | None,
    folder: Path,
    *,
    strength: Strength | None = None,
) -> None:
    """Write NAME.dxf and NAME.pdf into `folder`, which is made if need be.

    NAME: setting-out, springs, equipment, fabric-bottom and fabric-top where `fabric` has these layers, lift-passes
    where there is a lift. strength: of the slab, which knows its trimmer bars; without it none are drawn.
    """
    folder.mkdir(parents=True, exist_ok=True)
    view, details = papers.plan_view(case, schedule), case_details(case, strength)
    for name, content in contents(fabric, lift).items():
        write_drawing(view, details, content, folder / name)


def case_details(case: Case, strength: Strength | None = None) -> Details:
    """What drawings need of a case beyond its plan and its schedule."""
    unknown = case.reinforcement is not None and strength is None and len(re_entrant_corners(case.slab.plan)) > 0
    return Details(
        springs={
            spring.code: SpringType(spring.code, spring.rate, spring.rated_load, spring.solid_deflection, spring.parts)
            for spring in case.jacks.springs
        },
        pieces=tuple(Piece(item.name, item.mass, item.feet, item.foot, item.area) for item in case.equipment),
        covers=_covers(case),
        trimmers={} if strength is None else _trimmers(case, strength),
        no_trimmers=NO_TRIMMERS if unknown else "",
        date=case.inputs.date_words,
        cautions=CAUTIONS,
    )


def _covers(case: Case) -> dict[str, str]:
    steel = case.reinforcement
    if steel is None:
        return {}
    sides = (("bottom", steel.bottom_cover, steel.bottom_outer), ("top", steel.top_cover, steel.top_outer))
    return {
        face: f"Cover {1e3 * cover:.0f} mm from the {face} face to the outer wires, which run along {outer}."
        for face, cover, outer in sides
    }


def _trimmers(case: Case, strength: Strength) -> dict[Face, tuple[CornerBars, ...]]:
    """face -> the bars at re-entrant corners, as long as they are ordered."""
    steel = case.reinforcement
    assert steel is not None  # or there would be no strength
    diameter, bond = strength.trimmer_diameter, bond_strengths(case, strength.materials)
    bars = {face: Bar(diameter, trimmer_length(diameter, strength.materials.fyd, bond[face])) for face in FACES}
    covers = {"bottom": steel.bottom_cover, "top": steel.top_cover}
    return {face: corner_bars(strength.corners, face, bars[face], case.slab.plan, covers[face]) for face in FACES}
