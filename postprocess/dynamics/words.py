"""What drops, supports and bands come to, in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from postprocess.checks import PRACTICE
from postprocess.dynamics.bands import NOMINAL
from postprocess.dynamics.views import DropView, DynamicsView

Floats = NDArray[np.float64]

TRADE: Final = (
    "What the trade says: a rubber layer does well against steady sound at higher frequencies, springs do well against "
    f"the sudden heavy drop ({PRACTICE})."
)
HIGHER: Final = 50.0
"""Frequency from which steady sound counts as of higher frequency in the comparison, Hz."""
DOSE: Final = "m/s¹·⁷⁵"
"""Unit of a vibration dose."""
AUDIBLE: Final = 0.05
"""Difference of levels below which two supports are called equal, dB."""
COILS: Final = (
    "The model gives springs no mass: real coils have standing waves (surge), mostly above some tens of Hz, and pass "
    "more there than is shown; a rubber layer damps them."
)
WHY: Final = "coils have no mass in the model, so it is too kind to springs at higher frequencies (surge of the coils)."
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
    """A force in N as kN, three digits or so."""
    value = force / 1e3
    digits = 2 if abs(value) < 10 else 1 if abs(value) < 100 else 0
    return f"{value:z.{digits}f} kN".replace("-", "\N{MINUS SIGN}")


def millimetres(length: float) -> str:
    """A length in m as mm, to tenths."""
    return f"{1e3 * length:z.1f} mm".replace("-", "\N{MINUS SIGN}")


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
    if drop.clearance is not None:
        found.append(
            f"Slab and structural floor: {millimetres(drop.clearance)} of gap left at the worst moment."
            if drop.clearance > 0
            else f"Slab and structural floor TOUCH: the gap is {millimetres(-drop.clearance)} too small."
        )
    return tuple(found)


def danger_words(drop: DropView, ids: Sequence[str]) -> tuple[str, ...]:
    """What must not happen and does under a drop; none where all is well. ids: of the jacks."""
    found = []
    if drop.reserve < 0:
        found.append(f"The spring of jack {ids[drop.worst_jack]} goes solid: {millimetres(-drop.reserve)} short.")
    if drop.least_load < 0:
        found.append(f"A spring lets go: least jack load {kilonewtons(drop.least_load)}.")
    if drop.clearance is not None and drop.clearance <= 0:
        found.append(f"The slab touches the structural floor: gap {millimetres(-drop.clearance)} too small.")
    return tuple(found)


def comparison_words(view: DynamicsView) -> tuple[str, ...]:
    """What the trade says of springs and rubber, and what the model says with numbers, agreement or not."""
    return (TRADE, *_steady_words(view), *(words for drop in view.drops for words in _drop_verdict(drop)))


def _steady_words(view: DynamicsView) -> Iterator[str]:
    curves = view.transmissibility
    chosen = curves.frequencies >= HIGHER
    if not chosen.any() or not len(curves.names):
        return
    springs, rubber = (float(np.sqrt((each[:, chosen] ** 2).mean())) for each in (curves.springs, curves.rubber))
    span = f"{HIGHER:g} to {curves.frequencies[-1]:g} Hz"
    levels = [20 * np.log10(max(each, 1e-10)) for each in (springs, rubber)]
    said = (
        f"steady force of {span}, mean over the points: springs pass {100 * springs:.3g} % of it "
        f"({decibels(levels[0])}), rubber {100 * rubber:.3g} % ({decibels(levels[1])})"
    )
    apart = abs(levels[0] - levels[1])
    if rubber <= springs:
        yield f"As the trade says: {said}. Rubber is {apart:.1f} dB better."
    else:
        yield f"The model says otherwise of steady sound: {said}. Springs are {apart:.1f} dB better: {WHY}"
    yield from _rubber_alone(view)


def _rubber_alone(view: DynamicsView) -> Iterator[str]:
    """Where rubber passes less than springs at any of the points."""
    curves = view.transmissibility
    found = curves.frequencies[(curves.rubber < curves.springs).any(axis=0)]
    if len(found):
        own = view.springs_alone[0]
        among = f", the springs' own {own:.2f} Hz among them" if found[0] <= own <= found[-1] else ""
        span = f"between {found[0]:.3g} and {found[-1]:.3g} Hz"
        yield f"Rubber passes less of a steady force than springs do at frequencies {span}{among}."


def _drop_verdict(drop: DropView) -> Iterator[str]:
    springs, rubber, bare = drop.springs.peak_force, drop.rubber.peak_force, drop.bare.peak_force
    said = (
        f'drop "{drop.name}": {kilonewtons(springs)} into the structure on springs, {kilonewtons(rubber)} on rubber, '
        f"{kilonewtons(bare)} on the bare floor"
    )
    if springs < rubber:
        yield f"As the trade says: {said}. Rubber passes {rubber / springs:.2g} times as much as springs."
    else:
        yield f"The model says otherwise of this drop: {said}. Springs pass no less than rubber."
    gain, found = drop.reduction - drop.rubber_reduction, []
    for better, name, other in ((gain > AUDIBLE, "springs", "rubber"), (gain < -AUDIBLE, "rubber", "springs")):
        if better.any():
            most = float(np.abs(gain[better]).max())
            found.append(f"{name} better than {other} at {run_words(band_runs(better))}, by {most:.1f} dB at most")
    if found:
        yield f'Drop "{drop.name}", by bands of force: {"; ".join(found)}.'
