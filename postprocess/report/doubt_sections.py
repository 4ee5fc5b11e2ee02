"""What is in doubt, and what the loss of a spring does."""

from __future__ import annotations

import numpy as np

from postprocess.doubt.result import FloorDoubt
from postprocess.doubt.words import failure_words, frequency_words, percent, with_bounds
from postprocess.report.model import Bullets, Column, Paragraph, Section, Table

LISTED = 10


def doubt_section(doubt: FloorDoubt) -> Section:
    """Springs, thickness and masses at random, then each spring out of service in turn."""
    assumed = doubt.assumptions
    return Section(
        "Doubt and failure",
        (
            Paragraph(
                f"{assumed.samples} floors at random (start value {assumed.seed}): spring rates ±"
                f"{percent(assumed.rate_tolerance)} (two standard deviations, {percent(assumed.batch_share)} of the "
                f"variance common to a kind), thickness ±{assumed.thickness_deviation * 1e3:g} mm (one standard "
                f"deviation, over {assumed.thickness_correlation:g} m), masses of equipment ±"
                f"{percent(assumed.mass_deviation)} (one standard deviation). At least one jack outside its band: "
                f"{with_bounds(doubt.any_leaves)}. {frequency_words(doubt).capitalize()}."
            ),
            _sources(doubt),
            _jacks(doubt),
            Paragraph("Each spring out of service in turn, the others carrying on:"),
            Bullets(failure_words(doubt)),
        ),
    )


def _sources(doubt: FloorDoubt) -> Table:
    rows = tuple(
        (
            *(source.name, percent(source.of_loads), f"{source.load_deviation:.3f}"),
            *(percent(source.of_frequency), f"{source.frequency_deviation:.3f}"),
        )
        for source in doubt.sources
    )
    columns = (
        *(Column("Source, taken alone"), Column("Share, loads", "right"), Column("Deviation of load ratio", "right")),
        *(Column("Share, frequency", "right"), Column("Deviation, Hz", "right")),
    )
    return Table(
        f"Where the doubt comes from; single variances over all together: {doubt.additivity:.2f}", columns, rows
    )


def _jacks(doubt: FloorDoubt) -> Table:
    scatter = doubt.jacks
    likely = np.argsort(-(scatter.under + scatter.over), kind="stable")[:LISTED]
    rows = tuple(
        (
            *(
                doubt.ids[j],
                f"{doubt.loads[j] / 1e3:.2f}",
                f"{scatter.low[j] / 1e3:.2f}",
                f"{scatter.high[j] / 1e3:.2f}",
            ),
            percent(scatter.leaves(int(j)).value),
        )
        for j in likely
    )
    columns = (
        *(Column("Jack"), Column("Nominal, kN", "right"), Column("5 %, kN", "right"), Column("95 %, kN", "right")),
        Column("Outside its band", "right"),
    )
    return Table("Jacks that leave their band most likely, in service", columns, rows)
