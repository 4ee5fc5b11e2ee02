"""What is to be said on sway and twist."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from fem.modes import PURE
from fem.rigid_slab import MIXED, RigidModes

Floats = NDArray[np.float64]

NEAR: Final = 0.2
"""Difference from the frequency of sway, as a share, up to which heave and rocking are called near (own choice)."""


def sideways_notes(
    modes: RigidModes,
    *,
    unknown: Sequence[str],
    loaded: Sequence[str],
    given_way: Sequence[str],
    share: float,
    strips: bool,
) -> tuple[str, ...]:
    """Notes on the six modes.

    unknown: the spring at each jack whose lateral rate is not known, which has `share` of its vertical rate instead.
    loaded: those whose lateral rate is that of their coils under load. given_way: those that have no stiffness left
    sideways under their load. strips: whether there are any round the slab.
    """
    notes = [_sway(modes), *_not_stable(modes, strips), *_given_way(given_way), *_near(modes)]
    if unknown:
        notes.append(
            f"Lateral rates are not known at {_jacks(unknown)}: {round(float(share), 3)} times the vertical rate is "
            "assumed, and the frequencies of sway and twist go with the root of it. Ask the maker of the springs."
        )
    if loaded:
        notes.append(
            f"Lateral rates at {_jacks(loaded)} are those of the coils between parallel seats under the load in "
            "service (EN 13906-1, from memory)."
        )
    if strips:
        notes.append("Strips are taken to be pressed in enough to act both ways, and to carry nothing at rest.")
    return tuple(notes)


def _sway(modes: RigidModes) -> str:
    """Where sway and twist take part."""
    part = (modes.shares[:, :2].sum(axis=1) >= MIXED) | (modes.shares[:, 5] >= MIXED)
    return f"Sideways, as a rigid body: {'; '.join(_named(modes, mode) for mode in np.flatnonzero(part))}."


def _not_stable(modes: RigidModes, strips: bool) -> Iterator[str]:
    """The warning where a square of a frequency is not positive."""
    count = int(np.sum(modes.squares <= 0))
    if count:
        cure = "make the strips round it longer or stiffer" if strips else "put resilient strips round its perimeter"
        yield (
            f"The slab is not stable sideways: in {count} of its six modes the springs push it further off. Before it "
            f"is lifted, {cure}, or choose springs that are stiffer sideways (wider coils, shorter coils)."
        )


def _given_way(codes: Sequence[str]) -> Iterator[str]:
    """The warning on single springs."""
    if codes:
        yield f"Springs have no stiffness left sideways under their load at {_jacks(codes)}; others must hold them."


def _near(modes: RigidModes) -> Iterator[str]:
    """Sway near heave and rocking, or in one mode with them."""
    frequencies, sway, upright = modes.frequencies, modes.shares[:, :2].sum(axis=1), modes.shares[:, 2:5].sum(axis=1)
    both = (sway >= MIXED) & (upright >= MIXED)
    if both.any():
        yield (
            f"Sway and rocking go together in {both.sum()} modes: a drop or a beat away from the slab's middle moves "
            "it sideways as well."
        )
    for mode in np.flatnonzero((sway >= PURE) & (frequencies > 0)):
        close = (upright >= PURE) & (np.abs(frequencies - frequencies[mode]) <= NEAR * frequencies[mode])
        if close.any():
            others = " and ".join(_named(modes, other) for other in np.flatnonzero(close))
            name = _named(modes, mode)
            yield f"{name[:1].upper()}{name[1:]} lies within {100 * NEAR:.0f} % of {others}: one can set off the other."


def _named(modes: RigidModes, mode: int | np.intp) -> str:
    """Kind and frequency of a mode."""
    return f"{modes.kinds[mode]} at {modes.frequencies[mode]:.2f} Hz"


def _jacks(codes: Sequence[str]) -> str:
    """ "3 jacks (A7, B2)"."""
    kinds = ", ".join(Counter(codes))
    return f"{len(codes)} jack{'s' if len(codes) > 1 else ''} ({kinds})"
