"""Small motions of a rigid body on springs: six freedoms, any masses, point springs and resilient strips.

Axes x, y in plan and z upward. Freedoms: movement of the centre of mass along x, y, z, m, and rotation about axes
through it parallel to x, y and z, rad, right-handed. A place r from the centre of mass moves by v + θ × r.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from fem.modes import PURE
from fem.quadrature import line_rule

Floats = NDArray[np.float64]

WITH: Final = 0.1
"""Share of the kinetic energy from which sway is said to go with rocking, and rocking with sway."""
MIXED: Final = 0.2
"""Share of the kinetic energy from which a motion is named in a mode that is nothing in the main."""

_NAMES: Final = ("sway along x", "sway along y", "heave", "rocking about x", "rocking about y", "twist")


@dataclass(frozen=True, eq=False)
class Masses:
    """p point masses: xyz (p, 3) m, kilograms (p,). Bodies are sums of them that have the same moments to the second.

    Kilograms of single points may be negative, as those of a hole are.
    """

    xyz: Floats
    kilograms: Floats

    @classmethod
    def layer(cls, rings: Sequence[Floats], mass: float, height: float, thickness: float = 0.0) -> Masses:
        """`mass` kg spread evenly over a plan with rings (n, 2), and over `thickness` about `height`, m.

        Outer rings turn one way, holes the other; closed, or open with the last side left to be drawn. Each side makes
        a triangle with the first corner, on which the middles of its sides integrate squares exactly; so do two sheets
        at thickness/√12 above and below the middle.
        """
        corners = np.concatenate([ring - rings[0][0] for ring in rings])
        after = np.concatenate([np.roll(ring, -1, axis=0) - rings[0][0] for ring in rings])
        areas = (corners[:, 0] * after[:, 1] - corners[:, 1] * after[:, 0]) / 2
        plan = rings[0][0] + np.concatenate([corners, corners + after, after]) / 2
        sheets = [
            np.column_stack([plan, np.full(len(plan), height + way * thickness / 12**0.5)]) for way in (-1.0, 1.0)
        ]
        return cls(np.vstack(sheets), np.tile(areas * mass / areas.sum(), 6) / 6)

    @classmethod
    def line(cls, path: Floats, mass: float, height: float) -> Masses:
        """`mass` kg spread evenly along `path` (n, 2) at `height`, m."""
        plan, lengths, _ = _along(path)
        return cls(np.column_stack([plan, np.full(len(plan), height)]), mass * lengths / lengths.sum())

    @classmethod
    def joined(cls, parts: Sequence[Masses]) -> Masses:
        """All of them together."""
        return cls(np.vstack([part.xyz for part in parts]), np.concatenate([part.kilograms for part in parts]))


@dataclass(frozen=True, eq=False)
class Springs:
    """n springs that hold places of the body to the ground.

    xyz: (n, 3) m. rates: (n, 3, 3) N/m, force over movement. loads: (n,) N, with which they push it up at rest.
    """

    xyz: Floats
    rates: Floats
    loads: Floats

    @classmethod
    def single(cls, xyz: Floats, rates: Floats, loads: Floats) -> Springs:
        """At xyz (n, 3), m, with rates (n, 3) along x, y and z, N/m, and loads (n,), N."""
        return cls(xyz, rates[:, :, None] * np.eye(3), loads)

    @classmethod
    def strip(cls, path: Floats, height: float, normal: float, along: float, vertical: float) -> Springs:
        """A strip along the straight segments of `path` (n, 2) at `height`, m, that carries no load at rest.

        normal, along, vertical: rates of each m across its length in plan, along it and upward, N/m per m. Two Gauss
        points a segment are exact, as stiffness is a square of place.
        """
        plan, lengths, direction = _along(path)
        across = direction[:, ::-1] * [1.0, -1.0]
        rates = np.zeros((len(plan), 3, 3))
        rates[:, :2, :2] = normal * _outer(across) + along * _outer(direction)
        rates[:, 2, 2] = vertical
        xyz = np.column_stack([plan, np.full(len(plan), height)])
        return cls(xyz, rates * lengths[:, None, None], np.zeros(len(plan)))

    @classmethod
    def joined(cls, parts: Sequence[Springs]) -> Springs:
        """All of them together."""
        return cls(
            np.vstack([part.xyz for part in parts]),
            np.vstack([part.rates for part in parts]),
            np.concatenate([part.loads for part in parts]),
        )

    @property
    def sway_rates(self) -> Floats:
        """(2,) of all of them along x and y, N/m."""
        total: Floats = np.einsum("nii->i", self.rates)[:2]
        return total


@dataclass(frozen=True, eq=False)
class RigidSlab:
    """A body on springs. centre: (3,) of its mass, m. mass, stiffness: (6, 6) in the freedoms of this module.

    Products of inertia are kept; the axes need not be principal ones.
    """

    centre: Floats
    mass: Floats
    stiffness: Floats

    @classmethod
    def of(cls, masses: Masses, springs: Springs) -> RigidSlab:
        """Masses on springs whose loads are in equilibrium with their weight.

        Loads take their share of stiffness in rocking: N z for a load N at z from the centre of mass, so −W h for a
        weight W on springs h below (it tips over like a pendulum on its head). What a load does to the spring itself
        belongs into its lateral rate, which is to be that of the loaded spring. That the seats of the springs tilt with
        the slab is left out: a moment of half the load times the movement sideways. Standard mechanics, derived from
        the work of the loads along ½ θ × (θ × r).
        """
        total = masses.kilograms.sum()
        centre = masses.kilograms @ masses.xyz / total
        r = masses.xyz - centre
        spread = r.T @ (masses.kilograms[:, None] * r)
        mass = np.zeros((6, 6))
        mass[:3, :3] = total * np.eye(3)
        mass[3:, 3:] = np.trace(spread) * np.eye(3) - spread
        arms = springs.xyz - centre
        motion = np.concatenate([np.broadcast_to(np.eye(3), springs.rates.shape), -_cross(arms)], axis=2)
        stiffness = np.sum(np.swapaxes(motion, 1, 2) @ springs.rates @ motion, axis=0)
        stiffness[[3, 4], [3, 4]] += springs.loads @ arms[:, 2]
        return cls(centre, mass, (stiffness + stiffness.T) / 2)

    def modes(self) -> RigidModes:
        """The six modes. The mass must be positive in every freedom."""
        squares, vectors = np.linalg.eigh(self.mass)
        half = (vectors / np.sqrt(squares)) @ vectors.T
        omega_squares, energies = np.linalg.eigh(half @ self.stiffness @ half)
        return RigidModes(omega_squares, half @ energies, (energies**2).T)


@dataclass(frozen=True, eq=False)
class RigidModes:
    """Six modes in ascending order. squares: (6,) ω², 1/s², negative where the body is not stable.

    shapes: (6, 6) columns of unit modal mass. shares: (6, 6) of the kinetic energy, a row a mode, in x, y, heave,
    rocking about x and y, and twist. Where products of inertia couple rotations, energy common to two of them is
    divided by the symmetric root of the mass: shares are the squares of M^½ φ, so none is negative and they add to 1,
    both for a mode over the freedoms and for a freedom over the modes.
    """

    squares: Floats
    shapes: Floats
    shares: Floats

    @property
    def frequencies(self) -> Floats:
        """(6,) Hz, 0 where it is not stable."""
        return np.sqrt(np.maximum(self.squares, 0.0)) / (2 * np.pi)

    @cached_property
    def kinds(self) -> tuple[str, ...]:
        """Each mode in words."""
        ends = ["" if square > 0 else ", not stable" for square in self.squares]
        return tuple(_kind(share) + end for share, end in zip(self.shares, ends, strict=True))


def _kind(share: Floats) -> str:
    """By the freedom with most of the energy; sway and rocking at once are named if each has a tenth."""
    sway, rock = share[:2].sum(), share[3:5].sum()
    largest = int(np.argmax(share))
    if share[largest] >= PURE:
        name = _NAMES[largest]
    elif sway >= PURE:
        name = "sway along a slanted line"
    elif rock >= PURE:
        name = "rocking about a slanted axis"
    else:
        order = np.argsort(-share, kind="stable")
        return " and ".join(_NAMES[freedom] for freedom in order[: max(2, int(np.sum(share >= MIXED)))])
    if name.startswith("sway") and rock >= WITH:
        return f"{name} with rocking"
    return f"{name} with sway" if name.startswith("rocking") and sway >= WITH else name


def _along(path: Floats) -> tuple[Floats, Floats, Floats]:
    """Gauss points (2s, 2) on the s segments of a path, the length that each stands for, and its direction (2s, 2)."""
    points, weights = line_rule(2)
    side = np.diff(path, axis=0)
    length = np.linalg.norm(side, axis=1)
    side, start, length = side[length > 0], path[:-1][length > 0], length[length > 0]
    plan = (start[:, None] + points[:, None] * side[:, None]).reshape(-1, 2)
    direction = np.repeat(side / length[:, None], len(points), axis=0)
    return plan, np.outer(length, weights).ravel(), direction


def _outer(vectors: Floats) -> Floats:
    """(n, d, d) v vᵀ of (n, d)."""
    return vectors[:, :, None] * vectors[:, None, :]


def _cross(r: Floats) -> Floats:
    """(n, 3, 3) matrices of r × for (n, 3)."""
    x, y, z = r.T
    zero = np.zeros(len(r))
    rows = [[zero, -z, y], [z, zero, -x], [-y, x, zero]]
    return np.moveaxis(np.array(rows), 2, 0)
