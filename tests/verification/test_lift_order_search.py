"""The search for the order of turning against all orders, against the lift itself, and on symmetric slabs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations
from math import ceil
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray
from shapely import Polygon

from fem.lift import Lifter
from jackfield.lifting import LiftDesk, lift_desk
from postprocess.lift.floating_pass import FloatingPass, sizes
from postprocess.lift.order_beam import least_peak_order
from postprocess.lift.order_result import OrderSearch
from postprocess.lift.order_search import search_order
from postprocess.lift.order_walk import shorter_walk
from postprocess.lift.orders import order_named, walking_distance, ways_between
from postprocess.lift.record import lifted
from preprocess.floor import build_floor
from preprocess.reader import read_case

Floats = NDArray[np.float64]
PITCH = 0.003
TRAVEL = 0.030
RECTANGLE = [(0, 0), (4600, 0), (4600, 2900), (0, 2900)]
SIX = [(400, 500), (2300, 300), (4200, 500), (400, 2400), (2100, 2500), (4200, 2400)]
SYMMETRIC_SIX = [(400, 400), (2300, 400), (4200, 400), (400, 2500), (2300, 2500), (4200, 2500)]
CORNER = [(0, 0), (4600, 0), (4600, 1900), (2300, 1900), (2300, 4200), (0, 4200)]
CORNER_SIX = [(400, 400), (2000, 500), (4200, 1000), (300, 2000), (1900, 2300), (1000, 3800)]
L_SHAPE = [(0, 0), (5800, 0), (5800, 3300), (3300, 3300), (3300, 4550), (0, 4550)]
L_JACKS = [(400 + 1250 * i, 400 + 1250 * j) for j in range(4) for i in range(5) if not (j == 3 and i > 2)]


@dataclass(frozen=True, eq=False)
class Slab:
    """A small slab ready to be lifted."""

    desk: LiftDesk
    plan: Polygon
    jack_xy: Floats

    @property
    def ways(self) -> Floats:
        """(n, n) between jacks, m."""
        return ways_between(self.jack_xy, self.plan, self.desk.pairs)

    def peak(self, order: Sequence[int], turns: float = 2.0) -> float:
        """Greatest moment of the whole lift from rest, turn by turn, N·m/m."""
        passes = ceil(TRAVEL / (turns * PITCH) - 1e-9)
        records = lifted(self.desk.bench, [[(int(jack), turns * PITCH) for jack in order]] * passes)
        return max(float(record.moments.max()) for record in records if record.number)

    def search(self, cracking_moment: float, turns: float = 2.0) -> OrderSearch:
        """turns: a pass. cracking_moment: N·m/m."""
        return search_order(
            self.desk.bench,
            self.desk.pairs,
            self.jack_xy,
            self.plan,
            pitch=PITCH,
            turns=turns,
            travel=TRAVEL,
            cracking_moment=cracking_moment,
        )


def slab_of(folder: Path, outline: ArrayLike, jacks: Sequence[tuple[float, float]], bond: float = 0.0) -> Slab:
    """A slab of 125 mm; outline and jacks in mm, bond in kPa. Springs let it settle by some 10 mm."""
    plan = Polygon(np.asarray(outline) / 1e3)
    rate = plan.area * 0.125 * 2500 * 9.81 / len(jacks) / 10
    lines = [f"J{number},{x:.0f},{y:.0f},S" for number, (x, y) in enumerate(jacks)]
    (folder / "jacks.csv").write_text("id,x_mm,y_mm,spring\n" + "\n".join(lines))
    (folder / "springs.toml").write_text(
        f'[[spring]]\ncode = "S"\nrate_N_mm = {rate:.0f}\nrated_load_kN = {12e-3 * rate:.3f}\n'
        "solid_deflection_mm = 60\n"
    )
    (folder / "case.toml").write_text(
        f'[project]\ntitle = "Slab"\n[slab]\noutline_mm = {[list(point) for point in outline]}\n'
        f"thickness_mm = 125\n[lift]\nage_days = 4\nbond_kpa = {bond}\n"
    )
    case = read_case(folder)
    return Slab(lift_desk(build_floor(case), case.lift), case.slab.plan, case.jacks.xy)


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Slab]:
    """Slabs on six jacks."""
    return {
        name: slab_of(tmp_path_factory.mktemp(name), outline, jacks)
        for name, outline, jacks in (("rectangle", RECTANGLE, SIX), ("corner", CORNER, CORNER_SIX))
    }


@pytest.fixture(scope="module")
def l_shape(tmp_path_factory: pytest.TempPathFactory) -> Slab:
    return slab_of(tmp_path_factory.mktemp("l"), L_SHAPE, L_JACKS)


@pytest.fixture(scope="module")
def found(l_shape: Slab) -> OrderSearch:
    return l_shape.search(1e9)


def peaks_of_sets(slab: Slab, advance: float) -> Floats:
    """(2**n,) greatest moment with every set of jacks turned, far above the floor, by the lift itself.

    The set has the number Σ 2**jack over its jacks.
    """
    number = np.arange(2 ** len(slab.jack_xy))
    gray = number ^ number >> 1  # one jack after the other is turned or turned back
    changed = np.log2(np.abs(np.diff(gray, prepend=0))[1:]).astype(int)
    lifter = Lifter(slab.desk.bench.model)
    lifter.advance += 0.2
    peaks = np.zeros(len(number))
    peaks[0] = slab.desk.bench.peaks(lifter.rest())[0][0]
    turns = [(int(jack), advance * (1 if gray[i + 1] >> jack & 1 else -1)) for i, jack in enumerate(changed)]
    peaks[gray[1:]] = slab.desk.bench.peaks(lifter.states(turns))[0]
    return peaks


@pytest.mark.parametrize("name", ["rectangle", "corner"])
@pytest.mark.parametrize("turns", [1.0, 4.0])
def test_the_best_of_all_orders(small: dict[str, Slab], name: str, turns: float) -> None:
    """All 720 orders of six jacks, each set of turned jacks solved by the lift and not by the floating pass.

    1e-6: the floating pass is exact but for rounding, and the beam keeps every set of six jacks.
    """
    slab = small[name]
    peaks = peaks_of_sets(slab, turns * PITCH)
    best = min(peaks[np.cumsum(2 ** np.array(order))].max() for order in permutations(range(6)))
    floating = FloatingPass.of(slab.desk.bench, turns * PITCH)
    order = least_peak_order(floating)
    assert peaks[np.cumsum(2**order)].max() == pytest.approx(best, rel=1e-6)
    assert floating.least <= best * (1 + 1e-6)


def test_narrow_beams_come_near_the_best(small: dict[str, Slab], monkeypatch: pytest.MonkeyPatch) -> None:
    """With eight part orders instead of all the peak is within 1 %, for small turns and large."""
    slab = small["corner"]
    monkeypatch.setattr("postprocess.lift.order_beam.WIDTHS", (1, 8))
    for turns in (0.5, 2.0, 4.0, 8.0):
        floating = FloatingPass.of(slab.desk.bench, turns * PITCH)
        best = min(floating.peak(np.array(order)) for order in permutations(range(6)))
        assert floating.peak(least_peak_order(floating)) <= 1.01 * best


@pytest.mark.parametrize("name", ["listed", "from-edges"])
def test_floating_pass_is_the_lift(l_shape: Slab, name: str) -> None:
    """Every place and turn of a pass far above the floor. 1e-6 of the greatest moment: rounding."""
    bench = l_shape.desk.bench
    order = order_named(name, l_shape.jack_xy, l_shape.plan)
    lifter = Lifter(bench.model)
    lifter.advance += 0.2
    by_lift = bench.crack_sizes(lifter.states([(int(jack), 2 * PITCH) for jack in order]))
    floating = FloatingPass.of(bench, 2 * PITCH)
    np.testing.assert_allclose(floating.after(order), by_lift[floating.places], atol=1e-6 * by_lift.max())
    assert by_lift.max() == pytest.approx(floating.peak(order), rel=1e-6)


def test_peaks_are_those_of_the_whole_lift(l_shape: Slab, found: OrderSearch) -> None:
    """The order found and the named ones, lifted from rest through all passes. 1e-6: the stiff sheet's rounding."""
    assert found.peak.moment == pytest.approx(l_shape.peak(found.order), rel=1e-6)
    for each in found.compared:
        assert each.peak == pytest.approx(l_shape.peak(each.order), rel=1e-6)
        assert each.walk == pytest.approx(walking_distance(l_shape.ways, np.array(each.order)))


def test_never_worse_than_a_named_order(found: OrderSearch) -> None:
    """Nor below what every order comes to; 1e-5: moments that count as alike, and rounding."""
    assert sorted(found.order) == list(range(len(L_JACKS)))
    assert found.peak.moment <= min(each.peak for each in found.compared) * (1 + 1e-5)
    assert found.peak.moment >= found.least * (1 - 1e-5)


def test_peak_of_an_order_taken_from_a_hat(l_shape: Slab, found: OrderSearch) -> None:
    """Fifty orders at random are no better afloat."""
    random = np.random.default_rng(6)
    floating = FloatingPass.of(l_shape.desk.bench, 2 * PITCH)
    best = floating.peak(np.array(found.order))
    assert min(floating.peak(random.permutation(len(L_JACKS))) for _ in range(50)) >= best * (1 - 1e-6)


def test_short_walk_keeps_the_peak(l_shape: Slab) -> None:
    """The way gets shorter than that of the order with the least peak, the peak stays within the limit."""
    floating = FloatingPass.of(l_shape.desk.bench, 2 * PITCH)
    start = least_peak_order(floating)
    limit = 1.001 * floating.peak(start)
    order = shorter_walk(floating, start, l_shape.ways, limit, tries=100)
    assert sorted(order) == list(range(len(L_JACKS)))
    assert floating.peak(order) <= limit
    assert walking_distance(l_shape.ways, order) < walking_distance(l_shape.ways, start)


def test_shortest_walk_of_all_without_a_limit(small: dict[str, Slab]) -> None:
    """Six jacks, all 720 ways; 1e-9 m: rounding."""
    slab = small["rectangle"]
    floating = FloatingPass.of(slab.desk.bench, 2 * PITCH)
    order = shorter_walk(floating, np.array([0, 4, 2, 3, 1, 5]), slab.ways, np.inf)
    best = min(walking_distance(slab.ways, np.array(order)) for order in permutations(range(6)))
    assert walking_distance(slab.ways, order) == pytest.approx(best, abs=1e-9)


def test_smaller_passes(l_shape: Slab, found: OrderSearch) -> None:
    """Peaks of the whole lift in such passes, as many as the same travel takes, 18 jacks in each. 1e-6: rounding."""
    assert [size.turns for size in found.sizes] == [2.0, 1.5, 1.0, 0.5]
    assert [size.passes for size in found.sizes] == [5, 7, 10, 20]
    assert [size.single_turns for size in found.sizes] == [18 * size.passes for size in found.sizes]
    for size in found.sizes:
        assert size.peak == pytest.approx(l_shape.peak(found.order, size.turns), rel=1e-6)


def test_most_turns_that_are_safe(small: dict[str, Slab], monkeypatch: pytest.MonkeyPatch) -> None:
    """By the lift itself: below the cracking moment with them, and above it with a quarter more in the order found."""
    slab = small["corner"]
    monkeypatch.setattr("postprocess.lift.order_calming.MOST_TRIALS", 8)
    cracking_moment = 1.17 * float(sizes(FloatingPass.of(slab.desk.bench, PITCH).level).max())
    search = slab.search(cracking_moment, turns=4.0)
    assert search.peak.moment > cracking_moment
    assert search.safe_turns is not None
    assert search.safe_order is not None
    assert slab.peak(search.safe_order, search.safe_turns) <= cracking_moment
    assert slab.peak(search.order, search.safe_turns + 0.25) > cracking_moment


@pytest.mark.parametrize("share", [0.5, 1.5])
def test_too_young_or_old_enough(small: dict[str, Slab], share: float) -> None:
    """No turns are safe if the level slab cracks; all are if the greatest peak stays below."""
    slab = small["rectangle"]
    search = slab.search(share * slab.peak(range(6)))
    assert search.safe_turns == (None if share < 1 else 2.0)
    assert search.safe_order == (None if share < 1 else search.order)
    assert ("no order and no size of pass" in search.words[-1]) is (share < 1)


def test_mirrored_orders_of_a_symmetric_slab(tmp_path: Path) -> None:
    """The left half first or the right half first: the same peak. 3 %: the meshes are not symmetric."""
    slab = slab_of(tmp_path, RECTANGLE, SYMMETRIC_SIX)
    floating = FloatingPass.of(slab.desk.bench, 2 * PITCH)
    mirrored = np.array([2, 1, 0, 5, 4, 3])
    for order in ([0, 3, 1, 4, 2, 5], [1, 0, 2, 4, 3, 5], [0, 5, 1, 2, 4, 3]):
        assert floating.peak(mirrored[order]) == pytest.approx(floating.peak(np.array(order)), rel=0.03)


def test_with_a_bond(tmp_path: Path) -> None:
    """The sheet sticks: peaks are those of the whole lift, in which bonds break one by one. 1e-6: rounding."""
    slab = slab_of(tmp_path, RECTANGLE, SIX, bond=2.0)
    search = slab.search(1e9)
    assert search.peak.moment == pytest.approx(slab.peak(search.order), rel=1e-6)
    assert search.peak.moment <= min(slab.peak(each.order) for each in search.compared) * (1 + 1e-5)
