"""Gauss rules for triangles and lines, exact for the polynomials that the plate element makes."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@cache
def line_rule(degree: int) -> tuple[Floats, Floats]:
    """Points in [0, 1] and weights (sum 1), exact for polynomials up to `degree`."""
    points, weights = np.polynomial.legendre.leggauss(degree // 2 + 1)
    return (points + 1) / 2, weights / 2


@cache
def triangle_rule(degree: int) -> tuple[Floats, Floats]:
    """Points (q, 2) in the triangle (0,0), (1,0), (0,1) and weights (sum 1), exact up to `degree`.

    Conical product of two Gauss rules (Stroud, Approximate Calculation of Multiple Integrals, 1971, section 2.5):
    x = s, y = (1 - s) t, with the factor (1 - s) integrated as part of the polynomial.
    """
    s, weight_s = line_rule(degree + 1)
    t, weight_t = line_rule(degree)
    points = np.column_stack([np.repeat(s, len(t)), np.outer(1 - s, t).ravel()])
    return points, 2 * np.outer(weight_s * (1 - s), weight_t).ravel()
