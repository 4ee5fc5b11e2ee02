"""The plan of jacks as a drawing: an SVG whose looks are attributes, so that any reader of SVG shows it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from html import escape

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiLineString, Polygon, get_coordinates, get_parts, get_rings

from postprocess.colours import FAINT, INK, PENCIL, SLAB
from postprocess.drawing import datum_corner
from postprocess.plan_items import item_marks
from postprocess.report.jack_plan import Quantity
from postprocess.report.jack_values import colour_scale, outside, shown, values_of
from postprocess.report.numbered import plain
from postprocess.report.plan_sheet import BOTTOM, LEFT, TOP, PlanSheet, ground, mark_places
from postprocess.view import PlanItem

Floats = NDArray[np.float64]

FONT = "DejaVu Sans"
TOUCH = 0.3
"""Length of an edge across figures that does not count, mm."""
EDGE, HEAVY_EDGE = 0.13, 0.34
"""Outline of a symbol as a share of its radius; of one whose value is beyond a limit."""


def plan_svg(sheet: PlanSheet, quantity: Quantity, state: str, name: str) -> str:
    """One <svg> element, sized in mm: the floor and its jacks with a quantity in a state. name: makes ids unique.

    Jacks are groups of class "jack" with their index as data-jack, in the group of class "jacks".
    """
    width, height = sheet.size
    names = "jacks" if sheet.words else "jacks no-words"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="plan" width="{width:.2f}mm" height="{height:.2f}mm" '
        f'viewBox="0 0 {width:.2f} {height:.2f}" font-family="{FONT}" fill="{INK}">',
        f'<g class="floor" aria-hidden="true">{"".join(_floor(sheet, f"{name}-hatch"))}</g>',
        f'<g class="{names}" font-size="{sheet.words:.2f}" text-anchor="middle" '
        'stroke="#ffffff" stroke-width="0.3em" stroke-linejoin="round" paint-order="stroke">',
        *_jacks(sheet, quantity, state),
        "</g></svg>",
    ]
    return "".join(parts)


def symbol_path(status: str, radius: float) -> str:
    """Path around the origin of the symbol for a status: circle for ok, triangle down for under, up for over."""
    if status == "ok":
        r = f"{radius:.3f}"
        return f"M-{r} 0a{r} {r} 0 1 1 {2 * radius:.3f} 0a{r} {r} 0 1 1 -{2 * radius:.3f} 0Z"
    side, up = 1.18 * radius, -1.0 if status == "over" else 1.0
    return f"M0 {1.3 * up * radius:.3f}L{side:.3f} {-0.8 * up * radius:.3f}L{-side:.3f} {-0.8 * up * radius:.3f}Z"


def _jacks(sheet: PlanSheet, quantity: Quantity, state: str) -> Iterator[str]:
    plan, r = sheet.plan, sheet.radius
    values = values_of(plan, quantity, state)
    fills, beyond = colour_scale(quantity).fills(values), outside(values, quantity.limits)
    paths = {status: symbol_path(status, r) for status in ("ok", "under", "over")}
    above = _above(sheet)
    for i, (x, y) in enumerate(sheet.jacks):
        edge = (HEAVY_EDGE if beyond[i] else EDGE) * r
        text = shown(values[i], quantity.digits)
        under, over = f'y="{1.3 * r:.2f}" dy="0.95em"', f'y="{-1.3 * r:.2f}" dy="-0.3em"'
        words = f'<text class="value" {over if above[i] else under}>{text}</text>'
        if sheet.named:
            place = under if above[i] else over
            words += f'<text class="id" {place} fill="{PENCIL}">{escape(plain(plan.ids[i]))}</text>'
        yield (
            f'<g class="jack" data-jack="{i}" transform="translate({x:.2f} {y:.2f})"><path class="symbol" '
            f'd="{paths[plan.status[i]]}" fill="{fills[i]}" stroke="{INK}" stroke-width="{edge:.2f}" '
            f'paint-order="normal"/>{words}</g>'
        )


def _above(sheet: PlanSheet) -> NDArray[np.bool_]:
    """(n,) whether a jack's value stands above it: where below it more of the slab's edges runs through the figures."""
    edges = MultiLineString([sheet.at(get_coordinates(ring)) for ring in get_rings(sheet.plan.plan)])
    r, words = 1.2 * sheet.radius, max(sheet.words, sheet.room)
    x, y = sheet.jacks.T
    wide, high = 1.4 * words, r + 1.1 * words
    under, over = shapely.box(x - wide, y + r, x + wide, y + high), shapely.box(x - wide, y - high, x + wide, y - r)
    crossed = [np.zeros(len(x)), np.zeros(len(x))]
    for lengths, boxes in zip(crossed, (under, over), strict=True):
        near = shapely.intersects(edges, boxes)
        lengths[near] = shapely.length(shapely.intersection(edges, boxes[near]))
    return np.asarray(crossed[0] > crossed[1] + TOUCH)


def _floor(sheet: PlanSheet, hatch: str) -> Iterator[str]:
    """Grid, slab, openings, items, outline, marks, datum and scale bar, in this order."""
    plan = sheet.plan
    yield from _grid(sheet)
    yield (
        f'<defs><pattern id="{hatch}" width="1.6" height="1.6" patternUnits="userSpaceOnUse">'
        f'<path d="M0 0L1.6 1.6M1.6 0L0 1.6" stroke="{PENCIL}" stroke-width="0.14" fill="none"/></pattern></defs>'
    )
    yield f'<path d="{sheet.path(plan.plan)}" fill="{SLAB}" fill-rule="evenodd"/>'
    for item in sorted(plan.items, key=lambda item: item.kind != "finish"):
        yield from _item(sheet, item)
    for ring in plan.plan.interiors:
        yield f'<path class="opening" d="{sheet.path(Polygon(ring))}" fill="url(#{hatch})"/>'
    yield f'<path d="{sheet.path(plan.plan)}" fill="none" stroke="{INK}" stroke-width="0.5" stroke-linejoin="round"/>'
    yield from _marks(sheet)
    yield from _datum(sheet)
    yield from _scale_bar(sheet)


def _grid(sheet: PlanSheet) -> Iterator[str]:
    """Lines at round metres with their running dimensions."""
    x0, y0, x1, y1 = sheet.plan.plan.bounds
    step = next((s for s in (0.5, 1, 2, 5, 10, 20, 50) if s * sheet.scale >= 13.0), 100)
    digits = 0 if step >= 1 else 1
    top, bottom = TOP, sheet.size[1] - BOTTOM
    line = f'stroke="{FAINT}" stroke-width="0.15"'
    words = f'font-size="2.3" fill="{PENCIL}"'
    for x in np.arange(math.ceil(x0 / step - 1e-9), math.floor(x1 / step + 1e-9) + 1) * step:
        at = LEFT + (x - x0) * sheet.scale
        yield f'<path d="M{at:.2f} {top}V{bottom + 1.2:.2f}" {line}/>'
        yield f'<text x="{at:.2f}" y="{bottom + 4.2:.2f}" text-anchor="middle" {words}>{shown(x, digits)}</text>'
    for y in np.arange(math.ceil(y0 / step - 1e-9), math.floor(y1 / step + 1e-9) + 1) * step:
        at = bottom - (y - y0) * sheet.scale
        yield f'<path d="M{LEFT - 1.2} {at:.2f}H{sheet.size[0] - 5:.2f}" {line}/>'
        yield f'<text x="{LEFT - 2}" y="{at + 0.85:.2f}" text-anchor="end" {words}>{shown(y, digits)}</text>'


def _item(sheet: PlanSheet, item: PlanItem) -> Iterator[str]:
    path = sheet.path(item.shape)
    if item.kind == "finish":
        yield f'<path d="{path}" fill="none" stroke="{PENCIL}" stroke-width="0.3" stroke-dasharray="2 0.8"/>'
    elif item.kind == "line load":
        style = 'stroke-width="0.9" stroke-dasharray="2.4 0.8" opacity="0.75"'
        yield f'<path d="{path}" fill="none" stroke="{INK}" {style}/>'
    else:
        if len(get_parts(item.shape)) > 1:
            yield (
                f'<path d="{sheet.path(ground(item))}" fill="none" stroke="{INK}" stroke-width="0.25" '
                'stroke-dasharray="0.3 0.8"/>'
            )
        yield f'<path d="{path}" fill="#b4b8bb" fill-opacity="0.7" stroke="{PENCIL}" stroke-width="0.25"/>'


def _marks(sheet: PlanSheet) -> Iterator[str]:
    """The mark of each item in a small frame."""
    marks = item_marks(sheet.plan.ids, len(sheet.plan.items))
    for mark, (x, y) in zip(marks, mark_places(sheet), strict=True):
        wide = max(1.7 * len(mark) + 1.4, 3.4)
        yield (
            f'<rect x="{x - wide / 2:.2f}" y="{y - 1.7:.2f}" width="{wide:.2f}" height="3.4" rx="0.6" fill="#ffffff" '
            f'stroke="{INK}" stroke-width="0.2"/><text x="{x:.2f}" y="{y + 0.9:.2f}" font-size="2.5" '
            f'text-anchor="middle">{escape(mark)}</text>'
        )


def _datum(sheet: PlanSheet) -> Iterator[str]:
    """Circle and cross at the corner from which the floor is set out."""
    x, y = sheet.at(datum_corner(sheet.plan.plan)[None])[0]
    style = f'fill="none" stroke="{INK}" stroke-width="0.25"'
    yield f'<circle class="datum" cx="{x:.2f}" cy="{y:.2f}" r="1.7" {style}/>'
    yield f'<path d="M{x - 2.8:.2f} {y:.2f}h5.6M{x:.2f} {y - 2.8:.2f}v5.6" {style}/>'


def _scale_bar(sheet: PlanSheet) -> Iterator[str]:
    """A bar of a round length in two halves, and what the datum's symbol means."""
    length = next((s for s in (1, 2, 5, 10, 20, 50) if s * sheet.scale >= 20.0), 100)
    half, y = length * sheet.scale / 2, sheet.size[1] - 4.2
    yield f'<rect x="{LEFT}" y="{y:.2f}" width="{half:.2f}" height="1" stroke="{INK}" stroke-width="0.15"/>'
    yield (
        f'<rect x="{LEFT + half:.2f}" y="{y:.2f}" width="{half:.2f}" height="1" fill="#ffffff" stroke="{INK}" '
        'stroke-width="0.15"/>'
    )
    for share, words in ((0, "0"), (1, f"{length / 2:g}"), (2, f"{length:g} m")):
        x = LEFT + share * half
        yield f'<text x="{x:.2f}" y="{y + 3.6:.2f}" font-size="2.3" text-anchor="middle">{words}</text>'


def legend_svg(quantity: Quantity) -> str:
    """The colour scale of a quantity with its figures, its limits marked by heavy strokes, as one <svg> in mm."""
    scale, left, wide = colour_scale(quantity), 4.0, 92.0
    table = scale.fills(np.linspace(scale.low, scale.high, 93))
    parts = [
        '<svg xmlns="http://www.w3.org/2000/svg" class="scale" width="100mm" height="12mm" viewBox="0 0 100 12" '
        f'font-family="{FONT}" font-size="2.9" text-anchor="middle" fill="{INK}" aria-hidden="true">'
    ]
    parts += [
        f'<rect x="{left + i * wide / 93:.2f}" y="2.4" width="1.1" height="4" fill="{c}"/>' for i, c in enumerate(table)
    ]
    parts.append(
        f'<rect x="{left}" y="2.4" width="{wide}" height="4" fill="none" stroke="{PENCIL}" stroke-width="0.2"/>'
    )
    exact = 1e-6 * np.diff(scale.ticks).min()
    digits = next((d for d in range(9) if np.abs(np.round(scale.ticks, d) - scale.ticks).max() <= exact), 9)
    for value, place in zip(scale.ticks, scale.places(scale.ticks), strict=True):
        x = left + place * wide
        parts.append(f'<path d="M{x:.2f} 6.4v1.1" stroke="{PENCIL}" stroke-width="0.2"/>')
        parts.append(f'<text x="{x:.2f}" y="10.6">{shown(value, digits)}</text>')
    for limit in quantity.limits:
        if scale.low <= limit <= scale.high:
            x = left + (limit - scale.low) / (scale.high - scale.low) * wide
            parts.append(f'<path class="limit" d="M{x:.2f} 0.6v6.6" stroke="{INK}" stroke-width="0.7"/>')
    return "".join([*parts, "</svg>"])
