"""What the jacks press on the existing floor: totals by bay and state, and the greatest single jack."""

from __future__ import annotations

import numpy as np

from postprocess.existing_floor import TITLES, ExistingFloor, FloorCase
from postprocess.report.model import Bullets, Column, Paragraph, Section, Table


def existing_section(floor: ExistingFloor) -> Section:
    """Characteristic values without factors, for the building's own engineer."""
    count = len(floor.bays)
    columns = (
        Column("State"),
        *(Column(f"{name}, kN", "right") for name in floor.bays),
        *((Column("All jacks, kN", "right"),) if count > 1 else ()),
        *(Column("Greatest jack, kN", "right"), Column("At"), Column("Values")),
    )
    return Section(
        "Loads on the existing floor",
        (
            Paragraph(
                "Characteristic loads without any partial factor, for the engineer of the building: each jack presses "
                f"through a housing of {floor.footprint * 1e3:g} mm. Loads at every jack are in the plan of jacks and "
                "in the lists."
            ),
            Table(
                "Totals by bay and the greatest single jack", columns, tuple(_row(floor, case) for case in floor.cases)
            ),
            Bullets(tuple(f"{TITLES.get(case.key, case.key)}: {case.words}" for case in floor.cases)),
            *((Paragraph("Assumptions:"), Bullets(floor.assumptions)) if floor.assumptions else ()),
        ),
    )


def _row(floor: ExistingFloor, case: FloorCase) -> tuple[str, ...]:
    jack = int(np.nanargmax(case.loads))
    x, y = floor.xy[jack] * 1e3
    return (
        TITLES.get(case.key, case.key),
        *(f"{total / 1e3:.1f}" for total in case.totals),
        *((f"{case.whole / 1e3:.1f}",) if len(floor.bays) > 1 else ()),
        *(f"{case.loads[jack] / 1e3:.2f}", f"{floor.ids[jack]}, x {x:.0f}, y {y:.0f} mm"),
        "greatest of several" if case.envelope else "at one time",
    )
