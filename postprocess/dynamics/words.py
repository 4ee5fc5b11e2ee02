"""What drops, supports and bands come to, in sentences."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from postprocess.dynamics.bands import NOMINAL
from postprocess.dynamics.views import DropView

Floats = NDArray[np.float64]

DOSE: Final = "m/s¹·⁷⁵"
"""Unit of a vibration dose."""
AUDIBLE: Final = 0.05
"""Difference of levels below which two supports are called equal, dB."""
LITTLE: Final = 0.05
"""Share by which the air must change a force so that it is worth saying."""
DEEP: Final = 0.05
"""Depth beyond which most coverings would be pressed through, m; common practice, no source."""
TOO_DEEP: Final = "more than most coverings are thick: check the stiffness"
FULL: Final = "With all imposed load on the floor at the same time"
COILS: Final = (
    "The model gives springs no mass: real coils have standing waves (surge), mostly above some tens of Hz, and pass "
    "more there than is shown; a rubber layer damps them."
)
LIMITS: Final = (
    COILS,
    "Not in the model: sound. Forces and velocities end at the middles of the bays; walls, columns and what they "
    "radiate as structure-borne sound are not followed.",
    "Springs are linear: a spring that would go solid or let go is shown by its load and reserve, but its blow is not "
    "followed.",
    "Contact is a linear spring that only pushes, with a restitution; both come from the case or are assumptions, and "
    "the peak of the contact force follows from them.",
    "The dropped weight is one rigid mass: its own vibration and that of bars and racks is left out.",
    "People add no mass, stiffness or damping to the slab.",
)
"""What the model leaves out."""


def decibels(value: float) -> str:
    """A difference of levels with its sign, to tenths, a true minus sign and none on zero."""
    return f"{value:+z.1f} dB".replace("-", "\N{MINUS SIGN}") if abs(value) >= AUDIBLE else "0 dB"


def kilonewtons(force: float) -> str:
    """A force in N as kN: three digits or so, at least two of a small one down to 1 N."""
    value = force / 1e3
    size = abs(value)
    digits = 0 if size >= 100 else 1 if size >= 10 else 2 if size >= 0.1 or size < 1e-3 else 3 if size >= 0.01 else 4
    return f"{value:z.{digits}f} kN".replace("-", "\N{MINUS SIGN}")


def millimetres(length: float) -> str:
    """A length in m as mm, to tenths."""
    return f"{1e3 * length:z.1f} mm".replace("-", "\N{MINUS SIGN}")


def bay_words(name: str) -> str:
    """The name of a bay, with "bay" before it where it does not say so itself."""
    return name if "bay" in name.lower().split() else f"bay {name}"


def times_words(times: float) -> str:
    """How many times as much, to two digits and never in powers of ten."""
    return f"{times:.1f}" if times < 10 else f"{times:.0f}"


def band_runs(chosen: NDArray[np.bool_]) -> tuple[tuple[int, int], ...]:
    """First and last index of each run of True in (k,)."""
    steps = np.diff(np.concatenate([[0], chosen.astype(np.int8), [0]]))
    return tuple(
        (int(a), int(b) - 1) for a, b in zip(np.flatnonzero(steps == 1), np.flatnonzero(steps == -1), strict=True)
    )


def run_words(runs: Sequence[tuple[int, int]]) -> str:
    """Runs of bands by their nominal frequencies: "2.5 to 4 Hz and 10 Hz"."""
    said = [f"{NOMINAL[a]} Hz" if a == b else f"{NOMINAL[a]} to {NOMINAL[b]} Hz" for a, b in runs]
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"


def amplify_words(drop: DropView) -> tuple[str, str]:
    """Where and by how much at most springs and rubber pass more force than the bare floor takes."""
    return _amplified("Springs amplify", drop.reduction), _amplified("Rubber amplifies", drop.rubber_reduction)


def _amplified(who: str, reduction: Floats) -> str:
    worse = reduction < -AUDIBLE
    if not worse.any():
        return f"{who} in no band from {NOMINAL[0]} to {NOMINAL[-1]} Hz."
    worst = int(reduction.argmin())
    return (
        f"{who} at {run_words(band_runs(worse))}, by {-reduction[worst]:.1f} dB at most (at {NOMINAL[worst]} Hz): "
        "more force in these bands than on the bare floor."
    )


def share_words(drop: DropView) -> str:
    """One line: peak force on springs beside rubber and the bare floor, and where springs amplify."""
    springs, worse = drop.springs.peak_force, drop.reduction < -AUDIBLE
    rubber, bare = (f"{100 * springs / max(each.peak_force, 1e-9):.0f} %" for each in (drop.rubber, drop.bare))
    said = f"springs pass {rubber} of what rubber does and {bare} of the bare floor's peak"
    if drop.airless is not None and abs(drop.airless.peak_force / max(springs, 1e-9) - 1) > LITTLE:
        said += f" ({kilonewtons(drop.airless.peak_force)} on springs without the air)"
    if not worse.any():
        return f"{said}; they amplify in no band."
    return f"{said}; they amplify at {run_words(band_runs(worse))}, by {-drop.reduction.min():.1f} dB at most."


def drop_words(drop: DropView, ids: Sequence[str]) -> tuple[str, ...]:
    """The blow, what goes into the structure on each support, and what the springs have left. ids: of the jacks."""
    reserve = (
        f"{millimetres(drop.reserve)} of travel left to solid"
        if drop.reserve > 0
        else f"SOLID: {millimetres(-drop.reserve)} more than its travel"
    )
    found = [
        f"{drop.mass:.4g} kg from {1e3 * drop.height:.0f} mm: touches at {drop.speed:.2f} m/s for "
        f"{1e3 * drop.contact_time:.1f} ms, {drop.impulse:.0f} N·s, at most {kilonewtons(float(drop.contact.max()))}.",
        f"Greatest force into the structure: {kilonewtons(drop.springs.peak_force)} on springs, "
        f"{kilonewtons(drop.rubber.peak_force)} on rubber, {kilonewtons(drop.bare.peak_force)} on the bare floor.",
        f"Worst jack {ids[drop.worst_jack]}: {reserve}; least load of any jack {kilonewtons(drop.least_load)}"
        + (" (less than nothing: a spring would let go)." if drop.least_load < 0 else "."),
    ]
    found += [_covering_words(drop), full_words(drop.full_reserve)]
    if drop.clearance is not None:
        found.append(
            f"Slab and structural floor: {millimetres(drop.clearance)} of gap left at the worst moment."
            if drop.clearance > 0
            else f"Slab and structural floor TOUCH: the gap is {millimetres(-drop.clearance)} too small."
        )
    return tuple(found)


def _covering_words(drop: DropView) -> str:
    pressed = f"The covering is pressed {millimetres(drop.depth)} deep"
    return f"{pressed}: {TOO_DEEP}." if drop.depth > DEEP else f"{pressed}."


def depth_words(drop: DropView) -> tuple[str, ...]:
    """The warning where the covering is pressed deeper than `DEEP`; none where it is not."""
    return (f"covering pressed {millimetres(drop.depth)} deep, {TOO_DEEP}",) if drop.depth > DEEP else ()


def full_words(reserve: float) -> str:
    """The least travel left, m, with all imposed load on the floor while the weight falls."""
    if reserve < 0:
        return f"{FULL} a spring would go SOLID: {millimetres(-reserve)} short."
    return f"{FULL}: {millimetres(reserve)} of travel left to solid."
