"""The drawings of a case: DXF files and the same sheets as PDF."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from jackfield import CAUTIONS, papers
from postprocess.cad.compose import write_drawing
from postprocess.cad.details import Details, Piece, SpringType
from postprocess.cad.drawings import contents
from postprocess.fabric.views import FabricLayer
from postprocess.lift.views import LiftView
from postprocess.schedule import JackSchedule
from preprocess.case import Case
from preprocess.inputs import read_inputs
from preprocess.plan import re_entrant_corners


def write_drawings(
    case: Case, schedule: JackSchedule, fabric: Sequence[FabricLayer], lift: LiftView | None, folder: Path
) -> None:
    """Write NAME.dxf and NAME.pdf into `folder`, which is made if need be.

    NAME: setting-out, springs, equipment, fabric-bottom and fabric-top where `fabric` has these layers, lift-passes
    where there is a lift.
    """
    folder.mkdir(parents=True, exist_ok=True)
    view, details = papers.plan_view(case, schedule), case_details(case)
    for name, content in contents(fabric, lift).items():
        write_drawing(view, details, content, folder / name)


def case_details(case: Case) -> Details:
    """What drawings need of a case beyond its plan and its schedule."""
    return Details(
        springs={
            spring.code: SpringType(spring.code, spring.rate, spring.rated_load, spring.solid_deflection, spring.parts)
            for spring in case.jacks.springs
        },
        pieces=tuple(Piece(item.name, item.mass, item.feet, item.foot, item.area) for item in case.equipment),
        covers=_covers(case),
        re_entrant=re_entrant_corners(case.slab.plan),
        trimmers=_trimmers(case),
        date=read_inputs(case).date_words,
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


def _trimmers(case: Case) -> str:
    steel = case.reinforcement
    if steel is None:
        return ""
    return (
        f"trimmer bars of {1e3 * steel.trimmer_diameter:.0f} mm across re-entrant corners, in this layer too: "
        "lengths and numbers as the strength checks say"
    )
