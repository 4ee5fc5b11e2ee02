"""What a drawing holds of a floor, in mm from the datum, each item with its layer and handle."""

from __future__ import annotations

from dataclasses import dataclass

from preprocess.wording import listed, quoted

PointMm = tuple[float, float]


@dataclass(frozen=True)
class Source:
    """Where in the drawing something stands. handles: of its entities; block: in which it lies, empty if in none."""

    layer: str
    handles: tuple[str, ...]
    block: str = ""

    def __str__(self) -> str:
        inside = f", block {quoted(self.block)}" if self.block else ""
        return f"layer {quoted(self.layer)[1:-1]}, handle{'s' * (len(self.handles) > 1)} {listed(self.handles)}{inside}"


@dataclass(frozen=True)
class DrawnRing:
    """A closed loop of corners; the last joins the first."""

    corners: tuple[PointMm, ...]
    source: Source


@dataclass(frozen=True)
class DrawnJack:
    """A jack. spring: code as the drawing has it, None where it does not say."""

    id: str
    x_mm: float
    y_mm: float
    spring: str | None
    advance_mm: float
    source: Source


@dataclass(frozen=True)
class DrawnEquipment:
    """A machine or rack on square feet of side `foot_mm` at `feet_mm`, or spread over `outline_mm`.

    mass_kg: None where neither the drawing nor the rules say. block: its name, empty for a bare outline.
    """

    name: str
    mass_kg: float | None
    block: str
    feet_mm: tuple[PointMm, ...] | None
    foot_mm: float | None
    outline_mm: tuple[PointMm, ...] | None
    source: Source


@dataclass(frozen=True)
class DrawnPlan:
    """Everything that was read; outline None where its layer is not read."""

    outline: DrawnRing | None
    openings: tuple[DrawnRing, ...]
    jacks: tuple[DrawnJack, ...]
    equipment: tuple[DrawnEquipment, ...]
