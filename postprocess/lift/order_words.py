"""The search for an order of turning, in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from postprocess.lift.order_result import OrderSearch
from postprocess.lift.orders import ORDER_WORDS
from postprocess.lift.words import turn_words
from postprocess.strength.places import Places

NEAR = 0.005
"""Share by which a peak may lie above the least one and be called as low as can be."""
WORTH_SAYING = 0.01
"""Share by which smaller passes lower a peak before that is called a gain."""


def search_words(search: OrderSearch, places: Places, cracking_moment: float) -> tuple[str, ...]:
    """What was found, what it is worth beside the named orders, and what smaller passes would bring."""
    return (
        _peak_words(search, places, cracking_moment),
        _bound_words(search, cracking_moment),
        *_compared_words(search, cracking_moment),
        _size_words(search, cracking_moment),
        _safe_words(search, cracking_moment),
    )


def _peak_words(search: OrderSearch, places: Places, cracking_moment: float) -> str:
    peak = search.peak
    return (
        f"In the order found the slab bends most after {places.spots.names[peak.jack]} in pass {peak.pass_number}: "
        f"{_moment(peak.moment, cracking_moment)} at {places.name(peak.place)}. The crew walks about "
        f"{search.walk:.0f} m a pass."
    )


def _bound_words(search: OrderSearch, cracking_moment: float) -> str:
    least = _moment(search.least, cracking_moment)
    if search.peak.moment <= search.least * (1 + NEAR):
        return f"No order can do better: whatever the order, the slab comes to bend by {least}."
    return f"No order can be below {least}; whether one lies between that and the order found is not known."


def _compared_words(search: OrderSearch, cracking_moment: float) -> Iterator[str]:
    for each in search.compared:
        yield (
            f"Turned {ORDER_WORDS[each.name]}: {_moment(each.peak, cracking_moment)}, "
            f"with about {each.walk:.0f} m to walk a pass."
        )


def _size_words(search: OrderSearch, cracking_moment: float) -> str:
    first, *smaller = search.sizes
    gains = [size for size in smaller if size.peak < first.peak * (1 - WORTH_SAYING)]
    if not gains:
        return "Smaller passes do not lower the greatest bending in this order."
    parts = (
        f"{turn_words(size.turns)} a pass {_moment(size.peak, cracking_moment)} in {size.passes} passes, "
        f"{size.single_turns} single turns"
        for size in gains
    )
    return f"Smaller passes in this order: {'; '.join(parts)}."


def _safe_words(search: OrderSearch, cracking_moment: float) -> str:
    if search.safe_turns == search.turns:
        return f"With {turn_words(search.turns)} a pass in this order the slab stays below that moment."
    if search.safe_turns is not None:
        other = "in this order" if search.safe_order == search.order else "in an order of their own"
        return f"With {turn_words(search.safe_turns)} a pass {other} the slab stays below that moment."
    if search.level > cracking_moment:
        return "At this age no order and no size of pass keeps the slab below the moment at which it may crack."
    return "No size of pass was found at this age that keeps the slab below the moment at which it may crack."


def _moment(moment: float, cracking_moment: float) -> str:
    return f"{moment / 1e3:.2f} kN·m/m ({moment / cracking_moment:.2f} of the moment at which it may crack)"
