"""`jackfield new`: a small complete case to start from."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from jackfield.output import OutputError, staged


def new(folder: Path) -> tuple[Path, ...]:
    """Write the starter case to `folder`, which must not exist or be empty; returns the files.

    Raises OutputError where the folder holds something already or cannot be written.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise OutputError(f"new: got {folder}: it exists already; name a folder that is new or empty")
    names = []
    with staged(folder) as staging:
        for source in files("jackfield").joinpath("starter").iterdir():
            (staging / source.name).write_bytes(source.read_bytes())
            names.append(source.name)
    return tuple(folder / name for name in sorted(names))
