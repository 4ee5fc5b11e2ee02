"""A sheet as a PDF of its exact size."""

from __future__ import annotations

import json
from pathlib import Path

import typst

from postprocess.cad.quiet_fonts import font_folder

_PAGE = """\
#let page-data = json(bytes(sys.inputs.page))
#set document(title: page-data.title, date: none)
#set page(width: page-data.width * 1mm, height: page-data.height * 1mm, margin: 0mm)
#image(bytes(page-data.svg), format: "svg", width: page-data.width * 1mm, height: page-data.height * 1mm,
  alt: page-data.title)
"""


def write_page(svg: str, size: tuple[float, float], title: str, path: Path) -> None:
    """Write an SVG of `size` (width, height) in mm as one page; title: for the document's data."""
    data = {"svg": svg, "width": size[0], "height": size[1], "title": title}
    page: bytes = typst.compile(  # type: ignore[call-overload]  # its stubs leave out output=None with a format
        _PAGE.encode(),
        format="pdf",
        font_paths=[str(font_folder())],
        ignore_system_fonts=True,
        sys_inputs={"page": json.dumps(data)},
    )
    path.write_bytes(page)
