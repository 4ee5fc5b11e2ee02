"""The lift jack by jack, and the levelling after it, where they were computed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from postprocess.checks import Check
from postprocess.drawing import Box
from postprocess.jobs.lift_charts import peak_chart
from postprocess.jobs.lift_words import kn, mm, quarter_words, turn_words, use_percent
from postprocess.lift.views import LiftView
from postprocess.report.check_sections import check_table
from postprocess.report.model import Block, Bullets, Column, Paragraph, Picture, Section, Table
from postprocess.report.paper import WIDTH, new_figure, picture
from postprocess.svg import drawing_settings

FAULTS = 12
"""Faults that are listed, the harmful ones first."""


def lift_section(lift: LiftView, ids: Sequence[str], checks: Sequence[Check]) -> Section:
    """Pass by pass. checks: of the lift where the run has them, none otherwise."""
    worst = lift.worst
    moment = f"{worst.moment / 1e3:.2f} of {lift.cracking_moment / 1e3:.2f} kN·m/m"
    blocks: list[Block] = [
        Paragraph(
            f"Each jack is turned by itself, {lift.order_name}; concrete of {lift.age:g} days; screws of "
            f"{lift.pitch * 1e3:g} mm a turn. Greatest bending at any turn: {moment}, {use_percent(worst.use)} of the "
            f"moment at which the slab may crack, at {worst.place}, {worst.face} face, in pass {worst.pass_number} "
            f"after jack {ids[worst.jack]} was turned."
        )
    ]
    if lift.not_met:
        blocks += [Paragraph("Not met:"), Bullets(lift.not_met)]
    if lift.notes:
        blocks.append(Bullets(lift.notes))
    blocks += [_passes(lift, ids), _picture(lift)]
    if lift.sizes:
        blocks.append(_sizes(lift))
    if lift.faults:
        blocks.append(_faults(lift, ids))
    if checks:
        blocks.append(check_table("Checks of the lift", checks))
    return Section("Lift", tuple(blocks))


def _passes(lift: LiftView, ids: Sequence[str]) -> Table:
    rows: list[tuple[str, ...]] = []
    failed: list[int] = []
    for each in lift.passes:
        if each.peak.use > 1:
            failed.append(len(rows))
        rows.append(
            (
                *(str(each.number), turn_words(each.turns), mm(float(each.advance.mean()))),
                *(mm(float(each.heights.min())), mm(float(each.heights.max()))),
                *(kn(float(each.loads.min())), kn(float(each.loads.max())), mm(float(each.reserves.min()))),
                *(f"{100 * each.contact_share:.0f}", use_percent(each.peak.use), ids[each.peak.jack]),
            )
        )
    headings = (
        *("Pass", "Turns", "Screw, mm", "Lowest, mm", "Highest, mm", "Least load, kN", "Greatest load, kN"),
        *("Travel left, mm", "On the floor, %", "Bending use", "Worst after jack"),
    )
    caption = (
        "The lift pass by pass, after the last turn of each; heights of the slab at the jacks above where it lay; "
        "bending use is the worst of all turns of the pass, over the moment at which the slab may crack"
    )
    return Table(caption, tuple(Column(words, "right") for words in headings), tuple(rows), frozenset(failed))


def _picture(lift: LiftView) -> Picture:
    figure = new_figure(WIDTH, 62.0)
    with drawing_settings():
        peak_chart(Box(16.0, 12.0, WIDTH - 20.0, 43.0).axes(figure), lift)
    uses = ", ".join(f"{each.number}: {use_percent(each.peak.use)}" for each in lift.passes)
    caption = "Greatest bending of each pass over the moment at which the slab may crack; the line is full use."
    return picture(figure, "lift", caption, f"Bending use by pass. {uses}.")


def _sizes(lift: LiftView) -> Table:
    rows = tuple(
        (
            *(turn_words(size.turns), f"{size.peak.moment / 1e3:.2f}", use_percent(size.peak.use)),
            "never" if size.earliest_age is None else f"{size.earliest_age} days",
        )
        for size in lift.sizes
    )
    columns = (
        *(Column("Turns a pass", "right"), Column("Peak, kN·m/m", "right"), Column("Use", "right")),
        Column("Safe from an age of"),
    )
    return Table("Sizes of pass, in the same order of jacks", columns, rows)


def _faults(lift: LiftView, ids: Sequence[str]) -> Table:
    ordered = sorted(lift.faults, key=lambda each: (not each.harmful, -each.use))
    shown = ordered[:FAULTS]
    rows = tuple(
        (
            *(fault.words, ids[fault.jack], mm(fault.height_change), kn(fault.load_change), use_percent(fault.use)),
            *(fault.noticed, "HARM" if fault.harmful else "no harm"),
        )
        for fault in shown
    )
    columns = (
        *(Column("Fault"), Column("Jack"), Column("Height, mm", "right"), Column("Load, kN", "right")),
        *(Column("Bending use", "right"), Column("Noticed"), Column("Verdict")),
    )
    more = len(ordered) - len(shown)
    caption = "What may go wrong, and how far it would show" + (f"; {more} more in lift.json" if more else "")
    harmful = frozenset(i for i, fault in enumerate(shown) if fault.harmful)
    return Table(caption, columns, rows, harmful)


def level_section(level: Mapping[str, Any]) -> Section:
    """level: the contents of level.json for the same input."""
    reach = level["reach"]
    rows = tuple(_reach_row(name, reach[key]) for name, key in _MEASURES)
    columns = (Column("Measure"), *(Column(f"{words}, mm", "right") for words in ("Before", "After", "Limit")))
    failed = frozenset(i for i, (_, key) in enumerate(_MEASURES) if reach[key]["after"] > reach[key]["limit"])
    blocks: list[Block] = [
        Paragraph(
            f"Surveyed in the state {level['surveyed_in']}, brought level for the state {level['level_in']}, concrete "
            f"of {level['age_days']:g} days. {reach['words']}"
        ),
        Table("How level the floor is", columns, rows, failed),
        Table("Turns of each jack that is touched, in the order of work", _TURNS, tuple(_turns(level))),
    ]
    if level["notes"]:
        blocks.append(Bullets(tuple(level["notes"])))
    return Section("Level", tuple(blocks))


_MEASURES = (("greatest departure from level", "overall_mm"), ("gap under the straightedge", "straightedge_mm"))
_TURNS = (
    *(Column("No.", "right"), Column("Jack"), Column("Turns"), Column("Height before, mm", "right")),
    *(Column("Height after, mm", "right"), Column("Load after, kN", "right")),
)


def _reach_row(name: str, found: Mapping[str, float]) -> tuple[str, ...]:
    return name, *(f"{found[key]:.2f}" for key in ("before", "after", "limit"))


def _turns(level: Mapping[str, Any]) -> Iterator[tuple[str, ...]]:
    touched = [jack for jack in level["jacks"] if jack["order"] is not None]
    for jack in sorted(touched, key=lambda each: int(each["order"])):
        height, load = jack["height_mm"], jack["load_kN"]
        yield (
            *(str(jack["order"]), str(jack["id"]), quarter_words(int(jack["quarter_turns"]))),
            *(f"{height['before']:.2f}", f"{height['after']:.2f}", f"{load['after']:.2f}"),
        )
