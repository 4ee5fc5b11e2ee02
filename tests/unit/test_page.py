"""A figure as a page: words to search for, no spoilt lines, heavy vectors as pictures, the same file every time."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure
from PIL import Image
from pypdf import PdfReader

from postprocess import figures
from postprocess.page import Page
from postprocess.svg import svg_of

SIZE = (120.0, 60.0)
"""mm."""
UNUSUAL = "Halle 漢 Ø12 ≤ 3 m² \x07 <b> & $x$"


def sheet(words: str) -> Figure:
    """Filled contours of a saddle, and words on them."""
    figure = Figure(figsize=(SIZE[0] / 25.4, SIZE[1] / 25.4))
    ax = figure.add_axes((0, 0, 1, 1))
    x, y = np.meshgrid(np.linspace(-1, 1, 30), np.linspace(-1, 1, 30))
    ax.contourf(x, y, x * y)
    ax.text(-0.9, 0, words, parse_math=False)
    return figure


def test_one_character_without_a_glyph_spoils_no_line(tmp_path: Path) -> None:
    """It is a box among words that stay as they are; those of the title are data and kept whole."""
    page = Page(svg_of(sheet(UNUSUAL), "a"), *SIZE, 'A "title" <#> 漢')
    (tmp_path / "page.pdf").write_bytes(page.pdf())
    read = PdfReader(tmp_path / "page.pdf")
    assert "Halle □ Ø12 ≤ 3 m² □ <b> & $x$" in read.pages[0].extract_text()
    assert read.metadata is not None
    assert read.metadata.title == page.title
    fonts = [font["/BaseFont"] for font in read.pages[0]["/Resources"]["/Font"].values()]
    assert [str(name).split("+")[1] for name in fonts] == ["DejaVuSans"]


def test_the_same_page_gives_the_same_files() -> None:
    one, two = (Page(svg_of(sheet("words"), "a"), *SIZE, "title") for _ in range(2))
    assert one.pdf() == two.pdf()
    assert one.png(50) == two.png(50)


def test_picture_is_as_large_as_its_page_and_shows_the_colours(tmp_path: Path) -> None:
    """Corners of the saddle by their signs: the default colours go from dark to light."""
    (tmp_path / "page.png").write_bytes(Page(svg_of(sheet(""), "a"), *SIZE, "title").png(100))
    with Image.open(tmp_path / "page.png") as picture:
        dots = np.asarray(picture.convert("L"), dtype=float)
    assert dots.shape == (round(60 / 25.4 * 100), round(120 / 25.4 * 100))
    assert min(dots[5, -5], dots[-5, 5]) > max(dots[5, 5], dots[-5, -5]) + 50


@pytest.mark.parametrize(("heavy", "pictures"), [(10**9, 0), (10, 1)])
def test_heavy_vectors_become_pictures(
    heavy: int, pictures: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The contours; words stay words."""
    monkeypatch.setattr(figures, "HEAVY", heavy)
    figures.write_sheets({"saddle": lambda: sheet("words")}, "title", tmp_path)
    page = PdfReader(tmp_path / "saddle.pdf").pages[0]
    assert "words" in page.extract_text()
    assert len(page.images) == pictures
