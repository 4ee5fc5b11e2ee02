"""The first page: which input, the verdict on the whole, and what governs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from postprocess.checks import Check
from postprocess.lift.views import LiftView
from postprocess.report.governing import GoverningJack, check_words, governing_check, jack_words
from postprocess.report.model import Cover, Headline, Picture
from postprocess.results import Results
from postprocess.schedule import JackSchedule
from postprocess.strength.result import Strength

DIGITS = 12
"""Of a digest that are shown."""
NAMED = 6
"""Checks that are named where they are not met."""


def cover(
    results: Results,
    facts: Mapping[str, str],
    jack: GoverningJack,
    picture: Picture,
    *,
    lift: LiftView | None,
    cautions: Sequence[str],
) -> Cover:
    """facts: of the input and the program. lift: None where it was not computed."""
    case = results.case
    return Cover(
        title=case["title"],
        reference=case["reference"],
        revision=case["revision"],
        facts=facts,
        headlines=(*_headlines(results, jack), *_lift_turn_by_turn(lift), *_remarks(results.strength)),
        cautions=tuple(cautions),
        picture=picture,
    )


def _headlines(results: Results, jack: GoverningJack) -> Iterator[Headline]:
    checks, schedule = results.checks, results.schedule
    yield whole_verdict(checks)
    yield Headline("Governing jack", f"{jack_words(schedule, jack)}.", "met" if jack.ok else "NOT MET")
    worst = governing_check(checks)
    if worst is not None:
        yield Headline("Governing check", f"{check_words(worst)}.", "met" if worst.ok else "NOT MET")
    yield Headline("Largest jack load", _largest(schedule), "")
    yield _heave(results)
    if results.strength is not None:
        yield from _strength(results.strength)


def whole_verdict(checks: Sequence[Check]) -> Headline:
    """How many checks are met, and which are not."""
    missed = [check.name for check in checks if not check.ok]
    words = f"{len(checks) - len(missed)} of {len(checks)} checks met"
    if missed:
        more = f" and {len(missed) - NAMED} more" if len(missed) > NAMED else ""
        words += f". Not met: {'; '.join(missed[:NAMED])}{more}"
    return Headline("The whole", f"{words}.", "NOT MET" if missed else "met")


def _largest(schedule: JackSchedule) -> str:
    state = max(schedule.loads, key=lambda name: float(schedule.loads[name].max()))
    parts = []
    for name in dict.fromkeys(("service", state)):
        j = int(schedule.loads[name].argmax())
        parts.append(f"{schedule.loads[name][j] / 1e3:.2f} kN {name}, jack {schedule.ids[j]}")
    return f"{'; '.join(parts)}."


def _heave(results: Results) -> Headline:
    frequency = results.modes.heave_frequency
    check = next((each for each in results.checks if each.name.startswith("heave frequency")), None)
    if check is None:
        return Headline("Heave frequency", f"{frequency:.2f} Hz in service.", "")
    words = f"{frequency:.2f} Hz in service, wanted {check.sense} {check.limit:g} Hz."
    return Headline("Heave frequency", words, "met" if check.ok else "NOT MET")


def _strength(strength: Strength) -> Iterator[Headline]:
    layers = "; ".join(
        f"{verdict.face} {verdict.fabric}, cover {strength.layers.cover(verdict.face) * 1e3:g} mm"
        for verdict in strength.layer_verdicts
    )
    yield Headline("Layers of steel", f"{layers}{' (chosen by the program)' if strength.chosen else ''}.", "")
    worst = max(strength.layer_verdicts, key=lambda verdict: float(verdict.use.max()))
    side = int(worst.use.argmax())
    use = float(worst.use[side])
    words = f"{use:.3f} of MRd, {worst.face} layer along {'xy'[side]}, {worst.where[side]}."
    yield Headline("Bending", words, "met" if use <= 1 else "NOT MET")
    if strength.lift is not None:
        yield _lift_day(strength)


def _lift_day(strength: Strength) -> Headline:
    """The day of the lift, afloat on all jacks alike."""
    lift = strength.lift
    assert lift is not None
    day = "on no day" if lift.earliest_age is None else f"from day {lift.earliest_age} on"
    met = lift.earliest_age is not None and lift.concrete.age >= lift.earliest_age and lift.moment <= lift.limit
    words = (
        f"planned at {lift.concrete.age:g} days: {lift.moment / 1e3:.2f} of {lift.limit / 1e3:.2f} kN·m/m at "
        f"which the bare slab may crack; it passes {day}, by the concrete's expected growth."
    )
    return Headline("Day of the lift", words, "met" if met else "NOT MET")


def _lift_turn_by_turn(lift: LiftView | None) -> Iterator[Headline]:
    """The lift jack by jack, and what it does not forgive."""
    if lift is None:
        return
    parts = [f"greatest bending {lift.worst.use:.2f} of the cracking moment, {lift.worst.place}"]
    harmful = [fault for fault in lift.faults if fault.harmful]
    if lift.not_met:
        parts.append(f"not met: {'; '.join(lift.not_met)}")
    elif harmful:
        worst = max(harmful, key=lambda fault: fault.use)
        parts.append(f"safe only as planned: with {worst.words} it comes to {worst.use:.2f}")
    elif not lift.faults:
        parts.append("as planned; what a stuck jack or a missed pass does was not looked at in this run")
    yield Headline("Lift, turn by turn", f"{'; '.join(parts)}.", "NOT MET" if lift.not_met else "met")


def _remarks(strength: Strength | None) -> Iterator[Headline]:
    """What no check says and a reader has to know."""
    for remark in strength.remarks if strength else ():
        yield Headline("Mind", remark, "")
