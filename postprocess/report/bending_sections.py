"""Bending and the two layers: moments, resistance by hand, punching, cracks, corners, and what each layer is for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from fem.plate import Plate
from postprocess.checks import Check
from postprocess.drawing import number
from postprocess.key_moments import KeyMoments
from postprocess.report.bending_by_hand import resistance_workings
from postprocess.report.check_sections import check_table
from postprocess.report.model import Block, Bullets, Column, Paragraph, Picture, Section, Table, Working
from postprocess.report.punching_by_hand import punching_workings
from postprocess.schedule import JackSchedule
from postprocess.strength.result import PunchingPlace, Strength
from postprocess.strength_crack_figure import bars_words

LISTED = 12
"""Re-entrant corners that are listed, those nearest to cracking first."""


def moment_section(
    plate: Plate, area: float, schedule: JackSchedule, moments: Mapping[str, KeyMoments], pictures: Sequence[Picture]
) -> Section:
    """How stiff the slab is against its springs, and its moments. area: of the slab, m2."""
    return Section(
        "Bending of the slab",
        (*_stiffness(plate, area, schedule), _key_moments(moments), *pictures),
    )


def _stiffness(plate: Plate, area: float, schedule: JackSchedule) -> Iterator[Block]:
    E, h, nu, D = plate.modulus, plate.thickness, plate.poissons_ratio, plate.rigidity
    bed = float(schedule.rates.sum()) / area
    length = (D / bed) ** 0.25
    apart = np.hypot(*(schedule.xy[:, None] - schedule.xy[None]).transpose(2, 0, 1))
    np.fill_diagonal(apart, np.inf)
    spacing = float(np.median(apart.min(axis=1)))
    yield Working(
        "Rigidity",
        f"D = E h³/(12 (1 − ν²)) = {E / 1e9:.3f} × 10⁶ × {h:g}³/(12 × (1 − {nu:g}²))",
        f"{D / 1e3:.1f} kN·m",
        "Timoshenko and Woinowsky-Krieger, 1959, chapter 2",
    )
    yield Working(
        "Springs as an even bed",
        f"k″ = Σk/A = {schedule.rates.sum() / 1e3:.1f}/{area:.3f}",
        f"{bed / 1e3:.2f} kN/m³",
        "all springs spread over the slab",
    )
    yield Working(
        "Characteristic length",
        f"ℓ = (D/k″)^¼ = ({D / 1e3:.1f}/{bed / 1e3:.2f})^¼",
        f"{length:.3f} m",
        "plate on an elastic bed, chapter 8 of the same",
    )
    yield Paragraph(
        f"Jacks stand {spacing:.2f} m apart (median), {spacing / length:.2f} ℓ: a force spreads over several "
        "jacks, and the slab rides on its springs as on a soft bed. Loads that cover only a part of it bend it over "
        "lengths of ℓ and more, which is why the spans between jacks say little about its moments."
    )


def _key_moments(moments: Mapping[str, KeyMoments]) -> Table:
    rows = []
    for state, key in moments.items():
        spans = key.in_spans[:, :2]
        extremes = (spans.max(), spans.min()) if len(spans) else ()
        sizes = (key.at_jacks.max(), key.at_jacks.min(), *extremes, key.largest)
        cells = [number(float(size) / 1e3, 2) for size in sizes]
        rows.append((state, *cells[:2], *(cells[2:4] if extremes else ("–", "–")), cells[-1]))
    strip = next(iter(moments.values())).strip * 1e3
    columns = (
        *(Column("State"), Column("At jacks, most sagging", "right"), Column("most hogging", "right")),
        *(Column("In spans, most sagging", "right"), Column("most hogging", "right"), Column("Largest size", "right")),
    )
    caption = (
        f"Mx and My in kN·m/m, sagging positive; at jacks the mean over a strip of {strip:.0f} mm (housing and "
        "thickness), in spans midway between neighbouring jacks; the last column counts principal moments as well"
    )
    return Table(caption, columns, tuple(rows))


def layer_sections(strength: Strength, schedule: JackSchedule, jack: int, footprint: float) -> Iterator[Section]:
    """jack: the governing one. footprint: diameter of a housing, m."""
    yield Section("Two layers of steel", (*_layers(strength), *_why_two(strength)), 2)
    yield Section(
        "Bending resistance by hand",
        (
            Paragraph(
                "MRd of the slab a metre wide, for each face in tension and each direction of wires. T and T′ are the "
                "forces of the mat near the face in tension and of the other one, tension positive, concrete displaced "
                "within the block counted; d and d′ from the compressed face."
            ),
            *resistance_workings(strength.layers, strength.materials),
        ),
        2,
    )
    yield Section("Where bending is nearest to it", tuple(_bending(strength)), 2)
    yield Section("Punching by hand", tuple(_punching(strength, schedule.ids[jack], footprint)), 2)
    yield Section("Cracks and re-entrant corners", tuple(_cracks(strength)), 2)


def _layers(strength: Strength) -> Iterator[Block]:
    rows: list[tuple[str, ...]] = []
    failed: list[int] = []
    for verdict in strength.layer_verdicts:
        for i, direction in enumerate(("x", "y")):
            if verdict.use[i] > 1:
                failed.append(len(rows))
            wires = strength.layers.section(verdict.face, "x" if i == 0 else "y").tension
            assert wires, "a slab that is assessed has both mats"
            rows.append(
                (
                    *(verdict.face, verdict.fabric, direction, f"{wires.diameter * 1e3:g}", f"{wires.pitch * 1e3:g}"),
                    *(f"{wires.area * 1e6:.0f}", f"{wires.cover * 1e3:g}", f"{verdict.use[i]:.3f}", verdict.where[i]),
                    "enough" if verdict.use[i] <= 1 else "NOT ENOUGH",
                )
            )
    columns = (
        *(Column("Layer"), Column("Steel"), Column("Along"), Column("φ, mm", "right"), Column("Pitch, mm", "right")),
        *(Column("As, mm²/m", "right"), Column("Cover, mm", "right"), Column("Bending use", "right"), Column("Where")),
        Column("Verdict"),
    )
    chosen = " The program chose them: the lightest pair that passes, or else the heaviest." if strength.chosen else ""
    yield Table("Layers of steel" + chosen, columns, tuple(rows), frozenset(failed))
    for remark in strength.remarks:
        yield Paragraph(remark)


def _why_two(strength: Strength) -> Iterator[Block]:
    yield Paragraph(
        "Why two layers: a slab on springs sags in one place as it hogs in another, and imposed load on a part of it "
        "turns the signs round. With one layer left out these checks would not be met:"
    )
    yield Bullets(
        tuple(
            f"without the {verdict.face} layer: {'; '.join(verdict.fails_without) or 'none'}"
            for verdict in strength.layer_verdicts
        )
    )


def _bending(strength: Strength) -> Iterator[Block]:
    yield Paragraph(
        f"Design moments of Wood and Armer from Mx, My and Mxy, the greatest of {len(strength.combinations)} strength "
        f"combinations at each place; beside jacks and feet the mean over a strip of {strength.strip * 1e3:.0f} mm "
        "stands for the peak."
    )
    yield check_table("Bending", _named(strength, "bending"))


def _named(strength: Strength, *beginnings: str) -> list[Check]:
    return [check for check in strength.checks if check.name.startswith(beginnings)]


def _punching(strength: Strength, name: str, footprint: float) -> Iterator[Block]:
    place = next((each for each in strength.punching if each.name == f"jack {name}"), None)
    jacks = [each for each in strength.punching if each.kind == "jack"]
    if place is not None:
        yield Paragraph(
            f"At the governing jack {name}: it pushes up, so the top layer is in tension. VEd is its greatest load of "
            "all strength combinations."
        )
        yield from punching_workings(strength, place, footprint)
    if jacks:
        yield Paragraph(f"Most used of all jacks: {_place_words(max(jacks, key=lambda each: each.use))}.")
    yield check_table("Punching and bearing", _named(strength, "punching", "bearing", "shear"))


def _place_words(place: PunchingPlace) -> str:
    return f"{place.name} ({place.perimeter.position}), VEd {place.force / 1e3:.2f} kN, {place.use:.2f} of its strength"


def _cracks(strength: Strength) -> Iterator[Block]:
    rows = tuple(
        (
            *(each.state, f"{each.moment / 1e3:.2f}", f"{each.limit / 1e3:.2f}", f"{each.moment / each.limit:.2f}"),
            *("cracks are to be expected" if each.moment > each.limit else "uncracked", each.where),
        )
        for each in strength.cracking
    )
    columns = (
        *(Column("State"), Column("Moment, kN·m/m", "right"), Column("Cracking moment, kN·m/m", "right")),
        *(Column("Use", "right"), Column("Verdict"), Column("Where")),
    )
    h, values = strength.layers.thickness * 1e3, strength.materials.values
    yield Table(
        f"Does the slab crack? Cracking moment = fctk,0.05 h²/6 with h {h:g} mm, EN 1992-1-1, 3.1.8 and Table 3.1",
        columns,
        rows,
    )
    widths = _named(strength, "crack")
    if widths:
        yield check_table(
            f"Crack widths as if cracked everywhere, EN 1992-1-1, 7.3.4, creep {values.creep_coefficient:g}", widths
        )
    if strength.corners:
        yield Paragraph(
            "Re-entrant corners are where slabs crack first: moments of thin-plate theory are singular at the corner "
            "itself, so means over strips across the bisector stand for them, and diagonal trimmer bars hold cracks."
        )
        yield _corners(strength)


def _corners(strength: Strength) -> Table:
    ordered = sorted(strength.corners, key=lambda each: -max(each.cracking_use.values(), default=0.0))
    rows: list[tuple[str, ...]] = []
    failed: list[int] = []
    for corner in ordered[:LISTED]:
        crack = max(corner.cracking_use.values(), default=0.0)
        rows.append(
            (
                *(f"{corner.xy[0] * 1e3:.0f}, {corner.xy[1] * 1e3:.0f}", number(float(np.degrees(corner.across)), 0)),
                *(f"{crack:.2f}", number(corner.design_sagging / 1e3, 2), number(corner.design_hogging / 1e3, 2)),
                bars_words(corner, strength.trimmer_diameter),
            )
        )
        if crack > 1:
            failed.append(len(rows) - 1)
    more = len(strength.corners) - len(rows)
    columns = (
        *(Column("Corner x, y, mm"), Column("Trimmers along, °", "right"), Column("Cracking use", "right")),
        *(Column("Design sagging, kN·m/m", "right"), Column("Design hogging, kN·m/m", "right"), Column("Trimmers")),
    )
    caption = "Re-entrant corners; cracking use above 1: a crack is to be expected"
    return Table(
        caption + (f"; {more} more in results.json" if more > 0 else ""), columns, tuple(rows), frozenset(failed)
    )
