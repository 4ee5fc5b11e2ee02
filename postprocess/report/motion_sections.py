"""The floor in motion in condensed tables: drops, groups and machines, modes with bays and air, structural floor."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from postprocess.drawing import number
from postprocess.dynamics.dose_words import dose_words
from postprocess.dynamics.views import AirView, DropView, DynamicsView, SteadyView
from postprocess.dynamics.words import DOSE
from postprocess.report.model import Block, Bullets, Column, Paragraph, Section, Table
from postprocess.report.motion_pictures import motion_pictures

MODES = 8


def motion_section(motion: DynamicsView, ids: Sequence[str]) -> Section:
    """All that the papers say of it, in the order in which it matters."""
    heave, low, high = motion.springs_alone
    blocks: list[Block] = [
        Bullets(motion.sentences),
        Paragraph(
            f"The slab alone on its springs, without bays and air: heave {heave:.2f} Hz, rocking {low:.2f} and "
            f"{high:.2f} Hz."
        ),
        _modes(motion),
    ]
    if motion.drops:
        blocks += [_drops(motion.drops, ids), *_doses(motion)]
    if motion.steady:
        blocks.append(_steady(motion.steady, ids))
    if motion.bays:
        blocks.append(_bays(motion))
    if motion.air is not None:
        blocks += [Paragraph(motion.air.sentence), _air(motion.air)]
    blocks += [_sideways(motion), *motion_pictures(motion)]
    if motion.sideways.notes:
        blocks.append(Bullets(motion.sideways.notes))
    return Section("The floor in motion", tuple(blocks))


def _modes(motion: DynamicsView) -> Table:
    modes = motion.modes
    count = min(MODES, len(modes.frequencies))
    rows = tuple(
        (
            *(str(i + 1), f"{modes.frequencies[i]:.3f}", f"{100 * modes.damping[i]:.1f}", modes.kinds[i]),
            *(f"{100 * part[i]:.0f}" for part in (modes.slab, modes.floor, modes.air)),
        )
        for i in range(count)
    )
    columns = (
        *(Column("Mode", "right"), Column("Frequency, Hz", "right"), Column("Damping, %", "right"), Column("Kind")),
        *(Column(f"{name}, %", "right") for name in ("Slab", "Structural floor", "Air")),
    )
    return Table("Modes of slab, structural floor and air together; shares of the kinetic energy", columns, rows)


def _drops(drops: Sequence[DropView], ids: Sequence[str]) -> Table:
    rows: list[tuple[str, ...]] = []
    failed: list[int] = []
    for drop in drops:
        if drop.reserve < 0 or drop.least_load < 0 or (drop.clearance is not None and drop.clearance < 0):
            failed.append(len(rows))
        floor = drop.springs.peak_velocity
        rows.append(
            (
                *(drop.name, f"{drop.mass:.4g} kg, {1e3 * drop.height:.0f} mm"),
                f"{number(drop.place[0], 2)}, {number(drop.place[1], 2)}",
                *(f"{each.peak_force / 1e3:.2f}" for each in (drop.springs, drop.rubber, drop.bare)),
                *(f"{1e3 * drop.reserve:.1f} at {ids[drop.worst_jack]}", number(drop.least_load / 1e3, 2)),
                *("–" if drop.clearance is None else number(1e3 * drop.clearance, 1),),
                f"{1e3 * floor.max():.3g}" if len(floor) else "–",
            )
        )
    columns = (
        *(Column("Drop"), Column("Mass, height"), Column("Place, m")),
        *(Column(f"Peak force on {name}, kN", "right") for name in ("springs", "rubber", "the bare floor")),
        *(Column("Travel left, mm", "right"), Column("Least jack load, kN", "right"), Column("Gap left, mm", "right")),
        Column("Floor, mm/s", "right"),
    )
    caption = "Drops: greatest force into the structure, least travel and load of any jack, fastest bay"
    return Table(caption, columns, tuple(rows), frozenset(failed))


def _doses(motion: DynamicsView) -> Iterator[Table]:
    """Doses of a day by drop and bay, where the number of drops is known."""
    rows = [
        (drop.name, str(drop.drops), name, f"{dose:.3g}", dose_words(float(dose)))
        for drop in motion.drops
        if drop.day_dose is not None
        for name, dose in zip(motion.bay_names, drop.day_dose, strict=False)
    ]
    if rows:
        columns = Column("Drop"), Column("Drops a day", "right"), Column("Bay"), Column(f"Dose, {DOSE}", "right")
        yield Table("Vibration dose of a day at the middle of each bay", (*columns, Column("Meaning")), tuple(rows))


def _steady(steady: Sequence[SteadyView], ids: Sequence[str]) -> Table:
    rows = tuple(
        (
            *(each.name, each.kind, f"{each.worst_rate:.2f}", f"{each.peak_acceleration:.3g}"),
            *(f"{each.peak_force / 1e3:.2f}", f"{1e3 * each.reserve:.1f} at {ids[each.worst_jack]}"),
            *("; ".join(each.meets) or "–", each.basis),
        )
        for each in steady
    )
    columns = (
        *(Column("Name"), Column("Kind"), Column("Worst rate, 1/s", "right"), Column("Acceleration, m/s²", "right")),
        *(Column("Force, kN", "right"), Column("Travel left, mm", "right"), Column("Meets"), Column("Basis")),
    )
    stops = frozenset(i for i, each in enumerate(steady) if each.meets)
    return Table("Groups and machines at their worst rate; marked: a harmonic meets a mode", columns, rows, stops)


def _bays(motion: DynamicsView) -> Table:
    rows = tuple(
        (
            *(bay.name, f"{bay.frequency:.2f}", f"{bay.mass:.0f}", str(bay.jacks)),
            *(f"{1e3 * bay.spring_deflection:.2f}", f"{1e3 * bay.floor_deflection:.2f}", f"{bay.nearest:.2f}"),
            "; ".join(bay.notes) or "stiff enough",
        )
        for bay in motion.bays
    )
    columns = (
        *(Column("Bay"), Column("Frequency, Hz", "right"), Column("Modal mass, kg", "right"), Column("Jacks", "right")),
        *(Column("Springs give, mm", "right"), Column("Floor gives, mm", "right"), Column("Nearest mode, Hz", "right")),
        Column("Verdict"),
    )
    failed = frozenset(i for i, bay in enumerate(motion.bays) if bay.notes)
    return Table("The structural floor", columns, rows, failed)


def _air(air: AirView) -> Table:
    rows = (
        ("springs alone", f"{air.heave:.2f}", f"{air.rock:.2f}"),
        ("with the air", f"{air.heave_with:.2f}", f"{air.rock_with:.2f}"),
        ("all edges sealed", f"{air.sealed:.2f}", "–"),
        ("all edges open", f"{air.opened:.2f}", "–"),
    )
    columns = Column("Air below the slab"), Column("Heave, Hz", "right"), Column("Rocking, Hz", "right")
    return Table(f"What the air does in a gap of {1e3 * air.gap:g} mm; edges: {air.edge}", columns, rows)


def _sideways(motion: DynamicsView) -> Table:
    side = motion.sideways
    rows = tuple(
        (str(i + 1), f"{frequency:.2f}", kind)
        for i, (frequency, kind) in enumerate(zip(side.frequencies, side.kinds, strict=True))
    )
    rates = " and ".join(f"{rate / 1e3:.0f}" for rate in side.sway_rates)
    columns = Column("Mode", "right"), Column("Frequency, Hz", "right"), Column("Kind")
    return Table(f"The rigid slab in six freedoms; rates along x and y {rates} N/mm", columns, rows)
