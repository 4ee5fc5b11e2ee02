"""One SVG as a page of its own: as vectors (PDF) and as a picture (PNG)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import matplotlib
import typst

PAGE = b"""\
#set document(title: sys.inputs.title, date: none)
#set page(width: float(sys.inputs.width) * 1mm, height: float(sys.inputs.height) * 1mm, margin: 0mm)
#image(bytes(sys.inputs.svg), format: "svg", width: 100%, height: 100%, alt: sys.inputs.title)
"""
"""What is drawn comes as data, so that no words of a case are read as markup."""


@dataclass(frozen=True)
class Page:
    """An SVG that fills a page. width, height: mm; title: of the document, in its data."""

    svg: str
    width: float
    height: float
    title: str

    def pdf(self) -> bytes:
        """As vectors, text as text; without a date, so that the same page gives the same file."""
        return self._compiled(format="pdf")

    def png(self, resolution: float) -> bytes:
        """As a picture of `resolution` dots per inch."""
        return self._compiled(format="png", ppi=resolution)

    def _compiled(self, **how: Any) -> bytes:
        data = {"svg": self.svg, "width": repr(self.width), "height": repr(self.height), "title": self.title}
        page = typst.compile(PAGE, font_paths=_fonts(), sys_inputs=data, **how)
        assert isinstance(page, bytes)
        return page


@cache
def _fonts() -> typst.Fonts:
    """The fonts that come with matplotlib and no others, so that sheets are equal on all machines."""
    folder = Path(matplotlib.get_data_path(), "fonts", "ttf")
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[folder])
