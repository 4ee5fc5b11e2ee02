"""From a case to all that its papers show of the floor in motion."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from fem.direct_response import direct_response
from jackfield.air import air_view
from jackfield.coupled_modes import bay_views, coupled_modes, springs_alone
from jackfield.drop_map import drop_map, heaviest
from jackfield.dropping import drop_view
from jackfield.moving import MOST_MODES, MovingFloor, moving_floor
from jackfield.sideways import sideways_view
from jackfield.steady import chosen_points, passed_on, steady_views, transmissibility
from postprocess.checks import Check
from postprocess.dynamics.checks import dynamics_checks
from postprocess.dynamics.sentences import motion_sentences
from postprocess.dynamics.views import DynamicsView
from preprocess.case import Case

Floats = NDArray[np.float64]

DIRECT = (4.0, 16.0, 40.0, 80.0, 125.0)
"""Bands in which the modal method is held against the full system, Hz; at 160 Hz it is 1.1 % off on the demo floors."""
HELD = 0.4
"""Bands up to this part of the highest mode are looked at: on slabs of hundreds of square metres modes end early."""
LARGEST = 3000.0
"""Area of the largest slab that is set in motion, m2: its modes would end below 50 Hz."""
WITHIN = (0.94, 1.04)
"""Frequencies that are looked at, over the middle of each band."""
DIRECT_POINTS = 3


def floor_dynamics(case: Case, said: Callable[[str], None]) -> tuple[MovingFloor, DynamicsView]:
    """The floor meshed for motion, and everything that the case holds the data for. said: told what goes on."""
    dynamics = case.dynamics
    said("finding the modes of slab, structural floor and air")
    moving = moving_floor(case)
    said("looking at the air below the slab")
    air = air_view(moving)
    drops = []
    for impact in dynamics.impacts:
        said(f"dropping {impact.name}")
        drops.append(drop_view(moving, impact))
    said("dropping it at places all over the slab")
    where = drop_map(moving, heaviest(dynamics.impacts)) if dynamics.impacts else None
    said("sweeping steady forces")
    view = DynamicsView(
        springs_alone=springs_alone(moving),
        modes=coupled_modes(moving),
        bay_names=tuple(bay.name for bay in dynamics.bays),
        bays=bay_views(moving),
        air=air,
        drops=tuple(drops),
        drop_map=where,
        transmissibility=transmissibility(moving),
        steady=steady_views(moving),
        sideways=sideways_view(moving.floor),
        truncation=0.0,
        sentences=(),
        assumed=dynamics.assumed,
    )
    said("holding modes against the full system")
    view = replace(view, truncation=truncation(moving))
    return moving, replace(view, sentences=_sentences(view, moving))


def why_still(case: Case) -> str | None:
    """Why the floor of a case is not set in motion, in words, or None where it is."""
    if not case.dynamics.given:
        return "the floor in motion: case.toml has no [[impacts]], [[groups]], [[machines]], [[bays]] or [air]"
    if case.slab.plan.area > LARGEST:
        return f"the floor in motion: the slab is larger than {LARGEST:,.0f} m2; cut the case to the part that matters"
    return None


def case_checks(view: DynamicsView, case: Case) -> list[Check]:
    """The verdicts on a floor in motion."""
    limits = case.dynamics.limits
    return dynamics_checks(
        view,
        case.jacks.ids,
        acceleration=limits.acceleration,
        dose=limits.dose,
    )


def truncation(moving: MovingFloor) -> float:
    """Greatest difference of the net force into the structure, by modes, from that of the full system, as a share.

    In each band of the root of the mean square over points and frequencies: single ones may lie beside a zero.
    """
    _, xy = chosen_points(moving)
    points = moving.floor.sampler.points(xy[:DIRECT_POINTS])
    bands = np.array([band for band in DIRECT if band <= HELD * moving.slab.frequencies[-1]])
    frequencies = np.outer(bands, WITHIN).ravel()
    modal = passed_on(moving, moving.springs, points.rows, moving.local(points), frequencies)
    damping, model = moving.case.dynamics.damping, moving.floor.model
    direct = direct_response(
        model,
        moving.case.jacks.rates,
        points.rows.toarray().T,
        frequencies,
        spring_loss=2 * damping.springs,
        slab_loss=2 * damping.slab,
        bays=moving.bays,
        cavity=moving.cavity,
        rows=points.rows,
    ).force
    off, size = (np.linalg.norm(each.reshape(len(bands), -1), axis=1) for each in (modal - direct, direct))
    return float((off / size).max())


def _sentences(view: DynamicsView, moving: MovingFloor) -> tuple[str, ...]:
    """What is to be said, with the end of the modes of a slab so large that no more of them were looked for."""
    modes = moving.slab.frequencies
    ending = float(modes[-1]) if len(modes) >= MOST_MODES else None
    return motion_sentences(view, moving.case.jacks.ids, modes_end=ending)
