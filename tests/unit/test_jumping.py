"""People who jump together: factors, rates and forces of the harmonics."""

from __future__ import annotations

import pytest

from fem.jumping import jumping_factors


def test_factors_of_one_person_and_of_a_crowd() -> None:
    """SCI P354, from memory. 16 and 100 people with logarithms by hand: 16^-0.24 = 2^-0.96 = 0.5141, 100^-0.31 =
    10^-0.62 = 0.2399, 100^-0.082 = 10^-0.164 = 0.6855; four digits of these, so 2e-4."""
    assert jumping_factors(1) == (1.61, 0.94, 0.44)
    assert jumping_factors(16)[1] == pytest.approx(0.94 * 0.5141, rel=2e-4)
    assert jumping_factors(100)[0] == pytest.approx(1.61 * 0.6855, rel=2e-4)
    assert jumping_factors(100)[2] == pytest.approx(0.44 * 0.2399, rel=2e-4)


def test_nobody_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one person"):
        jumping_factors(0)
