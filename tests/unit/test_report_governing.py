"""Which check and which jack govern: uses of limits by hand, what comes first, and what does not count."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan
from typing import Literal

import numpy as np
import pytest

from postprocess.checks import Check
from postprocess.report.cover import whole_verdict
from postprocess.report.governing import check_words, governing_check, governing_jack, jack_words, use
from postprocess.schedule import JackSchedule


def check(
    value: float, limit: float, sense: Literal["at most", "at least"] = "at most", *, basis: str = "EN 1992-1-1, 6.1"
) -> Check:
    return Check(f"{value:g} {sense} {limit:g}", value, limit, "kN", sense, basis, "jack A1", None, "1.35 permanent")


@pytest.mark.parametrize(
    ("value", "limit", "sense", "expected"),
    [
        (8.0, 10.0, "at most", 0.8),
        (12.0, 10.0, "at most", 1.2),
        (10.0, 8.0, "at least", 0.8),
        (8.0, 10.0, "at least", 1.25),
        (-3.0, 10.0, "at most", 0.0),
        (3.0, 0.0, "at least", 0.0),
        (0.0, 0.0, "at least", 1.0),
        (-0.1, 0.0, "at least", inf),
        (0.0, 0.0, "at most", 0.0),
        (0.1, 0.0, "at most", inf),
        (0.0, 5.0, "at least", inf),
        (-2.0, 5.0, "at least", inf),
        (-4.0, -2.0, "at most", 0.5),
        (-1.0, -2.0, "at most", inf),
        (inf, 5.0, "at most", inf),
        (inf, 5.0, "at least", 0.0),
        (nan, 5.0, "at most", inf),
    ],
)
def test_use(value: float, limit: float, sense: Literal["at most", "at least"], expected: float) -> None:
    """By hand, from what "at most" and "at least" mean; rounding."""
    each = check(value, limit, sense)
    assert use(each) == pytest.approx(expected, rel=1e-12)
    assert (use(each) <= 1) == each.ok


def test_the_highest_use_governs_and_what_is_not_met_comes_first() -> None:
    """A use of 1.1 with the other sense, or an endless one, does not come after a met one of 0.99."""
    met = [check(9.9, 10.0), check(3.0, 10.0), check(11.0, 10.0, "at least")]
    assert governing_check(met) is met[0]
    missed = check(9.5, 10.0, "at least")
    assert governing_check([*met, missed]) is missed
    worse = check(-1.0, 0.0, "at least")
    assert governing_check([*met, missed, worse]) is worse
    assert whole_verdict([*met, missed]).verdict == "NOT MET"
    assert whole_verdict([*met, missed]).words.startswith("3 of 4 checks met. Not met: 9.5 at least 10")
    assert whole_verdict(met).verdict == "met"


def test_a_count_does_not_hide_how_far_another_check_is_missed() -> None:
    """Two harmonics on a mode, of which none is allowed, tell less than an acceleration of 3.4 against 0.5 m/s2; they
    come before all that is met, and a spring that would have to pull before both."""
    count = Check("harmonics on a mode", 2.0, 0.0, "", "at most", "the case", "hall", None, "")
    fast = Check("acceleration", 3.4, 0.5, "m/s2", "at most", "the case", "hall", None, "")
    met, pulling = check(9.9, 10.0), check(-0.1, 0.0, "at least")
    assert governing_check([met, count, fast]) is fast
    assert governing_check([count, met]) is count
    assert governing_check([count, fast, pulling]) is pulling
    assert governing_check([count, replace(fast, value=nan)]).name == "acceleration"  # type: ignore[union-attr]
    none = replace(count, value=0.0)
    assert governing_check([none, met]) is met


@pytest.mark.parametrize("basis", ["self-check", "validity of thin-plate theory"])
def test_the_programs_own_checks_do_not_govern(basis: str) -> None:
    own, of_floor = check(99.0, 10.0, basis=basis), check(1.0, 10.0)
    assert governing_check([own, of_floor]) is of_floor
    assert governing_check([own]) is None
    assert "9.5 kN, allowed at most 10.0 kN, 0.95 of the limit (jack A1; 1.35 permanent)" in check_words(
        check(9.5, 10.0)
    ).replace("9.50", "9.5")


@pytest.fixture
def schedule() -> JackSchedule:
    """Three jacks of 10 kN with 40 mm of travel; each load in bare, service and full."""
    loads = {
        "bare": np.array([5.0, 5.0, 5.0]),
        "service": np.array([8.0, 9.0, 8.5]),
        "full": np.array([12.0, 12.0, 12.0]),
    }
    return JackSchedule(
        ids=("A", "B", "C"),
        xy=np.array([[0.5, 0.5], [2.0, 0.5], [1.0, 2.0]]),
        springs=("S",) * 3,
        rates=np.full(3, 500e3),
        rated_loads=np.full(3, 10e3),
        solid_deflections=np.full(3, 0.040),
        advance=np.zeros(3),
        loads={name: 1e3 * load for name, load in loads.items()},
        deflections={name: 1e3 * load / 500e3 for name, load in loads.items()},
        tributary_loads=np.full(3, 8e3),
        band=(0.7, 1.0),
    )


def test_each_limit_of_a_jack_can_govern(schedule: JackSchedule) -> None:
    """Uses by hand: 9/10/1.0 at the upper end; 0.7/0.72 at the lower; 39/40 of the travel; a spring that pulls."""
    found = governing_jack(schedule)
    assert (found.jack, found.limit) == (1, "upper end of the band, service")
    assert found.use == pytest.approx(0.9, rel=1e-12)
    light = replace(schedule, loads=schedule.loads | {"service": np.array([8e3, 8e3, 7.2e3])})
    found = governing_jack(light)
    assert (found.jack, found.limit) == (2, "lower end of the band, service")
    assert found.use == pytest.approx(0.7 / 0.72, rel=1e-12)
    deep = replace(schedule, advance=np.array([0.015, 0.0, 0.0]))
    found = governing_jack(deep)
    assert (found.jack, found.limit, found.ok) == (0, "travel of the spring, full", True)
    assert found.use == pytest.approx(39 / 40, rel=1e-12)
    assert governing_jack(deep, 0.002).use == pytest.approx(39 / 38, rel=1e-12)
    assert not governing_jack(deep, 0.002).ok
    pulled = replace(schedule, loads=schedule.loads | {"bare": np.array([5e3, 5e3, -1.0])})
    assert governing_jack(pulled).jack == 2
    assert governing_jack(pulled).use == inf


def test_the_governing_jack_in_words(schedule: JackSchedule) -> None:
    words = jack_words(schedule, governing_jack(schedule))
    assert words.startswith("jack B at x 2000, y 500 mm, spring S: 9.00 kN in service, 0.900 of its rated load")
    assert "band 0.70 to 1.00" in words
    assert "16.0 mm of travel left" in words
