"""The report as one page for a browser: nothing is fetched, and the plan of the jacks answers pointer and keyboard."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterator
from functools import lru_cache
from html import escape
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from postprocess.plan_items import item_marks
from postprocess.report.jack_plan import JackPlan
from postprocess.report.jack_values import first_state, heading, limit_words, state_words, states_of
from postprocess.report.model import Bullets, Paragraph, Picture, Report, Signatures, Table
from postprocess.report.numbered import Group, Numbered, numbered, plain
from postprocess.report.page_font import font_faces
from postprocess.report.plan_data import FIXED_COLUMNS, as_script, plan_data, table_rows, values_by_state
from postprocess.report.plan_drawing import legend_svg, plan_svg, symbol_path
from postprocess.report.plan_sheet import plan_sheet

TEMPLATES = Path(__file__).parent / "templates"
POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'; img-src data:; font-src data:; "
    "base-uri 'none'; form-action 'none'"
)
"""What a browser may load: nothing from anywhere; only the page's own script runs, known by its digest."""
LONG_WORD = 24
"""Characters beyond which a word in a table may be broken."""
KINDS: dict[type, str] = {
    Paragraph: "paragraph",
    Bullets: "bullets",
    tuple: "workings",
    Table: "table",
    Picture: "picture",
    Signatures: "signatures",
    JackPlan: "jack_plan",
}


def write_html(report: Report, path: Path) -> None:
    """Write the report as one file that needs no other and asks for nothing. Every string is shown as it stands."""
    sections, script = numbered(report), _template_text("report.js")
    pictures = [report.cover.picture.svg, *(block.svg for block in _blocks(sections) if isinstance(block, Picture))]
    plans = _plans(sections)
    pictures += [part for plan in plans.values() for part in (plan["svg"], *(q["legend"] for q in plan["quantities"]))]
    digest = base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
    page = (
        _environment()
        .get_template("report.html")
        .render(
            cover=report.cover,
            footer=report.footer,
            sections=sections,
            plans=plans,
            policy=POLICY.format(digest=digest),
            style=Markup(_style(report, font_faces(pictures, "●▲▼○"))),
            script=Markup(script),
        )
    )
    path.write_text(page, encoding="utf-8", newline="\n")


@lru_cache(maxsize=1)
def _environment() -> Environment:
    """Templates in which every string is escaped, unless it is markup that this module has made."""
    found = Environment(
        loader=FileSystemLoader(TEMPLATES, encoding="utf-8"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: plain(value) if type(value) is str else value,
    )
    found.filters["picture"] = _picture
    found.filters["plan_key"] = id
    found.filters["long"] = lambda text: any(len(word) > LONG_WORD for word in text.split())
    found.filters["kind"] = lambda block: KINDS[type(block)]
    return found


@lru_cache(maxsize=4)
def _template_text(name: str) -> str:
    return (TEMPLATES / name).read_text(encoding="utf-8")


def _style(report: Report, faces: dict[int, str]) -> str:
    """The style sheet, with the fonts and with the words at the head and foot of printed pages."""
    fonts = "".join(
        f'@font-face{{font-family:"DejaVu Sans";font-weight:{weight};src:url({data}) format("woff")}}\n'
        for weight, data in faces.items()
    )
    names = (report.cover.title, report.cover.reference, report.cover.revision)
    head = " · ".join(name for name in names if name)
    running = f"@page{{@top-left{{content:{css_string(head)}}}@bottom-left{{content:{css_string(report.footer)}}}}}\n"
    return fonts + _template_text("report.css") + running


def css_string(text: str) -> str:
    """Text as a string of a style sheet: whatever is not a letter, a figure or a space is written as its code."""
    return '"' + "".join(c if c.isalnum() or c == " " else f"\\{ord(c):06x} " for c in plain(text)) + '"'


def _blocks(sections: tuple[Numbered, ...]) -> Iterator[Group]:
    return (block for section in sections for _, block in section.blocks)


def _picture(picture: Picture) -> Markup:
    """The vectors of a picture as part of a page: no prologue, no data on data, its own words for those who listen."""
    svg = re.sub(r"<\?xml.*?\?>|<!DOCTYPE.*?>|<!--.*?-->|<metadata>.*?</metadata>", "", picture.svg, flags=re.DOTALL)
    svg = re.sub(r"<style\b[^>]*>.*?</style>", "", svg, flags=re.DOTALL)
    found = re.search(r"<svg\b([^>]*)>", svg)
    if found is None:
        return Markup("<p>{}</p>").format(plain(picture.words))
    kept = re.sub(r'\b(role|aria-label|class|version|preserveAspectRatio)="[^"]*"', "", found[1])
    root = f'<svg class="drawn" role="img" aria-label="{escape(plain(picture.words))}" {kept.strip()}>'
    return Markup(root + svg[found.end() :].strip())


def _plans(sections: tuple[Numbered, ...]) -> dict[int, dict[str, Any]]:
    """What the template needs for each plan of jacks, by the identity of its block."""
    found = [block for block in _blocks(sections) if isinstance(block, JackPlan) and block.quantities]
    return {id(plan): _plan(plan, f"plan-{number + 1}") for number, plan in enumerate(found)}


def _plan(plan: JackPlan, name: str) -> dict[str, Any]:
    sheet, first = plan_sheet(plan), plan.quantities[0]
    state = first_state(plan, first)
    return {
        "name": name,
        "state": state,
        "state_words": state_words(plan, state).full,
        "known": states_of(plan, first),
        "first": first,
        "svg": Markup(plan_svg(sheet, first, state, name)),
        "quantities": [
            {
                "key": quantity.key,
                "heading": heading(quantity),
                "limits": limit_words(quantity),
                "legend": Markup(legend_svg(quantity)),
            }
            for quantity in plan.quantities
        ],
        "symbols": {status: symbol_path(status, 5.0) for status in ("ok", "under", "over")},
        "items": list(zip(item_marks(plan.ids, len(plan.items)), plan.items, strict=True)),
        "columns": (*FIXED_COLUMNS, *map(heading, plan.quantities)),
        "fixed": len(FIXED_COLUMNS),
        "rows": table_rows(plan, state, plan.quantities),
        "panel": values_by_state(plan, plan.governing),
        "data": Markup(as_script(plan_data(sheet))),
    }
