"""People who jump together: factors, rates and forces of the harmonics."""

from __future__ import annotations

import numpy as np
import pytest

from fem.jumping import RHYTHMIC_FACTORS, harmonic_forces, harmonic_rates, jumping_factors


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


def test_harmonics() -> None:
    """Ten people of 80 kg weigh 7845.32 N; aerobics at 2.5 1/s beats at 2.5, 5 and 7.5 Hz. Exact but for rounding."""
    np.testing.assert_allclose(harmonic_rates([2.0, 2.5], 3), [[2.0, 4.0, 6.0], [2.5, 5.0, 7.5]], rtol=1e-15)
    np.testing.assert_allclose(
        harmonic_forces(10, 80.0, RHYTHMIC_FACTORS, 9.80665), [11767.98, 4707.192, 784.532], rtol=1e-12
    )
