"""Where the two mats lie in the slab: effective depths for each face and direction."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import Final, Literal

from postprocess.strength.fabric import Direction, Fabric

Face = Literal["bottom", "top"]

FACES: Final[tuple[tuple[Face, Direction], ...]] = tuple(product(("bottom", "top"), ("x", "y")))
"""The four things that carry moments, in the order of the design moments of `wood_armer`."""
COLUMNS: Final[dict[Face, list[int]]] = {"bottom": [0, 1], "top": [2, 3]}
"""Face -> its numbers in FACES, along x and along y."""


@dataclass(frozen=True)
class Wires:
    """The wires of one mat along one direction, as a section across them sees them.

    area: m²/m. depth: from the compressed face to their centre, m. diameter, pitch, cover: m; the cover is theirs,
    measured to the face of their mat.
    """

    area: float
    depth: float
    diameter: float
    pitch: float
    cover: float


@dataclass(frozen=True)
class Section:
    """A section of the slab, a metre wide. tension: the mat near the face in tension. other: the other mat.

    Either is None where there is no such mat; thickness in m.
    """

    thickness: float
    tension: Wires | None
    other: Wires | None


@dataclass(frozen=True)
class Layers:
    """The slab's mats, None for one that is left out. Thickness and covers in m.

    cover_bottom, cover_top: from the face to the outer wires. outer_bottom, outer_top: which wires are outer, i.e.
    nearest to the face.
    """

    thickness: float
    bottom: Fabric | None
    top: Fabric | None
    cover_bottom: float
    cover_top: float
    outer_bottom: Direction = "x"
    outer_top: Direction = "x"

    def fabric(self, face: Face) -> Fabric | None:
        """The mat near `face`."""
        return self.bottom if face == "bottom" else self.top

    def cover(self, face: Face) -> float:
        """Cover of the outer wires of the mat near `face`, m."""
        return self.cover_bottom if face == "bottom" else self.cover_top

    def section(self, face: Face, direction: Direction) -> Section:
        """The section whose `face` is in tension by a moment along `direction` (Mx for "x")."""
        other: Face = "top" if face == "bottom" else "bottom"
        return Section(self.thickness, self._wires(face, direction, face), self._wires(other, direction, face))

    def effective_depth(self, face: Face, direction: Direction) -> float:
        """d, m: from the compressed face to the wires near `face`, which is in tension; nan without a mat."""
        wires = self._wires(face, direction, face)
        return wires.depth if wires else float("nan")

    def _wires(self, mat: Face, direction: Direction, tension: Face) -> Wires | None:
        fabric = self.fabric(mat)
        if fabric is None:
            return None
        outer = self.outer_bottom if mat == "bottom" else self.outer_top
        cover = self.cover(mat) + (fabric.diameter(outer) if direction != outer else 0.0)
        diameter = fabric.diameter(direction)
        from_own_face = cover + diameter / 2
        depth = self.thickness - from_own_face if mat == tension else from_own_face
        return Wires(fabric.area(direction), depth, diameter, fabric.pitch(direction), cover)
