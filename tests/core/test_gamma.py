"""A rate learned from counts."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import gamma as theirs

from quoting.core.gamma import Gamma, GammaFault, log_gamma
from quoting.core.rounding import round_half_up

D = Decimal


@pytest.mark.parametrize(("a", "factorial"), [("1", 1), ("5", 24), ("11", 3628800)])
def test_gamma_of_a_whole_number_is_a_factorial(a: str, factorial: int):
    # Γ(n) = (n − 1)!
    assert round_half_up(log_gamma(D(a)).exp(), 6) == factorial


def test_call_backs():
    # nothing known but one in ten jobs; 3 more in 30: 4 in 40
    after = Gamma(shape=D(1), rate=D(10)).after(events=3, jobs=30)
    assert (after, after.mean, after.mode) == (Gamma(shape=D(4), rate=D(40)), D("0.1"), D("0.075"))


def test_a_shape_of_one_is_likeliest_at_nothing():
    assert Gamma(shape=D("0.5"), rate=D(3)).mode == 0


def test_a_shape_of_one_is_exponential():
    # P(x) = 1 − e^−x: half lies below ln 2 = 0.693147
    assert round_half_up(Gamma(shape=D(1), rate=D(1)).quantile(D("0.5")), 6) == D("0.693147")


@settings(deadline=None, max_examples=40)  # a hundred sums a quantile
@given(
    st.decimals("0.2", "300", places=1), st.decimals("0.5", "200", places=1), st.sampled_from(["0.025", "0.5", "0.9"])
)
def test_quantiles_agree_with_another_program(shape: Decimal, rate: Decimal, share: str):
    expected = theirs.ppf(float(share), float(shape), scale=1 / float(rate))
    assert float(Gamma(shape=shape, rate=rate).quantile(D(share))) == pytest.approx(expected, rel=1e-7, abs=1e-9)


@pytest.mark.parametrize("share", ["0", "1", "1.5"])
def test_a_probability_that_cannot_be_is_refused(share: str):
    with pytest.raises(GammaFault, match="between 0 and 1"):
        Gamma(shape=D(1), rate=D(1)).quantile(D(share))


@pytest.mark.parametrize(("shape", "rate"), [("0", "1"), ("1", "0"), ("10001", "1")])
def test_counts_that_cannot_be_are_refused(shape: str, rate: str):
    with pytest.raises(GammaFault, match="at most 10,000"):
        Gamma(shape=D(shape), rate=D(rate))


def test_fewer_than_no_events_are_refused():
    with pytest.raises(GammaFault, match="are counted"):
        Gamma(shape=D(1), rate=D(1)).after(events=-1, jobs=2)
