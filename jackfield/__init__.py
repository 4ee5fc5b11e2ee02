"""jackfield: floating concrete floors on spring jacks, from one case folder to jack loads, modes and papers."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from jackfield.api import (
        NotGiven,
        choose_springs,
        lift_floor,
        move_floor,
        open_case,
        solve,
        with_springs,
    )
    from preprocess.errors import InputError

__all__ = [
    "InputError",
    "NotGiven",
    "choose_springs",
    "lift_floor",
    "move_floor",
    "open_case",
    "solve",
    "with_springs",
]

try:
    __version__ = version("jackfield")
except PackageNotFoundError:  # run from a source tree that was not installed
    __version__ = "unknown"

CAUTIONS = (
    "jackfield assists; it does not approve. A chartered or licensed structural engineer checks slab and building.",
    "Local codes and regulations rule over anything printed here.",
    "Nobody goes under a slab that is not packed.",
    "Springs store energy: unload them before removal.",
    "Cube results come before the first pass of a lift; stop on cracks, uneven height or abnormal torque.",
)
"""The cautions in the terminal and in results.json; every sheet shows the first two in short."""


def __getattr__(name: str) -> Any:
    """The functions for scripts, loaded when they are first asked for: the command needs but some of what they need."""
    if name in __all__:
        from jackfield import api  # noqa: PLC0415

        return getattr(api, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
