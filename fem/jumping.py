"""Fourier factors of people who jump or move to music together."""

from __future__ import annotations

RHYTHMIC_FACTORS = (1.5, 0.6, 0.1)
"""Of aerobics at 2 to 2.75 Hz: harmonics 1 to 3 over the people's weight. Source: AISC Design Guide 11, from memory."""

_ONE_PERSON = (1.61, 0.94, 0.44)
_EXPONENTS = (-0.082, -0.24, -0.31)


def jumping_factors(people: int) -> tuple[float, float, float]:
    """Fourier factors of the first three harmonics of `people` who jump at one beat, over their whole weight.

    The more they are, the less they keep time: α = 1.61 p^-0.082, 0.94 p^-0.24, 0.44 p^-0.31 for p people. Raises
    ValueError for fewer than one. Source: SCI P354, from memory.
    """
    if people < 1:
        raise ValueError("a group has at least one person")
    first, second, third = (
        share * float(people) ** exponent for share, exponent in zip(_ONE_PERSON, _EXPONENTS, strict=True)
    )
    return first, second, third
