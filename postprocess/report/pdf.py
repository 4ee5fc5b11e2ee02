"""The report as a document to print: A4, set by typst from data, so that no text of a case is taken for markup."""

from __future__ import annotations

import json
import re
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal

import typst

from fem.errors import JackfieldError
from postprocess.plan_items import item_marks
from postprocess.report.jack_plan import JackPlan
from postprocess.report.jack_table import jack_table
from postprocess.report.jack_values import first_state, heading, limit_words, state_words
from postprocess.report.model import Bullets, Paragraph, Picture, Report, Signatures, Table
from postprocess.report.numbered import Group, Numbered, numbered, plain
from postprocess.report.page_font import font_folder
from postprocess.report.pdf_tables import PORTRAIT, breakable, table_layout, width_of
from postprocess.report.plan_drawing import legend_svg, plan_svg
from postprocess.report.plan_sheet import plan_sheet

TEMPLATE = Path(__file__).parent / "templates" / "report.typ"
PICTURE_HEIGHT = 215.0
"""Greatest height of a picture, mm: its caption stands on the same page."""
TALL, LEAST_PLAN = 90.0, 130.0
"""A picture taller than this stands at the foot of a page, that words may fill the page before; least height of the
plan of jacks together with the list of what stands on it, mm."""
ITEM_SIZE, ITEM_GAP, ITEM_LINE = 7.5, 14.0, 5.0
"""Size of the words of that list in points, room beside each and height of a line, mm."""
TITLE_AT_HEAD = 90
"""Characters of the title at the head of each page."""
PX, PT = 25.4 / 96, 25.4 / 72
MM = {"": PX, "px": PX, "pt": PT, "mm": 1.0, "cm": 10.0, "in": 25.4}
STATUSES: tuple[Literal["ok", "under", "over"], ...] = ("ok", "under", "over")
NOT_MET, BEYOND = "marks a row that shows something not met.", "marks a jack with a value beyond a limit."
"""What the mark of a row means."""
WHOLE_TABLE = 14
"""Lines up to which a table stands on one page."""
LONG_CELL = 1500
"""Characters from which a row of a table may run over a page."""


class PdfError(JackfieldError):
    """The document could not be set."""


def write_pdf(report: Report, path: Path) -> None:
    """Write the report as a PDF. The same report gives the same bytes. Raises PdfError if it cannot be set."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        shutil.copyfile(TEMPLATE, folder / "report.typ")
        data = _Document(folder).content(report)
        (folder / "report.json").write_text(json.dumps(_cleaned(data)), encoding="ascii")
        try:
            pages = typst.compile(
                str(folder / "report.typ"),
                root=str(folder),
                font_paths=[str(font_folder())],
                ignore_system_fonts=True,
                package_path=str(folder),
                package_cache_path=str(folder),
            )
        except Exception as problem:
            raise PdfError(f"{path.name} could not be set: {problem}") from problem
    path.write_bytes(pages)


def _cleaned(data: Any) -> Any:
    """The data with every string plain, and words wider than the page made breakable."""
    if isinstance(data, str):
        return breakable(plain(data), 8.0)
    if isinstance(data, dict):
        return {key: _cleaned(value) for key, value in data.items()}
    return [_cleaned(value) for value in data] if isinstance(data, list | tuple) else data


class _Document:
    """Turns a report into the data that the template reads; pictures become files in `folder`."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.pictures = 0

    def content(self, report: Report) -> dict[str, Any]:
        cover = report.cover
        head = cover.title if len(cover.title) <= TITLE_AT_HEAD else cover.title[:TITLE_AT_HEAD] + "…"
        return {
            "title": cover.title,
            "head": head,
            "reference": cover.reference,
            "revision": cover.revision,
            "facts": [[breakable(plain(n), 3.1), breakable(plain(v), 4.9)] for n, v in cover.facts.items()],
            "headlines": [
                {"name": breakable(plain(line.name), 3.7), "words": line.words, "verdict": line.verdict}
                for line in cover.headlines
            ],
            "cautions": list(cover.cautions),
            "picture": self.picture("", cover.picture),
            "footer": report.footer,
            "sections": [
                {
                    "number": section.number,
                    "title": section.title,
                    "level": section.level,
                    "blocks": self.parts(section),
                }
                for section in numbered(report)
            ],
        }

    def parts(self, section: Numbered) -> list[dict[str, Any]]:
        """The parts of a section in order, the long list of all jacks at its end."""
        found = [part for label, block in section.blocks for part in self.block(label, block)]
        return sorted(found, key=lambda part: bool(part.get("last")))

    def block(self, label: str, block: Group) -> Iterator[dict[str, Any]]:
        """The parts of the document that show a block."""
        match block:
            case Paragraph():
                yield {"kind": "paragraph", "text": block.text}
            case Bullets():
                yield {"kind": "bullets", "items": block.items}
            case tuple():
                lines = [[line.name, line.source, line.formula, line.result] for line in block]
                yield {"kind": "workings", "lines": lines}
            case Table():
                yield self.table(label, block)
            case Picture():
                yield {"kind": "picture", **self.picture(label, block)}
            case Signatures():
                yield {"kind": "signatures", "roles": block.roles}
            case JackPlan() if block.quantities:
                yield from self.jack_plan(label, block)

    def picture(self, label: str, picture: Picture, tallest: float = PICTURE_HEIGHT) -> dict[str, Any]:
        width, height = _extent(picture.svg)
        share = min(1.0, PORTRAIT / width, tallest / height)
        return {
            "label": label,
            "caption": picture.caption,
            "file": self.file(picture.svg),
            "words": picture.words,
            "width": width * share,
            "height": height * share,
            "floats": height * share > TALL,
        }

    def file(self, svg: str) -> str:
        """Keep a picture; returns the name of its file."""
        self.pictures += 1
        name = f"picture-{self.pictures}.svg"
        (self.folder / name).write_text(svg, encoding="utf-8", errors="replace")
        return name

    def table(self, label: str, table: Table, remark: str = NOT_MET) -> dict[str, Any]:
        headings = [plain(column.heading) for column in table.columns]
        rows = [[plain(cell) for cell in row] for row in table.rows]
        mark = [""] if table.failed else []
        aligns = [*(["left"] if mark else []), *(column.align for column in table.columns)]
        layout = table_layout([*mark, *headings], [[*mark, *row] for row in rows], aligns)
        rooms = [(width - 2.4) / layout.size for width in layout.widths[len(mark) :]]
        return {
            "kind": "table",
            "label": label,
            "caption": table.caption,
            "headings": headings,
            "aligns": aligns[len(mark) :],
            "widths": layout.widths,
            "size": layout.size,
            "landscape": layout.landscape,
            "whole": layout.lines <= WHOLE_TABLE,
            "rows": [[breakable(cell, room) for cell, room in zip(row, rooms, strict=True)] for row in rows],
            "failed": [number in table.failed for number in range(len(rows))],
            "marked": bool(table.failed),
            "remark": remark,
            "split": any(len(cell) > LONG_CELL for row in rows for cell in row),
        }

    def jack_plan(self, label: str, plan: JackPlan) -> Iterator[dict[str, Any]]:
        """The plan with the quantity that is offered first, what stands on it, and all figures of all jacks."""
        first = plan.quantities[0]
        state = first_state(plan, first)
        sheet = plan_sheet(plan)
        limits = limit_words(first)
        words = f"{heading(first)}, {state_words(plan, state).full}" + (f" ({limits})" if limits else "")
        drawn = Picture(
            f"Plan of the jacks: {words}.", plan_svg(sheet, first, state, "plan"), f"Plan of jacks: {words}"
        )
        marks = item_marks(plan.ids, len(plan.items))
        items = [
            [mark, item.name + (f", {item.note}" if item.note else "") + f" ({item.kind})"]
            for mark, item in zip(marks, plan.items, strict=True)
        ]
        room = _room([text for _, text in items])
        yield {
            "kind": "jack-plan",
            **self.picture(label, drawn, max(PICTURE_HEIGHT - room, LEAST_PLAN)),
            "together": PICTURE_HEIGHT - room >= LEAST_PLAN,
            "legend": self.file(legend_svg(first)),
            "statuses": [[status, plan.status.count(status)] for status in STATUSES],
            "items": items,
        }
        yield {**self.table("", jack_table(plan), BEYOND), "last": True}


def _room(items: list[str]) -> float:
    """Height that the list of what stands on the slab takes, mm: at least, its words one after the other."""
    lines, used = 1, 0.0
    for text in items:
        wide = ITEM_SIZE * width_of(plain(text)) + ITEM_GAP
        if used and used + wide > PORTRAIT:
            lines, used = lines + 1, 0.0
        lines += int(wide // PORTRAIT)
        used += wide % PORTRAIT
    return ITEM_LINE * lines if items else 0.0


def _extent(svg: str) -> tuple[float, float]:
    """(width, height) of a picture, mm."""
    root = re.search(r"<svg\b[^>]*>", svg)
    sizes = dict(re.findall(r'\s(width|height)="([^"]+)"', root[0])) if root else {}
    found = [re.fullmatch(r"([\d.]+)([a-z]*)", sizes.get(side, "")) for side in ("width", "height")]
    if any(part is None or part[2] not in MM or not float(part[1]) for part in found):
        return PORTRAIT, PORTRAIT / 2
    width, height = (float(part[1]) * MM[part[2]] for part in found if part)
    return width, height
