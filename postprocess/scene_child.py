"""Draws the scenes that `postprocess.scenes` hands over: python -m postprocess.scene_child INPUT FOLDER."""

from __future__ import annotations

import json
import math
import os
import sys
import textwrap
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pyvista
from numpy.typing import NDArray
from PIL import Image
from scipy.spatial import cKDTree

from postprocess.colours import DEFLECTION, INK, PENCIL, SIGNED

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

WINDOW = (1400, 900)
"""Size of the pictures in pixels."""
BAR = {"title": " ", "color": INK, "n_labels": 5, "fmt": "%.2f", "label_font_size": 18}
BAR |= {"width": 0.5, "height": 0.09, "position_x": 0.25, "position_y": 0.045, "render": False}
LIFT = 0.08
"""Height of the drawn shape over the diagonal of the plan."""
STAND = 0.03
"""Length of the shortest jack over the diagonal of the plan."""
BAND = (0.17, 0.84)
"""Part of the height of the picture in which the floor stands, from the bottom."""
STEPS = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 7.5)
"""Round factors, times a power of ten."""


def exaggeration(values: Floats, diagonal: float) -> float:
    """Round factor that draws the range of values (m) at about `LIFT`."""
    wanted = LIFT * diagonal / max(float(np.ptp(values)), 1e-12)
    power = 10.0 ** math.floor(math.log10(wanted))
    return max(step * power for step in STEPS if step * power <= wanted * (1 + 1e-9))


def slab_surface(xy: Floats, triangles: Ints, rim: Ints, height: Floats, thickness: float) -> pyvista.PolyData:
    """Closed surface of the slab: its middle plane at `height` (v,) m above the drawing's zero."""
    top = np.column_stack([xy, height + thickness / 2])
    bottom = np.column_stack([xy, height - thickness / 2])
    n = len(xy)
    sides = np.vstack(
        [
            np.column_stack([rim[:, 0], rim[:, 1], rim[:, 1] + n]),
            np.column_stack([rim[:, 0], rim[:, 1] + n, rim[:, 0] + n]),
        ]
    )
    faces = np.vstack([triangles, triangles[:, ::-1] + n, sides])
    return pyvista.PolyData.from_regular_faces(np.vstack([top, bottom]), faces)


def jack_cylinders(xy: Floats, top: Floats, base: float, diameter: float) -> pyvista.PolyData:
    """Cylinders from the plane `base` to the underside `top` (n,) of the slab."""
    n = len(xy)
    ends = np.vstack([np.column_stack([xy, np.full(n, base)]), np.column_stack([xy, top])])
    lines = np.column_stack([np.full(n, 2), np.arange(n), np.arange(n) + n])
    return pyvista.PolyData(ends, lines=lines.ravel()).tube(radius=diameter / 2, n_sides=16, capping=True)


def main(source: Path, folder: Path) -> None:
    """Draw all scenes of the file `source` into `folder`, each under its final name only when complete."""
    with np.load(source) as data:
        scenes: list[dict[str, Any]] = json.loads(str(data["scenes"]))
        plotter = pyvista.Plotter(off_screen=True, window_size=list(WINDOW))
        plotter.set_background("white")
        for number, scene in enumerate(scenes):
            plotter.scalar_bars.clear()
            plotter.clear_actors()
            _draw(plotter, data, scene, data["values"][:, number])
            plotter.render()
            image = plotter.screenshot(None, return_img=True)
            if np.ptp(image) == 0:
                raise RuntimeError("the graphics library gave an empty picture")
            _save(image, folder / scene["file"])
        plotter.close()


def _draw(plotter: Any, data: Any, scene: dict[str, Any], values: Floats) -> None:
    """One scene; nothing is rendered before all of it is there."""
    xy, rim, jacks, (thickness, footprint) = data["vertices"], data["rim"], data["jacks"], data["sizes"]
    diagonal = float(np.hypot(*np.ptp(xy, axis=0)))
    shape = values if scene["signed"] else values / 1e3
    factor = exaggeration(shape, diagonal)
    zero = 0.0 if scene["signed"] else float(shape.mean())
    height = -factor * (shape - zero)
    surface = slab_surface(xy, data["triangles"], rim, height, thickness)
    surface["shown"] = np.tile(values, 2)
    look = {
        "cmap": SIGNED if scene["signed"] else DEFLECTION,
        "ambient": 0.55,
        "diffuse": 0.5,
        "specular": 0.0,
    }
    limits = (-1.0, 1.0) if scene["signed"] else (float(values.min()), float(values.max()))
    add = partial(plotter.add_mesh, render=False)
    add(surface, scalars="shown", clim=limits, scalar_bar_args=BAR, **look)
    edges = np.column_stack([np.full(len(rim), 2), rim]).ravel()
    for side in (-0.5, 0.5):
        add(
            pyvista.PolyData(np.column_stack([xy, height + side * thickness]), lines=edges),
            color=INK,
            line_width=2,
        )
    _, near = cKDTree(xy).query(jacks)
    base = float(height.min()) - thickness / 2 - STAND * diagonal
    add(jack_cylinders(jacks, height[near] - thickness / 2, base, footprint), color=PENCIL)
    for text, place, size in _texts(scene, _factor_words(scene, factor, zero)):
        plotter.add_text(plain(text), position=place, font_size=size, color=INK, render=False)
    _look(plotter, xy, thickness)


def plain(words: str) -> str:
    """Words whose dollar signs the drawing library does not take for the ends of a formula."""
    return words.replace("$", r"\$")


def _texts(scene: dict[str, Any], factor_words: str) -> list[tuple[str, tuple[int, int], int]]:
    """Each line of text with its place in pixels from the lower left corner and its size."""
    lines = [(line, 13) for line in textwrap.wrap(scene["floor"], 75)[:2]]
    lines += [(scene["title"], 12), (scene["reference"], 9), (factor_words, 9)]
    texts, y = [], WINDOW[1] - 10
    for words, size in lines:
        y -= round(2.6 * size)
        texts.append((words, (20, y), size))
    return [*texts, (scene["quantity"], (350, 122), 9), (scene["caution"], (20, 12), 9)]


def _factor_words(scene: dict[str, Any], factor: float, zero: float) -> str:
    if scene["signed"]:
        return "Heights without scale, plan to scale."
    return f"Deflection less its mean of {1e3 * zero:.2f} mm, heights drawn {factor:g} times the scale of the plan."


def view_axes() -> tuple[Floats, Floats, Floats]:
    """Unit vectors to the right, up and out of the picture, from the front right, above."""
    out = np.array([0.35, -1.0, 0.75]) / np.linalg.norm([0.35, -1.0, 0.75])
    right = np.cross([0.0, 0.0, 1.0], out) / np.hypot(*out[:2])
    return right, np.cross(out, right), out


def framing(xy: Floats, thickness: float) -> tuple[Floats, float]:
    """Point in the middle of the picture and half its height, m: the same for all scenes of one floor.

    Whatever can be drawn over the plan keeps clear of the text above and the colour bar below.
    """
    low, high = xy.min(axis=0), xy.max(axis=0)
    diagonal = float(np.hypot(*(high - low)))
    heights = (-(LIFT + STAND) * diagonal - thickness / 2, LIFT * diagonal + thickness / 2)
    corners = np.array([[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in heights])
    right, up, _ = view_axes()
    across, along = corners @ right, corners @ up
    bottom, top = BAND
    half = max(np.ptp(along) / (top - bottom), np.ptp(across) / 0.95 * WINDOW[1] / WINDOW[0]) / 2
    middle = corners.mean(axis=0)
    shift = (along.max() + along.min()) / 2 - (bottom + top - 1) * half - middle @ up
    return np.asarray(middle + shift * up), float(half)


def _look(plotter: Any, xy: Floats, thickness: float) -> None:
    """Parallel projection, so that all scenes of one floor have one scale."""
    middle, half = framing(xy, thickness)
    _, up, out = view_axes()
    camera = plotter.camera
    camera.focal_point, camera.up = tuple(middle), tuple(up)
    camera.position = tuple(middle + 10 * half * out)
    camera.parallel_projection = True
    camera.parallel_scale = half
    plotter.renderer.ResetCameraClippingRange()
    camera.is_set = True


def _save(image: NDArray[np.uint8], path: Path) -> None:
    part = path.with_suffix(".part")
    Image.fromarray(image).save(part, format="png", compress_level=3)
    os.replace(part, path)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
