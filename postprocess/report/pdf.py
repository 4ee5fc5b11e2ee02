"""The report as a document to print: A4, set by typst from data, so that no text of a case is taken for markup."""

from __future__ import annotations

import json
import re
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Literal

import typst

from fem.errors import JackfieldError
from postprocess.plan_items import item_marks
from postprocess.report.jack_plan import JackPlan, Quantity
from postprocess.report.jack_values import EVERY_STATE, first_state, heading, limit_words, states_of
from postprocess.report.model import Bullets, Column, Paragraph, Picture, Report, Signatures, Table
from postprocess.report.numbered import Group, numbered, plain
from postprocess.report.page_font import font_folder
from postprocess.report.pdf_tables import PORTRAIT, breakable, table_layout
from postprocess.report.plan_data import FIXED_COLUMNS, beyond_by_state, table_rows
from postprocess.report.plan_drawing import legend_svg, plan_svg
from postprocess.report.plan_sheet import plan_sheet

TEMPLATE = Path(__file__).parent / "templates" / "report.typ"
PICTURE_HEIGHT = 215.0
"""Greatest height of a picture, mm: its caption stands on the same page."""
TITLE_AT_HEAD = 90
"""Characters of the title at the head of each page."""
PX, PT = 25.4 / 96, 25.4 / 72
MM = {"": PX, "px": PX, "pt": PT, "mm": 1.0, "cm": 10.0, "in": 25.4}
STATUSES: tuple[Literal["ok", "under", "over"], ...] = ("ok", "under", "over")
NOT_MET, BEYOND = "marks a row that shows something not met.", "marks a jack with a value beyond a limit."
"""What the mark of a row means."""
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
                    "blocks": [part for label, block in section.blocks for part in self.block(label, block)],
                }
                for section in numbered(report)
            ],
        }

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

    def picture(self, label: str, picture: Picture) -> dict[str, Any]:
        width, height = _extent(picture.svg)
        share = min(1.0, PORTRAIT / width, PICTURE_HEIGHT / height)
        return {
            "label": label,
            "caption": picture.caption,
            "file": self.file(picture.svg),
            "words": picture.words,
            "width": width * share,
            "height": height * share,
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
        words = f"{heading(first)}, {plan.states.get(state, state)}" + (f" ({limits})" if limits else "")
        drawn = Picture(
            f"Plan of the jacks: {words}.", plan_svg(sheet, first, state, "plan"), f"Plan of jacks: {words}"
        )
        marks = item_marks(plan.ids, len(plan.items))
        yield {
            "kind": "jack-plan",
            **self.picture(label, drawn),
            "legend": self.file(legend_svg(first)),
            "statuses": [[status, plan.status.count(status)] for status in STATUSES],
            "items": [
                [mark, item.name + (f", {item.note}" if item.note else "") + f" ({item.kind})"]
                for mark, item in zip(marks, plan.items, strict=True)
            ],
        }
        for state, quantities in _by_state(plan):
            for part, columns in enumerate(_parts(quantities)):
                yield self.table("", _jack_table(plan, state, columns, part), BEYOND)


def _by_state(plan: JackPlan) -> Iterator[tuple[str, list[Quantity]]]:
    """The quantities known in each state; those of no state first."""
    fixed = [quantity for quantity in plan.quantities if EVERY_STATE in quantity.values]
    if fixed:
        yield EVERY_STATE, fixed
    for state in plan.states:
        known = [quantity for quantity in plan.quantities if state in states_of(plan, quantity)]
        known = [quantity for quantity in known if quantity not in fixed]
        if known:
            yield state, known


def _parts(quantities: Sequence[Quantity], columns: int = 8) -> list[Sequence[Quantity]]:
    return [quantities[start : start + columns] for start in range(0, len(quantities), columns)]


def _jack_table(plan: JackPlan, state: str, quantities: Sequence[Quantity], part: int) -> Table:
    """All jacks in a state; a row is marked if one of its values is beyond a limit."""
    beyond = [beyond_by_state(plan, quantity, state) for quantity in quantities]
    failed = frozenset(i for i in range(len(plan.ids)) if any(flags[i] for flags in beyond))
    words = "the same in all states" if state == EVERY_STATE else plan.states[state]
    columns = [Column(name) for name in FIXED_COLUMNS[:3]] + [Column(name, "right") for name in FIXED_COLUMNS[3:]]
    columns += [Column(heading(quantity), "right") for quantity in quantities]
    caption = "All jacks, " + words + (", continued" if part else "")
    return Table(caption, tuple(columns), tuple(table_rows(plan, state, quantities)), failed)


def _extent(svg: str) -> tuple[float, float]:
    """(width, height) of a picture, mm."""
    root = re.search(r"<svg\b[^>]*>", svg)
    sizes = dict(re.findall(r'\s(width|height)="([^"]+)"', root[0])) if root else {}
    found = [re.fullmatch(r"([\d.]+)([a-z]*)", sizes.get(side, "")) for side in ("width", "height")]
    if any(part is None or part[2] not in MM or not float(part[1]) for part in found):
        return PORTRAIT, PORTRAIT / 2
    width, height = (float(part[1]) * MM[part[2]] for part in found if part)
    return width, height
