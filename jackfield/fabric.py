"""The two layers of fabric of a case: mats as given or as chosen, laps to the standard, sheets over the plan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from postprocess.fabric.lap import Laps, bond_strength, good_bond, layer_laps
from postprocess.fabric.layer import can_be_laid, covered_region, fabric_layer
from postprocess.fabric.views import FabricLayer
from postprocess.strength.crack import lower_tensile_strength
from postprocess.strength.fabric import Fabric
from postprocess.strength.factors import RECOMMENDED
from postprocess.strength.layers import Face
from postprocess.strength.materials import Materials
from postprocess.strength.result import Strength
from preprocess.case import Case, Mat, Reinforcement
from preprocess.fabrics import FABRICS
from preprocess.reinforcement import FACES

FULL_STRESS = 0.8
"""Bending use up to which laps of sheets on each other need no further care (EN 1992-1-1:2004, 8.7.5.1(4))."""


@dataclass(frozen=True, eq=False)
class Fabrics:
    """layers: bottom and top, none where they cannot be laid or there is no reinforcement. bond: face -> fbd, Pa.

    remarks: what has to be told, in sentences.
    """

    layers: tuple[FabricLayer, ...]
    bond: dict[Face, float]
    remarks: tuple[str, ...]


def fabric_layers(case: Case, strength: Strength | None) -> Fabrics:
    """Both layers. strength: of the slab; from it come the mats that the program chose."""
    steel = case.reinforcement
    if steel is None:
        return Fabrics((), {}, ())
    materials = Materials(case.slab.concrete.fck, steel.fyk, replace(RECOMMENDED, **case.factors.changes))
    fctk = float(lower_tensile_strength(case.slab.concrete.fctm))
    thickness = case.slab.thickness
    bond = bond_strengths(case, materials)
    mats = {face: _mat(steel, strength, face) for face in FACES}
    known = {face: mat for face, mat in mats.items() if mat is not None}
    if len(known) < len(FACES):
        return Fabrics((), bond, ("Sheets of fabric: none laid out, since no fabric was chosen.",))
    laps = {
        face: layer_laps(
            face,
            (mat.diameter_x, mat.diameter_y),
            (mat.area("x"), mat.area("y")),
            materials,
            fctk,
            thickness=thickness,
            given=case.ordering.fabric_lap,
        )
        for face, mat in known.items()
    }
    hindrances = tuple(_hindrances(case, steel, laps))
    layers = () if hindrances else _laid(case, steel, known, laps)
    told = (*(remark for face in FACES for remark in laps[face].remarks), *_remarks(layers, strength), *hindrances)
    return Fabrics(layers, bond, told)


def bond_strengths(case: Case, materials: Materials) -> dict[Face, float]:
    """Design bond strength fbd near each face, Pa."""
    fctk, gamma = float(lower_tensile_strength(case.slab.concrete.fctm)), materials.values.gamma_c
    return {face: bond_strength(fctk, gamma, good=good_bond(face, case.slab.thickness)) for face in FACES}


def _mat(steel: Reinforcement, strength: Strength | None, face: Face) -> Fabric | None:
    if strength is not None:
        return strength.layers.fabric(face)
    mat: Mat | None = getattr(steel, face)
    return None if mat is None else Fabric(mat.name, mat.diameter[0], mat.pitch[0], mat.diameter[1], mat.pitch[1])


def _laid(
    case: Case, steel: Reinforcement, mats: dict[Face, Fabric], laps: dict[Face, Laps]
) -> tuple[FabricLayer, ...]:
    found: list[FabricLayer] = []
    for face in FACES:
        layer = fabric_layer(
            face,
            case.slab.plan,
            mats[face],
            laps[face],
            cover=_cover(steel, face),
            sheet=case.ordering.fabric_sheet,
            made_up=mats[face].name not in FABRICS,
            below=found[0] if found else None,
        )
        found.append(layer)
    return tuple(found)


def _cover(steel: Reinforcement, face: Face) -> float:
    return steel.bottom_cover if face == "bottom" else steel.top_cover


def _hindrances(case: Case, steel: Reinforcement, laps: dict[Face, Laps]) -> Iterator[str]:
    """Why sheets are not laid out."""
    length, width = (side * 1e3 for side in case.ordering.fabric_sheet)
    for face in FACES:
        if not can_be_laid(case.ordering.fabric_sheet, laps[face].lengths):
            yield (
                f"Sheets of fabric: none laid out; laps of {max(laps[face].lengths) * 1e3:g} mm in the {face} layer "
                f"take more than a third of the shorter side of {length:g} × {width:g} mm: lay bars one by one."
            )
        elif covered_region(case.slab.plan, _cover(steel, face)).area <= 0:
            yield f"Sheets of fabric: none laid out; the cover of the {face} layer leaves nothing of the plan."


def _remarks(layers: tuple[FabricLayer, ...], strength: Strength | None) -> Iterator[str]:
    if not layers:
        return
    for layer in layers:
        if layer.made_up:
            yield (
                f"{layer.face.capitalize()} layer: the case gives bars; they are shown as if made up into sheets. "
                "Laid one by one they lap as far, staggered."
            )
    if strength is not None:
        for verdict in strength.layer_verdicts:
            if float(verdict.use.max()) > FULL_STRESS:
                yield (
                    f"{verdict.face.capitalize()} layer: bending use up to {float(verdict.use.max()):.2f}; where it "
                    f"is over {FULL_STRESS:g}, sheets that lie on each other need the depth of the layer farther from "
                    "the face (EN 1992-1-1, 8.7.5.1(4) and (5)): shift the joint there, or nest the wires."
                )
    yield (
        "Laps are for 28 days. On the day of lifting bond is weaker: the slab must stay below its cracking moment "
        "then, which is a check of its own."
    )
