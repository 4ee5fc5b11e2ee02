"""Sheets of paper, where plan, notes and title block stand on them, and the scale to which a plan fits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from shapely import Polygon

from postprocess.drawing import SCALES, Box

MARGIN = 10.0
"""From the edge of the paper to the frame, mm."""
GAP = 3.0
"""Between frame, plan and notes, mm."""
LARGEST_ON_A3 = 50
"""A plan that is smaller than 1:50 on A3 goes on A1."""


@dataclass(frozen=True)
class Paper:
    """name, width and height in mm (ISO 216, landscape). unit: size of figures on it over that on A3.

    column: width of a column of notes, mm. block: height of the title block, mm. most: columns of notes at most.
    """

    name: str
    width: float
    height: float
    unit: float
    column: float
    block: float
    most: int


A3 = Paper("A3", 420.0, 297.0, 1.0, 92.0, 66.0, 2)
A1 = Paper("A1", 841.0, 594.0, 1.35, 124.0, 88.0, 5)


@dataclass(frozen=True)
class Sheet:
    """A paper with a number of columns of notes at its right side, and the scale 1:`denominator` of its plan.

    bounds: of the plan (least x, least y, greatest x, greatest y), mm.
    """

    paper: Paper
    columns: int
    denominator: int
    bounds: tuple[float, float, float, float]

    @property
    def frame(self) -> Box:
        """The frame."""
        return Box(MARGIN, MARGIN, self.paper.width - 2 * MARGIN, self.paper.height - 2 * MARGIN)

    @property
    def view(self) -> Box:
        """Where the plan with its dimensions is seen."""
        return _view(self.paper, self.columns)

    @property
    def title_block(self) -> Box:
        """At the lower right corner of the frame."""
        left = self.frame.left + self.frame.width - self.paper.column
        return Box(left, MARGIN, self.paper.column, self.paper.block)

    @property
    def notes(self) -> tuple[Box, ...]:
        """The columns of notes from left to right; the last one stands on the title block."""
        paper = self.paper
        found = []
        for column in range(self.columns):
            left = self.frame.left + self.frame.width - (self.columns - column) * paper.column
            low = paper.block if column == self.columns - 1 else 0.0
            found.append(Box(left + GAP, MARGIN + low + GAP, paper.column - 2 * GAP, self.frame.height - low - 2 * GAP))
        return tuple(found)

    @cached_property
    def centre(self) -> tuple[float, float]:
        """The place of the plan in mm that stands in the middle of `view`, so that plan and dimensions are centred."""
        x0, y0, x1, y1 = self.bounds
        left, right, below, above = dimension_room(self.paper)
        d = self.denominator
        return (x0 - left * d + x1 + right * d) / 2, (y0 - below * d + y1 + above * d) / 2


def dimension_room(paper: Paper) -> tuple[float, float, float, float]:
    """Room for dimensions at the left, the right, below and above the plan, mm of paper."""
    u = paper.unit
    return 33 * u, 22 * u, 33 * u, 22 * u


def _view(paper: Paper, columns: int) -> Box:
    width = paper.width - 2 * MARGIN - columns * paper.column
    return Box(MARGIN + GAP, MARGIN + GAP, width - 2 * GAP, paper.height - 2 * MARGIN - 2 * GAP)


def sheets(plan: Polygon) -> Iterator[Sheet]:
    """The sheets on which a plan (in m) can be drawn, in the order of preference."""
    x0, y0, x1, y1 = (1e3 * bound for bound in plan.bounds)
    for paper in (A3, A1):
        left, right, below, above = dimension_room(paper)
        for columns in range(1, paper.most + 1):
            view = _view(paper, columns)
            room = view.width - left - right, view.height - below - above
            needed = max((x1 - x0) / room[0], (y1 - y0) / room[1])
            scale = next((n for n in SCALES if n >= needed), None)
            if scale is not None and (paper is A1 or scale <= LARGEST_ON_A3):
                yield Sheet(paper, columns, scale, (x0, y0, x1, y1))
