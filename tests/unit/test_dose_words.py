"""Words for a vibration dose."""

from __future__ import annotations

import pytest

from postprocess.dynamics.dose_words import CAUTION, dose_words


@pytest.mark.parametrize(
    ("dose", "day", "night"),
    [
        (0.0, "not expected (below 0.2)", "not expected (below 0.1)"),
        (0.15, "not expected (below 0.2)", "a low probability (0.1 to 0.2)"),
        (0.2, "not expected (below 0.2)", "a low probability (0.1 to 0.2)"),
        (0.3, "a low probability (0.2 to 0.4)", "possible (0.2 to 0.4)"),
        (0.7, "possible (0.4 to 0.8)", "probable (0.4 to 0.8)"),
        (1.2, "probable (0.8 to 1.6)", "very likely (above 0.8)"),
        (3.0, "very likely (above 1.6)", "very likely (above 0.8)"),
    ],
)
def test_ranges_for_homes(dose: float, day: str, night: str) -> None:
    """BS 6472-1:2008, table 1: day 0.2–0.4–0.8–1.6, night 0.1–0.2–0.4–0.8 m/s1.75."""
    by_day, by_night = dose_words(dose).split("; ")
    assert by_day.startswith("by day")
    assert by_day.endswith(day)
    assert by_night.startswith("by night")
    assert by_night.endswith(night)


def test_caution_defers_to_local_codes() -> None:
    assert "Local codes" in CAUTION
    assert "Wb" in CAUTION
