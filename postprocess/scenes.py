"""Three-dimensional views of the floor, drawn by a child process so that a missing graphics library ends only that.

The drawing library may abort or hang a process on a machine without OpenGL. The parent therefore hands the scenes
over in a file, waits for a limited time, takes what the child has finished and says in words what is missing.
"""

from __future__ import annotations

import json
import shutil
import signal
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from postprocess import child
from postprocess.drawing import CAUTION
from postprocess.schedule import STATES
from postprocess.view import FloorView

CHILD = "postprocess.scene_child"
MODES = 6
PATIENCE = 120.0
"""Seconds that all scenes together may take."""
SCREENS = ("DISPLAY", "WAYLAND_DISPLAY")
"""Environment variables kept from the child, so that it never looks for a screen."""


@dataclass(frozen=True)
class SceneOutcome:
    """files: the pictures that are there. left_out: what is missing and why, in words; empty if nothing is."""

    files: tuple[Path, ...]
    left_out: str


def render_scenes(view: FloorView, folder: Path, patience: float = PATIENCE) -> SceneOutcome:
    """Write the deflected floor of each state and the first modes as PNG into `folder`; never raises for graphics."""
    folder.mkdir(parents=True, exist_ok=True)
    scenes = scene_list(view)
    with tempfile.TemporaryDirectory() as place:
        data, drawn = Path(place, "scenes.npz"), Path(place, "drawn")
        drawn.mkdir()
        _write_input(view, scenes, data)
        reason = _run(child.command(CHILD, str(data), str(drawn)), Path(place, "log"), patience)
        ready = [scene["file"] for scene in scenes if (drawn / scene["file"]).is_file()]
        files = tuple(Path(shutil.move(drawn / name, folder / name)) for name in ready)
    missing = [scene["file"] for scene in scenes if scene["file"] not in ready]
    return SceneOutcome(files, _left_out(missing, reason))


def scene_list(view: FloorView) -> list[dict[str, Any]]:
    """What to draw, in order: file, title, quantity, whether values are signed, and the words of every sheet."""
    states = [
        {
            "file": f"scene-deflection-{state}.png",
            "title": f"Deflection, {state} state",
            "quantity": "deflection, mm, downward positive",
            "signed": False,
        }
        for state in STATES
    ]
    frequencies = view.modes.frequencies[:MODES]
    modes = [
        {
            "file": f"scene-mode-{mode + 1}.png",
            "title": f"Mode {mode + 1}: {frequency:.2f} Hz, {view.modes.kinds[mode]}",
            "quantity": "mode shape, largest value 1",
            "signed": True,
        }
        for mode, frequency in enumerate(frequencies)
    ]
    sheet = {
        "floor": view.title,
        "reference": f"Reference {view.reference or '–'}, revision {view.revision or '–'}",
        "caution": CAUTION,
    }
    return [scene | sheet for scene in [*states, *modes]]


def _write_input(view: FloorView, scenes: list[dict[str, Any]], path: Path) -> None:
    mesh, fields = view.fields.mesh, view.fields
    deflections = [1e3 * fields.deflection[state] for state in STATES]
    values = np.column_stack([*deflections, fields.shapes[:, : len(scenes) - len(STATES)]])
    np.savez(
        path,
        vertices=mesh.vertices,
        triangles=mesh.triangles,
        rim=mesh.edges[mesh.boundary_edges],
        jacks=view.schedule.xy,
        sizes=np.array([view.thickness, view.footprint]),
        values=values,
        scenes=np.array(json.dumps(scenes)),
    )


def _run(words: list[str], log: Path, patience: float) -> str:
    """Run the child; why it did not end well, in words, or "" if it did."""
    try:
        with log.open("wb") as file:
            process = child.start(words, file, without=SCREENS)
            try:
                status = process.wait(patience)
            except subprocess.TimeoutExpired:
                return f"drawing took longer than {patience:.0f} s and was stopped"
            finally:
                process.kill()
                process.wait()
    except OSError as error:
        return f"the drawing process could not be started: {error}"
    if status < 0:
        return f"the drawing process was ended by {_signal_name(-status)}, as happens without a graphics library"
    if status > 0:
        lines = log.read_text(encoding="utf-8", errors="replace").split("\n")
        last = next((line.strip() for line in reversed(lines) if line.strip()), "no message")
        return f"the drawing process stopped: {last}"
    return ""


def _signal_name(number: int) -> str:
    try:
        return f"{signal.Signals(number).name} (signal {number})"
    except ValueError:
        return f"signal {number}"


def _left_out(missing: list[str], reason: str) -> str:
    if not missing:
        return ""
    reason = reason or "the drawing process wrote nothing"
    return f"left out {', '.join(missing)}; {reason}. All other papers are complete."
