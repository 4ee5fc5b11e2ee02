"""Doubt and failure in words, for drawings, the terminal and results.json."""

from __future__ import annotations

from math import floor, log10

from postprocess.doubt.failures import Failures
from postprocess.doubt.result import Assumptions, FloorDoubt
from postprocess.doubt.statistics import Probability

NAMED = 4
"""Jacks named in one sentence."""
LEAST_KEPT = 0.95
"""Share of the variance of thickness that is to be kept."""
STATE_WORDS = {"service": "in service", "bare": "under the bare slab"}


def percent(share: float) -> str:
    """A share in per cent, with as many decimals as tell it from 0 and 100 %."""
    value = 100 * share
    if value in {0.0, 100.0}:
        return f"{value:.0f} %"
    near = min(value, 100 - value)
    digits = 0 if near >= 10 else 1 if near >= 0.1 else -floor(log10(near))
    return f"{value:.{digits}f} %"


def with_bounds(probability: Probability) -> str:
    """A probability with the bounds that the number of samples gives it."""
    low, high = probability.bounds
    return f"{percent(probability.value)} (95 % bounds of sampling {percent(low)} to {percent(high)})"


def frequency_words(doubt: FloorDoubt) -> str:
    """The range of the heave frequency, and how likely it exceeds its target."""
    low, high = doubt.frequency.range
    words = f"heave frequency {low:.2f} to {high:.2f} Hz in nine samples of ten, mean {doubt.frequency.mean:.2f} Hz"
    above = doubt.frequency.above
    if above is None:
        return words
    return f"{words}; above {doubt.frequency.target:.2f} Hz with a probability of {with_bounds(above)}"


def failure_words(doubt: FloorDoubt) -> tuple[str, ...]:
    """The worst springs to lose: for settlement, for the neighbours and for the slab."""
    failures = doubt.failures
    loose = [doubt.ids[jack] for jack in failures.jacks[~failures.held]]
    found = []
    if loose:
        named = ", ".join(loose[:NAMED]) + (f" and {len(loose) - NAMED} more" if len(loose) > NAMED else "")
        found.append(f"without the spring at {named} the other springs do not hold the slab: it tilts until it rests")
    if not failures.held.any():
        return tuple(found)
    found += [_settlement(doubt), _loaded(doubt)]
    found += [_moment(doubt, state) for state in failures.states]
    found += [_counted(doubt)]
    return tuple(words for words in found if words)


def left_out(assumed: Assumptions, asked: int, failures: Failures) -> tuple[str, ...]:
    """What was not computed; asked: samples that the case asks for."""
    found = []
    jacks, taken = failures.places.jacks, len(failures.jacks)
    if assumed.samples < asked:
        found.append(f"doubt: {asked - assumed.samples} of {asked} samples, as the floor has {jacks} jacks")
    if assumed.thickness_deviation and assumed.thickness_kept < LEAST_KEPT:
        lost = percent(1 - assumed.thickness_kept)
        found.append(f"doubt: variation of thickness over short distances, {lost} of its variance")
    if taken < jacks:
        found.append(
            f"failure: {jacks - taken} of {jacks} springs; those most loaded and those nearest to edges are taken out"
        )
    return tuple(found)


def _settlement(doubt: FloorDoubt) -> str:
    failures = doubt.failures
    row = _worst(failures, "service", "settlement")
    sinks = 1e3 * failures.states["service"].settlement[row]
    jack = doubt.ids[failures.jacks[row]]
    return f"greatest settlement: {sinks:.1f} mm at jack {jack} without its spring, in service"


def _loaded(doubt: FloorDoubt) -> str:
    failures, state = doubt.failures, doubt.failures.states["service"]
    row = _worst(failures, "service", "ratio")
    jack = int(state.loaded[row])
    load = state.ratio[row] * doubt.rated_loads[jack] / 1e3
    return (
        f"most loaded neighbour: jack {doubt.ids[jack]} at {state.ratio[row]:.2f} of its rated load ({load:.2f} kN) "
        f"without the spring at {doubt.ids[failures.jacks[row]]}, in service"
    )


def _moment(doubt: FloorDoubt, name: str) -> str:
    failures, state = doubt.failures, doubt.failures.states[name]
    row = _worst(failures, name, "moment")
    value, limit = abs(state.moment[row]) / 1e3, failures.cracking[name] / 1e3
    kind = "sagging" if state.moment[row] > 0 else "hogging"
    verdict = "the slab may crack" if value > limit else "not reached"
    where = failures.places.name(int(state.place[row]), doubt.ids)
    return (
        f"greatest moment {STATE_WORDS[name]}: {value:.2f} kN·m/m {kind}, {where}, without the spring at "
        f"{doubt.ids[failures.jacks[row]]}; cracking moment {limit:.2f} kN·m/m ({failures.cracking_words[name]}): "
        f"{verdict}"
    )


def _counted(doubt: FloorDoubt) -> str:
    """What fails further: springs that would be solid or pull, and the losses that may crack the slab."""
    failures, state = doubt.failures, doubt.failures.states["service"]
    held = failures.held
    counts = [
        (int((state.solid[held] > 0).sum()), "make another spring solid"),
        (int((state.pulling[held] > 0).sum()), "need another spring to pull, which it cannot: the slab lifts off it"),
        (failures.cracked("service"), "may crack the slab in service"),
        (failures.cracked("bare"), "may crack the bare slab"),
    ]
    words = [f"{count} {text}" for count, text in counts if count]
    what = "; ".join(words) if words else "none makes a spring solid or reaches the cracking moment"
    return f"of {int(held.sum())} losses, {what}"


def _worst(failures: Failures, state: str, what: str) -> int:
    row = failures.worst(state, what)
    assert row is not None  # asked for only where a spring can be lost
    return row
