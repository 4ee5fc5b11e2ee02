"""What the sheets, pictures and lists of a lift show: heights, loads, contact and peaks of bending, pass by pass."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from fem.mesh import Mesh

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class PeakView:
    """The greatest bending over a number of single turns.

    jack: index of the jack that had just been turned. pass_number: 1 for the first pass. moment: N.m/m. use: the moment
    over the moment at which the slab may crack. place: where it is, in words. xy: the same in m. face: "top" or
    "bottom", where cracks would open.
    """

    jack: int
    pass_number: int
    moment: float
    use: float
    place: str
    xy: tuple[float, float]
    face: str


@dataclass(frozen=True, eq=False)
class PassView:
    """One pass, in which each jack is turned once, for n jacks; the state is that after its last turn.

    number: 1 for the first. turns: full turns at each jack. order: (n,) jacks in the order of turning. advance: (n,)
    travel of the screws since the slab was cast, m. heights: (n,) of the slab at the jacks above where it lay, m.
    loads: (n,) on the springs, N. reserves: (n,) travel left to solid, m. contact_share: part of the slab's area that
    still lies on the floor. contact: that area, maybe empty. mesh_heights: (v,) at the vertices of the display mesh, m.
    peak: over the single turns of the pass. step: greatest difference of screw travel between neighbouring jacks at any
    turn of the pass, m; step_jacks: these neighbours.
    """

    number: int
    turns: float
    order: tuple[int, ...]
    advance: Floats
    heights: Floats
    loads: Floats
    reserves: Floats
    contact_share: float
    contact: BaseGeometry
    mesh_heights: Floats
    peak: PeakView
    step: float
    step_jacks: tuple[int, int]


@dataclass(frozen=True)
class SizeView:
    """A size of pass. turns: full turns a pass. earliest_age: days from which its peak is safe; None if never."""

    turns: float
    peak: PeakView
    earliest_age: int | None


@dataclass(frozen=True)
class FaultView:
    """What may go wrong at a jack, and how far it shows.

    words: the fault. height_change: the greatest, m. load_change: the greatest, N. use: peak moment over the cracking
    moment with the fault. noticed: whether and when a survey shows it, in words. harmful: whether the slab may crack or
    a jack leaves its limits.
    """

    words: str
    jack: int
    height_change: float
    load_change: float
    use: float
    noticed: str
    harmful: bool


@dataclass(frozen=True, eq=False)
class LiftView:
    """A lift as its papers show it, for n jacks.

    mesh: that of the pictures. age: of the concrete on the day, days. cracking_moment: N.m/m. pitch: of the screws, m a
    turn. sizes: other sizes of pass. resting_height: (n,) height of the slab at the jacks before the first turn, m.
    notes: sentences, such as what lowers the peak. worst: the greatest peak of all passes. order_name: in words.
    not_met: the checks of the lift that are not met, in words; empty where all are met.
    """

    mesh: Mesh
    age: float
    cracking_moment: float
    pitch: float
    passes: tuple[PassView, ...]
    sizes: tuple[SizeView, ...]
    faults: tuple[FaultView, ...]
    resting_height: Floats
    notes: tuple[str, ...]
    worst: PeakView
    order_name: str
    not_met: tuple[str, ...]
