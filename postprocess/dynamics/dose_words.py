"""Where a vibration dose lies against the ranges of BS 6472-1 for homes, in words."""

from __future__ import annotations

from bisect import bisect_left
from typing import Final

DOSE_DAY: Final = (0.2, 0.4, 0.8, 1.6)
"""m/s1.75, limits of the ranges for homes by day, 16 hours. Source: BS 6472-1:2008, table 1."""

DOSE_NIGHT: Final = (0.1, 0.2, 0.4, 0.8)
"""m/s1.75, limits of the ranges for homes by night, 8 hours. Source: BS 6472-1:2008, table 1."""

_COMMENT = (
    "adverse comment is not expected",
    "adverse comment has a low probability",
    "adverse comment is possible",
    "adverse comment is probable",
    "adverse comment is very likely",
)

CAUTION: Final = (
    "The ranges of BS 6472-1 are for homes and for people who sit, stand or lie on the floor in question. That standard"
    " weights vertical vibration with Wb; the dose here is weighted with Wm of ISO 2631-2. Local codes and the contract"
    " decide what is allowed."
)
"""What belongs beside every dose that is shown."""


def dose_words(dose: float) -> str:
    """A clause each for day and night on a dose in m/s1.75 of a whole day or night; `CAUTION` belongs beside it."""
    return f"by day {_place(dose, DOSE_DAY)}; by night {_place(dose, DOSE_NIGHT)}"


def _place(dose: float, limits: tuple[float, ...]) -> str:
    """A dose on a limit counts to the milder range."""
    number = bisect_left(limits, dose)
    if number == 0:
        span = f"below {limits[0]:g}"
    elif number == len(limits):
        span = f"above {limits[-1]:g}"
    else:
        span = f"{limits[number - 1]:g} to {limits[number]:g}"
    return f"{_COMMENT[number]} ({span})"
