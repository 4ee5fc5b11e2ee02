"""A weight dropped on a floor: contact that only pushes, integrated in time on the floor's modes.

The covering under the weight is a spring of stiffness k while it is pressed together, and of k/e² while it lets go, so
that the weight leaves a rigid base with e times its speed at any speed (Walton and Braun, Journal of Rheology 30, 1986,
949-980). The pulse on a rigid base is then two quarter sines: its peak is v√(kM), its duration
π(1 + e)/2 · √(M/k), its impulse M v (1 + e). A covering that the weight has left is as it was before.

Between steps the contact force is taken as linear and the modes are integrated exactly; the force at the end of a step
follows from an equation of one unknown. p drops on the same floor are integrated side by side.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import expm

from fem.gravity import GRAVITY

Floats = NDArray[np.float64]

_RISE_STEPS = 160
"""Steps while the covering is pressed together on a rigid base: the peak is then good to 0.02 %."""
_FALL_STEPS = 16
"""Steps at least while it lets go, which is the shorter the less it gives back."""
_DIED = 16.0
"""A mode is left out once it has decayed by e to this power, 1e-7."""
_LONGEST = 6
"""A touch is followed for this many times its duration on a rigid base; a weight that has not left then stays."""


@dataclass(frozen=True, eq=False)
class Oscillators:
    """N modes of unit modal mass. angular: (N,) ω, rad/s, above 0. ratios: (N,) ζ, below 1."""

    angular: Floats
    ratios: Floats

    def free(self, q: Floats, v: Floats, time: Floats) -> tuple[Floats, Floats]:
        """(t, ..., N) displacement and speed at (t,) s after q and v (..., N), without force.

        Modes that have died out by the first of these times are left at zero.
        """
        decay, turn = self.ratios * self.angular, self.angular * np.sqrt(1 - self.ratios**2)
        alive = decay * time.min(initial=np.inf) < _DIED
        pole = (-decay + 1j * turn)[alive]
        start = q[..., alive] - 1j * (v + decay * q)[..., alive] / turn[alive]
        moving = start * np.exp(pole * time.reshape(-1, *(1,) * q.ndim))
        position, speed = (np.zeros((len(time), *q.shape)) for _ in range(2))
        position[..., alive] = moving.real
        speed[..., alive] = (pole * moving).real
        return position, speed

    def step(self, length: float) -> tuple[Floats, Floats, Floats]:
        """Exact step of `length` s under a force linear in time.

        A (2, 2, N) on (q, v), and B0, B1 (2, N) on the modal force at its start and end (first-order hold).
        """
        count = len(self.angular)
        system = np.zeros((count, 4, 4))
        system[:, 0, 1] = length
        system[:, 1, 0] = -(self.angular**2) * length
        system[:, 1, 1] = -2 * self.ratios * self.angular * length
        system[:, 1, 2] = length
        system[:, 2, 3] = 1.0
        whole = expm(system) if count else system
        A = whole[:, :2, :2].transpose(1, 2, 0)
        B1 = whole[:, :2, 3].T
        return A, whole[:, :2, 2].T - B1, B1


@dataclass(frozen=True, eq=False)
class Weights:
    """p weights and where they fall. mass: (p,) kg. stiffness: (p,) of the coverings, N/m. restitution: (p,) above 0.

    places: (p, N) displacement of the floor under each weight in each mode, 1/√kg. local: (p,) m/N, what the floor
    gives there at once, by modes that are left out.
    """

    mass: Floats
    stiffness: Floats
    restitution: Floats
    places: Floats
    local: Floats

    @property
    def rise(self) -> Floats:
        """(p,) time to the greatest force on a rigid base, s."""
        return np.asarray(pi / 2 * np.sqrt(self.mass / self.stiffness))

    @property
    def step(self) -> float:
        """Length of step that resolves every contact, s."""
        return float((self.rise * np.minimum(1 / _RISE_STEPS, self.restitution / _FALL_STEPS)).min())


@dataclass(frozen=True, eq=False)
class Touch:
    """From the first contact of p weights until all have left. time: (s,) s from its start. force: (s, p) N.

    weight: (2, p) displacement, m downward, and speed of the weights at the end. kept: (k,) numbers of the steps whose
    state was kept, the last among them. q, v: (k, p, N) then.
    """

    time: Floats
    force: Floats
    weight: Floats
    kept: NDArray[np.int64]
    q: Floats
    v: Floats

    @property
    def impulse(self) -> Floats:
        """(p,) N·s."""
        return np.asarray(np.trapezoid(self.force, self.time, axis=0))

    @property
    def duration(self) -> Floats:
        """(p,) time in contact, s."""
        pressed = (self.force[1:] > 0) | (self.force[:-1] > 0)
        return np.asarray((np.diff(self.time)[:, None] * pressed).sum(axis=0))


@dataclass
class _Covering:
    """The coverings while weights are in contact: how deep each was pressed, and whether its weight has left."""

    stiffness: Floats
    back: Floats
    given: Floats
    deepest: Floats
    gone: NDArray[np.bool_]

    def force(self, depth: Floats, give: Floats) -> Floats:
        """(p,) N at the end of a step, for the depth (p,) that there would be without it and the give (p,), m/N."""
        pressing = self.stiffness * depth / (1 + self.stiffness * give)
        leaving = self.back * (depth - self.deepest * self.given) / (1 + self.back * give)
        force = np.where(self.gone, 0.0, np.maximum(np.minimum(pressing, leaving), 0.0))
        touched = self.deepest > 0
        reached = depth - give * force
        self.deepest = np.maximum(self.deepest, reached)
        self.gone = self.gone | (touched & (force <= 0))
        return force


def touch(
    floor: Oscillators,
    weights: Weights,
    speeds: Floats,
    *,
    state: tuple[Floats, Floats] | None = None,
    above: Floats | None = None,
    step: float | None = None,
    keep: int = 1,
    gravity: float = GRAVITY,
) -> Touch:
    """Follow p weights from where they touch the floor, downward at `speeds` (p,) m/s, until they leave it.

    state: q and v (p, N) of the floor, default at rest. above: (p,) gap left at the start, m, default none. step: s,
    default that of the weights. keep: the state of every so many steps is kept.
    """
    h = weights.step if step is None else step
    A, B0, B1 = floor.step(h)
    places, mass = weights.places, weights.mass
    q, v = (np.zeros_like(places),) * 2 if state is None else state
    y, u = np.sum(places * q, axis=-1) - (0.0 if above is None else above), speeds.astype(float)
    give = np.sum(places**2 * B1[0], axis=-1) + weights.local + h**2 / (6 * mass)
    e = weights.restitution
    zeros = np.zeros(len(mass))
    covering = _Covering(weights.stiffness, weights.stiffness / e**2, 1 - e**2, zeros, np.zeros(len(mass), dtype=bool))
    force = zeros
    forces, kept, states = [force], [0], [(q, v)]
    most = int(np.ceil(_LONGEST * float((weights.rise * (1 + e)).max()) / h))
    for number in range(1, most + 1):
        push = places * force[:, None]
        q_next, v_next = A[0, 0] * q + A[0, 1] * v + B0[0] * push, A[1, 0] * q + A[1, 1] * v + B0[1] * push
        fall = y + u * h + 0.5 * gravity * h**2 - force * h**2 / (3 * mass)
        new = covering.force(fall - np.sum(places * q_next, axis=-1), give)
        push = places * new[:, None]
        q, v = q_next + B1[0] * push, v_next + B1[1] * push
        y = fall - new * h**2 / (6 * mass)
        u = u + gravity * h - 0.5 * h * (force + new) / mass
        force = new
        forces.append(force)
        done = bool(covering.gone.all()) or number == most
        if number % keep == 0 or done:
            kept.append(number)
            states.append((q, v))
        if done:
            break
    q_kept, v_kept = (np.stack(part) for part in zip(*states, strict=True))
    time = np.asarray(h * np.arange(len(forces)), dtype=np.float64)
    return Touch(time, np.stack(forces), np.stack([y, u]), np.array(kept), q_kept, v_kept)
