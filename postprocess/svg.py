"""A figure as one SVG element that can stand among others in a page."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache, lru_cache
from io import StringIO
from typing import Any

import matplotlib
import numpy as np
from matplotlib.backends.backend_mixed import MixedModeRenderer
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.path import Path, get_path_collection_extents
from matplotlib.textpath import TextToPath

SETTINGS: dict[Any, Any] = {
    "svg.fonttype": "none",  # text stays text that can be searched and copied
    "axes.titley": 1.0,  # where titles stand anyway; searching a free place takes a second
    "font.family": ["DejaVu Sans"],
    "text.usetex": False,
    "axes.unicode_minus": True,
}
"""Text as text, and no habits of the user's own matplotlib file."""
RASTER = 200
"""Dots per inch of what stands as a picture among the vectors."""
METADATA = dict.fromkeys(("Date", "Creator", "Format", "Type"))
"""None: the element says what the figure shows and nothing about the file."""
SLACK = 0.01
"""Points by which a shape may pass the frame that it is cut to and still count as inside."""

BOX = "\u25a1"
"""What stands for a character that the font does not have."""
UNUSUAL = re.compile(r"[^\t\n\r -~]")
ROOT = re.compile(r"<svg\b[^<>]*")
STYLE = re.compile(r"\s*<defs>\s*<style type=\"text/css\">[^<]*</style>\s*</defs>")
PICTURE = re.compile(r'(<image\b[^<>]*?) id="[^"]*"')
INHERITED = ' xml:space="preserve" style="stroke-linejoin: round; stroke-linecap: butt"'


@contextmanager
def drawing_settings() -> Iterator[None]:
    """Settings with which all figures are drawn; a character that the font does not have is a box, silently."""
    with matplotlib.rc_context(SETTINGS), warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Glyph .* missing from", UserWarning)
        yield


def svg_of(figure: Figure, name: str) -> str:
    """The figure as one <svg> element with text as text, as large as the figure; the same figure gives the same text.

    name: makes its ids its own among the figures of a page. Prologue and metadata are left out; see `drawable` for
    unusual characters.
    """
    buffer = StringIO()
    width, height = (float(inches) for inches in figure.get_size_inches())
    before = figure.dpi
    with drawing_settings(), matplotlib.rc_context({"svg.hashsalt": name}):
        try:
            figure.dpi = 72
            settings: dict[str, Any] = {"image_dpi": RASTER, "metadata": METADATA}
            plain = _Renderer(72 * width, 72 * height, buffer, **settings)  # type: ignore[no-untyped-call]
            renderer: Any = MixedModeRenderer(figure, width, height, RASTER, plain)  # type: ignore[no-untyped-call]
            figure.draw(renderer)
            renderer.finalize()
        finally:
            figure.dpi = before
    whole = drawable(buffer.getvalue())
    element = STYLE.sub("", whole[whole.index("<svg") :], count=1)
    element = ROOT.sub(lambda root: root[0] + INHERITED, element, count=1)
    return PICTURE.sub(r"\1", element).strip()


def drawable(words: str) -> str:
    """The words with a box for each character that the font of all figures does not have, nor XML perhaps.

    Else whoever shows the element takes another font for the whole line because of that one character.
    """
    known = _characters()
    return UNUSUAL.sub(lambda found: found[0] if ord(found[0]) in known else BOX, words)


@cache
def _characters() -> frozenset[int]:
    font = get_font(findfont(FontProperties(family=SETTINGS["font.family"])))
    return frozenset(font.get_charmap())


class _Renderer(RendererSVG):
    """Writes no groups, whose ids would meet others in a page, and cuts to its frame only what passes that.

    Cutting is slow for those who show the element; most shapes lie within their frames.
    """

    def open_group(self, s: str, gid: str | None = None) -> None:
        """Leave the group out."""

    def close_group(self, s: str) -> None:
        """Leave the group out."""

    def get_text_width_height_descent(self, s: str, prop: FontProperties, ismath: Any) -> tuple[float, float, float]:
        """Sizes in points, measured once for all figures."""
        return _text_size(s, prop.copy(), ismath)

    def draw_path(self, gc: Any, path: Any, transform: Any, rgbFace: Any = None) -> None:
        """Draw, cut only if need be."""
        if gc.get_clip_rectangle() is not None:
            gc = self._uncut(gc, path.get_extents(transform).extents)
        super().draw_path(gc, path, transform, rgbFace)  # type: ignore[no-untyped-call]

    def draw_markers(  # noqa: PLR0917 - as the base class has it
        self, gc: Any, marker_path: Any, marker_trans: Any, path: Any, trans: Any, rgbFace: Any = None
    ) -> None:
        """Draw, cut only if need be."""
        if gc.get_clip_rectangle() is not None and len(path.vertices):
            places, mark = path.get_extents(trans).extents, marker_path.get_extents(marker_trans).extents
            gc = self._uncut(gc, places + mark)
        super().draw_markers(gc, marker_path, marker_trans, path, trans, rgbFace)  # type: ignore[no-untyped-call]

    def draw_path_collection(  # noqa: PLR0917 - as the base class has it
        self,
        gc: Any,
        master_transform: Any,
        paths: Sequence[Path],
        all_transforms: Any,
        offsets: Any,
        offset_trans: Any,
        *rest: Any,
        **styles: Any,
    ) -> None:
        """Draw, cut only if need be."""
        if gc.get_clip_rectangle() is not None and len(paths):
            own, moved = master_transform.frozen(), offset_trans.frozen()
            extents = get_path_collection_extents(own, paths, all_transforms, offsets, moved).extents
            gc = self._uncut(gc, extents)
        whole = (gc, master_transform, paths, all_transforms, offsets, offset_trans, *rest)
        super().draw_path_collection(*whole, **styles)  # type: ignore[no-untyped-call]

    def _uncut(self, gc: Any, extents: Any) -> Any:
        """The context, or a copy of it without its frame if `extents` (x0, y0, x1, y1) lie within that."""
        past = (np.asarray(extents) - gc.get_clip_rectangle().extents) * (-1, -1, 1, 1)
        if not (past <= SLACK).all() or gc.get_clip_path()[0] is not None:
            return gc
        free = self.new_gc()
        free.copy_properties(gc)
        free.set_clip_rectangle(None)
        return free


@lru_cache(maxsize=16384)
def _text_size(words: str, font: FontProperties, mathematics: Any) -> tuple[float, float, float]:
    return TextToPath().get_text_width_height_descent(words, font, mathematics)
