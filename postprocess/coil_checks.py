"""Checks of coils whose geometry is known, at each jack in the full state: giving way sideways, and shear stress."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fem.helical_spring import Coil
from postprocess.checks import Check
from postprocess.schedule import JackSchedule

STABLE = "EN 13906-1:2013, buckling (from memory), no margin"
STRESSED = "EN 13906-1:2013, uncorrected shear stress, static (from memory)"

Coils = Sequence[tuple[str, Coil]]


def coil_checks(schedule: JackSchedule, coils: Sequence[Coils]) -> list[Check]:
    """The coil that is nearest to giving way sideways and that with the highest share of its allowed stress.

    coils: for each of n jacks the code and geometry of every coil under it that is known; pairs shorten alike.
    """
    full = schedule.compression("full")
    found = [(jack, code, coil) for jack, own in enumerate(coils) for code, coil in own]
    checks = []
    slender = [(coil.buckling_deflection - full[jack], jack, code) for jack, code, coil in found]
    slender = [each for each in slender if np.isfinite(each[0])]
    if slender:
        left, jack, code = min(slender)
        name, where = "least travel left to giving way sideways, full", f"jack {schedule.ids[jack]}, coil {code}"
        checks.append(Check(name, 1e3 * float(left), 0.0, "mm", "at least", STABLE, where))
    stressed = [
        (coil.shear_stress(coil.rate * float(full[jack])) / coil.allowed_stress, coil.allowed_stress, jack, code)
        for jack, code, coil in found
        if coil.allowed_stress is not None
    ]
    if stressed:
        share, allowed, jack, code = max(stressed)
        name, where = "shear stress of coils, full", f"jack {schedule.ids[jack]}, coil {code}"
        checks.append(Check(name, share * allowed / 1e6, allowed / 1e6, "MPa", "at most", STRESSED, where))
    return checks
