"""A case whose jacks or springs are still open: checked, and ready to become a `Case` once they are chosen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from shapely import Polygon

from preprocess.case import Case, Jacks, SetOutRules, Spring
from preprocess.floor_heights import Spot
from preprocess.jack_list import JackRow
from preprocess.schema import CaseFile
from preprocess.si import to_case, to_jacks, to_setout


@dataclass(frozen=True, eq=False)
class Draft:
    """Everything in a case folder but the jacks, or but their springs.

    catalogue: springs by code. rows: of the jack list, none where jacks are to be set out; their springs are codes of
    the catalogue only if the case was read for them. spots: heights of the structural floor, none where none are given.
    remarks: on what was read from a drawing.
    """

    folder: Path
    file: CaseFile
    plan: Polygon
    catalogue: Mapping[str, Spring]
    rows: tuple[JackRow, ...]
    spots: tuple[Spot, ...]
    remarks: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The name of the case's folder."""
        return self.folder.resolve().name

    @property
    def jack_file(self) -> str:
        """The name of the file that the jacks are from."""
        drawing = self.file.drawing
        return self.file.jacks.positions if drawing is None or drawing.jacks_layer is None else drawing.file

    @property
    def setout(self) -> SetOutRules:
        """Where jacks may stand."""
        return to_setout(self.file)

    @property
    def footprint(self) -> float:
        """Diameter of a jack's housing, m."""
        return self.file.jacks.footprint_mm / 1000

    def listed(self) -> Case:
        """The case with the springs of its jack list."""
        return self.with_springs([self.catalogue[row.spring] for row in self.rows])

    def with_springs(self, springs: Sequence[Spring]) -> Case:
        """The case with these springs under the jacks of its list, in its order."""
        return self.with_jacks(to_jacks(self.rows, springs, self.footprint))

    def with_jacks(self, jacks: Jacks) -> Case:
        """The case with other jacks than those of its list."""
        return to_case(self.folder, self.file, self.plan, self.catalogue, jacks, spots=self.spots, remarks=self.remarks)
