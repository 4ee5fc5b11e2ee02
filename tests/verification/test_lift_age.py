"""From which age a lift is safe: said without lifting again, and held here against lifts at other ages."""

from __future__ import annotations

import pytest

from jackfield.judged import concrete_at, judged_moments, judged_places
from jackfield.lifting import LiftDesk, desk_at
from postprocess.lift.record import lifted
from postprocess.lift.verdict import Yardstick
from preprocess.floor import Floor, build_floor
from preprocess.reader import read_case
from tests.unit.lift_cases import rounds, write_hall

AGES = (3.0, 7.0, 28.0)
TURN = 0.010


@pytest.fixture(scope="module")
def floor(tmp_path_factory: pytest.TempPathFactory) -> Floor:
    """An L with a re-entrant corner."""
    return build_floor(read_case(write_hall(tmp_path_factory.mktemp("hall"), 5, 4)))


@pytest.fixture(scope="module")
def peaks(floor: Floor) -> dict[float, tuple[LiftDesk, list[float]]]:
    """Age -> the desk and the greatest moment of each pass, up to the first in which the slab floats, N·m/m."""
    places = judged_places(floor)
    operator = judged_moments(floor, places)
    found = {}
    for age in AGES:
        desk = desk_at(floor, floor.case.lift, age, places, operator)
        passes = []
        for record in lifted(desk.bench, rounds(len(floor.case.jacks), TURN, 12)):
            if record.number:
                passes.append(float(record.moments.max()))
                if record.afloat:
                    break
        found[age] = desk, passes
    return found


@pytest.mark.parametrize("later", AGES[1:])
def test_a_stiffer_slab_bends_more_but_not_more_than_in_proportion(
    peaks: dict[float, tuple[LiftDesk, list[float]]], later: float
) -> None:
    """The greatest moment of the lift at 7 and 28 days against that at 3 days: between it and its multiple by the
    growth of the modulus, EN 1992-1-1:2004, 3.1.3(3). No tolerance: both bounds are strict."""
    (young, before), (old, after) = peaks[AGES[0]], peaks[later]
    growth = old.concrete.modulus / young.concrete.modulus
    assert growth == pytest.approx((old.concrete.fcm / young.concrete.fcm) ** 0.3)  # Eq. 3.5
    assert max(before) < max(after) < growth * max(before)


def test_safe_from_the_day_that_is_said(floor: Floor, peaks: dict[float, tuple[LiftDesk, list[float]]]) -> None:
    """A lift on the first day said to be safe stays below the cracking moment of that day, and it is not said of a day
    on which it does not: on the day before, the bound from 3 days passes it."""
    slab = floor.case.slab
    scale = 1.2 * peaks[3.0][0].cracking_moment / max(peaks[3.0][1])  # as if turns were larger: not safe at 3 days
    yardstick = Yardstick(lambda age: concrete_at(slab, age), slab.thickness)
    day = yardstick.earliest_age(scale * max(peaks[3.0][1]), 3.0)
    assert day is not None
    assert 3 < day < 28
    growth = concrete_at(slab, day).modulus / concrete_at(slab, 3.0).modulus
    assert growth * 1.2 * yardstick.cracking_moment(3.0) <= yardstick.cracking_moment(day)
    before = concrete_at(slab, day - 1).modulus / concrete_at(slab, 3.0).modulus
    assert before * 1.2 * yardstick.cracking_moment(3.0) > yardstick.cracking_moment(day - 1)
