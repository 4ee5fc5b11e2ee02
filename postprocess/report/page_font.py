"""DejaVu Sans, cut to the characters that pictures use, as data of a page: their words keep the widths they have."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterable
from functools import lru_cache
from html import unescape
from io import BytesIO
from pathlib import Path

import matplotlib
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

FACES = {400: "DejaVuSans.ttf", 700: "DejaVuSans-Bold.ttf"}
"""File of each weight among matplotlib's fonts."""
NOT_NEEDED = ("FFTM", "GSUB", "GPOS", "GDEF", "kern")
LAST_OF_PLANE_0 = 0xFFFF


def font_folder() -> Path:
    """The fonts that come with matplotlib."""
    return Path(matplotlib.get_data_path()) / "fonts" / "ttf"


def font_faces(pictures: Iterable[str], words: str) -> dict[int, str]:
    """Weight -> data URI (WOFF) of the face with the characters of SVG pictures and of `words`; bold only if used."""
    characters, bold = set(words), False
    for picture in pictures:
        characters.update(unescape(re.sub(r"<[^>]*>", "", picture)))
        bold = bold or "bold" in picture or "font: 700" in picture or "font-weight: 700" in picture
    kept = "".join(sorted(c for c in characters if c >= " " and ord(c) <= LAST_OF_PLANE_0))
    return {weight: _face(weight, kept) for weight in FACES if weight == 400 or bold}


@lru_cache(maxsize=8)
def _face(weight: int, characters: str) -> str:
    options = Options()
    options.hinting = False
    options.notdef_outline = True
    with TTFont(font_folder() / FACES[weight], lazy=True) as font:
        for table in NOT_NEEDED:
            if table in font:
                del font[table]
        subsetter = Subsetter(options)
        subsetter.populate(text=characters)
        subsetter.subset(font)
        font.flavor = "woff"
        data = BytesIO()
        font.save(data, reorderTables=False)
    return "data:font/woff;base64," + base64.b64encode(data.getvalue()).decode("ascii")
