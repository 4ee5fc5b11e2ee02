"""What drawings need beyond the plan and the schedule: springs, equipment, covers and the words of the title block."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from postprocess.fabric.trimmers import CornerBars
from postprocess.strength.layers import Face

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class SpringType:
    """rate: N/m. rated_load: N. solid_deflection: m. parts: the coils under the jack, outer first."""

    code: str
    rate: float
    rated_load: float
    solid_deflection: float
    parts: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Piece:
    """Equipment of `mass` kg on square feet of side `foot` m at `feet` (f, 2), or spread over `area`; all in m."""

    name: str
    mass: float
    feet: Floats | None
    foot: float
    area: Polygon | None


@dataclass(frozen=True, eq=False)
class Details:
    """springs: the types that stand under jacks, by code. pieces: all equipment.

    covers: face ("bottom", "top") -> cover and outermost wires in words. trimmers: face -> the bars at re-entrant
    corners. no_trimmers: why there are none, in words, where there may have to be; else empty. date: of the input, in
    words. cautions: in full.
    """

    springs: Mapping[str, SpringType]
    pieces: tuple[Piece, ...]
    covers: Mapping[str, str]
    trimmers: Mapping[Face, tuple[CornerBars, ...]]
    no_trimmers: str
    date: str
    cautions: tuple[str, ...]
