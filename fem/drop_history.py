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
    time = np.arange(0.0, duration - last.end, _LOOK)
    if len(time) < 2:
        return None
    (height,), (rate,) = last.touch.weight
    q, v = floor.free(last.touch.q[-1, 0], last.touch.v[-1, 0], time)
    fallen = height + rate * time + 0.5 * GRAVITY * time**2
    gap = q @ weight.places[0] - fallen
    above = np.flatnonzero(gap > 0)
    if not len(above):
        return None
    below = np.flatnonzero(gap[above[0] :] <= 0)
    if not len(below):
        return None
    at = int(above[0] + below[0]) - 1
    arriving = rate + GRAVITY * time[at]
    if arriving - v[at] @ weight.places[0] < LEAST_SPEED * speed:
        return None
    found = touch(
        floor,
        weight,
        np.array([arriving]),
        state=(q[at : at + 1], v[at : at + 1]),
        above=np.array([gap[at]]),
    )
    return Contact(float(last.end + time[at]), found)
