"""Units of a drawing, and its coordinates in mm from the datum."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from ezdxf.document import Drawing
from numpy.typing import NDArray

from preprocess.cad.notes import Notes
from preprocess.wording import nearest, quoted

UNITS: Final = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
"""mm to each unit that a case may name."""

_US_FOOT: Final = 1_200_000 / 3937
"""The US survey foot is 1200/3937 m."""

CODES: Final = {
    1: ("in", 25.4),
    2: ("ft", 304.8),
    4: ("mm", 1.0),
    5: ("cm", 10.0),
    6: ("m", 1000.0),
    7: ("km", 1e6),
    10: ("yd", 914.4),
    14: ("dm", 100.0),
    21: ("US survey ft", _US_FOOT),
    22: ("US survey in", _US_FOOT / 12),
    23: ("US survey yd", 3 * _US_FOOT),
}
"""Name and mm of the values of $INSUNITS in which buildings are drawn (DXF reference, HEADER variables)."""

OTHER_CODES: Final = {3: "miles", 8: "microinches", 9: "mils", 11: "angstroms", 12: "nanometres", 13: "microns"} | {
    15: "decametres",
    16: "hectometres",
    17: "gigametres",
    18: "astronomical units",
    19: "light years",
    20: "parsecs",
    24: "US survey miles",
}
_SAY = f"a drawing in one of {', '.join(UNITS)}"


@dataclass(frozen=True)
class Frame:
    """factor: mm to a unit of the drawing. origin_mm: the point of the drawing, in mm, that becomes 0, 0."""

    factor: float
    origin_mm: tuple[float, float]

    def place(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """(n, 2) points of the drawing, in mm from the datum."""
        return np.asarray(points * self.factor - np.array(self.origin_mm))


def unit_factor(document: Drawing, given: str | None, notes: Notes) -> float | None:
    """mm to a unit of the drawing; None if neither file nor case says. Where they differ that of the file."""
    if given is not None and given not in UNITS:
        notes.problem("units", quoted(given), nearest(given, UNITS, "unit"))
        return None
    code = document.header.get("$INSUNITS", 0)
    if code == 0:
        if given is None:
            allowed = f"units in the case or --units, one of {', '.join(UNITS)}"
            notes.problem("units ($INSUNITS)", "none", f"the file does not say in which units it is drawn: {allowed}")
            return None
        return UNITS[given]
    if code not in CODES:
        known = f"{code}, {OTHER_CODES[code]}" if code in OTHER_CODES else f"{code}, which stands for no unit"
        notes.problem("units ($INSUNITS)", known, f"{_SAY}; set the units of the file to those it is drawn in")
        return None
    name, factor = CODES[code]
    if given is not None and UNITS[given] != factor:
        value = f"{name} in the file, {given} in the case"
        notes.problem("units", value, "the same units; leave them out of the case, or set those of the file right")
    return factor
