"""The CAD library without its search for fonts, which reading does not need and which writes into the home folder."""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

CACHE_HOME = "XDG_CACHE_HOME"
NO_FONTS = '{"version": 2, "font-faces": []}'


def load_quietly() -> None:
    """Import the CAD library with a list of no fonts, unless it is loaded already; only this process is touched."""
    if "ezdxf" in sys.modules:
        return
    before = os.environ.get(CACHE_HOME)
    with tempfile.TemporaryDirectory() as folder:
        listed = Path(folder) / "ezdxf" / "font_manager_cache.json"
        listed.parent.mkdir()
        listed.write_text(NO_FONTS, encoding="utf-8")
        os.environ[CACHE_HOME] = folder
        try:
            import ezdxf  # noqa: F401, PLC0415 - the library looks for fonts as it is imported
        finally:
            if before is None:
                del os.environ[CACHE_HOME]
            else:
                os.environ[CACHE_HOME] = before
