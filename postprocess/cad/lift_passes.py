"""The drawing for the day of lifting: in which order jacks are turned, pass by pass, and when to stop."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from postprocess.cad.compose import Content, Page
from postprocess.cad.details import Details
from postprocess.cad.labels import around
from postprocess.cad.notes import Draw, Notes, Row
from postprocess.cad.pen import Pen, width_of
from postprocess.cad.setting_out import edge_keys, jack_key
from postprocess.jobs.lift_words import kn, mm, turn_words, use_percent
from postprocess.lift.views import LiftView, PassView
from postprocess.view import PlanView

ORDER_CAP = 2.4
"""Height of the numbers, mm on A3."""


def lift_passes(lift: LiftView) -> Content:
    """The number of each jack in the order of a pass, and what to look for after each pass."""
    return Content(
        "Lift passes",
        lambda view, details, found, notes: _words(lift, view, details, notes),
        lambda page: _draw(page, lift),
    )


def _draw(page: Page, lift: LiftView) -> None:
    pen, u, cap = page.pen, page.unit, ORDER_CAP * page.unit
    radius = 500 * page.view.footprint
    for position, jack in enumerate(lift.passes[0].order, start=1):
        words = str(position)
        x, y = (1e3 * float(c) for c in page.view.schedule.xy[jack])
        half = width_of(words, cap) * pen.size / 2, cap * pen.size / 2
        options = around(x, y, radius + 0.9 * u * pen.size, half)
        place = page.free.best([options[1], options[3], options[2], *options[4:]], width_of(words, cap), cap)
        pen.text(words, place, cap, "PASSES", align="middle")


def _words(lift: LiftView, view: PlanView, details: Details, notes: Notes) -> list[Row]:
    rows = notes.heading("Stop rules and cautions")
    for words in details.cautions:
        rows += notes.words(f"• {words}")
    if lift.not_met:
        rows += notes.heading("NOT MET")
        for words in lift.not_met:
            rows += notes.words(f"• {words}")
    rows += notes.heading("Order of turning")
    rows += notes.words(f"In every pass each jack is turned once, {lift.order_name}, one jack at a time.")
    first, *others = _orders(lift.passes)
    rows += notes.words(f"Large numbers on the plan: the order {first[0]}.")
    for which, order in others:
        rows += notes.words(f"The order {which}: {', '.join(view.schedule.ids[jack] for jack in order)}.")
    rows += notes.key(_order_key(notes.unit), "jack with its id and its number in the order of a pass", height=6.0)
    rows += jack_key(view, notes)
    rows += edge_keys(view, notes)
    rows += notes.heading("Passes")
    rows += notes.words(f"Concrete {lift.age:g} days old; {mm(lift.pitch)} mm of screw a turn.")
    heads = ("pass", "turns", "height, mm", "load, kN", "bending")
    rows += notes.table(heads, [_pass_line(each) for each in lift.passes], left=())
    rows += notes.words(
        "Least and greatest height of the slab at the jacks and least and greatest load after the pass."
    )
    rows += notes.words("Bending: greatest of any turn, in per cent of the moment at which the concrete may crack.")
    if lift.notes:
        rows += notes.heading("Remarks")
        for words in lift.notes:
            rows += notes.words(f"• {words}")
    return rows


def _pass_line(each: PassView) -> tuple[str, ...]:
    return (
        str(each.number),
        turn_words(each.turns),
        f"{mm(float(each.heights.min()))} … {mm(float(each.heights.max()))}",
        f"{kn(float(each.loads.min()))} … {kn(float(each.loads.max()))}",
        use_percent(each.peak.use),
    )


def _orders(passes: Sequence[PassView]) -> list[tuple[str, tuple[int, ...]]]:
    """The different orders with the passes that follow them, in words."""
    found = []
    for order, group in groupby(passes, key=lambda each: each.order):
        numbers = [each.number for each in group]
        which = f"of pass {numbers[0]}" if len(numbers) == 1 else f"of passes {numbers[0]} to {numbers[-1]}"
        found.append((which, order))
    return found


def _order_key(unit: float) -> Draw:
    def draw(pen: Pen, x: float, y: float) -> None:
        pen.text("A1", (x - 2.2 * unit, y + 1.4 * unit), 1.6 * unit, "JACK-LABELS", align="middle")
        pen.text("17", (x + 1.6 * unit, y - 0.6 * unit), ORDER_CAP * unit, "PASSES", align="middle")

    return draw
