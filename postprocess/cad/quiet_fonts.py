"""One known font for the CAD library, which else searches the machine and writes a list into the home folder."""

from __future__ import annotations

import json
import os
import tempfile
from functools import cache
from pathlib import Path

import matplotlib

FONT = "DejaVuSans.ttf"
"""Comes with matplotlib, so it is there on a machine without any fonts."""
CACHE_HOME = "XDG_CACHE_HOME"


def font_folder() -> Path:
    """Where the font files of matplotlib are."""
    return Path(matplotlib.get_data_path()) / "fonts" / "ttf"


@cache
def load_quietly() -> None:
    """Import the CAD library with nothing but `FONT`: no search, no file in the user's folders, equal papers anywhere.

    Only this process is touched. Where the library was imported before, its list of fonts is replaced.
    """
    faces = {"version": 2, "font-faces": [[str(font_folder() / FONT), "DejaVu Sans", "Book", 400, 5]]}
    known = json.dumps(faces)
    before = os.environ.get(CACHE_HOME)
    with tempfile.TemporaryDirectory() as folder:
        listed = Path(folder) / "ezdxf" / "font_manager_cache.json"
        listed.parent.mkdir()
        listed.write_text(known, encoding="utf-8")
        os.environ[CACHE_HOME] = folder
        try:
            from ezdxf.fonts import fonts  # noqa: PLC0415 - the library looks for fonts as it is imported
        finally:
            if before is None:
                del os.environ[CACHE_HOME]
            else:
                os.environ[CACHE_HOME] = before
    fonts.font_manager.clear()
    fonts.font_manager.loads(known)
