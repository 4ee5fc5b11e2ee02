"""Child processes that run a module of this package with the same interpreter and the same search path."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Mapping
from typing import IO


def command(module: str, *arguments: str) -> list[str]:
    """What to run: `module` as a program, without the working directory on its search path."""
    return [sys.executable, "-P", "-m", module, *arguments]


def start(words: list[str], log: IO[bytes] | int, without: tuple[str, ...] = ()) -> subprocess.Popen[bytes]:
    """Start `words`, errors going to `log`; without: names of environment variables to leave out."""
    kept = {name: value for name, value in os.environ.items() if name not in without}
    return subprocess.Popen(
        words, stdin=subprocess.DEVNULL, stdout=log, stderr=log, env=environment(kept), close_fds=True
    )


def environment(base: Mapping[str, str]) -> dict[str, str]:
    """`base` with the search path of this process, so that a child finds what its parent has found."""
    paths = [os.path.abspath(path or ".") for path in sys.path]
    return {**base, "PYTHONPATH": os.pathsep.join(paths)}
