"""What a search for the order of turning comes to."""

from __future__ import annotations

from dataclasses import dataclass

from postprocess.lift.order_trial import TrialPeak


@dataclass(frozen=True)
class ComparedOrder:
    """A named order. peak: greatest moment over all single turns, N·m/m. walk: way of the crew a pass, m."""

    name: str
    order: tuple[int, ...]
    peak: float
    walk: float


@dataclass(frozen=True)
class PassSize:
    """turns: a pass. peak: greatest moment in the order found, N·m/m. passes: needed. single_turns: by all jacks."""

    turns: float
    peak: float
    passes: int
    single_turns: int


@dataclass(frozen=True)
class OrderSearch:
    """order: of the n jacks, for `turns` a pass. peak: in the real lift. walk: way of the crew a pass, m.

    least: moment, N·m/m, that no order with these turns can be below. level: that of the level floating slab, which
    smaller passes come to as well, 0 where the slab does not float. safe_turns: the most turns a pass that were found,
    in quarters and at most those of the case, with which the slab stays below its cracking moment in `safe_order`;
    None if there are none. compared: the named orders. sizes: of passes, the largest first, in `order`. words:
    sentences for the papers.
    """

    order: tuple[int, ...]
    turns: float
    peak: TrialPeak
    walk: float
    least: float
    level: float
    safe_turns: float | None
    safe_order: tuple[int, ...] | None
    compared: tuple[ComparedOrder, ...]
    sizes: tuple[PassSize, ...]
    words: tuple[str, ...]
