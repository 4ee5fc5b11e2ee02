"""What a report consists of, whatever it is written as: plain text in blocks, never markup of a page or of a printer.

A writer shows every string as it stands, so that text of a case cannot turn into anything else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from postprocess.report.jack_plan import JackPlan

Align = Literal["left", "right"]


@dataclass(frozen=True)
class Paragraph:
    """One or more sentences."""

    text: str


@dataclass(frozen=True)
class Bullets:
    """Sentences that stand each for itself."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Working:
    """A line of a calculation by hand. name: what is computed, symbol: its letter, such as "MRd". formula: in letters,
    with the numbers put in on the right of its last equals sign. result: with its unit. source: clause or practice.
    """

    name: str
    formula: str
    result: str
    source: str


@dataclass(frozen=True)
class Column:
    """heading: with the unit, such as "Load, kN"."""

    heading: str
    align: Align = "left"


@dataclass(frozen=True)
class Table:
    """rows: as many strings as there are columns each. failed: the rows (from 0) that show something not met.

    Long tables run over pages, with their heading on each.
    """

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    failed: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Picture:
    """A vector picture: svg as matplotlib writes it, text as text, as wide as the column of text or less.

    caption: what it shows and how to read it. words: the same for those who cannot see it, in a sentence or two.
    """

    caption: str
    svg: str
    words: str


@dataclass(frozen=True)
class Signatures:
    """Blank places to sign: the words beside each, such as "Checked by"."""

    roles: tuple[str, ...]


Block = Paragraph | Bullets | Working | Table | Picture | Signatures | JackPlan


@dataclass(frozen=True)
class Section:
    """A numbered section; level: 1, or 2 for a part of the section of level 1 before it."""

    title: str
    blocks: tuple[Block, ...]
    level: Literal[1, 2] = 1


@dataclass(frozen=True)
class Headline:
    """One line of the first page that says what governs. verdict: "met", "NOT MET", or "" where nothing is judged."""

    name: str
    words: str
    verdict: Literal["met", "NOT MET", ""]


@dataclass(frozen=True)
class Cover:
    """The first page. facts: name -> value, such as "Revision" -> "A", in the order of the page. headlines: the verdict
    on the whole, the governing jack and the governing check first. cautions: in full. picture: of the plan.
    """

    title: str
    reference: str
    revision: str
    facts: Mapping[str, str]
    headlines: tuple[Headline, ...]
    cautions: tuple[str, ...]
    picture: Picture


@dataclass(frozen=True)
class Report:
    """A whole report. footer: the short caution at the foot of each page."""

    cover: Cover
    sections: tuple[Section, ...]
    footer: str
