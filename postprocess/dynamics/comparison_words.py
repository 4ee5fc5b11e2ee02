"""What the trade says of springs and rubber, and what the model says, with numbers, agreement or not."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from postprocess.checks import PRACTICE
from postprocess.dynamics.bands import CENTRES, EDGES
from postprocess.dynamics.views import DropView, DynamicsView
from postprocess.dynamics.words import AUDIBLE, COILS, band_runs, decibels, kilonewtons, run_words

Floats = NDArray[np.float64]

TRADE: Final = (
    "What the trade says: a rubber layer does well against steady sound at higher frequencies, springs do well against "
    f"the sudden heavy drop ({PRACTICE})."
)
HIGHER: Final = 50.0
"""Frequency from which steady sound counts as of higher frequency in the comparison, Hz."""
CLEARLY: Final = 2.0
"""How many times what springs pass without air they must pass with it, so that the air is named as the cause."""
AGREES: Final = "As the trade says"
AIR_BANDS: Final = (
    "What goes into the structure well above the springs' own frequency is passed on by the air in the gap, not by the "
    "springs."
)


def comparison_words(view: DynamicsView) -> tuple[str, ...]:
    """The trade's statement, the verdict on steady forces, and two sentences a drop."""
    drops = [words for drop in view.drops for words in _drop_verdict(drop, view)]
    return (TRADE, *steady_verdict(view), *drops)


def steady_verdict(view: DynamicsView) -> tuple[str, ...]:
    """Steady forces of higher frequency, why it is so, and where else rubber passes less; nothing without points."""
    if not len(view.transmissibility.names):
        return ()
    springs, rubber = passed(view)
    levels = [20 * np.log10(max(each, 1e-10)) for each in (springs, rubber)]
    apart = abs(levels[0] - levels[1])
    said = (
        f"steady force of {_span(view)}, mean over the points: springs{_with_air(view)} pass {100 * springs:.3g} % of "
        f"it ({decibels(levels[0])}), rubber {100 * rubber:.3g} % ({decibels(levels[1])})"
    )
    if rubber <= springs:
        verdict = f"{AGREES}: {said}. Rubber is {apart:.1f} dB better."
    else:
        verdict = f"The model says otherwise of steady sound: {said}. Springs are {apart:.1f} dB better. {COILS}"
    return (verdict, *_because_of_air(view), *_rubber_alone(view))


def steady_line(view: DynamicsView) -> tuple[str, ...]:
    """The same in one line: levels on springs and on rubber, and whether it is the air; nothing without points."""
    if not len(view.transmissibility.names):
        return ()
    springs, rubber = (decibels(20 * np.log10(max(each, 1e-10))) for each in passed(view))
    why = ": the air in the gap, not the springs, passes it on" if air_passes(view) else ""
    return (f"Steady force of {_span(view)}: {springs} on springs{_with_air(view)}, {rubber} on rubber{why}",)


def passed(view: DynamicsView) -> tuple[float, float]:
    """Force into the structure over a steady force from `HIGHER` up, root of the mean square: springs, rubber."""
    curves = view.transmissibility
    chosen = curves.frequencies >= HIGHER
    if not chosen.any():
        chosen[-1] = True
    springs, rubber = (float(np.sqrt((each[:, chosen] ** 2).mean())) for each in (curves.springs, curves.rubber))
    return springs, rubber


def alone(view: DynamicsView) -> float:
    """What springs pass of the same force without the air, root of the mean square over frequencies and points.

    Where it was not followed: one rigid mass on the springs alone, 1/|1 − (f/f0)²|, without damping.
    """
    curves = view.transmissibility
    chosen = curves.frequencies >= min(HIGHER, curves.frequencies[-1])
    if curves.airless is not None:
        return float(np.sqrt((curves.airless[:, chosen] ** 2).mean()))
    ratio = 1 / np.abs(1 - (curves.frequencies[chosen] / view.springs_alone[0]) ** 2)
    return float(np.sqrt((ratio**2).mean()))


def air_passes(view: DynamicsView) -> bool:
    """Whether springs pass so much at higher frequencies that it must be the air in the gap."""
    if view.air is None or not len(view.transmissibility.names):
        return False
    return passed(view)[0] > CLEARLY * alone(view)


def air_words(view: DynamicsView) -> str:
    """That the air passes on what springs pass at higher frequencies, and what springs alone would pass."""
    lone, known = alone(view), view.transmissibility.airless is not None
    who = "without it springs" if known else f"one rigid mass on the springs alone ({view.springs_alone[0]:.2f} Hz)"
    gap = "" if view.air is None else f" of {1e3 * view.air.gap:.0f} mm"
    return (
        f"It is the air in the gap{gap}, not the springs, that passes on a steady force of {_span(view)}: {who} "
        f"would pass {100 * lone:.2g} % ({decibels(20 * np.log10(max(lone, 1e-10)))}). The rubber layer lies on the "
        "floor without a gap."
    )


def _span(view: DynamicsView) -> str:
    return f"{HIGHER:g} to {view.transmissibility.frequencies[-1]:g} Hz"


def _with_air(view: DynamicsView) -> str:
    return "" if view.air is None else " with the air of the case"


def _because_of_air(view: DynamicsView) -> Iterator[str]:
    if air_passes(view):
        yield air_words(view)


def _rubber_alone(view: DynamicsView) -> Iterator[str]:
    """Bands in which rubber passes less than springs, mean over the points."""
    curves = view.transmissibility
    band = np.searchsorted(EDGES, curves.frequencies) - 1
    better = np.zeros(len(CENTRES), dtype=bool)
    for number in np.unique(band[(band >= 0) & (band < len(CENTRES))]):
        springs, rubber = ((each[:, band == number] ** 2).mean() for each in (curves.springs, curves.rubber))
        better[number] = 10 * np.log10(springs / max(rubber, 1e-30) + 1e-30) > AUDIBLE
    if better.any():
        own, number = view.springs_alone[0], int(np.searchsorted(EDGES, view.springs_alone[0])) - 1
        among = f", the springs' own {own:.2f} Hz among them" if 0 <= number < len(better) and better[number] else ""
        yield (
            "By bands, mean over the points, rubber passes less of a steady force than springs do at "
            f"{run_words(band_runs(better))}{among}."
        )


def _well_above(view: DynamicsView) -> NDArray[np.bool_]:
    """(24,) bands over twice the springs' own frequency."""
    return np.asarray(CENTRES / view.springs_alone[0] > 2)


def _drop_verdict(drop: DropView, view: DynamicsView) -> Iterator[str]:
    springs, rubber, bare = drop.springs.peak_force, drop.rubber.peak_force, drop.bare.peak_force
    said = (
        f'drop "{drop.name}": {kilonewtons(springs)} into the structure on springs{_with_air(view)}, '
        f"{kilonewtons(rubber)} on rubber, {kilonewtons(bare)} on the bare floor"
    )
    if springs < rubber:
        yield f"{AGREES}: {said}. Rubber passes {rubber / springs:.2g} times as much as springs."
    else:
        times = f"{springs / rubber:.2g} times as much as rubber" if rubber > 0 else "no less than rubber"
        yield f"The model says otherwise of this drop: {said}. Springs pass {times}."
    gain, found = drop.reduction - drop.rubber_reduction, []
    for better, name, other in ((gain > AUDIBLE, "springs", "rubber"), (gain < -AUDIBLE, "rubber", "springs")):
        if better.any():
            most = float(np.abs(gain[better]).max())
            found.append(f"{name} better than {other} at {run_words(band_runs(better))}, by {most:.1f} dB at most")
    if found:
        high = view.air is not None and bool((gain[_well_above(view)] < -AUDIBLE).any())
        why = f" {AIR_BANDS}" if high and air_passes(view) else ""
        yield f'Drop "{drop.name}", by bands of force: {"; ".join(found)}.{why}'
