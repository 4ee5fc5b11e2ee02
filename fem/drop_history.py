"""A dropped weight from its first touch on: bounces, and the force on the floor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from fem.drop import Oscillators, Touch, Weights, touch
from fem.gravity import GRAVITY

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

LEAST_SPEED = 0.1
"""Touches slower than this part of the first are not followed: their energy is below a hundredth."""
_LOOK = 5e-4
"""Step with which the next touch is looked for, s."""
_TOGETHER = 250
"""Steps that are looked at together."""
_FINE = 24
"""Frequencies to one over the duration of a touch: splines are then right to 1e-5."""


@dataclass(frozen=True, eq=False)
class Contact:
    """A touch of one weight and the time at which it begins, s."""

    start: float
    touch: Touch

    @property
    def end(self) -> float:
        """When the weight has left, s."""
        return float(self.start + self.touch.time[-1])


@dataclass(frozen=True, eq=False)
class DropHistory:
    """One weight on a floor, without what it weighs once it lies still. contacts: in order, the first at time 0."""

    floor: Oscillators
    contacts: tuple[Contact, ...]

    @property
    def first(self) -> Touch:
        """The first touch."""
        return self.contacts[0].touch

    def force(self, time: Floats) -> Floats:
        """(t,) contact force at (t,) s, N."""
        total = np.zeros(len(time))
        for contact in self.contacts:
            total += np.interp(time - contact.start, contact.touch.time, contact.touch.force[:, 0], left=0, right=0)
        return total

    def spectrum(self, frequencies: Floats, shift: float = 0.0) -> Complexes:
        """(f,) transform ∫ F e^{−(α + iω)t} dt of the contact force at (f,) Hz, N·s; shift: α, 1/s.

        Of each touch at even frequencies, exact for its linear pieces, and between them by cubic splines: about its
        middle it varies slowly, over one by its duration.
        """
        total = np.zeros(len(frequencies), dtype=complex)
        for contact in self.contacts:
            time, force = contact.touch.time, contact.touch.force[:, 0]
            h, half = time[1], time[-1] / 2
            step = 1 / (_FINE * time[-1])
            even = step * np.arange(int(np.ceil(frequencies.max() / step)) + 4) if len(frequencies) else np.zeros(4)
            s = shift + 2j * np.pi * even
            own = h * np.sinc(-1j * s * h / (2 * np.pi)) ** 2 * (np.exp(-np.outer(s, time - half)) @ force)
            phase = np.exp(-(shift + 2j * np.pi * frequencies) * (contact.start + half))
            total += phase * CubicSpline(even, own)(frequencies)
        return total

    @property
    def length(self) -> float:
        """From the first touch to the end of the last, s."""
        return self.contacts[-1].end


def follow(floor: Oscillators, weight: Weights, speed: float, duration: float) -> DropHistory:
    """One weight from its first touch at `speed` m/s downward, for `duration` s."""
    speeds = np.array([speed])
    contacts = [Contact(0.0, touch(floor, weight, speeds))]
    while (again := _next_touch(floor, weight, contacts[-1], speed, duration)) is not None:
        contacts.append(again)
    return DropHistory(floor, tuple(contacts))


def _next_touch(floor: Oscillators, weight: Weights, last: Contact, speed: float, duration: float) -> Contact | None:
    """The next touch of a weight that has left, or None where it comes too late, too slowly, or has not risen.

    A weight that leaves while the covering is still pressed in, and rises no higher than that, has come to rest.
    """
    (height,), (rate,) = last.touch.weight
    risen = False
    for first in np.arange(0.0, duration - last.end, _LOOK * _TOGETHER):
        time = first + _LOOK * np.arange(_TOGETHER + 1)
        q, v = floor.free(last.touch.q[-1, 0], last.touch.v[-1, 0], time)
        gap = q @ weight.places[0] - (height + rate * time + 0.5 * GRAVITY * time**2)
        start = 0 if risen else int(np.argmax(gap > 0))
        risen = risen or bool(gap[start] > 0)
        below = np.flatnonzero(gap[start:] <= 0)
        if risen and len(below):
            at = max(int(start + below[0]) - 1, 0)
            return _arrival(floor, weight, last, time[at], (q[at : at + 1], v[at : at + 1]), least=LEAST_SPEED * speed)
        if rate + GRAVITY * time[-1] > 0 and not risen:
            return None
    return None


def _arrival(
    floor: Oscillators, weight: Weights, last: Contact, after: float, state: tuple[Floats, Floats], *, least: float
) -> Contact | None:
    """The touch that begins just after `after` s from the last, None where it is slower than `least` m/s.

    state: q and v (1, N) of the floor then.
    """
    (height,), (rate,) = last.touch.weight
    arriving = rate + GRAVITY * after
    q, v = state
    if arriving - float(v[0] @ weight.places[0]) < least:
        return None
    gap = q[0] @ weight.places[0] - (height + rate * after + 0.5 * GRAVITY * after**2)
    found = touch(floor, weight, np.array([arriving]), state=state, above=np.array([gap]))
    return Contact(float(last.end + after), found)
