"""The quintic C1 triangle of Argyris, Fried and Scharpf (The Aeronautical Journal 72, 1968, 701-709).

Twenty-one unknowns: at each vertex w, its two slopes and three curvatures, and at the middle of each side the
slope along the side's normal. The basis is made once, on the reference triangle (0,0), (1,0), (0,1); each
triangle of the mesh takes its values from there through a matrix V (Kirby, SMAI J. Comput. Math. 4, 2018,
197-224): coefficients on the reference triangle = V · unknowns of the triangle.

Letters in this module: J Jacobian of the map from the reference triangle, V as above, t and n unit tangent and
normal of a side, L its length.
"""

from __future__ import annotations

from functools import cache
from math import perm

import numpy as np
from numpy.typing import NDArray

from fem.mesh import LOCAL_EDGES, Mesh
from fem.quadrature import triangle_rule

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

UNKNOWNS = 21
"""Unknowns of a triangle: 3 vertices × 6, then 3 mid-side normal slopes."""

_POWERS = np.array([(total - j, j) for total in range(6) for j in range(total + 1)])
_REFERENCE_VERTICES = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
_REFERENCE_NORMALS = np.array([[0.0, 1.0], [-1.0, -1.0], [1.0, 0.0]])
"""Normals of the reference sides, pointing to the left of their direction; any length will do."""
VERTEX_DERIVATIVES = ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2))
"""Order of the unknowns at a vertex: w, w,x, w,y, w,xx, w,xy, w,yy."""
CURVATURES = ((2, 0), (0, 2), (1, 1))
"""Order of the second derivatives in a curvature vector: w,xx, w,yy, w,xy."""
THIRDS = ((3, 0), (2, 1), (1, 2), (0, 3))
"""Order of the third derivatives: w,xxx, w,xxy, w,xyy, w,yyy."""


def _monomials(points: Floats, derivative: tuple[int, int]) -> Floats:
    """(p, 21) values of a derivative of x^a y^b at points (p, 2)."""
    result = np.ones((len(points), len(_POWERS)))
    for axis, order in enumerate(derivative):
        power = _POWERS[:, axis]
        factor = np.ones(len(power))
        for k in range(order):
            factor = factor * np.maximum(power - k, 0)
        powers = np.vander(points[:, axis], 6, increasing=True)
        result *= factor * powers[:, np.maximum(power - order, 0)]
    return result


@cache
def _coefficients() -> Floats:
    """(21, 21) coefficients of the reference basis in monomials, one column a basis function."""
    rows = [_monomials(vertex[None], d)[0] for vertex in _REFERENCE_VERTICES for d in VERTEX_DERIVATIVES]
    middles = _REFERENCE_VERTICES[LOCAL_EDGES].mean(axis=1)
    slopes = np.stack([_monomials(middles, (1, 0)), _monomials(middles, (0, 1))], axis=-1)
    rows.extend(np.einsum("kmi,ki->km", slopes, _REFERENCE_NORMALS))
    vandermonde = np.array(rows)
    inverse = np.linalg.inv(vandermonde)
    return np.asarray(inverse + inverse @ (np.eye(UNKNOWNS) - vandermonde @ inverse))  # one Newton step


@cache
def basis_coefficients(derivative: tuple[int, int] = (0, 0)) -> Floats:
    """(21, 21) coefficients of a derivative of the reference basis in `monomials`, one column a basis function."""
    place = {(int(a), int(b)): number for number, (a, b) in enumerate(_POWERS)}
    derive = np.zeros((UNKNOWNS, UNKNOWNS))
    i, j = derivative
    for (a, b), column in place.items():
        if a >= i and b >= j:
            derive[place[a - i, b - j], column] = perm(a, i) * perm(b, j)
    return np.asarray(derive @ _coefficients())


def monomials(points: Floats) -> Floats:
    """(p, 21) values of x^a y^b, a + b ≤ 5, at reference points (p, 2)."""
    return _monomials(points, (0, 0))


def reference_basis(points: Floats, derivative: tuple[int, int] = (0, 0)) -> Floats:
    """(p, 21) a derivative of the reference basis at reference points (p, 2)."""
    return monomials(points) @ basis_coefficients(derivative)


@cache
def reference_rigid_motions() -> Floats:
    """(21, 3) unknowns on the reference triangle of the fields 1, x and y."""
    at_vertices = np.zeros((3, 6, 3))
    at_vertices[:, 0, 0] = at_vertices[:, 1, 1] = at_vertices[:, 2, 2] = 1.0
    at_vertices[:, 0, 1:] = _REFERENCE_VERTICES
    at_sides = np.column_stack([np.zeros(3), _REFERENCE_NORMALS])
    return np.vstack([at_vertices.reshape(-1, 3), at_sides])


@cache
def reference_load() -> Floats:
    """(21,) integral of each reference basis function over the reference triangle, times 2 (mean value)."""
    points, weights = triangle_rule(5)
    return np.asarray(weights @ reference_basis(points))


@cache
def reference_mass() -> Floats:
    """(21, 21) mean value of the products of reference basis functions."""
    points, weights = triangle_rule(10)
    basis = reference_basis(points)
    return np.asarray(basis.T @ (weights[:, None] * basis))


@cache
def reference_bending() -> Floats:
    """(3, 3, 21, 21) mean value of the products of second derivatives, in the order of `CURVATURES`."""
    points, weights = triangle_rule(6)
    second = np.stack([reference_basis(points, d) for d in CURVATURES])
    return np.asarray(np.einsum("q,aqi,bqj->abij", weights, second, second))


def jacobians(mesh: Mesh) -> Floats:
    """(m, 2, 2) J of each triangle: columns are the sides from its first vertex."""
    corners = mesh.corners
    return np.stack([corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]], axis=-1)


def curvature_map(J: Floats) -> Floats:
    """(m, 3, 3) G with (w,xx, w,yy, w,xy) = G · the same on the reference triangle; H = J⁻ᵀ Ĥ J⁻¹."""
    inverse = np.linalg.inv(J)
    rows = []
    for i, j in ((0, 0), (1, 1), (0, 1)):
        p, q = inverse[:, :, i], inverse[:, :, j]
        rows.append(np.stack([p[:, 0] * q[:, 0], p[:, 1] * q[:, 1], p[:, 0] * q[:, 1] + p[:, 1] * q[:, 0]], axis=-1))
    return np.stack(rows, axis=1)


def laplacian_slope_map(J: Floats) -> Floats:
    """(m, 2, 4) from the third derivatives on the reference triangle to ((∇²w),x, (∇²w),y).

    On the reference triangle ∇²w = g₁₁ ŵ,₁₁ + 2 g₁₂ ŵ,₁₂ + g₂₂ ŵ,₂₂ with the metric g = J⁻¹ J⁻ᵀ; its slope is
    J⁻ᵀ times that on the reference triangle.
    """
    inverse = np.linalg.inv(J)
    metric = inverse @ inverse.transpose(0, 2, 1)
    laplacian = np.stack([metric[:, 0, 0], 2 * metric[:, 0, 1], metric[:, 1, 1]], axis=-1)
    reference = np.zeros((len(J), 2, len(THIRDS)))
    reference[:, 0, :3] = reference[:, 1, 1:] = laplacian
    return np.asarray(inverse.transpose(0, 2, 1) @ reference)


def to_reference(mesh: Mesh) -> Floats:
    """(m, 21, 21) V of each triangle, for unknowns scaled with `vertex_sizes` and `edge_lengths` of the mesh.

    An unknown is the derivative of order r times the local length to the power r, so that all have the
    dimension of w and the stiffness matrix keeps its digits as the mesh is refined.
    """
    J = jacobians(mesh)
    V = np.zeros((len(mesh.triangles), UNKNOWNS, UNKNOWNS))
    for vertex in range(3):
        _fill_vertex(V, 6 * vertex, J, mesh.vertex_sizes[mesh.triangles[:, vertex]])
    for side in range(3):
        _fill_side(V, side, J, mesh)
    return V


def _fill_vertex(V: Floats, first: int, J: Floats, size: Floats) -> None:
    """Chain rule at a vertex: ∇̂ŵ = Jᵀ∇w, Ĥ = JᵀHJ."""
    V[:, first, first] = 1.0
    V[:, first + 1 : first + 3, first + 1 : first + 3] = J.transpose(0, 2, 1) / size[:, None, None]
    for row, (a, b) in enumerate(((0, 0), (0, 1), (1, 1)), start=first + 3):
        p, q = J[:, :, a], J[:, :, b]
        V[:, row, first + 3] = p[:, 0] * q[:, 0] / size**2
        V[:, row, first + 4] = (p[:, 0] * q[:, 1] + p[:, 1] * q[:, 0]) / size**2
        V[:, row, first + 5] = p[:, 1] * q[:, 1] / size**2


def _fill_side(V: Floats, side: int, J: Floats, mesh: Mesh) -> None:
    """Mid-side slope: the reference normal maps to a direction with a part along n and a part along t.

    Along t the slope follows from the ends a, b of the side, since w is a quintic there:
    w,t = 15 (w_b − w_a)/(8 L) − 7 (w,t_a + w,t_b)/16 + L (w,tt_b − w,tt_a)/32   (Kirby 2018, section 3.4).
    """
    start, end = LOCAL_EDGES[side]
    along = mesh.corners[:, end] - mesh.corners[:, start]
    L = np.hypot(along[:, 0], along[:, 1])
    t = along / L[:, None]
    n = np.column_stack([-t[:, 1], t[:, 0]])
    direction = J @ _REFERENCE_NORMALS[side]
    across, with_t = np.sum(direction * n, axis=1), np.sum(direction * t, axis=1)
    row = 18 + side
    sign = np.where(mesh.triangles[:, start] < mesh.triangles[:, end], 1.0, -1.0)
    V[:, row, row] = across * sign / mesh.edge_lengths[mesh.triangle_edges[:, side]]
    for vertex, end_sign in ((start, -1.0), (end, 1.0)):
        first = 6 * vertex
        size = mesh.vertex_sizes[mesh.triangles[:, vertex]]
        V[:, row, first] = with_t * end_sign * 15 / (8 * L)
        V[:, row, first + 1] = -with_t * 7 / 16 * t[:, 0] / size
        V[:, row, first + 2] = -with_t * 7 / 16 * t[:, 1] / size
        bend = with_t * end_sign * L / 32 / size**2
        V[:, row, first + 3] = bend * t[:, 0] ** 2
        V[:, row, first + 4] = bend * 2 * t[:, 0] * t[:, 1]
        V[:, row, first + 5] = bend * t[:, 1] ** 2


def unknown_numbers(mesh: Mesh) -> Ints:
    """(m, 21) global number of each unknown: six a vertex, then one an edge."""
    at_vertices = 6 * mesh.triangles[:, :, None] + np.arange(6)
    at_sides = 6 * len(mesh.vertices) + mesh.triangle_edges
    return np.hstack([at_vertices.reshape(len(mesh.triangles), -1), at_sides])
