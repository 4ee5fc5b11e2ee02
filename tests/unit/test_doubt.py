"""Doubt and failure of a floor: numbers, words and files."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure
from numpy.typing import NDArray
from scipy.stats import binomtest

from fem.outage import chosen_jacks
from fem.rate_scatter import LEAST, Coils
from fem.scatter import SOURCES, Generators
from jackfield import papers
from jackfield.doubt import case_doubt, floor_doubt, why_without
from jackfield.pipeline import Solution, solve
from postprocess.doubt.as_json import doubt_json
from postprocess.doubt.checks import failure_checks
from postprocess.doubt.jack_file import write_jack_doubt
from postprocess.doubt.result import FloorDoubt
from postprocess.doubt.statistics import JackScatter, Probability, sources
from postprocess.doubt.words import failure_words, percent
from postprocess.doubt_figure import doubt_figure, kinds, leaving
from preprocess.case import Doubt
from preprocess.floor import build_floor
from preprocess.reader import read_case

Floats = NDArray[np.float64]
SETTINGS = Doubt(
    samples=300,
    seed=7,
    rate_tolerance=0.1,
    batch_share=0.5,
    thickness_deviation=0.005,
    thickness_correlation=2.0,
    mass_deviation=0.1,
)


@pytest.fixture(scope="module")
def build(small_case_files: dict[str, str], tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Solution]:
    """build(name=text, ...): the small case solved, with some of its files written anew."""

    def solved(**changed: str) -> Solution:
        folder = tmp_path_factory.mktemp("case")
        for name, text in small_case_files.items():
            (folder / name).write_text(changed.get(name.split(".")[0], text), encoding="utf-8")
        return solve(build_floor(read_case(folder)))

    return solved


@pytest.fixture(scope="module")
def solution(build: Callable[..., Solution]) -> Solution:
    return build()


@pytest.fixture(scope="module")
def doubt(solution: Solution) -> FloorDoubt:
    return floor_doubt(solution, SETTINGS)


@pytest.mark.parametrize(("count", "samples"), [(0, 2000), (3, 200), (100, 200), (2000, 2000)])
def test_bounds_of_a_probability(count: int, samples: int) -> None:
    """Wilson's interval as scipy has it; rounding."""
    expected = binomtest(count, samples).proportion_ci(0.95, method="wilson")
    np.testing.assert_allclose(Probability(count, samples).bounds, [expected.low, expected.high], atol=1e-12)


def test_jacks_are_counted_on_the_side_they_leave() -> None:
    loads = np.array([[0.7, 1.0], [0.9, 1.2], [0.74, 1.1], [0.75, 1.05]])
    scatter = JackScatter.of(loads, np.ones(2), (0.75, 1.05))
    np.testing.assert_array_equal(scatter.under, [2, 0])
    np.testing.assert_array_equal(scatter.over, [0, 2])
    assert scatter.leaves(1).value == 0.5


def test_shares_of_sources() -> None:
    """Variances 9 : 1 give shares of 90 and 10 %."""
    swing = np.array([-1.0, 1.0, -1.0, 1.0])
    answers = {"a": (3 * swing[:, None], swing), "b": (swing[:, None], 2 * swing)}
    a, b = sources(answers, np.ones(1))
    assert (a.of_loads, b.of_loads) == (pytest.approx(0.9), pytest.approx(0.1))
    assert (a.of_frequency, b.of_frequency) == (pytest.approx(0.2), pytest.approx(0.8))
    assert all(source.of_loads == 0 for source in sources({"c": (0 * swing[:, None], 0 * swing)}, np.ones(1)))


def test_coils_of_a_pair_have_batches_of_their_own() -> None:
    """Jack 0: outer and inner coil, jack 1: outer alone. Rates add; a batch moves its own kind only."""
    coils = Coils(2, jack=np.array([0, 0, 1]), kind=np.array([0, 1, 0]), rate=np.array([200.0, 60.0, 200.0]))
    batch, single = np.array([[0.1, 0.0], [0.0, -0.1], [0.0, 0.0]]), np.zeros((3, 3))
    single[2] = [0.0, 0.05, -0.1]
    np.testing.assert_allclose(coils.rates(batch, single), [[280, 220], [254, 200], [263, 180]])
    assert coils.rates(np.array([[-9.0, -9.0]]), single[:1])[0, 1] == pytest.approx(LEAST * 200)


def test_variance_of_a_nested_pair() -> None:
    """Two coils with deviation σ each: variance (k₁² + k₂²) σ²; 20 000 samples, so 5 % is five standard errors."""
    coils = Coils(1, jack=np.array([0, 0]), kind=np.array([0, 1]), rate=np.array([300.0, 90.0]))
    draws = Generators.of(1).draw(20_000, (2, 2, 1, 1))
    rates = coils.rates(0.05 * np.sqrt(0.3) * draws.batch, 0.05 * np.sqrt(0.7) * draws.single)
    assert rates.var() == pytest.approx(0.05**2 * (300**2 + 90**2), rel=0.05)


def test_a_seed_gives_the_same_samples_in_any_batches() -> None:
    whole, parts = Generators.of(5).draw(10, (2, 3, 4, 1)), Generators.of(5)
    halves = [parts.draw(4, (2, 3, 4, 1)), parts.draw(6, (2, 3, 4, 1))]
    for name in SOURCES:
        joined = np.concatenate([getattr(half, name) for half in halves])
        np.testing.assert_array_equal(getattr(whole, name), joined)
    alone = whole.only("thickness")
    assert alone.thickness.any()
    assert not alone.batch.any()


def test_chosen_jacks_are_the_loaded_and_the_outer() -> None:
    loads, clearance = np.array([5.0, 1.0, 4.0, 2.0, 3.0]), np.array([9.0, 1.0, 8.0, 0.0, 2.0])
    np.testing.assert_array_equal(chosen_jacks(loads, clearance, 5), np.arange(5))
    np.testing.assert_array_equal(chosen_jacks(loads, clearance, 4), [0, 1, 2, 3])


def test_seed_and_sources(solution: Solution, doubt: FloorDoubt) -> None:
    """The same seed gives the same numbers, another one others; shares add up to 1; sources hardly interact."""
    again, other = floor_doubt(solution, SETTINGS), floor_doubt(solution, replace(SETTINGS, seed=8))
    np.testing.assert_array_equal(doubt.jacks.high, again.jacks.high)
    assert np.abs(doubt.jacks.high - other.jacks.high).max() > 0
    assert sum(source.of_loads for source in doubt.sources) == pytest.approx(1)
    assert doubt.additivity == pytest.approx(1, abs=0.15)  # 300 samples: covariances of a tenth are chance
    assert doubt.assumptions.thickness_kept > 0.95
    assert not doubt.left_out


def test_nothing_in_doubt_scatters_nothing(solution: Solution) -> None:
    sure = replace(SETTINGS, rate_tolerance=0.0, thickness_deviation=0.0, mass_deviation=0.0)
    doubt = floor_doubt(solution, sure)
    loads = solution.states["service"].jack_load
    np.testing.assert_allclose([doubt.jacks.low, doubt.jacks.high], [loads, loads], rtol=1e-9)
    np.testing.assert_allclose(doubt.frequency.range, solution.heave_frequency, rtol=1e-9)


def test_what_is_not_computed_is_said(solution: Solution) -> None:
    case = solution.floor.case
    assert case_doubt(solution) is None
    assert why_without(case) == "doubt and failure: case.toml has no [doubt]"
    asked = replace(case, doubt=SETTINGS)
    assert why_without(asked) is None
    many = replace(asked, jacks=replace(case.jacks, ids=tuple(str(number) for number in range(2501))))
    assert why_without(many) == "doubt and failure: got 2501 jacks; at most 2500 are computed"


def test_worst_failures_are_named(doubt: FloorDoubt) -> None:
    """A corner jack has the least help: it settles most. Its words name the jack, its number is in the table."""
    words = failure_words(doubt)
    row = doubt.failures.worst("service", "settlement")
    assert row is not None
    assert doubt.ids[doubt.failures.jacks[row]] in {"J1", "J7", "J29", "J35"}
    assert f"{1e3 * doubt.failures.states['service'].settlement.max():.1f} mm" in words[0]
    assert any("cracking moment" in text for text in words)
    assert failure_checks(doubt)[0].ok


def test_a_floor_on_three_jacks(build: Callable[..., Solution]) -> None:
    """Every loss leaves the slab unheld: said in words, in the table and by the check, without a made-up number."""
    three = "id,x_mm,y_mm,spring\nP,1000,1000,A7\nQ,8000,1000,A7\nR,4500,5000,A7\n"
    doubt = floor_doubt(build(jacks=three), SETTINGS)
    assert not doubt.failures.held.any()
    assert "do not hold the slab" in failure_words(doubt)[0]
    check = failure_checks(doubt)[0]
    assert not check.ok
    assert check.value == 3
    assert doubt_json(doubt)["failures"]["springs"][0] == {"id": "P", "held": False}


def test_json_is_complete_and_in_units_of_the_case(doubt: FloorDoubt, solution: Solution) -> None:
    data = json.loads(json.dumps(doubt_json(doubt), allow_nan=False))
    assert data["assumptions"]["thickness_deviation_mm"] == pytest.approx(5)
    first = data["jacks"][0]
    assert first["load_kN"]["nominal"] == pytest.approx(solution.states["service"].jack_load[0] / 1e3)
    assert first["load_kN"]["percentile_5"] < first["load_kN"]["percentile_95"]
    low, high = data["any_jack_leaves_band"]["bounds_95"]
    assert low <= data["any_jack_leaves_band"]["probability"] <= high
    assert len(data["failures"]["springs"]) == len(doubt.ids)
    assert data["failures"]["springs"][0]["service"]["settlement_mm"] > 0


def test_table_has_a_row_for_every_jack(doubt: FloorDoubt, tmp_path: Path) -> None:
    write_jack_doubt(doubt, tmp_path / "jack-doubt.csv")
    with (tmp_path / "jack-doubt.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["id"] for row in rows] == list(doubt.ids)
    assert all(float(row["load_percentile_5_kN"]) <= float(row["load_percentile_95_kN"]) for row in rows)
    settlement = doubt.failures.states["service"].settlement[4]
    assert float(rows[4]["without_it_service_settlement_mm"]) == pytest.approx(1e3 * settlement, abs=0.005)


def test_drawing_tells_probabilities_and_failures(doubt: FloorDoubt, solution: Solution) -> None:
    view = papers.floor_view(solution, papers.jack_schedule(solution.floor, solution.states))
    figure: Figure = doubt_figure(view, doubt)
    words = " ".join(text.get_text() for ax in figure.axes for text in ax.texts)
    assert "Doubt and failure" in words
    assert "settles most" in words
    assert f"J3\n{percent(float(leaving(doubt)[2]))}" in words
    assert set(kinds(doubt)) <= {"under", "stays", "over"}


@pytest.mark.parametrize(
    ("share", "words"), [(0.0, "0 %"), (1.0, "100 %"), (0.005, "0.5 %"), (0.42, "42 %"), (0.9995, "99.95 %")]
)
def test_percent(share: float, words: str) -> None:
    """Never rounded to 0 or 100 %."""
    assert percent(share) == words
