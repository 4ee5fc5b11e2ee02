"""All that is to be said of the floor in motion, in the order in which it matters."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from postprocess.dynamics.comparison_words import comparison_words
from postprocess.dynamics.dangers import all_dangers, ranked
from postprocess.dynamics.dose_words import CAUTION, dose_words
from postprocess.dynamics.steady_words import PEOPLE, steady_words
from postprocess.dynamics.views import DropView, DynamicsView
from postprocess.dynamics.words import COILS, DOSE, LIMITS, amplify_words, bay_words, depth_words, full_words

RIGID = "The structural floor is taken for rigid, so that its motion and doses are not known: give it bays."


def motion_sentences(view: DynamicsView, ids: Sequence[str], *, modes_end: float | None = None) -> tuple[str, ...]:
    """Dangers first, then springs beside rubber, doses, groups and machines, and what the model leaves out; groups and
    machines before the comparison where nothing drops.

    ids: of the jacks. modes_end: Hz, the last mode of a slab so large that no more of them were looked for.
    """
    compared = comparison_words(view)
    told = any(COILS in words for words in compared)
    return (
        *all_dangers(view, ids),
        *(f"{drop.name}: {words}." for drop in view.drops for words in depth_words(drop)),
        *(f"{_capital(bay_words(bay.name))}: {note}." for bay in view.bays for note in bay.notes),
        *(() if view.drops else _steady(view)),
        *compared,
        *(f"{drop.name}: {' '.join(amplify_words(drop))}" for drop in view.drops),
        *_full(view),
        *_doses(view),
        *((RIGID,) if view.drops and not view.bays else ()),
        *(_steady(view) if view.drops else ()),
        *(words for words in LIMITS if words != COILS or not told),
        *_ending(modes_end),
    )


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _full(view: DynamicsView) -> Iterator[str]:
    """The travel left with all imposed load on the floor as well, of the drop that leaves least; no check."""
    if view.drops:
        worst = min(view.drops, key=lambda drop: drop.full_reserve)
        yield f"{worst.name}: {full_words(worst.full_reserve)}"


def _doses(view: DynamicsView) -> Iterator[str]:
    """A sentence a drop whose number a day is known, and once what the ranges are for."""
    found = [words for drop in view.drops for words in _dose(view, drop)]
    yield from found
    if found:
        yield CAUTION


def _dose(view: DynamicsView, drop: DropView) -> Iterator[str]:
    if drop.day_dose is None or not len(drop.day_dose):
        return
    worst, count = int(drop.day_dose.argmax()), drop.drops or 0
    dose = float(drop.day_dose[worst])
    yield (
        f"{drop.name}, {count} drop{'s' * (count != 1)} a day: vibration dose {dose:.3g} {DOSE} at the middle of "
        f"{bay_words(view.bay_names[worst])}: {dose_words(dose)}."
    )


def _steady(view: DynamicsView) -> Iterator[str]:
    """Those that shake the floor most first, what must stop right below each."""
    for each in ranked(view.steady):
        yield f"{each.kind.capitalize()} {each.name}: {steady_words(each)}."
        yield from (f"{each.name}: STOP, {words}." for words in each.meets)
    if any(each.kind == "group" for each in view.steady):
        yield PEOPLE


def _ending(modes_end: float | None) -> Iterator[str]:
    if modes_end is not None:
        yield f"The slab is so large that its modes end at {modes_end:.0f} Hz: bands above that are a guide only."
