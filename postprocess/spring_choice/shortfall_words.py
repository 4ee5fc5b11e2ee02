"""Where no choice works, in words: a sentence for each jack, and what holds for the whole floor."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from postprocess.jobs.marks import ratio_words
from postprocess.spring_choice.problem import SERVICE, ChoiceProblem
from postprocess.spring_choice.shortfall import Need, Shortfall
from postprocess.spring_choice.verdict import Choice

MANY = 5
"""Jacks that miss a condition beyond which it is said first that something is wrong altogether."""


def shortfall_words(problem: ChoiceProblem, choice: Choice, found: Shortfall, ids: Sequence[str]) -> tuple[str, ...]:
    """What is missing on the springs of `choice`, and what would do; ids: (n,) names of the jacks."""
    return tuple(_sentences(problem, choice, found, ids))


def _sentences(problem: ChoiceProblem, choice: Choice, found: Shortfall, ids: Sequence[str]) -> Iterator[str]:
    yield (
        "No choice from this catalogue meets every condition: proven"
        if choice.impossible
        else "No choice was found that meets every condition; it is not proven that there is none"
    )
    if len(found.needs) > MANY:
        yield (
            f"{len(found.needs)} jacks miss a condition: the catalogue does not suit this floor, or it has too few "
            "jacks. The springs named below would have to stand all together."
        )
    remaining = {int(jack) for jack in found.remaining}
    together = " with those named for the others in place" if len(found.needs) > 1 else ""
    for need in found.needs:
        words = _state(problem, choice, need, ids[need.jack])
        if not need.possible:
            mended = need.jack not in remaining
            yield f"{words}; {_without_spring(mended)}"
            continue
        yield (
            f"{words}; a spring of {need.rate / 1e3:.0f} N/mm rated for {need.rated_load / 1e3:.2f} kN would carry "
            f"{need.load / 1e3:.2f} kN here{together}, load ratio {need.new_ratio:.2f}; it needs "
            f"{1e3 * need.solid_deflection:.0f} mm of travel{_extra(problem, need)}"
        )
    if len(found.remaining):
        named = ", ".join(ids[jack] for jack in found.remaining)
        yield f"With those springs in place these jacks would still miss a condition: {named}"
    if not choice.frequency_met:
        yield (
            f"Heave frequency {choice.heave_frequency:.2f} Hz, above the {problem.frequency_limit:.2f} Hz asked for: "
            f"springs with rated deflections about {found.softening:.2f} times as large would reach it"
        )


def _state(problem: ChoiceProblem, choice: Choice, need: Need, name: str) -> str:
    """What the jack carries on the best spring that was found."""
    low, high = problem.band
    spring = problem.types.codes[choice.indices[need.jack]]
    load = float(choice.load[need.jack, SERVICE]) / 1e3
    return (
        f"Jack {name}: {load:.2f} kN in service, load ratio {ratio_words(need.ratio, problem.band)} on {spring}, the "
        f"best found (band {low:g} to {high:g}, {1e3 * choice.solid_reserve[need.jack]:.0f} mm of travel left in full)"
    )


def _without_spring(mended: bool) -> str:
    """mended: whether the jack is in order once the springs named for the others stand."""
    if mended:
        return "it comes right with the springs named for the others"
    return "no spring would do: with the springs named for the others the slab rises there"


def _extra(problem: ChoiceProblem, need: Need) -> str:
    """Whether one more jack beside it would do."""
    extra, codes = need.extra, problem.types.codes
    if extra is None:
        return ""
    if extra.relief <= 0:
        return "; one more jack beside it would not help"
    place = f"; one more jack at x {1e3 * extra.xy[0]:.0f}, y {1e3 * extra.xy[1]:.0f} mm"
    if not extra.works:
        return f"{place} would take {extra.relief:.0%} of the load, which is not enough by itself"
    pair = f"{codes[extra.new_spring]} under it and {codes[extra.spring]} here"
    return f"{place} would do too, with {pair}, at {extra.new_ratio:.2f} and {extra.ratio:.2f}"
