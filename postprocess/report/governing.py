"""What governs a floor: how far each limit is used, the check that is nearest to it, and the jack that is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf, isnan
from typing import Final

import numpy as np

from postprocess.checks import Check
from postprocess.schedule import JackSchedule
from postprocess.strength_marks_figure import shown_pair
from postprocess.strength_table_figure import check_use

OWN: Final = ("self-check", "validity of thin-plate theory")
"""Bases of checks on the program and its theory: they do not govern the floor."""


def use(check: Check) -> float:
    """Part of a limit that is used: 1 is just met, more is not met, infinite where no share can say how far.

    "at most": value over limit; "at least": limit over value. Against a limit of 0 a value on the good side uses
    nothing of it, and one that just reaches "at least 0" uses it wholly.
    """
    if isnan(check.value) or isnan(check.limit):
        return inf
    if check.sense == "at most":
        return _share(check.value, check.limit)
    if check.limit == 0:
        return 0.0 if check.value > 0 else 1.0 if check.value == 0 else inf
    return _share(check.limit, check.value)


def _share(above: float, below: float) -> float:
    """above over below, where above ≤ below is good."""
    if below > 0:
        return max(above / below, 0.0) if below < inf else 0.0
    if above > below:
        return inf
    return below / above if above < 0 else 0.0  # nothing is asked of a limit of 0, or both are below it


def is_own(check: Check) -> bool:
    """Whether a check is about the program and its theory, not about the floor."""
    return check.basis in OWN


def is_count(check: Check) -> bool:
    """Whether a check counts what there may be none of: it tells that there is a fault, not how bad it is."""
    return check.sense == "at most" and check.limit == 0 and not check.unit


def severity(check: Check) -> tuple[bool, bool, float]:
    """What checks of the floor are ranked by, the worst having the greatest: what is not met comes before what is.

    Then come checks with a measure, by use of the limit; counts of which none is allowed, whose use would be endless,
    come after them. What pulls, touches or is no number is endless for good reason and stays first.
    """
    return not check.ok, check.ok or not is_count(check), use(check)


def governing_check(checks: Iterable[Check]) -> Check | None:
    """The check of the floor that is worst by `severity`, the first of those that are alike; None without any."""
    return max((check for check in checks if not is_own(check)), key=severity, default=None)


def check_words(check: Check) -> str:
    """Name, value, limit, place and clause in a sentence."""
    value, limit = shown_pair(check.value, check.limit)
    unit = f" {check.unit}" if check.unit else ""
    share = check_use(check)
    used = "" if share in {"–", "∞"} else f", {share} of the limit"
    where = "; ".join(words for words in (check.where, check.combination) if words)
    place = f" ({where})" if where else ""
    return f"{check.name}: {value}{unit}, allowed {check.sense} {limit}{unit}{used}{place}. {check.basis}"


@dataclass(frozen=True)
class GoverningJack:
    """The jack that is nearest to one of its limits. jack: its index. use: 1 is just met. limit: which, in words."""

    jack: int
    use: float
    limit: str

    @property
    def ok(self) -> bool:
        """Whether it keeps all its limits."""
        return self.use <= 1


def governing_jack(schedule: JackSchedule, solid_reserve: float = 0.0) -> GoverningJack:
    """Over the upper and the lower end of the band in service, and the travel of the springs in the full state.

    solid_reserve: travel that must be left, m. A spring that would have to pull in any state comes before all others.
    """
    low, high = schedule.band
    ratio = schedule.load_ratio("service")
    with np.errstate(divide="ignore", invalid="ignore"):
        least = np.where(ratio > 0, low / ratio, inf if low > 0 else 0.0)
        travel = schedule.compression("full") / (schedule.solid_deflections - solid_reserve)
    travel = np.where(schedule.solid_deflections > solid_reserve, np.maximum(travel, 0.0), inf)
    pulls = np.where(np.min(list(schedule.loads.values()), axis=0) < 0, inf, 0.0)
    words = (
        "it would have to pull",
        "travel of the spring, full",
        "upper end of the band, service",
        "lower end of the band, service",
    )
    uses = np.stack([pulls, travel, ratio / high, least])
    which, jack = (int(i) for i in np.unravel_index(int(uses.argmax()), uses.shape))
    return GoverningJack(jack, float(uses[which, jack]), words[which])


def jack_words(schedule: JackSchedule, found: GoverningJack) -> str:
    """The governing jack with its place, spring, load against its band and travel, in a sentence."""
    j, (low, high) = found.jack, schedule.band
    x, y = schedule.xy[j] * 1e3
    travel = schedule.solid_reserve("full")[j] * 1e3
    return (
        f"jack {schedule.ids[j]} at x {x:.0f}, y {y:.0f} mm, spring {schedule.springs[j]}: "
        f"{schedule.loads['service'][j] / 1e3:.2f} kN in service, {schedule.load_ratio('service')[j]:.3f} of its rated "
        f"load (band {low:.2f} to {high:.2f}); {travel:.1f} mm of travel left in the full state. "
        f"Nearest to its limit: {found.limit}"
    )
