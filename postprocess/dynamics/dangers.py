"""What must not happen to springs, slab and floor and does: drops, the map of drops, groups and machines."""

from __future__ import annotations

from collections.abc import Sequence

from postprocess.dynamics.views import DropMapView, DropView, DynamicsView, SteadyView
from postprocess.dynamics.words import kilonewtons, millimetres


def danger_words(each: DropView | SteadyView, ids: Sequence[str]) -> tuple[str, ...]:
    """A sentence for a spring that goes solid, one that lets go, and a slab that touches. ids: of the jacks."""
    found = []
    if each.reserve < 0:
        found.append(f"The spring of jack {ids[each.worst_jack]} goes solid: {millimetres(-each.reserve)} short.")
    if each.least_load < 0:
        found.append(f"A spring lets go: least jack load {kilonewtons(each.least_load)}.")
    if each.clearance is not None and each.clearance <= 0:
        found.append(f"The slab touches the structural floor: gap {millimetres(-each.clearance)} too small.")
    return tuple(found)


def map_danger_words(grid: DropMapView, ids: Sequence[str]) -> tuple[str, ...]:
    """The same of the drop of a map, at the place where it is worst."""
    found = []
    if grid.reserve.min() < 0:
        worst = int(grid.reserve.argmin())
        jack, short = ids[int(grid.worst_jack[worst])], millimetres(-float(grid.reserve[worst]))
        found.append(f"Dropped at {spot(grid, worst)} the spring of jack {jack} goes solid: {short} short.")
    if grid.least_load.min() < 0:
        worst = int(grid.least_load.argmin())
        least = kilonewtons(float(grid.least_load[worst]))
        found.append(f"Dropped at {spot(grid, worst)} a spring lets go: least jack load {least}.")
    return tuple(found)


def all_dangers(view: DynamicsView, ids: Sequence[str]) -> tuple[str, ...]:
    """Every danger with the name of what brings it: drops, their map, groups and machines. ids: of the jacks."""
    found = [f"{each.name}: {words}" for each in view.drops for words in danger_words(each, ids)]
    if view.drop_map is not None:
        found += [f"{view.drop_map.name}: {words}" for words in map_danger_words(view.drop_map, ids)]
    found += [f"{each.name}: {words}" for each in ranked(view.steady) for words in danger_words(each, ids)]
    return tuple(found)


def ranked(steady: Sequence[SteadyView]) -> tuple[SteadyView, ...]:
    """Groups and machines that are not safe first, then those that must stop, then the rest; each by acceleration,
    and where that is alike by force, the greatest first."""

    def rank(each: SteadyView) -> tuple[bool, bool, float, float]:
        safe = each.reserve >= 0 and each.least_load >= 0 and (each.clearance is None or each.clearance > 0)
        return safe, not each.meets, -each.peak_acceleration, -each.peak_force

    return tuple(sorted(steady, key=rank))


def spot(grid: DropMapView, place: int) -> str:
    """A place of the map in words: "(3.40, 2.00) m"."""
    x, y = grid.xy[place]
    return f"({x:.2f}, {y:.2f}) m"
