"""What the desk says of springs and of one more jack, against the full model of the floor that it speaks of."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from jackfield.choosing import Chosen, choose_springs, further_places, keep_springs
from jackfield.desk import draft_desk, solve_floor
from jackfield.swapping import kept_view
from postprocess.spring_choice.shortfall import shortfall
from preprocess.floor import floor_on
from preprocess.reader import read_draft


@pytest.fixture
def overloaded(small_case: Path) -> Chosen:
    """The small case with a rack that no spring of its catalogue can carry."""
    path = small_case / "case.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("mass_kg = 840", "mass_kg = 4200"), encoding="utf-8")
    chosen = choose_springs(draft_desk(read_draft(small_case, "positions")))
    assert not chosen.choice.works
    return chosen


def test_loads_of_the_choice_are_those_of_the_full_model(overloaded: Chosen) -> None:
    """The condensed floor is exact; 1e-9 of the largest load is the limit of its own tests."""
    states, _ = solve_floor(overloaded.desk.with_springs(overloaded.springs))
    full = np.column_stack([state.jack_load for state in states.values()])
    np.testing.assert_allclose(overloaded.choice.load, full, atol=1e-9 * full.max())


def test_one_more_jack_does_what_is_said_of_it(overloaded: Chosen) -> None:
    """The same mesh with the further jack and its springs in place, solved by the full model; the desk's unit field
    at the new place comes from one pass of the factor, hence 1e-7."""
    points = further_places(overloaded)
    assert points is not None
    needs = shortfall(overloaded.problem, overloaded.choice, points).needs
    offers = [(need.jack, need.extra) for need in needs if need.extra is not None]
    assert offers
    types, case = overloaded.problem.types, overloaded.desk.floor.case
    for jack, extra in offers:
        springs = list(overloaded.springs)
        springs[jack] = case.catalogue[types.codes[extra.spring]]
        springs.append(case.catalogue[types.codes[extra.new_spring]])
        jacks = replace(
            case.jacks,
            ids=(*case.jacks.ids, "X1"),
            xy=np.vstack([case.jacks.xy, extra.xy]),
            springs=tuple(springs),
            advance=np.append(case.jacks.advance, 0.0),
        )
        floor = floor_on(replace(case, jacks=jacks), overloaded.desk.floor.model.space.mesh)
        ratio = solve_floor(floor)[0]["service"].jack_load / jacks.rated_loads
        assert ratio[-1] == pytest.approx(extra.new_ratio, rel=1e-7)
        assert ratio[jack] == pytest.approx(extra.ratio, rel=1e-7)
        low, high = case.target.load_ratio
        assert extra.works == bool(low <= ratio[-1] <= high and low <= ratio[jack] <= high)


def test_springs_named_for_overloaded_jacks_would_do(overloaded: Chosen) -> None:
    """All of them stand at once on the full model; their ratios are those that were named."""
    found = shortfall(overloaded.problem, overloaded.choice)
    case = overloaded.desk.floor.case
    springs = list(overloaded.springs)
    named = [need for need in found.needs if need.possible]
    assert named
    for need in named:
        springs[need.jack] = replace(springs[need.jack], rate=need.rate, rated_load=need.rated_load)
    states, _ = solve_floor(overloaded.desk.with_springs(springs))
    ratio = states["service"].jack_load / np.array([spring.rated_load for spring in springs])
    low, high = case.target.load_ratio
    for need in named:
        assert ratio[need.jack] == pytest.approx(need.new_ratio, rel=1e-8)
        assert low <= ratio[need.jack] <= high
    outside = np.flatnonzero((ratio < low) | (ratio > high))
    assert set(outside) <= set(found.remaining.tolist())


def test_keeping_the_chosen_springs_changes_none(small_case: Path) -> None:
    desk = draft_desk(read_draft(small_case, "positions"))
    chosen = choose_springs(desk)
    assert chosen.choice.works
    again = keep_springs(desk, chosen.springs)
    assert again.swaps is not None
    assert len(again.swaps) == 0
    assert again.springs == chosen.springs


def test_the_case_s_reserve_and_screws_reach_the_choice(small_case: Path) -> None:
    """What the case asks for and how its screws stand must count when springs are chosen."""
    case_file, jacks = small_case / "case.toml", small_case / "jacks.csv"
    text = case_file.read_text(encoding="utf-8")
    case_file.write_text(text.replace("[0.75, 1.05]", "[0.75, 1.05]\nsolid_reserve_mm = 3"), encoding="utf-8")
    rows = jacks.read_text(encoding="utf-8").splitlines()
    turned = [f"{row},{number % 5}" for number, row in enumerate(rows[1:])]
    jacks.write_text("\n".join([f"{rows[0]},advance_mm", *turned]), encoding="utf-8")
    desk = draft_desk(read_draft(small_case, "positions"))
    chosen = choose_springs(desk)
    assert chosen.problem.solid_reserve == pytest.approx(0.003)
    np.testing.assert_allclose(chosen.problem.advance, 1e-3 * (np.arange(35) % 5))
    states, _ = solve_floor(desk.with_springs(chosen.springs))
    full = np.column_stack([state.jack_load for state in states.values()])
    np.testing.assert_allclose(chosen.choice.load, full, atol=1e-9 * full.max())


def test_loads_on_the_standing_springs_are_those_of_a_plain_run(small_case: Path) -> None:
    """What a crew is told of a spring before it is unloaded, by the full model in service."""
    path = small_case / "case.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("mass_kg = 840", "mass_kg = 3000"), encoding="utf-8")
    draft = read_draft(small_case, "springs")
    case = draft.listed()
    desk = draft_desk(draft)
    chosen = keep_springs(desk, case.jacks.springs)
    view = kept_view(chosen, case.jacks.springs, "B")
    standing = solve_floor(desk.with_springs(case.jacks.springs))[0]["service"].jack_load
    np.testing.assert_allclose(view.loads_unswapped, standing, atol=1e-9 * standing.max())
    assert view.swaps
    for swap in view.swaps:
        assert swap.load_unswapped == pytest.approx(standing[swap.jack], rel=1e-8)
    assert any("outside the band" in words for words in view.standing)
