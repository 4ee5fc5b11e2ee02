"""Papers appear in the output folder all together or not at all."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from fem.errors import JackfieldError
from preprocess.schema import CASE_FILE


class OutputError(JackfieldError):
    """The output folder cannot be used."""

    exit_code = 2


@contextmanager
def staged(folder: Path, record: str | None = None) -> Iterator[Path]:
    """A temporary folder whose files move to `folder` when the block ends without an error.

    record: a JSON file among them whose "papers" lists the files of a run. Files that an earlier record lists and
    this run did not write again are removed from `folder`; nothing else there is touched.
    Raises OutputError, before anything is computed, where `folder` cannot be written.
    """
    folder = folder.absolute()
    if (folder / CASE_FILE).exists():
        raise OutputError(f"output folder: got {folder}: it holds a {CASE_FILE}; name another, so that nothing is lost")
    staging = _staging_beside(folder)
    try:
        yield staging
        _publish(staging, folder, set() if record is None else _recorded(folder / record))
    finally:
        shutil.rmtree(staging, ignore_errors=True)


def _staging_beside(folder: Path) -> Path:
    """A new folder on the same disk as `folder`: in it, or in the nearest folder above that exists."""
    try:
        home = folder
        while not home.exists() and home != home.parent:
            home = home.parent
        if not home.is_dir():
            raise OutputError(f"output folder: got {folder}: {home} is a file; name a folder that can be written")
        return Path(tempfile.mkdtemp(prefix=".jackfield-", dir=home))
    except OSError as error:
        raise _unusable(folder, error) from error


def _publish(staging: Path, folder: Path, stale: set[str]) -> None:
    """Move every file of `staging` to its place in `folder`, then remove the stale ones."""
    try:
        names = sorted(path.relative_to(staging) for path in staging.rglob("*") if path.is_file())
        for name in names:
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            if (folder / name).is_dir():
                raise OutputError(f"output folder: got {folder}: {folder / name} is a folder; remove it")
        for name in names:
            os.replace(staging / name, folder / name)
        for old in stale - {name.as_posix() for name in names}:
            (folder / old).unlink(missing_ok=True)
    except OSError as error:
        raise _unusable(folder, error) from error


def _unusable(folder: Path, error: OSError) -> OutputError:
    where = f"{error.filename}: " if error.filename else ""
    reason = f"{where}{error.strerror or error}"
    return OutputError(f"output folder: got {folder}: name a folder that can be written ({reason})")


def _recorded(path: Path) -> set[str]:
    """Names of the papers of an earlier run, as far as they can only lie inside its folder."""
    try:
        papers = json.loads(path.read_text(encoding="utf-8"))["papers"]
        names = {name for name in papers if isinstance(name, str)}
    except (OSError, ValueError, KeyError, TypeError):
        return set()
    return {name for name in names if not Path(name).is_absolute() and ".." not in Path(name).parts}
