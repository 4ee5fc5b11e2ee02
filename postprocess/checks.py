"""Checks: a value against a limit, with the clause or practice that the limit comes from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import KDTree

from fem.modes import ModalResult
from postprocess.schedule import JackSchedule

Floats = NDArray[np.float64]

PRACTICE = "common practice, no source"
TENSION = "a spring cannot pull"
SOLID = "spring catalogue"
EQUILIBRIUM_LIMIT = 1e-9
"""Relative imbalance of jack loads and applied load; more is a fault of the program, not of the floor."""
SLENDERNESS_LIMIT = 1 / 5
"""Thickness over jack spacing above which thin-plate theory, which leaves out shear deformation, is doubtful."""


CLEAR, WORTH = 0.7, 0.1
"""Share of the mass in heave from which a mode is the heave mode without doubt, and from which it is named else:
common practice, no source."""


@dataclass(frozen=True)
class Check:
    """One verdict. value, limit: in `unit`. sense: which side of the limit is good. where: what governs.
    xy: the place that governs, m, where there is one. combination: of loads, that governs.
    """

    name: str
    value: float
    limit: float
    unit: str
    sense: Literal["at most", "at least"]
    basis: str
    where: str = ""
    xy: tuple[float, float] | None = None
    combination: str = ""

    @property
    def ok(self) -> bool:
        """Whether the value is on the good side of the limit; a limit that is just met is met."""
        return self.value <= self.limit if self.sense == "at most" else self.value >= self.limit


def jack_checks(schedule: JackSchedule, solid_reserve: float = 0.0) -> list[Check]:
    """The band in service, no spring in tension, and travel left before springs are solid.

    solid_reserve: how much of it must be left, m.
    """

    def at(index: np.intp) -> str:
        return f"jack {schedule.ids[index]}"

    low, high = schedule.band
    ratio = schedule.load_ratio("service")
    reserve = schedule.solid_reserve("full")
    travel, wanted = float(reserve.min()) * 1e3, solid_reserve * 1e3
    loads = np.array(list(schedule.loads.values()))
    state, jack = np.unravel_index(loads.argmin(), loads.shape)
    least = f"jack {schedule.ids[jack]}, {list(schedule.loads)[state]}"
    band = f"target.load_ratio of the case; {PRACTICE}"
    return [
        Check("largest load ratio, service", float(ratio.max()), high, "", "at most", band, at(ratio.argmax())),
        Check("least load ratio, service", float(ratio.min()), low, "", "at least", band, at(ratio.argmin())),
        Check("least jack load, any state", float(loads.min()) / 1e3, 0.0, "kN", "at least", TENSION, least),
        Check("least travel left to solid, full", travel, wanted, "mm", "at least", SOLID, at(reserve.argmin())),
    ]


def frequency_check(frequency: float, target: float, shared: str = "") -> Check:
    """The heave mode of the service floor against its upper limit, both in Hz. shared: see `heave_shared`."""
    basis = "target.natural_frequency_hz of the case"
    return Check("heave frequency, service", frequency, target, "Hz", "at most", basis, shared)


def heave_shared(modes: ModalResult) -> str:
    """How modes share the heave, in words, where the one that is judged has less than `CLEAR` of it; else nothing.

    An eccentric floor rocks as it heaves: then no single frequency says how well it isolates.
    """
    if modes.heave[modes.heave_mode] >= CLEAR:
        return ""
    parts = [
        f"mode {number + 1} at {modes.frequencies[number]:.2f} Hz {modes.heave[number]:.0%}"
        for number in np.flatnonzero(modes.heave >= WORTH)
    ]
    return f"heave is shared, look at each: {', '.join(parts)}"


def slenderness_check(thickness: float, jack_xy: Floats) -> Check:
    """Thickness over the spacing of the jacks, the median distance to the nearest one."""
    nearest = np.asarray(KDTree(jack_xy).query(jack_xy, k=2)[0])[:, 1]
    value = thickness / float(np.median(nearest))
    basis = "validity of thin-plate theory"
    return Check("thickness over jack spacing", value, SLENDERNESS_LIMIT, "", "at most", basis)


def equilibrium_check(errors: dict[str, float]) -> Check:
    """The worst state's imbalance of force and moments."""
    state = max(errors, key=lambda name: errors[name])
    return Check("equilibrium error", errors[state], EQUILIBRIUM_LIMIT, "", "at most", "self-check", state)


MESH_LIMITS = {"jack_load": 0.05, "frequency": 0.02, "moment": 3.0, "moment_anywhere": 3.0}
"""Percent that one refinement may change: jack loads and frequencies are integrals and settle fast; the moment is a
local value beside a small footprint."""


def mesh_checks(change_percent: dict[str, float]) -> list[Check]:
    """How far another mesh would change the largest jack load, the largest moment and the heave frequency."""
    names = {
        "jack_load": "mesh: largest jack load",
        "moment": "mesh: largest moment",
        "moment_anywhere": "mesh: moment at any place",
        "frequency": "mesh: heave frequency",
    }
    return [
        Check(name, abs(change_percent[key]), MESH_LIMITS[key], "%", "at most", "self-check")
        for key, name in names.items()
        if key in change_percent
    ]
