"""`jackfield new`: a small complete case to start from."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from jackfield.output import OutputError


def new(folder: Path) -> tuple[Path, ...]:
    """Write the starter case to `folder`, which must not exist or be empty; returns the files.

    Raises OutputError where the folder holds something already or cannot be written.
    """
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise OutputError(f"new: got {folder}: it exists already; name a folder that is new or empty")
        folder.mkdir(parents=True, exist_ok=True)
        written = []
        for source in sorted(files("jackfield").joinpath("starter").iterdir(), key=lambda entry: entry.name):
            target = folder / source.name
            target.write_bytes(source.read_bytes())
            written.append(target)
    except OSError as error:
        raise OutputError(f"new: got {folder}: {error.strerror or error}; name a folder that can be written") from error
    return tuple(written)
