"""All strength checks in a table, their governing places on a plan, and the verdicts on mats and lift."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from postprocess.drawing import DRAWING, Box, new_sheet, number, paper_axes, paper_scale, plan_axes
from postprocess.side_notes import SideNotes
from postprocess.strength.factors import RECOMMENDED
from postprocess.strength.result import LayerVerdict, LiftVerdict, Strength
from postprocess.strength_bending_figure import use_words
from postprocess.strength_marks_figure import CORNER, JACK, RING, Marks, draw_jacks, shown_pair
from postprocess.strength_table_figure import WIDTH, Row, draw_table, sheets_of, table_rows
from postprocess.view import FloorView

Floats = NDArray[np.float64]

TABLE = Box(DRAWING.left, DRAWING.bottom, WIDTH, DRAWING.height)
PLACES = Box(DRAWING.left + WIDTH + 2.0, DRAWING.bottom + 135.0, DRAWING.width - WIDTH - 2.0, 114.0)
VERDICTS = Box(PLACES.left + 5.0, DRAWING.bottom, PLACES.width - 5.0, 133.0)
TOGETHER = 3.0
"""Places nearer to each other than this, mm on paper, share one mark."""
LAST_LINES = 12.0
"""Height of the last remark, mm: it gives way where there is more to say above it."""
NAMED = 6
"""Checks named in one verdict."""


def check_sheets(strength: Strength) -> int:
    """Number of sheets that the table takes."""
    return len(sheets_of(table_rows(strength.checks)))


def checks_figure(view: FloorView, strength: Strength, sheet: int = 0) -> Figure:
    """One sheet of the table; the plan beside it has the places of its rows, the first sheet the verdicts as well."""
    sheets = sheets_of(table_rows(strength.checks))
    rows = sheets[sheet]
    part = f", sheet {sheet + 1} of {len(sheets)}" if len(sheets) > 1 else ""
    figure = new_sheet(view, f"Strength checks{part}", "plan m; the table names the unit of each value")
    draw_table(paper_axes(figure, TABLE), rows)
    ax = plan_axes(figure, PLACES, view, to_scale=False, fill=True)
    draw_jacks(ax, view)
    ax.plot(*view.re_entrant_corners.T, ls="none", zorder=4.5, **CORNER)
    ax.set_title("Governing places by the numbers of the table", fontsize=7.5, pad=3)
    mark_checks(ax, view, rows)
    notes = SideNotes(figure, VERDICTS)
    notes.marker("governing place of the checks with these numbers", **RING)
    notes.marker("jack", **JACK)
    if len(view.re_entrant_corners):
        notes.marker("re-entrant corner", **CORNER)
    failed = [row.number for row in table_rows(strength.checks) if not row.check.ok]
    notes.heading(f"{len(strength.checks) - len(failed)} of {len(strength.checks)} checks are met")
    if failed:
        notes.line(f"NOT MET: {', '.join(map(str, failed))}")
    if sheet == 0:
        _verdicts(notes, strength)
    return figure


def mark_checks(ax: Axes, view: FloorView, rows: Sequence[Row]) -> None:
    """Rings at the governing places; checks that govern at one place share its mark, such as "3, 5"."""
    groups: list[tuple[Floats, list[int]]] = []
    near = TOGETHER / paper_scale(ax)
    for row in rows:
        if row.check.xy is None:
            continue
        xy = np.array(row.check.xy)
        home = next((numbers for place, numbers in groups if np.hypot(*(place - xy)) <= near), None)
        if home is None:
            groups.append((xy, [row.number]))
        else:
            home.append(row.number)
    marks = Marks(ax, view, np.vstack([view.re_entrant_corners, *(place for place, _ in groups)]))
    for place, numbers in groups:
        marks.ring(place, grouped_words(numbers))


def grouped_words(numbers: Sequence[int]) -> str:
    """Numbers in lines of four at most."""
    lines = [", ".join(map(str, numbers[i : i + 4])) for i in range(0, len(numbers), 4)]
    return ",\n".join(lines)


def _verdicts(notes: SideNotes, strength: Strength) -> None:
    for words in strength.remarks:
        notes.line(f"MIND: {words}")
    for verdict in strength.layer_verdicts:
        _layer_note(notes, verdict)
    if strength.lift:
        _lift_note(notes, strength.lift)
    notes.heading("Materials")
    materials, values = strength.materials, strength.materials.values
    concrete, steel = number(materials.fck / 1e6, 0), number(materials.fyk / 1e6, 0)
    notes.line(
        f"Concrete fck {concrete} MPa, γC {values.gamma_c:g}, αcc {values.alpha_cc:g}, fcd "
        f"{number(materials.fcd / 1e6, 1)} MPa. Steel fyk {steel} MPa, γS {values.gamma_s:g}, fyd "
        f"{number(materials.fyd / 1e6, 0)} MPa."
    )
    notes.line(
        f"Actions: γG {values.gamma_g:g} or {values.gamma_g_favourable:g}, γQ {values.gamma_q:g}; "
        f"{len(strength.combinations)} strength combinations. Crack width limit {values.w_max * 1e3:g} mm."
    )
    if notes.room < LAST_LINES:
        return
    changed = [f"{name} {value:g}" for name, value in asdict(values).items() if value != getattr(RECOMMENDED, name)]
    notes.remark(
        f"Values of the country, else as EN 1990 and EN 1992-1-1 recommend: {', '.join(changed) or 'none given'}. "
        "results.json has all with their clauses."
    )


def _layer_note(notes: SideNotes, verdict: LayerVerdict) -> None:
    notes.heading(f"{verdict.face.capitalize()} mat: {verdict.fabric}")
    for direction, use, where, share in zip("xy", verdict.use, verdict.where, verdict.share_used, strict=True):
        over = ", NOT MET" if use > 1 else ""
        notes.line(
            f"along {direction}: use {use_words(float(use))}{over} at {where}; above 0.5 on {100 * share:.0f} % of the "
            "slab"
        )
    missed = verdict.fails_without
    more = f" and {len(missed) - NAMED} more" if len(missed) > NAMED else ""
    words = f"fails: {', '.join(missed[:NAMED])}{more}" if missed else "no check fails"
    notes.line(f"Without it {words}.")


def _lift_note(notes: SideNotes, lift: LiftVerdict) -> None:
    concrete = lift.concrete
    notes.heading(f"Day of lifting: concrete {concrete.age:g} days old")
    strengths = (("fcm", concrete.fcm), ("fctm", concrete.fctm), ("fctk,0.05", concrete.fctk_005))
    words = ", ".join(f"{name} {number(value / 1e6, 2)} MPa" for name, value in strengths)
    notes.line(f"{words}, Ecm {number(concrete.modulus / 1e9, 1)} GPa.")
    moment, limit = shown_pair(lift.moment / 1e3, lift.limit / 1e3)
    met = "met" if lift.moment <= lift.limit else "NOT MET"
    notes.line(f"Greatest moment of the bare slab {moment} kN·m/m, cracking moment {limit} kN·m/m: {met}.")
    if lift.earliest_age is None:
        notes.line("There is NO AGE at which the lift passes.")
    else:
        days = f"{lift.earliest_age} day" + ("s" if lift.earliest_age != 1 else "")
        notes.line(f"Earliest age at which the lift passes: {days}.")
