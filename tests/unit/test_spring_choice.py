"""Spring choice on a floor small enough to follow by hand: a rigid plate carried by springs that stand apart."""

from __future__ import annotations

from dataclasses import replace
from time import monotonic

import numpy as np
import pytest
from numpy.typing import NDArray

from fem.condensed import CondensedFloor
from fem.errors import ModelError
from fem.reduced_modes import ReducedModes
from postprocess.spring_choice.all_swaps import all_swaps
from postprocess.spring_choice.buying import buying_list
from postprocess.spring_choice.choose import choose
from postprocess.spring_choice.extra_jack import Points
from postprocess.spring_choice.fewest import fewest_swaps
from postprocess.spring_choice.frequency_cuts import hopeful_cut, proven_cut
from postprocess.spring_choice.nested_reasons import nested_reasons
from postprocess.spring_choice.objective import Goal, Objective, cost
from postprocess.spring_choice.problem import ChoiceProblem, SpringTypes
from postprocess.spring_choice.proof import Proof
from postprocess.spring_choice.shortfall import shortfall
from postprocess.spring_choice.start import predicted_costs, rigid_reactions, subsets
from postprocess.spring_choice.trial import Trial
from postprocess.spring_choice.tributary_picks import tributary_picks
from postprocess.spring_choice.verdict import judge

Floats = NDArray[np.float64]
K0 = 1e5


def catalogue() -> SpringTypes:
    """Three single coils and a pair, all rated at 20 mm: 2, 4, 6 and 8 kN."""
    return SpringTypes(
        ("A", "B", "C", "C/A"),
        np.array([1e5, 2e5, 3e5, 4e5]),
        np.array([2e3, 4e3, 6e3, 8e3]),
        np.full(4, 0.04),
        (("A",), ("B",), ("C",), ("C", "A")),
    )


def islands(loads: Floats, band: tuple[float, float] = (0.75, 1.05)) -> ChoiceProblem:
    """Jacks that do not feel each other, so that each carries its own service load (n,), N, whatever the spring.

    Bare is half of service, full is 1.5 times that.
    """
    n = len(loads)
    floor = CondensedFloor(
        np.full(n, K0), np.eye(n) / K0, loads[:, None] / K0, np.zeros((1, n)), np.zeros((1, 1))
    )
    return ChoiceProblem(floor, np.array([[0.5, 1.0, 1.5]]), np.zeros(n), catalogue(), band)


def heave_of_mass(mass: float, n: int) -> ReducedModes:
    """One mode in which a mass on n springs only heaves: shape 1/√M."""
    shape = 1 / np.sqrt(mass)
    return ReducedModes(
        np.full(n, K0), np.array([n * K0 / mass]), np.zeros((1, 1)), np.full((n, 1), shape), np.array([np.sqrt(mass)])
    )


def test_each_jack_gets_the_spring_of_its_load() -> None:
    """Loads of 0.95 to 1 of the rated loads: those springs, and the figures that follow by hand."""
    loads = np.array([1900.0, 4000.0, 5900.0, 7900.0])
    choice = choose(islands(loads))
    assert choice.works
    np.testing.assert_array_equal(choice.indices, [0, 1, 2, 3])
    np.testing.assert_allclose(choice.load[:, 1], loads, rtol=1e-12)
    np.testing.assert_allclose(choice.load_ratio, loads / [2e3, 4e3, 6e3, 8e3], rtol=1e-12)
    np.testing.assert_allclose(choice.deflection[:, 1], 0.02 * choice.load_ratio, rtol=1e-12)
    np.testing.assert_allclose(choice.solid_reserve, 0.04 - 0.03 * choice.load_ratio, rtol=1e-12)
    off = choice.load_ratio - 1
    assert choice.objective.closeness == pytest.approx(np.mean(off**2))
    assert choice.objective.evenness == pytest.approx(np.var(choice.load_ratio))
    assert choice.objective.pairs == pytest.approx(0.03**2 / 4)
    assert choice.evenness == pytest.approx(0.02 * np.std(choice.load_ratio))
    assert choice.types_used == ("A", "B", "C", "C/A")


def test_a_missed_condition_outweighs_any_quality() -> None:
    """Barely missed costs more than the worst quality, and a tenth further off costs as much again."""
    good = Objective(0.0, 0.0, 0.0, 0.0, 1e9, 1e9, 1.0)
    missed = Objective(float(cost(np.array(1e-9))), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    assert good.value < 1 < missed.value
    np.testing.assert_allclose(cost(np.array([-1.0, 0.0, 0.1, 0.2])), [0, 0, 2, 3])


def test_conditions_that_are_missed_are_named() -> None:
    """1.5 × 5.9 kN on the 6 kN spring is 29.5 mm; with 11 mm of reserve asked for, 40 mm to solid do not do."""
    problem = islands(np.array([4000.0, 5900.0, -300.0]))
    verdict = judge(replace(problem, solid_reserve=0.011), np.array([0, 2, 0]))
    np.testing.assert_array_equal(verdict.in_band, [False, True, False])
    np.testing.assert_array_equal(verdict.has_travel, [False, False, True])
    np.testing.assert_array_equal(verdict.pushes, [True, True, False])
    assert verdict.objective.tension == pytest.approx(1 + 10 * 1.5 * 300 / 2000)
    assert not verdict.works


def test_screw_advance_shortens_a_spring() -> None:
    """Rigid supports of unequal height: F r = v0, here r = k0 (w0 + a − a) = the load, whatever the advance."""
    problem = islands(np.array([2000.0, 4000.0]))
    raised = replace(problem, advance=np.array([0.003, 0.0]))
    np.testing.assert_allclose(rigid_reactions(raised)[1], [2000.0, 4000.0], rtol=1e-12)
    verdict = judge(raised, np.array([0, 1]))
    np.testing.assert_allclose(verdict.load_ratio, [1, 1], rtol=1e-12)
    np.testing.assert_allclose(verdict.deflection[:, 1], [0.017, 0.02], rtol=1e-12)


def test_few_types() -> None:
    """One type: 4 kN would be at 1.48 and solid under the last jack, 6 kN leaves three jacks at 0.60 to 0.68."""
    problem = replace(islands(np.array([3600.0, 3900.0, 4100.0, 5900.0])), most_types=1)
    choice = choose(problem)
    assert len(choice.types_used) == 1
    assert [len(types) for types in subsets(problem, 9)] == [1, 1, 1, 1]
    assert choice.types_used == ("C",), "three jacks a little under are less bad than one far over and solid"
    two = choose(replace(problem, most_types=2))
    assert two.types_used == ("B", "C")
    assert two.works


def test_large_catalogues_are_searched_by_growing_sets(monkeypatch: pytest.MonkeyPatch) -> None:
    """Loads that just two of the types fit: growing finds them as looking at all sets does."""
    problem = replace(islands(np.array([2000.0, 2000.0, 6000.0, 5900.0])), most_types=2)
    all_sets = subsets(problem, 3)
    monkeypatch.setattr("postprocess.spring_choice.start.MOST_SUBSETS", 0)
    np.testing.assert_array_equal(subsets(problem, 3)[0], all_sets[0])
    np.testing.assert_array_equal(all_sets[0], [0, 2])
    assert predicted_costs(problem).shape == (4, 4)


def test_frequency_limit_asks_for_softer_springs() -> None:
    """A mass on two springs: f = √(Σk/M)/2π (any textbook). 4.15 kN stands on the 4 kN spring; the next softer one
    would be at 2.08, so a limit below that frequency is missed, once for the floor, and no jack is sacrificed to it."""
    loads = np.array([4150.0, 4150.0])
    free = islands(loads, (0.6, 1.05))
    np.testing.assert_array_equal(choose(free).indices, [1, 1])
    modes = heave_of_mass(1000.0, 2)
    stands = np.sqrt(4e5 / 1000) / (2 * np.pi)
    met = choose(replace(free, frequency_limit=stands * 1.001, modes=modes))
    assert met.works
    assert met.heave_frequency == pytest.approx(stands)
    missed = choose(replace(free, frequency_limit=stands * 0.9, modes=modes))
    assert not missed.frequency_met
    assert missed.in_band.all(), "one condition is missed for the floor, not one for each jack"
    assert shortfall(free, missed).softening == 1.0
    limited = replace(free, frequency_limit=stands * 0.9, modes=modes)
    assert shortfall(limited, missed).softening == pytest.approx(1 / 0.9**2)


def test_swaps_where_loads_have_changed() -> None:
    """Two of four loads have left the band of their springs: two swaps, and none where all is well."""
    problem = islands(np.array([1900.0, 5900.0, 5900.0, 3900.0]))
    swaps = fewest_swaps(problem, np.array([0, 1, 2, 3]))
    assert swaps.proven
    np.testing.assert_array_equal(swaps.jacks, [1, 3])
    np.testing.assert_array_equal(swaps.after.indices, [0, 2, 2, 1])
    assert len(fewest_swaps(problem, np.array([0, 2, 2, 1]))) == 0


def test_more_swaps_than_are_tried_one_by_one() -> None:
    """Six swaps are needed where no jack feels another; a seventh jack, at its limit, keeps its spring."""
    problem = islands(np.array([2000.0] * 6 + [4180.0]))
    swaps = fewest_swaps(problem, np.array([1, 2, 1, 2, 1, 3, 1]))
    assert swaps.proven
    np.testing.assert_array_equal(swaps.jacks, range(6))


def test_no_swaps_help_where_the_catalogue_cannot() -> None:
    """12 kN on 8 kN springs at most: impossible is said, and the other jack is put right all the same."""
    swaps = fewest_swaps(islands(np.array([12e3, 2e3, 2e3, 2e3])), np.array([0, 1, 1, 1]))
    assert swaps.impossible
    assert not swaps.proven
    np.testing.assert_array_equal(swaps.after.indices, [3, 0, 0, 0])


def switching_modes() -> ReducedModes:
    """Masses of 1.5, 1 and 1 t, each on a jack, the last two weakly tied. On equal springs these two heave together and
    are the mode with the largest share, 2 of 3.5 t; on different ones each moves alone, and the first has it."""
    masses, tie = np.array([1500.0, 1000.0, 1000.0]), 1e3
    tied = np.array([[0.0, 0.0, 0.0], [0.0, 1.0, -1.0], [0.0, -1.0, 1.0]]) * tie / 1000.0
    squares, vectors = np.linalg.eigh(np.diag(K0 / masses) + tied)
    root = np.sqrt(masses)
    return ReducedModes(np.full(3, K0), squares, np.zeros((1, 3)), vectors / root[:, None], vectors.T @ root)


def test_stiffer_springs_may_lower_the_heave_frequency() -> None:
    """100 N/mm throughout: √(1e5 / 1000) rad/s, too high for a limit of √80. 200 N/mm under the last: √(1e5 / 1500)."""
    limit = float(np.sqrt(80) / (2 * np.pi))
    loads = np.array([1900.0, 2400.0, 2400.0])
    problem = replace(islands(loads, (0.35, 1.3)), frequency_limit=limit, modes=switching_modes())
    kept, stiffer = np.array([0, 0, 0]), np.array([0, 0, 1])
    np.testing.assert_allclose(problem.frequencies(problem.types.rates[kept]), np.sqrt(100) / (2 * np.pi))
    np.testing.assert_allclose(
        problem.frequencies(problem.types.rates[stiffer]), np.sqrt(1e5 / 1500) / (2 * np.pi), rtol=1e-6
    )
    jacks = np.arange(3)
    hopeful, proven = hopeful_cut(problem, kept), proven_cut(problem, kept)
    assert hopeful[0][jacks, stiffer].sum() > hopeful[1], "left out in hope, though they work"
    assert proven[0][jacks, stiffer].sum() <= proven[1], "not left out for certain"
    assert proven[0][jacks, kept].sum() > proven[1]
    start = Trial.of(Goal(problem, kept), kept)
    trial, at_least, impossible = Proof(problem, kept, None).run(start, 1, monotonic() + 9)
    assert not impossible
    assert at_least == 1
    assert np.count_nonzero(trial.indices != kept) == 1
    assert judge(problem, trial.indices).works


def test_looking_one_by_one_ends_with_the_time() -> None:
    problem = islands(np.array([1900.0, 5900.0, 5900.0, 3900.0]))
    start = Trial.of(Goal(problem, np.array([0, 1, 2, 3])), np.array([0, 1, 2, 3]))
    assert all_swaps(start, 1, None, monotonic() - 1) is False, "not settled"
    assert all_swaps(start, 1, None, monotonic() + 60) is True, "one swap does not do"
    assert isinstance(all_swaps(start, 2, None, monotonic() + 60), Trial)


def test_choice_says_where_nothing_works() -> None:
    """12 kN on 8 kN springs at most; and the programme says so too where not every set of springs is looked at."""
    problem = islands(np.array([12e3, 2e3]))
    assert choose(problem).impossible
    assert not choose(islands(np.array([2e3, 2e3]))).impossible
    assert not judge(problem, np.array([0, 0])).impossible, "not asked"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("postprocess.spring_choice.every_set.MOST", 0)
        assert choose(problem).impossible


def test_shortfall_names_the_spring_that_would_do() -> None:
    """12 kN at 20 mm: 600 N/mm rated 12 kN, 30 mm of travel in full; 12 − 1.05 × 8 kN too much for the strongest."""
    problem = islands(np.array([12e3, 2e3]))
    short = shortfall(problem, choose(problem))
    (need,) = short.needs
    assert need.jack == 0
    assert need.possible
    assert need.ratio == pytest.approx(1.5)
    assert need.over == pytest.approx(12e3 - 8.4e3)
    assert need.rate == pytest.approx(6e5)
    assert need.rated_load == pytest.approx(12e3)
    assert need.solid_deflection == pytest.approx(0.03)
    assert need.new_ratio == pytest.approx(1.0)
    assert need.extra is None
    assert not len(short.remaining)


def test_no_spring_where_the_slab_rises() -> None:
    """An upward load of 300 N cannot be carried by a spring: no rate would do."""
    problem = islands(np.array([2e3, -300.0]))
    short = shortfall(problem, choose(problem))
    assert [need.jack for need in short.needs] == [1]
    assert not short.needs[0].possible
    np.testing.assert_array_equal(short.remaining, [1])


def test_one_more_jack() -> None:
    """A place that moves as the jack does takes its share by rate: 12 kN on 8 + 4 kN, or on 6 + 6, is 1.00."""
    problem = islands(np.array([12e3, 2e3]))
    coupling = np.array([[1 / K0, 0.0]])
    points = Points(np.array([[1.0, 0.0]]), coupling, np.array([1 / K0]), np.array([[0.12]]))
    (need,) = shortfall(problem, choose(problem), points=points).needs
    assert need.extra is not None
    assert need.extra.works
    assert need.extra.ratio == pytest.approx(1.0)
    assert need.extra.new_ratio == pytest.approx(1.0)
    rated = catalogue().rated_loads
    assert rated[need.extra.spring] + rated[need.extra.new_spring] == pytest.approx(12e3)
    assert need.extra.relief == pytest.approx(1 - rated[need.extra.spring] / 12e3)


def test_reasons_for_pairs() -> None:
    """7.6 kN: 0.95 of the pair's 8 kN and 1.27 of the strongest single spring's 6 kN."""
    problem = islands(np.array([7600.0, 2000.0]))
    reasons = nested_reasons(problem, choose(problem))
    assert reasons == {
        0: "7.6 kN in service: the strongest single spring, C (6.0 kN rated), would be at 1.27, outside 0.75 to 1.05; "
        "the pair C/A works at 0.95"
    }


def test_picks_by_tributary_load() -> None:
    """A tributary load of 2 kN where 3.9 kN really come down picks the 2 kN spring: wrong, at 1.95."""
    problem = islands(np.array([3900.0, 5900.0]))
    picks = tributary_picks(problem, choose(problem), np.array([2000.0, 6000.0]))
    np.testing.assert_array_equal(picks.indices, [0, 2])
    np.testing.assert_allclose(picks.ratio_alone, [1.95, 5.9 / 6])
    np.testing.assert_array_equal(picks.wrong_alone, [True, False])
    np.testing.assert_array_equal(picks.wrong_together, [True, False])


def test_buying_list_counts_coils() -> None:
    """A pair counts as its two coils; spares are a share rounded up, at least one of each kind in use."""
    lines = buying_list(catalogue(), np.array([3] * 20 + [0] * 5), 0.1)
    assert [(line.code, line.under_jacks, line.spares, line.total) for line in lines] == [
        ("A", 25, 3, 28),
        ("C", 20, 2, 22),
    ]
    assert [line.spares for line in buying_list(catalogue(), np.array([1]), 0.0)] == [1]


def test_inner_coils_do_not_stand_alone() -> None:
    assert catalogue().free_standing().codes == ("B", "C", "C/A")


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"band": (1.05, 0.75)}, "band"),
        ({"frequency_limit": 3.6}, "modes"),
        ({"most_types": 0}, "type"),
        ({"types": SpringTypes((), np.zeros(0), np.zeros(0), np.zeros(0), ())}, "catalogue"),
    ],
)
def test_contradictions_are_refused(change: dict[str, object], word: str) -> None:
    problem = islands(np.array([2e3]))
    with pytest.raises(ModelError, match=word):
        replace(problem, **change)  # type: ignore[arg-type]
