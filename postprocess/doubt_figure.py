"""Sheet "Doubt and failure": who may leave the band, ranges of loads and frequency, and the worst springs to lose."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from numpy.typing import NDArray

from postprocess.colours import FAINT, HIGH, INK, PENCIL, USE
from postprocess.doubt.result import FloorDoubt
from postprocess.doubt.words import failure_words, percent, with_bounds
from postprocess.drawing import DRAWING, NOTES, SIDE, Box, new_sheet, number, plan_axes
from postprocess.jack_labels import COMFORTABLE, fitted, label_jacks
from postprocess.side_notes import SideNotes
from postprocess.strength_marks_figure import RING, Marks
from postprocess.view import FloorView

Floats = NDArray[np.float64]

CHARTS = 62.0
"""Height of the strip of charts below the plan, mm."""
PLACE = Box(DRAWING.left, DRAWING.bottom + CHARTS, DRAWING.width - SIDE - 4.0, DRAWING.height - CHARTS)
LOADS = Box(DRAWING.left + 11.0, DRAWING.bottom + 13.0, 206.0, CHARTS - 20.0)
HEAVE = Box(DRAWING.left + 230.0, DRAWING.bottom + 13.0, 72.0, CHARTS - 20.0)
SELDOM = 0.05
"""Probability up to which a jack counts as one that stays in its band; a threshold of these papers, no source."""
NAMED_JACKS = 90
"""Jacks up to which the chart of loads has their ids."""
SYMBOLS: dict[str, dict[str, Any]] = {
    "under": {"marker": "v", "mec": INK, "mew": 0.7, "ms": 8},
    "stays": {"marker": "o", "mec": INK, "mew": 0.7, "ms": 6},
    "over": {"marker": "^", "mec": INK, "mew": 0.7, "ms": 8},
}
WORST = (("settlement", "settles most"), ("ratio", "loads most"), ("moment", "bends most"))
"""What the loss of a spring does, in the words of its mark."""


def doubt_figure(view: FloorView, doubt: FloorDoubt) -> Figure:
    """Plan with the probability of leaving the band at each jack, charts of loads and heave, failures in words."""
    figure = new_sheet(view, "Doubt and failure", "plan m; probabilities %; frequencies Hz")
    ax = plan_axes(figure, PLACE, view, fill=True)
    colours = ScalarMappable(Normalize(0.0, max(SELDOM, float(leaving(doubt).max()))), USE)
    labels, size = fitted(view, _labels(doubt), ax)
    _draw(ax, doubt, colours, min(1.0, size / COMFORTABLE) if size else 0.4)
    boxes = label_jacks(ax, replace(view, items=()), labels, size) if size else np.zeros((0, 4))
    _mark_worst(Marks(ax, view, np.zeros((0, 2)), boxes), doubt)
    _load_chart(LOADS.axes(figure), doubt)
    _heave_chart(HEAVE.axes(figure), doubt)
    _notes(SideNotes(figure, NOTES), doubt, colours, labelled=size > 0)
    return figure


def leaving(doubt: FloorDoubt) -> Floats:
    """(n,) probability that each jack leaves the band."""
    return np.asarray((doubt.jacks.under + doubt.jacks.over) / doubt.jacks.samples)


def kinds(doubt: FloorDoubt) -> tuple[str, ...]:
    """(n,) "stays" up to `SELDOM`, else "under" or "over", whichever is likelier."""
    rows = zip(leaving(doubt), doubt.jacks.under, doubt.jacks.over, strict=True)
    return tuple("stays" if p <= SELDOM else "under" if under > over else "over" for p, under, over in rows)


def _labels(doubt: FloorDoubt) -> list[str]:
    """Id and probability of each jack; "under" and "over" are said where they are likely."""
    rows = zip(doubt.ids, leaving(doubt), kinds(doubt), strict=True)
    return [f"{name}\n{percent(p)}" + ("" if kind == "stays" else f" {kind}") for name, p, kind in rows]


def _draw(ax: Axes, doubt: FloorDoubt, colours: ScalarMappable, share: float) -> None:
    """Each jack by the symbol of its kind, filled by its probability, at `share` of the full size."""
    kind, fills = np.array(kinds(doubt)), np.asarray(colours.to_rgba(leaving(doubt)))
    for name, symbol in SYMBOLS.items():
        for jack in np.flatnonzero(kind == name):
            ax.plot(*doubt.xy[jack], ls="none", zorder=4, mfc=fills[jack], **symbol | {"ms": symbol["ms"] * share})


def _mark_worst(marks: Marks, doubt: FloorDoubt) -> None:
    """A ring at each spring whose loss is the worst in service, with what it does."""
    words: dict[int, list[str]] = {}
    for what, text in WORST:
        row = doubt.failures.worst("service", what)
        if row is not None:
            words.setdefault(int(doubt.failures.jacks[row]), []).append(text)
    for jack, lines in words.items():
        marks.ring(doubt.xy[jack], "\n".join(lines), radius=2.4)


def _load_chart(ax: Axes, doubt: FloorDoubt) -> None:
    """Service load over rated load of each jack, 5th to 95th percentile, against the band."""
    count, scatter, rated = len(doubt.ids), doubt.jacks, doubt.rated_loads
    place = np.arange(count)
    low, high = doubt.band
    ax.axhspan(low, high, color=FAINT, lw=0, zorder=0.5)
    ax.vlines(place, scatter.low / rated, scatter.high / rated, color=INK, lw=min(2.2, 240 / count), zorder=2)
    symbols = {"under": "v", "stays": "o", "over": "^"}
    kind = np.array(kinds(doubt))
    for name, marker in symbols.items():
        chosen = kind == name
        style: dict[str, Any] = {"marker": marker, "mfc": "white", "mec": INK, "mew": 0.6, "ms": min(3.4, 400 / count)}
        ax.plot(place[chosen], (doubt.loads / rated)[chosen], ls="none", zorder=3, **style)
    bottom = min(low, float((scatter.low / rated).min()))
    top = max(high, float((scatter.high / rated).max()))
    ax.set(xlim=(-1, count), ylim=(bottom - 0.04, top + 0.04))
    band = f"band {low:.2f} to {high:.2f}"
    _finish(ax, f"Load ratio in service: 5th to 95th percentile, symbol at the computed load; shaded: {band}")
    if count <= NAMED_JACKS:
        ax.set_xticks(place, doubt.ids, rotation=90, fontsize=min(6.0, 400 / count), parse_math=False)
    else:
        ax.set_xlabel("jacks in the order of the jack list", fontsize=6.5, color=PENCIL)


def _heave_chart(ax: Axes, doubt: FloorDoubt) -> None:
    """Share of the samples by heave frequency, with the computed value and the target."""
    frequency = doubt.frequency
    bins = int(np.clip(np.sqrt(len(frequency.values)) / 2, 8, 40))
    weights = np.full(len(frequency.values), 100 / len(frequency.values))
    ax.hist(frequency.values, bins=bins, weights=weights, color=FAINT, ec=PENCIL, lw=0.4)
    top = ax.get_ylim()[1]
    for value, words in zip(frequency.range, ("5th ", " 95th"), strict=True):
        ax.plot([value, value], [0, 0.7 * top], color=PENCIL, lw=0.8, ls=(0, (3, 2)))
        ha = "right" if words.endswith(" ") else "left"
        ax.text(value, 0.7 * top, words, ha=ha, va="top", fontsize=6, color=PENCIL)
    ax.plot([frequency.nominal] * 2, [0, 1.02 * top], color=INK, lw=1.2)
    style: dict[str, Any] = {"fontsize": 6.5, "va": "top", "color": INK}
    ax.text(frequency.nominal, 1.12 * top, f"computed {frequency.nominal:.2f}", ha="center", **style)
    ax.set(ylim=(0, 1.3 * top))
    if frequency.target is not None:
        ax.axvline(frequency.target, color=HIGH, lw=1.4)
        ax.text(frequency.target, 1.27 * top, f"target {frequency.target:.2f} ", ha="right", **style)
    _finish(ax, "Heave, Hz; % of samples; 5th and 95th percentile")


def _finish(ax: Axes, title: str) -> None:
    ax.set_title(title, fontsize=7, color=PENCIL, pad=3, loc="left")
    ax.tick_params(labelsize=6.5, length=2, width=0.5, pad=1.5)
    for side in ax.spines.values():
        side.set(linewidth=0.5, color=PENCIL)


def _notes(notes: SideNotes, doubt: FloorDoubt, colours: ScalarMappable, *, labelled: bool) -> None:
    kind = kinds(doubt)
    low, high = doubt.band
    notes.heading(f"Leaving the band {low:.2f} to {high:.2f} in service")
    plain = {name: symbol | {"mfc": "white"} for name, symbol in SYMBOLS.items()}
    notes.marker(f"{100 * SELDOM:g} % or less likely to leave it: {kind.count('stays')} jacks", **plain["stays"])
    notes.marker(f"more likely, mostly over: {kind.count('over')} jacks", **plain["over"])
    notes.marker(f"more likely, mostly under: {kind.count('under')} jacks", **plain["under"])
    notes.marker("loss of this spring settles the slab, loads a neighbour or bends the slab most in service", **RING)
    if labelled:
        notes.remark("At each jack its id and the probability that it leaves the band.")
    notes.colour_bar(colours, "probability of leaving the band, %")
    _scale_in_percent(notes.figure)
    notes.line(f"At least one jack leaves it: {with_bounds(doubt.any_leaves)}.")
    _frequency_note(notes, doubt)
    _source_note(notes, doubt)
    notes.heading("Each spring out of service in turn")
    for words in failure_words(doubt):
        notes.line(f"{words[0].upper()}{words[1:]}.")
    notes.heading("Assumed")
    notes.remark(_assumed(doubt))
    for words in doubt.left_out:
        notes.remark(f"Left out: {words}.")


def _scale_in_percent(figure: Figure) -> None:
    """The colour bar is the axes made last."""
    figure.axes[-1].xaxis.set_major_formatter(lambda value, _: f"{100 * value:.3g}")


def _frequency_note(notes: SideNotes, doubt: FloorDoubt) -> None:
    frequency = doubt.frequency
    low, high = frequency.range
    notes.heading("Heave frequency")
    notes.line(f"{low:.2f} to {high:.2f} Hz in nine samples of ten; mean {frequency.mean:.2f} Hz.")
    if frequency.above is not None:
        notes.line(f"Above the target of {frequency.target:.2f} Hz: {with_bounds(frequency.above)}.")


def _source_note(notes: SideNotes, doubt: FloorDoubt) -> None:
    notes.heading("What matters: share of the variance")
    for source in doubt.sources:
        notes.line(f"{source.name}: {percent(source.of_loads)} of loads, {percent(source.of_frequency)} of heave")


def _assumed(doubt: FloorDoubt) -> str:
    """The assumptions in one paragraph."""
    assumed = doubt.assumptions
    return (
        f"{assumed.samples} samples. Spring rates ± {percent(assumed.rate_tolerance)} as two standard deviations, "
        f"{percent(assumed.batch_share)} of the variance common to all coils of a kind; thickness with a standard "
        f"deviation of {number(1e3 * assumed.thickness_deviation, 1)} mm over distances of "
        f"{number(assumed.thickness_correlation, 2)} m, to first order; mass of each piece of equipment with a "
        f"standard deviation of {percent(assumed.mass_deviation)}. Normal laws. A spring out of service: the others "
        "act as before, nothing else touches the slab."
    )
