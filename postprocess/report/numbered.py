"""Numbers of sections, tables and pictures of a report, the same in every form in which it is written."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

from postprocess.report.jack_plan import JackPlan
from postprocess.report.model import Block, Picture, Report, Section, Table, Working

Group = Block | tuple[Working, ...]
"""A block; lines of a calculation that follow each other are one tuple."""


@dataclass(frozen=True)
class Numbered:
    """number: such as "3" or "3.2". blocks: each with its label, such as "Table 4", or "" where it has none."""

    number: str
    title: str
    level: int
    blocks: tuple[tuple[str, Group], ...]

    @property
    def anchor(self) -> str:
        """A name for links to it."""
        return "section-" + self.number.replace(".", "-")


def numbered(report: Report) -> tuple[Numbered, ...]:
    """The sections of a report in order, with the numbers of all that is numbered."""
    counts = {"Table": 0, "Figure": 0}
    major, minor, out = 0, 0, []
    for section in report.sections:
        major, minor = (major + 1, 0) if section.level == 1 else (major, minor + 1)
        number = f"{major}.{minor}" if section.level > 1 else str(major)
        blocks = tuple((_label(block, counts), block) for block in _grouped(section))
        out.append(Numbered(number, section.title, section.level, blocks))
    return tuple(out)


def _label(block: Group, counts: dict[str, int]) -> str:
    """The next label of its kind. A plan of jacks is a figure; its table belongs to it."""
    kind = {Table: "Table", Picture: "Figure", JackPlan: "Figure"}.get(type(block), "")
    if not kind:
        return ""
    counts[kind] += 1
    return f"{kind} {counts[kind]}"


def _grouped(section: Section) -> Iterator[Group]:
    run: list[Working] = []
    for block in section.blocks:
        if isinstance(block, Working):
            run.append(block)
            continue
        if run:
            yield tuple(run)
            run = []
        yield block
    if run:
        yield tuple(run)


def plain(text: str) -> str:
    """Text without what no page can show: control characters and lone surrogates become the replacement sign."""
    if text.isprintable():
        return text
    kept = (
        c if c in "\n\t" or unicodedata.category(c) not in {"Cc", "Cs"} else "\N{REPLACEMENT CHARACTER}" for c in text
    )
    return "".join(kept)
