"""The places where the slab's moments are judged: over the whole plan, and as strip means where they peak.

Beside a jack, a foot or a re-entrant corner the moment at a point means little: it peaks over a small area or is
singular. There the mean over a strip stands for all points around, so that design values depend on the plan and not
on the mesh of the solution. At a re-entrant corner there are two: a short one for cracks, which start where the
concrete is stretched most, and a longer one for resistance, as steel that yields passes moment on to its neighbours.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import KDTree
from shapely import Polygon

from fem.mesh import Mesh
from postprocess.sections import Sections, strip_sections
from postprocess.strength.corner import CornerStrips, corner_strips

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SIDE_TURN = np.pi / 4
"""Turn of the side zones from a corner's bisector, rad."""
ZONE = 4.0
"""Width over which a moment at a re-entrant corner is averaged for resistance, over the thickness: about that of the
strip beside a column over which EN 1992-1-1:2004, 9.4.1(2), gathers half of the steel; common practice, no source."""


@dataclass(frozen=True, eq=False)
class Spots:
    """n small loaded areas: first the jacks, then the feet of equipment.

    names: "jack C4", "Rack 1, foot 2". xy: (n, 2) centres, m. size: (n,) diameter or side, m. jacks: their number.
    """

    names: tuple[str, ...]
    xy: Floats
    size: Floats
    jacks: int

    def kind(self, spot: int) -> Literal["jack", "foot"]:
        """What stands there."""
        return "jack" if spot < self.jacks else "foot"


@dataclass(frozen=True, eq=False)
class JudgedMoments:
    """Moment triples Mx, My, Mxy of s load columns at m places, N·m/m, sagging positive.

    for_x, for_y: (m, 3, s) what the steel along x, along y has to resist; they differ where a strip is averaged, as
    steel along x is cut by a section along y. strips: the places where that is so, the spots. across, across_zone:
    (c, s) mean moments across the bisector of each re-entrant corner, over its strip and over its zone.
    """

    for_x: Floats
    for_y: Floats
    strips: slice
    across: Floats
    across_zone: Floats

    def combined(self, factors: Floats) -> JudgedMoments:
        """The columns superposed by factors (s, k)."""
        return JudgedMoments(
            self.for_x @ factors,
            self.for_y @ factors,
            self.strips,
            self.across @ factors,
            self.across_zone @ factors,
        )


@dataclass(frozen=True, eq=False)
class Places:
    """m places: v vertices of `mesh`, then n spots, then c re-entrant corners by their strip, by their zone,
    and by their two side zones.

    mesh: a mesh of the plan, made for looking at it. strips: (n,) widths of averaging at the spots, m: size plus
    thickness. corners, zones: short and long strips at re-entrant corners along the bisector; side_zones: long ones
    SIDE_TURN to either side of it, along the edges drawn on at a square corner. home: (v,) number of the place whose
    moments stand for a vertex where resistance is judged: its own, or the spot within half a strip, or the corner
    within its zone. crack_home: (v,) the same where cracks are judged, with the corner's strip.
    """

    mesh: Mesh
    spots: Spots
    strips: Floats
    sections_x: Sections
    sections_y: Sections
    corners: CornerStrips
    zones: CornerStrips
    side_zones: tuple[CornerStrips, CornerStrips]
    home: Ints
    crack_home: Ints

    @classmethod
    def on_plan(
        cls, plan: Polygon, mesh: Mesh, spots: Spots, corners: Floats, *, thickness: float, corner_strip: float
    ) -> Places:
        """Places on `plan`, m, whose re-entrant corners are (c, 2).

        corner_strip: shorter width of averaging at them, m.
        """
        strips, zone = spots.size + thickness, _zones(corners, thickness, max(ZONE * thickness, corner_strip))
        first = len(mesh.vertices) + len(spots.names)
        home = _homes(mesh.vertices, spots.xy, strips / 2)
        return cls(
            mesh,
            spots,
            strips,
            sections_x=strip_sections(plan, spots.xy, strips, "y"),
            sections_y=strip_sections(plan, spots.xy, strips, "x"),
            corners=corner_strips(plan, corners, corner_strip),
            zones=corner_strips(plan, corners, zone),
            side_zones=(
                corner_strips(plan, corners, zone, SIDE_TURN),
                corner_strips(plan, corners, zone, -SIDE_TURN),
            ),
            home=_near_corners(home, mesh.vertices, corners, zone, first + len(corners)),
            crack_home=_near_corners(home, mesh.vertices, corners, corner_strip, first),
        )

    @property
    def points(self) -> Floats:
        """(p, 2) where moments are wanted, m, in the order that `judge` takes."""
        parts = (self.sections_x, self.sections_y, self.corners, self.zones, *self.side_zones)
        return np.concatenate([self.mesh.vertices, *(part.points.reshape(-1, 2) for part in parts)])

    @property
    def xy(self) -> Floats:
        """(m, 2) the places, m."""
        corners = [part.xy for part in (self.corners, self.zones, *self.side_zones)]
        return np.concatenate([self.mesh.vertices, self.spots.xy, *corners])

    @property
    def at_strips(self) -> slice:
        """The places that are re-entrant corners by their strip; those by their zones are the last ones."""
        first = len(self.mesh.vertices) + len(self.spots.names)
        return slice(first, first + len(self.corners.xy))

    @property
    def regular(self) -> NDArray[np.bool_]:
        """(m,) where bending is judged without the re-entrant corners: spots, and vertices not near spot or zone."""
        return self._standing(self.home, 0)

    @property
    def bending(self) -> NDArray[np.bool_]:
        """(m,) the same with the re-entrant corners by their zones."""
        found = self.regular
        found[self.at_strips.stop :] = True
        return found

    @property
    def cracking(self) -> NDArray[np.bool_]:
        """(m,) where cracks are judged: spots, corners by their strip, and vertices near none of these."""
        return self._standing(self.crack_home, len(self.corners.xy))

    def _standing(self, home: Ints, corners: int) -> NDArray[np.bool_]:
        found = np.zeros(len(self.xy), dtype=bool)
        found[: len(home)] = home == np.arange(len(home))
        found[len(home) : len(home) + len(self.spots.names) + corners] = True
        return found

    def judge(self, triples: Floats) -> JudgedMoments:
        """The moments to be judged, from triples (p, 3, s) at `points`."""
        averaged = []
        start = len(self.mesh.vertices)
        for part in (self.sections_x, self.sections_y, self.corners, self.zones, *self.side_zones):
            shape = part.points.shape[:2]
            count = shape[0] * shape[1]
            averaged.append(part.means(triples[start : start + count].reshape(*shape, *triples.shape[1:])))
            start += count
        for_x, for_y, *at_corners = averaged
        at_points = triples[: len(self.mesh.vertices)]
        return JudgedMoments(
            for_x=np.concatenate([at_points, for_x, *at_corners]),
            for_y=np.concatenate([at_points, for_y, *at_corners]),
            strips=slice(len(at_points), len(at_points) + len(self.spots.xy)),
            across=self.corners.across_bisector(at_corners[0]),
            across_zone=self.zones.across_bisector(at_corners[1]),
        )

    def point(self, place: int) -> tuple[float, float]:
        """Where a place is, m."""
        x, y = self.xy[place]
        return float(x), float(y)

    def name(self, place: int) -> str:
        """A place in words."""
        vertices, spots = len(self.mesh.vertices), len(self.spots.names)
        if vertices <= place < vertices + spots:
            return self.spots.names[place - vertices]
        x, y = self.point(place)
        return f"{'slab' if place < vertices else 're-entrant corner'} at ({x:.3f}, {y:.3f}) m"


def _homes(vertices: Floats, spots: Floats, near: Floats) -> Ints:
    """(v,) each vertex itself, or the spot in whose reach `near` (n,) it lies deepest, counted after the vertices."""
    home = np.arange(len(vertices))
    around = KDTree(spots).query_ball_point(vertices, near.max())
    for vertex, found in enumerate(np.asarray(each, dtype=np.int64) for each in around):
        distance = np.hypot(*(spots[found] - vertices[vertex]).T) - near[found]
        if len(found) and distance.min() <= 0:
            home[vertex] = len(vertices) + found[distance.argmin()]
    return home


def _zones(corners: Floats, least: float, most: float) -> Floats:
    """(c,) widths of the zones: half the distance to the next corner at most, so that no two zones share trimmers."""
    if len(corners) < 2:
        return np.full(len(corners), most)
    distance = np.asarray(KDTree(corners).query(corners, k=2)[0])[:, 1]
    return np.clip(distance / 2, least, most)


def _near_corners(home: Ints, vertices: Floats, corners: Floats, reach: Floats | float, first: int) -> Ints:
    """`home` with vertices within `reach` of a corner and beside no spot given to it; corners count from `first` on."""
    if not len(corners):
        return home
    distance, corner = (np.asarray(each) for each in KDTree(corners).query(vertices))
    near = np.broadcast_to(np.asarray(reach, dtype=float), len(corners))[corner]
    return np.where((distance <= near) & (home == np.arange(len(home))), first + corner, home)
