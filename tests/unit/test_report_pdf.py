"""The report as a document: every page A4 with caution and number, all text there and as it was given."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from fem.errors import JackfieldError
from postprocess.report.jack_table import jack_table
from postprocess.report.model import Paragraph, Section
from postprocess.report.pdf import write_pdf
from postprocess.report.pdf_tables import LANDSCAPE, PORTRAIT, breakable, table_layout, width_of
from tests.unit.report_cases import HOSTILE, hostile_report, jack_plan, picture, sample_report


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("sample") / "report.pdf"
    write_pdf(sample_report(), path)
    return path


@pytest.fixture(scope="module")
def reader(sample: Path) -> Iterator[PdfReader]:
    with PdfReader(sample) as reader:
        yield reader


@pytest.fixture(scope="module")
def pages(reader: PdfReader) -> list[str]:
    """Text of each page, without blanks."""
    return texts(reader)


def texts(reader: PdfReader, count: int | None = None) -> list[str]:
    return [squeezed(page.extract_text()) for page in reader.pages[:count]]


def squeezed(text: str) -> str:
    """Text without blanks, which a reader of pages puts in or leaves out."""
    return re.sub(r"[\s\u200b]+", "", text)


def test_every_page_is_a4_with_caution_title_and_number(reader: PdfReader, pages: list[str]) -> None:
    """A4 by ISO 216: 210 × 297 mm; 0.1 point for rounding in the file."""
    report = sample_report()
    a4 = [0, 0, 210 / 25.4 * 72, 297 / 25.4 * 72]
    assert len(pages) > 4
    for number, text in enumerate(pages, 1):
        assert squeezed(report.footer) in text
        assert f"page{number}of{len(pages)}" in text
        assert squeezed(report.cover.title) in text
    for line in report.cover.headlines:
        assert squeezed(line.words) in pages[0]
    assert pages[0].count("NOTMET") == sum(line.verdict == "NOT MET" for line in report.cover.headlines)
    for page in reader.pages:
        assert [float(side) for side in page.mediabox] == pytest.approx(a4, abs=0.1)
    assert reader.metadata is not None
    assert reader.metadata.title == report.cover.title


def test_every_value_and_every_jack_is_there(pages: list[str]) -> None:
    text = "".join(pages)
    checks = next(section for section in sample_report().sections if section.title == "Checks")
    for table in checks.blocks[:2]:
        for row in table.rows:
            assert squeezed("".join(row)) in text
    for i in range(120):
        assert f"J{i}A7{0.8 + i / 300:.3f}" in text
    plan = jack_plan()
    ratio, load, _, height = (quantity.values for quantity in plan.quantities)
    for j, (name, (x, y)) in enumerate(zip(plan.ids, plan.xy, strict=True)):
        figures = f"{load['bare'][j]:.2f}{load['full'][j]:.2f}{ratio['service'][j]:.2f}"
        lifted = "–" if j == 5 else f"{height['service'][j]:.1f}".replace("-", "−")
        row = f"{name}{plan.springs[j]}{1e3 * x:.0f}{1e3 * y:.0f}{figures}{lifted}"
        assert row in text
        beyond = any(not 0.75 <= ratio[state][j] <= 1.05 for state in plan.states)
        assert (j in jack_table(plan).failed) == beyond


def test_headings_repeat_where_a_table_runs_over_pages(pages: list[str]) -> None:
    rows = [page for page in pages if "asentenceonthisrow" in page]
    assert len(rows) > 1
    assert all("Column3,kN" in page for page in rows)


def test_bookmarks_follow_the_sections(reader: PdfReader) -> None:
    names = [str(entry.title) for entry in flat(reader.outline)]
    assert [re.sub(r"^[\d.]+\s*", "", name) for name in names] == [
        section.title for section in sample_report().sections
    ]


def flat(outline: list[Any]) -> list[Any]:
    return [part for entry in outline for part in (flat(entry) if isinstance(entry, list) else [entry])]


def test_fonts_are_in_the_file(reader: PdfReader) -> None:
    fonts = set()
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            inner: DictionaryObject = font.get_object()["/DescendantFonts"][0].get_object()
            descriptor = inner["/FontDescriptor"]
            assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(descriptor)
            fonts.add(str(descriptor["/FontName"]).split("+")[-1])
    assert {"DejaVuSans", "DejaVuSans-Bold"} <= fonts


def test_same_report_same_bytes(sample: Path, tmp_path: Path) -> None:
    write_pdf(sample_report(), tmp_path / "again.pdf")
    assert (tmp_path / "again.pdf").read_bytes() == sample.read_bytes()


def test_hostile_text_is_printed_as_it_stands(tmp_path: Path) -> None:
    """Left out: signs that the font does not have, which are boxes, and text from right to left."""
    write_pdf(hostile_report(), tmp_path / "hostile.pdf")
    with PdfReader(tmp_path / "hostile.pdf") as reader:
        text = "".join(texts(reader, 6))
    for words in HOSTILE[:10]:
        assert text.count(squeezed(words)) >= 5, words


def test_a_picture_that_cannot_be_read_is_a_clear_error(tmp_path: Path) -> None:
    broken = replace(picture("broken"), svg="<svg><path></svg>")
    report = replace(sample_report(), sections=(Section("One", (Paragraph("Text."), broken)),))
    with pytest.raises(JackfieldError, match=r"report\.pdf could not be set: .*SVG"):
        write_pdf(report, tmp_path / "report.pdf")
    assert not (tmp_path / "report.pdf").exists()


def test_columns_hold_their_words_and_pages_turn_only_where_they_must() -> None:
    rows = [[f"{i}.25 kN", "some words that may stand on several lines " * 4] for i in range(3)]
    layout = table_layout(["Load", "Remark"], rows, ["right", "left"])
    assert not layout.landscape
    assert sum(layout.widths) <= PORTRAIT + 1e-6
    assert layout.widths[0] - 2.4 >= width_of("2.25 kN") * layout.size
    wide = table_layout(["Heading"] * 10, [["1234567.25 kN"] * 10], ["right"] * 10)
    assert wide.landscape
    assert sum(wide.widths) <= LANDSCAPE + 1e-6
    assert min(wide.widths) - 2.4 >= width_of("1234567.25 kN") * wide.size


def test_widths_are_those_of_the_font() -> None:
    """DejaVu Sans: advances of 1401 (A) and 1303 (0) units of 2048, its table hmtx as fontTools reads it."""
    assert width_of("A0") == pytest.approx((1401 + 1303) / 2048 * 25.4 / 72, rel=1e-4)


def test_only_words_that_do_not_fit_are_made_breakable() -> None:
    assert breakable("short words", 10.0) == "short words"
    long = "x" * 300
    assert breakable(f"a {long}", 8.0).replace("\u200b", "") == f"a {long}"
    assert "\u200b" in breakable(f"a {long}", 8.0)


def test_a_table_of_long_texts_is_set_smaller_and_uses_the_page() -> None:
    rows = [["1", "words in a sentence that goes on " * 8, "≤\N{NO-BREAK SPACE}1.05"]] * 4
    layout = table_layout(["No.", "Place", "Limit"], rows, ["right", "left", "right"])
    assert layout.size >= 7.0
    assert sum(layout.widths) == pytest.approx(PORTRAIT, abs=0.5)
    assert layout.widths[2] - 2.4 >= width_of("≤\N{NO-BREAK SPACE}1.05") * layout.size
