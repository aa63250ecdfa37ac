"""Few observations: are the published values met?

Rows L01 to L14 of the collected checks.
"""

from __future__ import annotations

import pytest

from falsework.engines.reliability import observed, spares
from falsework.engines.reliability.spread import Gamma, gamma_between

HANDBOOK = "NIST/SEMATECH e-Handbook of Statistical Methods"


def test_l01_lower_bound_of_the_mean_time():
    """L01: two failures in 800 h, 90 % two-sided: at least 127.07 h. Source: HANDBOOK, sec. 8.4.5.1 (R listing)."""
    assert observed.mtbf_at_least(2, 800, 0.95) == pytest.approx(127.07, abs=0.01), HANDBOOK
    assert observed.rate_at_most(2, 800, 0.95) == pytest.approx(1 / 127.07, rel=1e-4), HANDBOOK


def test_l03_no_failures():
    """L03: none in 1000 h: at least 333.8 h with 95 %, 434.3 h with 90 %: T / -ln(alpha).

    Source: rule as stated in HANDBOOK, sec. 8.4.5.1; numbers own calculation.
    """
    assert observed.mtbf_at_least(0, 1000, [0.95, 0.9]) == pytest.approx([333.8, 434.3], abs=0.1)
    assert observed.rate_at_least(0, 1000, 0.95) == 0


def test_l04_a_prior_from_two_percentiles():
    """L04: 50 % sure of an MTBF of 600 h and 95 % of 250 h: a = 2.863055, b = 1522.506.

    Source: HANDBOOK, sec. 8.2.5 and 8.3.1.5 (R listing).
    """
    prior = gamma_between(1 / 600, 1 / 250, low_chance=0.5, high_chance=0.95)
    assert isinstance(prior, Gamma)
    assert prior.shape == pytest.approx(2.863055, abs=1e-5), HANDBOOK
    assert prior.rate == pytest.approx(1522.506, rel=1e-5), HANDBOOK


def test_l05_the_prior_checked():
    """L05: Gamma(2.863, rate 1522.46) lies below 1/600 with 0.5001232 and below 1/250 with 0.9499963.

    The first was printed for 1/600 rounded to 0.001667: at 1/600 itself it is 0.499995, nearer to the 0.5 wanted.
    Source: HANDBOOK, sec. 8.2.5 and 8.3.1.5 (R listing).
    """
    prior = Gamma(shape=2.863, rate=1522.46)
    assert prior.below([0.001667, 1 / 250]) == pytest.approx([0.5001232, 0.9499963], abs=1e-6), HANDBOOK
    assert prior.below(1 / 600) == pytest.approx(0.5, abs=1e-5)


def test_l06_the_prior_updated():
    """L06: two failures in 1000 h make it Gamma(4.863, 2522.46), with a median MTBF of 556.3 h.

    Source: HANDBOOK, sec. 8.4.6, states the formulas; the median is own calculation.
    """
    found = Gamma(shape=2.863, rate=1522.46).updated(2, 1000)
    assert (found.shape, found.rate) == pytest.approx((4.863, 2522.46), rel=1e-9)
    assert 1 / found.quantile(0.5) == pytest.approx(556.3, abs=0.1)


def test_l08_the_rule_of_three():
    """L08: none of 1500: at most 1 in 500 by 3/n (exactly 1.9952e-3). Source: public statistics page; exact: binomial."""
    assert observed.rule_of_three(1500) == pytest.approx(1 / 500, rel=3e-3)
    assert observed.chance_at_most(0, 1500, 0.95) == pytest.approx(1.9952e-3, rel=1e-4)


def test_l10_the_rule_at_other_levels():
    """L10: the numerators are 3.00, 4.61 and 5.30 at 95, 99 and 99.5 %. Source: as L08."""
    assert observed.rule_of_three(1, [0.95, 0.99, 0.995]) == pytest.approx([3.00, 4.61, 5.30], abs=0.005)


def test_l11_spares_that_last():
    """L11: two spares, 0.001/h, 500 h: they last with the chance 0.986 (exactly 0.985612).

    Source: MIL-HDBK-338B, example 5.3.8.1, p. 5-27, as quoted.
    """
    assert spares.enough_for(2, 0.001, 500) == pytest.approx(0.986, abs=5e-4)
    assert spares.enough_for(2, 0.001, 500) == pytest.approx(0.985612, abs=1e-6)
    # The same count seen from the shelf: with three on it, it is empty in the other cases.
    assert spares.shelf_empty(3, 0.001, 500) == pytest.approx(1 - 0.985612, abs=1e-6)


def test_l12_tests_without_failure():
    """L12: reliability 95 % at 95 % confidence takes 59 tests. Source: success-run rule, from memory."""
    assert observed.trials_needed(0.95, 0.95) == 59


def test_l14_the_next_drill():
    """L14: after four drills the next takes longer than all of them with the chance 1/5.

    Source: exchangeability; number own calculation.
    """
    assert observed.longer_than_all(4) == pytest.approx(0.2, abs=1e-15)
