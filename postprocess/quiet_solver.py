"""HiGHS without the lines that its own code prints."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def unheard() -> Iterator[None]:
    """Keep what the solver's own code prints, past Python, from standard output."""
    try:
        sys.stdout.flush()
        kept = os.dup(1)
    except (OSError, ValueError, AttributeError):  # no standard output to keep it from
        yield
        return
    try:
        with open(os.devnull, "wb") as nowhere:
            os.dup2(nowhere.fileno(), 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
