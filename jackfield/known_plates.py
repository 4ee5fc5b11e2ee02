"""Plates and floors whose answers are known in closed form, solved by the program's own element and solvers."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.modes import solve_modes
from fem.moments import moments
from fem.ordering import elimination_order
from fem.plate import Plate, mass, stiffness
from fem.sampling import Footprints, Sampler
from fem.solver import Factor
from fem.space import PlateSpace
from fem.statics import solve_states
from jackfield.known_models import STIFF, floor_on_jacks, grid_mesh, sprung
from postprocess.report.known_answer import KnownAnswer

Floats = NDArray[np.float64]

BED_LINES = (0.17, 0.33, 0.5, 0.8, 1.3, 2.2, 3.8, 7.0, 12.0)
"""Lines of the mesh on either side of a load on an endless plate, over its characteristic length."""
FIRST = 13.4682
"""ω a² √(ρh/D) of the first mode of a free square plate with ν = 0.3: a converged Ritz series, worked out apart."""
SOFT = 1e-7
"""Of the square of the first frequency of a free plate, that of its heave on the springs that stand in for nothing."""


def plate_answers() -> Iterator[KnownAnswer]:
    """Free vibration, a plate on a bed, the patch test, a rigid slab on springs."""
    yield from _free_plates()
    yield from _on_bed()
    yield _patch()
    yield from _rigid_slab()


def _unit_plate(nu: float) -> Plate:
    """Rigidity 1 N·m and 1 kg/m2."""
    return Plate(0.01, 12 * (1 - nu**2) / 0.01**3, nu, 1.0)


def _free_frequencies(side: float, cells: int, plate: Plate) -> Floats:
    """Lowest angular frequencies of a square plate on hardly any springs, after its three rigid motions, rad/s."""
    lines = np.linspace(0, side, cells + 1)
    xy = side * np.array([[0.2, 0.2], [0.8, 0.2], [0.2, 0.8], [0.8, 0.8]])
    model = sprung(PlateSpace(grid_mesh(lines, lines)), plate, xy, side / 10)
    square = FIRST**2 * plate.rigidity / (plate.surface_density * side**4)
    rates = np.full(4, SOFT * square * plate.surface_density * side**2 / 4)
    return np.asarray(2 * pi * solve_modes(model, rates, 9).frequencies[3:])


def _free_plates() -> Iterator[KnownAnswer]:
    found = _free_frequencies(1.0, 5, _unit_plate(0.3))
    source = "free square plate, ν 0.3: converged Ritz series, worked out apart from this program"
    for number, value in ((1, FIRST), (3, 24.2702), (6, 61.0932)):
        name = f"free square plate: λ{number} = ω a² √(ρh/D)"
        reason = "0.01 %: the element on a coarse mesh"
        yield KnownAnswer(name, source, value, float(found[number - 1]), "", 1e-4 * value, reason)
    source = "NAFEMS, The Standard NAFEMS Benchmarks, 1990, test FV12, mode 4"
    plate = Plate(0.05, 200e9, 0.3, 8000 * 0.05)
    frequency = float(_free_frequencies(10.0, 5, plate)[0]) / (2 * pi)
    reason = "1.2 %: the published values are upper bounds that are not converged"
    yield KnownAnswer("free square plate of 10 m: first frequency", source, 1.622, frequency, "Hz", 0.0195, reason)


def _pressed(space: PlateSpace, plate: Plate, bed: sparse.csr_array, around: Footprints, load: Floats) -> Floats:
    """(unknowns,) displacement of a plate on a bed. around: any footprints on it, for the order of elimination."""
    matrix = sparse.csr_array(stiffness(space, plate) + bed)
    return Factor(matrix, elimination_order(space, around), lambda u: matrix @ u).solve(load[:, None])[:, 0]


def _on_bed() -> Iterator[KnownAnswer]:
    """Disc of half the characteristic length on an endless plate: D = k = 1, so that this length is 1 m."""
    lines = np.concatenate([-np.array(BED_LINES[::-1]), [0.0], BED_LINES])
    space, plate = PlateSpace(grid_mesh(lines, lines)), _unit_plate(0.2)
    sampler, middle = Sampler(space), np.zeros((1, 2))
    disc, point = sampler.discs(middle, 1.0), sampler.points(middle)
    u = _pressed(space, plate, mass(space, 1.0), disc, disc.rows.toarray()[0])
    source = "Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, chapter 8"
    sag, moment = float((point.rows @ u)[0]), float(moments(point, plate, u)[0, 0])
    name = "endless plate on an elastic bed, disc of radius ℓ/2"
    reason = "0.05 %: the plate is cut off at 12 ℓ, and the mesh"
    yield KnownAnswer(f"{name}: 8 w √(kD)/P", source, 0.917752, 8 * sag, "", 0.00046, reason)
    reason = "0.3 %: a local value under the disc"
    yield KnownAnswer(f"{name}: M/(P(1+ν))", source, 0.106062, moment / 1.2, "", 0.00032, reason)


def _patch() -> KnownAnswer:
    space, plate = PlateSpace(grid_mesh(np.linspace(0, 3, 6), np.linspace(0, 2, 4))), _unit_plate(0.2)
    bed = mass(space, 1.0)
    x, y = (each.ravel() for each in np.meshgrid(np.linspace(0.1, 2.9, 9), np.linspace(0.1, 1.9, 7)))
    points = Sampler(space).points(np.column_stack([x, y]))
    u = _pressed(space, plate, bed, points, bed @ space.rigid_motions() @ np.array([0.4, -0.3, 0.7]))
    worst = float(np.abs(moments(points, plate, u)).max())
    source = "patch test: a load that varies linearly presses a plate on an even bed down as a plane"
    return KnownAnswer("largest moment under a linear load", source, 0.0, worst, "N·m/m", 1e-9, "rounding")


def _rigid_slab() -> Iterator[KnownAnswer]:
    """7.2 × 4.8 m on 12 equal springs: reaction under a load off the middle, heave and both rockings."""
    a, b, k = 7.2, 4.8, 3e5
    model = floor_on_jacks(np.array([0.9, 2.7, 4.5, 6.3]), np.array([0.8, 2.4, 4.0]), (a, b), STIFF)
    x, y = (model.jack_xy - [a / 2, b / 2]).T
    rates, weight, place = np.full(len(x), k), 20e3, np.array([5.0, 1.5])
    factor = model.factor(rates)
    load = Sampler(model.space).points(place[None]).rows.toarray().T * weight
    (state,) = solve_states(model, load, rates, 0 * rates, factor)
    off_x, off_y = place - [a / 2, b / 2]
    expected = weight * (1 / len(x) + off_x * x[0] / (x @ x) + off_y * y[0] / (y @ y))
    reason = "0.02 %: a slab a million times stiffer than concrete still bends a little"
    source = "rigid body on springs: N = W (1/n + ex x/Σx² + ey y/Σy²)"
    name = "rigid slab: corner spring under a load off the middle"
    yield KnownAnswer(
        name, source, expected / 1e3, float(state.jack_load[0]) / 1e3, "kN", 2e-4 * abs(expected) / 1e3, reason
    )
    total = 312.5 * a * b
    squares = [k * len(x) / total, k * (y @ y) / (total * b**2 / 12), k * (x @ x) / (total * a**2 / 12)]
    found = solve_modes(model, rates, 3, factor).frequencies
    source = "rigid body on springs: √(Σk/m)/2π, √(Σk y²/(m b²/12))/2π, √(Σk x²/(m a²/12))/2π"
    for number, square in enumerate(sorted(squares)):
        name, value = f"rigid slab: frequency {number + 1}", sqrt(square) / (2 * pi)
        yield KnownAnswer(name, source, value, float(found[number]), "Hz", 2e-4 * value, reason)
