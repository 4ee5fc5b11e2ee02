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
BAR |= {"width": 0.5, "height": 0.09, "position_x": 0.25, "position_y": 0.01}
LIFT = 0.08
"""Height of the drawn shape over the diagonal of the plan."""
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
    base = float(height.min()) - thickness / 2 - 0.03 * diagonal
    add(jack_cylinders(jacks, height[near] - thickness / 2, base, footprint), color=PENCIL)
    title = "\n".join(line for part in scene["title"].split("\n") for line in textwrap.wrap(part, 75))
    top = WINDOW[1] - 30 - 26 * (title.count("\n") + 1)
    for text, place, size in (
        (title, (20, top), 13),
        (_factor_words(scene, factor, zero), (20, top - 40), 9),
        (scene["quantity"], (350, 85), 10),
    ):
        plotter.add_text(text, position=place, font_size=size, color=INK, render=False)
    _look(plotter, xy, height)


def _factor_words(scene: dict[str, Any], factor: float, zero: float) -> str:
    if scene["signed"]:
        return "Heights without scale, plan to scale."
    return f"Deflection less its mean of {1e3 * zero:.2f} mm, heights drawn {factor:g} times the scale of the plan."


def _look(plotter: Any, xy: Floats, height: Floats) -> None:
    """From the front right, above; the whole slab in the picture."""
    low, high = xy.min(axis=0), xy.max(axis=0)
    centre = np.array([*(low + high) / 2, height.mean()])
    camera = plotter.camera
    camera.focal_point, camera.up = tuple(centre), (0.0, 0.0, 1.0)
    camera.position = tuple(centre + np.array([0.35, -1.0, 0.75]))
    plotter.reset_camera(render=False)
    camera.zoom(1.35)
    camera.is_set = True


def _save(image: NDArray[np.uint8], path: Path) -> None:
    part = path.with_suffix(".part")
    Image.fromarray(image).save(part, format="png", compress_level=3)
    os.replace(part, path)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
