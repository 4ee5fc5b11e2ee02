"""What the trade says of springs and rubber, what the model says on equal terms, and what the air adds to that."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from postprocess.checks import PRACTICE
from postprocess.dynamics.bands import CENTRES, EDGES, NOMINAL
from postprocess.dynamics.views import DropView, DynamicsView, SupportView
from postprocess.dynamics.words import (
    AUDIBLE,
    COILS,
    LITTLE,
    band_runs,
    decibels,
    kilonewtons,
    run_words,
    times_words,
)

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
EQUAL: Final = " without the air (the rubber layer has none below it)"


def comparison_words(view: DynamicsView) -> tuple[str, ...]:
    """The trade's statement, the verdict on steady forces, and a few sentences a drop."""
    drops = [words for drop in view.drops for words in _drop_verdict(drop)]
    return (TRADE, *steady_verdict(view), *drops)


def steady_verdict(view: DynamicsView) -> tuple[str, ...]:
    """Steady forces of higher frequency, what the air adds, and where rubber passes less; nothing without points."""
    if not len(view.transmissibility.names):
        return ()
    springs, rubber = alone(view), passed(view)[1]
    levels = [_level(each) for each in (springs, rubber)]
    apart = abs(levels[0] - levels[1])
    said = (
        f"steady force of {_span(view)}, mean over the points: springs{_equal_terms(view)} pass {100 * springs:.3g} % "
        f"of it ({decibels(levels[0])}), rubber {100 * rubber:.3g} % ({decibels(levels[1])})"
    )
    if rubber <= springs:
        verdict = f"{AGREES}: {said}. Rubber is {apart:.1f} dB better."
    else:
        verdict = f"The model says otherwise of steady sound: {said}. Springs are {apart:.1f} dB better. {COILS}"
    air = () if view.transmissibility.airless is None else (air_words(view),)
    return (verdict, *air, *_rubber_alone(view))


def steady_line(view: DynamicsView) -> tuple[str, ...]:
    """The same in one line: levels on springs without and with the air and on rubber; nothing without points."""
    if not len(view.transmissibility.names):
        return ()
    springs, rubber = (decibels(_level(each)) for each in passed(view))
    if view.transmissibility.airless is None:
        return (f"Steady force of {_span(view)}: {springs} on springs, {rubber} on rubber",)
    lone = decibels(_level(alone(view)))
    why = ": the air passes it on" if air_passes(view) else ""
    said = f"{lone} on springs without air, {rubber} on rubber; {springs} with air{why}"
    return (f"Steady force of {_span(view)}: {said}",)


def passed(view: DynamicsView) -> tuple[float, float]:
    """Force into the structure over a steady force from `HIGHER` up, root of the mean square: springs as they are, with
    the air where there is any, and rubber."""
    curves = view.transmissibility
    return _mean(view, curves.springs), _mean(view, curves.rubber)


def alone(view: DynamicsView) -> float:
    """The same of springs without the air: on equal terms with the rubber layer, which has none."""
    return _mean(view, _airless(view))


def air_passes(view: DynamicsView) -> bool:
    """Whether springs pass so much more with the air than without it that it is the air that passes it on."""
    if view.transmissibility.airless is None or not len(view.transmissibility.names):
        return False
    return passed(view)[0] > CLEARLY * alone(view)


def air_words(view: DynamicsView) -> str:
    """What the air adds to what springs pass of a steady force, and who is better then."""
    with_air, rubber = passed(view)
    gap = "" if view.air is None else f" of {1e3 * view.air.gap:.0f} mm"
    said = f"With the air in the gap{gap} springs pass {100 * with_air:.3g} % ({decibels(_level(with_air))})"
    if abs(with_air / max(alone(view), 1e-10) - 1) <= LITTLE:
        return f"{said}: the air changes little of it."
    why = ": it is the air, not the springs, that passes it on" if air_passes(view) else ""
    turned = (with_air < rubber) != (alone(view) < rubber)
    apart = abs(_level(with_air) - _level(rubber))
    return f"{said}{why}" + (f"; rubber is then {apart:.1f} dB better." if turned and rubber < with_air else ".")


def _mean(view: DynamicsView, curves: Floats) -> float:
    frequencies = view.transmissibility.frequencies
    chosen = frequencies >= min(HIGHER, frequencies[-1])
    return float(np.sqrt((curves[:, chosen] ** 2).mean()))


def _airless(view: DynamicsView) -> Floats:
    curves = view.transmissibility
    return curves.springs if curves.airless is None else curves.airless


def _level(ratio: float) -> float:
    return float(20 * np.log10(max(ratio, 1e-10)))


def _span(view: DynamicsView) -> str:
    return f"{HIGHER:g} to {view.transmissibility.frequencies[-1]:g} Hz"


def _equal_terms(view: DynamicsView) -> str:
    return "" if view.transmissibility.airless is None else EQUAL


def _rubber_alone(view: DynamicsView) -> Iterator[str]:
    """Bands in which rubber passes less than springs without air, mean over the points."""
    curves = view.transmissibility
    band = np.searchsorted(EDGES, curves.frequencies) - 1
    better = np.zeros(len(CENTRES), dtype=bool)
    for number in np.unique(band[(band >= 0) & (band < len(CENTRES))]):
        springs, rubber = ((each[:, band == number] ** 2).mean() for each in (_airless(view), curves.rubber))
        better[number] = 10 * np.log10(springs / max(rubber, 1e-30) + 1e-30) > AUDIBLE
    if better.any():
        own, number = view.springs_alone[0], int(np.searchsorted(EDGES, view.springs_alone[0])) - 1
        among = f", the springs' own {own:.2f} Hz among them" if 0 <= number < len(better) and better[number] else ""
        yield (
            f"By bands, mean over the points, rubber passes less of a steady force than springs"
            f"{_equal_terms(view)} do at {run_words(band_runs(better))}{among}."
        )


def equal_support(drop: DropView) -> SupportView:
    """The springs that are compared with rubber: without the air where the case has any."""
    return drop.springs if drop.airless is None else drop.airless


def _drop_verdict(drop: DropView) -> Iterator[str]:
    """Springs against rubber on equal terms, by peak and by bands; the air; the bare floor where it takes less."""
    equal = equal_support(drop)
    springs, rubber, bare = equal.peak_force, drop.rubber.peak_force, drop.bare.peak_force
    air = "" if drop.airless is None else EQUAL
    said = (
        f'drop "{drop.name}": {kilonewtons(springs)} into the structure on springs{air}, {kilonewtons(rubber)} on '
        f"rubber, {kilonewtons(bare)} on the bare floor"
    )
    if springs < rubber:
        yield f"{AGREES}: {said}. Rubber passes {times_words(rubber / max(springs, 1e-9))} times as much as springs."
    else:
        times = f"{times_words(springs / rubber)} times as much as rubber" if rubber > 0 else "no less than rubber"
        yield f"The model says otherwise of this drop: {said}. Springs pass {times}."
    gain, found = drop.rubber.force_levels - equal.force_levels, []
    for better, name, other in ((gain > AUDIBLE, "springs", "rubber"), (gain < -AUDIBLE, "rubber", "springs")):
        if better.any():
            most = float(np.abs(gain[better]).max())
            found.append(f"{name} better than {other} at {run_words(band_runs(better))}, by {most:.1f} dB at most")
    if found:
        yield f'Drop "{drop.name}", by bands of force: {"; ".join(found)}.'
    for words in (*air_of_drop(drop), *bare_words(drop)):
        yield f'Drop "{drop.name}": {words[:1].lower()}{words[1:]}'


def air_of_drop(drop: DropView) -> Iterator[str]:
    """What the air of the case adds to the force of a drop, its peak and the band in which it adds most."""
    if drop.airless is None:
        return
    more = drop.springs.force_levels - drop.airless.force_levels
    worst = int(more.argmax())
    peak = f"{kilonewtons(drop.springs.peak_force)} into the structure on springs"
    if more[worst] <= AUDIBLE:
        yield f"With the air of the case {peak}; it adds nothing in any band."
    else:
        most = f"it adds {more[worst]:.1f} dB at most (at {NOMINAL[worst]} Hz)"
        yield f"With the air of the case {peak}; by bands {most}."


def bare_words(drop: DropView) -> Iterator[str]:
    """Plainly, where springs as they are pass more than the bare floor would take."""
    springs, bare = drop.springs.peak_force, drop.bare.peak_force
    if springs > bare:
        yield (
            "On springs MORE goes into the structure than on the bare floor, "
            f"{kilonewtons(springs)} against {kilonewtons(bare)}."
        )
