"""Heights, loads, shares and turns in the words of the papers of lift and levelling."""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from postprocess.drawing import datum_corner, number
from postprocess.jobs.setout_lists import millimetres
from postprocess.lift.views import PassView, PeakView
from postprocess.view import PlanView

MOST = 6
"""Decimals beyond which a share is not told from a whole."""
LISTED = 6
"""Numbers in a list within words."""
FRACTIONS = {0: "", 1: "¼", 2: "½", 3: "¾"}


def mm(length: float, digits: int = 1) -> str:
    """A length in m as mm, with a true minus sign."""
    return number(1e3 * length, digits)


def place_mm(length: float) -> str:
    """A coordinate in m as mm, in tenths where they count, with a true minus sign."""
    return millimetres(length).replace("-", "\N{MINUS SIGN}")


def kn(force: float, digits: int = 2) -> str:
    """A force in N as kN."""
    return number(force / 1e3, digits)


def use_percent(use: float) -> str:
    """A use in per cent, with as many decimals as tell on which side of 100 % it is."""
    value = 100 * use
    digits = next((d for d in range(MOST) if value == 100 or round(value, d) != 100), MOST)
    return f"{number(value, digits)} %"


def turn_words(turns: float) -> str:
    """Full turns and quarters, such as 1¾; decimals where they are no quarters."""
    quarters = round(4 * turns)
    if Fraction(turns) * 4 != quarters:
        return f"{turns:z.3f}".rstrip("0").rstrip(".")
    whole, rest = divmod(abs(quarters), 4)
    said = f"{whole}{FRACTIONS[rest]}" if whole or not rest else FRACTIONS[rest]
    return f"\N{MINUS SIGN}{said}" if quarters < 0 else said


def quarter_words(quarters: int) -> str:
    """Quarter turns with their sense in words, such as "up 3/4", "down 1 1/4" or "leave"."""
    if quarters == 0:
        return "leave"
    whole, rest = divmod(abs(int(quarters)), 4)
    part = {0: "", 1: "1/4", 2: "1/2", 3: "3/4"}[rest]
    return " ".join(words for words in ("up" if quarters > 0 else "down", str(whole) if whole else "", part) if words)


def contact_words(share: float) -> str:
    """How much of the slab still lies on the floor."""
    if share <= 0.0:
        return "clear of the floor everywhere"
    return "less than 1 % still on the floor" if share < 0.01 else f"{100 * share:.0f} % still on the floor"


def pass_turns(turns: float) -> str:
    """Turns with their noun."""
    return f"{turn_words(turns)} turn{'' if 0 < turns <= 1 else 's'}"


def pass_title(each: PassView) -> str:
    """Number, heights and contact of one pass."""
    low, high = mm(each.heights.min()), mm(each.heights.max())
    return f"Pass {each.number}: {low} to {high} mm, {contact_words(each.contact_share)}"


def peak_words(peak: PeakView, view: PlanView) -> str:
    """The greatest bending, when it comes and where."""
    x, y = peak.xy
    place = peak.place if "(" in peak.place else f"{peak.place}, x {number(x, 2)} m, y {number(y, 2)} m"
    return (
        f"{number(peak.moment / 1e3, 2)} kN·m/m, {use_percent(peak.use)} of the cracking moment, when jack "
        f"{view.schedule.ids[peak.jack]} has just been turned in pass {peak.pass_number}; at {place}"
    )


def crew_peak_words(peak: PeakView, view: PlanView) -> str:
    """The greatest bending, when it comes and where: mm from the datum, as in the lists of the crew."""
    x, y = 1e3 * (np.array(peak.xy) - datum_corner(view.plan))
    name = peak.place.split(" (")[0].removesuffix(" at")
    place = "" if name == "slab" else f"{name}, "
    return (
        f"{number(peak.moment / 1e3, 2)} kN·m/m, {use_percent(peak.use)} of the cracking moment, when jack "
        f"{view.schedule.ids[peak.jack]} has just been turned; at {place}x {number(x, 0)} mm, y {number(y, 0)} mm"
    )


def face_words(peak: PeakView) -> str:
    """On which face cracks would open, and what that leaves to watch."""
    if peak.face == "top":
        return (
            "Cracks open on the top face there: look for them after every jack nearby; the underside cannot be seen: "
            "stop on noise and on any jump of height."
        )
    return (
        "Cracks open on the bottom face there; the underside cannot be seen: stop on noise and on any jump of height."
    )


def day_words(days: float) -> str:
    """A number of days with its noun."""
    return f"{days:g} day{'' if days == 1 else 's'}"


def number_list(values: list[int]) -> str:
    """Numbers such as "1 to 3" or "1, 4"; the first six of many."""
    numbers = sorted(values)
    if len(numbers) > 2 and numbers == list(range(numbers[0], numbers[-1] + 1)):
        return f"{numbers[0]} to {numbers[-1]}"
    return ", ".join(map(str, numbers[:LISTED])) + (", …" if len(numbers) > LISTED else "")
