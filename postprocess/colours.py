"""Colour maps of the papers: straight lines in a perceptual colour space, so equal steps look equal.

The space is OKLab (B. Ottosson, A perceptual color space for image processing, 2020). Blue against ochre stays
apart for the common kinds of colour blindness, and lightness alone orders the values on a grey print.
"""

from __future__ import annotations

import numpy as np
from matplotlib.colors import ListedColormap
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LAB_TO_CONE = np.array(
    [
        [1.0, 0.3963377774, 0.2158037573],
        [1.0, -0.1055613458, -0.0638541728],
        [1.0, -0.0894841775, -1.2914855480],
    ]
)
CONE_TO_RGB = np.array(
    [
        [4.0767416621, -3.3077115913, 0.2309699292],
        [-1.2684380046, 2.6097574011, -0.3413193965],
        [-0.0041960863, -0.7034186147, 1.7076147010],
    ]
)


def lab_to_rgb(lab: Floats) -> Floats:
    """(n, 3) display colours, 0 to 1, of OKLab colours; what a display cannot show is clipped."""
    linear = np.clip((lab @ LAB_TO_CONE.T) ** 3 @ CONE_TO_RGB.T, 0.0, 1.0)
    return np.asarray(np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055))


def colour_map(name: str, *stops: tuple[float, float, float]) -> ListedColormap:
    """Map through `stops` of lightness 0 to 1, chroma and hue in degrees, evenly spaced, by straight lines."""
    lightness, chroma, hue = np.array(stops).T
    angle = np.radians(hue)
    corners = np.column_stack([lightness, chroma * np.cos(angle), chroma * np.sin(angle)])
    place, at = np.linspace(0, 1, 257), np.linspace(0, 1, len(stops))
    lab = np.column_stack([np.interp(place, at, corner) for corner in corners.T])
    return ListedColormap(list(map(tuple, lab_to_rgb(lab))), name=name)


DEFLECTION = colour_map("sand to dusk", (0.97, 0.04, 100.0), (0.68, 0.085, 205.0), (0.38, 0.115, 262.0))
"""From pale sand over teal to deep blue: one-signed quantities."""
USE = colour_map("chalk to plum", (0.97, 0.03, 95.0), (0.69, 0.1, 35.0), (0.36, 0.115, 345.0))
"""From pale yellow over rose to dark plum: how much of a strength is used, from 0 up."""
SIGNED = colour_map("slate and ochre", (0.45, 0.115, 255.0), (0.97, 0.0, 0.0), (0.45, 0.105, 55.0))
"""Blue below zero, white at zero, ochre above: quantities that are centred at zero."""

INK = "#1c2126"
PENCIL = "#6d757c"
FAINT = "#d4d8da"
SLAB = "#f1f1ec"
LOW = "#2f6fb3"
HIGH = "#b3601c"
