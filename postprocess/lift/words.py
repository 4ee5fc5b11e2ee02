"""What a lift comes to, in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from postprocess.lift.views import FaultView, PeakView, SizeView


def lift_notes(
    worst: PeakView,
    resting: float,
    ids: Sequence[str],
    *,
    sizes: Sequence[SizeView],
    compared: Sequence[tuple[str, float]],
    age: float,
) -> tuple[str, ...]:
    """The worst turn and what lowers it: smaller passes, another order, more days.

    resting: greatest moment after the last turn, N·m/m. compared: other orders in words, with their greatest moment.
    age: of the concrete, days.
    """
    cracking_moment = worst.moment / worst.use
    found = [
        f"Greatest bending: {_moment(worst)} at {worst.place}, after jack {ids[worst.jack]} in pass "
        f"{worst.pass_number}, {worst.use:.2f} of the moment at which the slab may crack at {age:g} days.",
        f"With all jacks turned alike the floating slab bends by {resting / 1e3:.2f} kN·m/m "
        f"({resting / cracking_moment:.2f}): no order and no size of pass lowers that.",
        *_size_words(sizes),
        *_order_words(worst, compared),
        _age_words(sizes[0]) if sizes else "",
    ]
    return tuple(words for words in found if words)


def _moment(peak: PeakView) -> str:
    return f"{peak.moment / 1e3:.2f} kN·m/m"


def _size_words(sizes: Sequence[SizeView]) -> Iterator[str]:
    """Whether smaller passes help."""
    smaller = [size for size in sizes[1:] if size.peak.moment < 0.99 * sizes[0].peak.moment]
    if smaller:
        parts = ", ".join(f"{turn_words(size.turns)} {size.peak.use:.2f}" for size in smaller)
        yield f"Smaller passes bend it less: {parts} of that moment."
    safe = [size for size in sizes if size.peak.use <= 1]
    if sizes and not safe:
        yield "No size of pass that was tried keeps the slab below that moment at this age."
    elif safe and safe[0] is not sizes[0]:
        yield f"Safe at this age: {turn_words(safe[0].turns)} a pass (turns_per_pass = {safe[0].turns:g})."


def _order_words(worst: PeakView, compared: Sequence[tuple[str, float]]) -> Iterator[str]:
    """Whether another order helps."""
    if not compared:
        return
    name, least = min(compared, key=lambda each: each[1])
    if least < 0.99 * worst.moment:
        yield f"Another order bends it less: {name}, {least / worst.moment * worst.use:.2f} of that moment."
    else:
        yield f"No other order that was tried bends it less ({', '.join(name for name, _ in compared)})."


def _age_words(size: SizeView) -> str:
    """Whether more days help."""
    if size.earliest_age is None:
        return "No age of the concrete makes passes of this size safe."
    if size.peak.use <= 1:
        return f"Passes of this size are safe from an age of {size.earliest_age} days on, by the expected growth."
    return (
        f"More days help: passes of {turn_words(size.turns)} are safe from an age of {size.earliest_age} days on "
        f"(age_days = {size.earliest_age}), by the concrete's expected growth; cubes decide."
    )


def fault_notes(worst: PeakView, faults: Sequence[FaultView]) -> tuple[str, ...]:
    """That a lift which is safe as planned is not where something goes wrong."""
    harmful = [fault for fault in faults if fault.harmful]
    if worst.use > 1 or not harmful:
        return ()
    most = max(harmful, key=lambda fault: fault.use)
    return (f"Safe only as planned: with {most.words} the slab comes to {most.use:.2f} of that moment. Count turns.",)


def turn_words(turns: float) -> str:
    """A number of turns, such as "1 turn" and "0.5 turns"."""
    return f"{turns:g} turn" + ("" if turns == 1 else "s")
