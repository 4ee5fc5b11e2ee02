"""Known answers agree as the program stands, and every one of them notices a fault of the program."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

import fem.outage
import jackfield.known_answers
import jackfield.known_models
import jackfield.known_outage
import jackfield.known_plates
import postprocess.strength.bending
from fem.outage import Removals
from fem.statics import StaticResult
from jackfield.known_answers import known_answers
from postprocess.report.known_answer import KnownAnswer
from postprocess.report.self_sections import answer_table


@pytest.fixture(scope="module")
def answers() -> tuple[KnownAnswer, ...]:
    return known_answers()


def test_all_agree_each_with_its_source(answers: tuple[KnownAnswer, ...]) -> None:
    """The tolerances are those of the answers, each with its reason."""
    assert len(answers) >= 20
    assert len({answer.name for answer in answers}) == len(answers)
    for answer in answers:
        assert answer.agrees, answer
        assert answer.source, answer.name
        assert answer.reason, answer.name
        assert 0 < answer.allowed <= max(0.013 * abs(answer.published), 1e-9), answer.name
    assert not answer_table(answers).failed


def scaled(function: Callable[..., Any], factor: float) -> Callable[..., Any]:
    return lambda *args, **options: factor * function(*args, **options)


def shifted(function: Callable[..., Any]) -> Callable[..., Any]:
    return lambda *args, **options: function(*args, **options) + 1e-3


def off_by_a_thousandth(removals: Callable[..., Removals]) -> Callable[..., Removals]:
    def off(*args: Any) -> Removals:
        found = removals(*args)
        return replace(found, **{name: 1.001 * getattr(found, name) for name in ("inverse", "alpha", "loads")})

    return off


def missed(answers: tuple[KnownAnswer, ...]) -> set[str]:
    return {answer.name for answer in answers if not answer.agrees}


def test_the_formula_of_lost_springs_is_the_one_of_a_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault of a thousandth in `fem.outage` alone is noticed by all answers on a spring taken out, and no other."""
    monkeypatch.setattr(fem.outage, "removals", off_by_a_thousandth(fem.outage.removals))
    found = known_answers()
    assert missed(found) == {answer.name for answer in found if answer.name.startswith("spring taken out")}
    assert len(missed(found)) == 3


@pytest.mark.parametrize("factor", [0.5, 1.001, 2.0])
def test_the_resistance_of_layers_is_the_one_of_the_checks(monkeypatch: pytest.MonkeyPatch, factor: float) -> None:
    """The very function of the bending checks: a factor on it is noticed. The print allows half a thousandth."""
    bending = postprocess.strength.bending
    monkeypatch.setattr(bending, "layered_resistance", scaled(bending.layered_resistance, factor))
    assert missed(known_answers()) == {"flexure: MRd of one layer", "flexure: MRd of two layers"}


def test_each_answer_notices_a_fault(answers: tuple[KnownAnswer, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    """A plate too stiff by a tenth, moments off by a trifle, jacks and modes off by a thousandth, formulas by a
    fiftieth: none of the answers agrees any more."""
    plates, codes, models = jackfield.known_plates, jackfield.known_answers, jackfield.known_models
    solved, modes = plates.solve_states, plates.solve_modes

    def off(*args: Any) -> tuple[StaticResult, ...]:
        return tuple(
            StaticResult(each.displacement, 1.001 * each.jack_deflection, 1.001 * each.jack_load)
            for each in solved(*args)
        )

    def detuned(*args: Any) -> Any:
        found = modes(*args)
        return replace(found, frequencies=1.001 * found.frequencies)

    monkeypatch.setattr(plates, "solve_states", off)
    monkeypatch.setattr(plates, "solve_modes", detuned)
    for module in (plates, models):
        monkeypatch.setattr(module, "stiffness", scaled(module.stiffness, 1.1))
    monkeypatch.setattr(fem.outage, "removals", off_by_a_thousandth(fem.outage.removals))
    monkeypatch.setattr(plates, "moments", shifted(plates.moments))
    names = "rate", "shear_stress", "required_steel", "section_resistance", "shear_resistance"
    for name in (*names, "bar_crack_spacing", "design_moments"):
        monkeypatch.setattr(codes, name, scaled(getattr(codes, name), 1.02))
    monkeypatch.setattr(codes, "steel_ratio", scaled(codes.steel_ratio, 1.1))
    around = codes.control_perimeters
    monkeypatch.setattr(codes, "control_perimeters", lambda *args: around(*args[:-1], 1.02 * args[-1]))
    found = known_answers()
    assert [answer.name for answer in found if answer.agrees] == []
    assert answer_table(found).failed == frozenset(range(len(answers)))
    assert all(row[-1] == "DOES NOT AGREE" for row in answer_table(found).rows)


def test_what_is_no_number_does_not_agree(answers: tuple[KnownAnswer, ...]) -> None:
    assert not replace(answers[0], found=float(np.nan)).agrees
    assert not replace(answers[0], found=answers[0].published + 1.1 * answers[0].allowed).agrees
    assert replace(answers[0], found=answers[0].published - 0.9 * answers[0].allowed).agrees
