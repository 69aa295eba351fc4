"""Learning from counts and measurements against outside sources."""

from decimal import Decimal

from quoting.core.gamma import Gamma
from quoting.core.observations import NormalPrior, ThreePoint, path_deviation, shrunk_mean, shrunk_towards
from quoting.core.observations import shrunk_variance as variance_after
from quoting.core.rounding import round_half_up

D = Decimal


def test_a_normal_mean_is_drawn_to_the_prior():
    # Hoff, A First Course in Bayesian Statistical Methods (2009), chapter 5, midge data (from memory):
    # (1.9 + 9 × 1.804) ÷ 10 = 1.8136; the book prints 1.814
    assert shrunk_mean(D("1.9"), D(1), D("1.804"), 9) == D("1.8136")


def test_a_normal_variance_after_nine():
    # the same: (0.01 + 8 × 0.0168 + 0.9 × 0.096²) ÷ 10 = 0.0152694, printed 0.0153
    prior = NormalPrior(mean=D("1.9"), weight=D(1), variance=D("0.01"))
    assert round_half_up(variance_after(prior, D("1.804"), D("0.0168"), 9), 4) == D("0.0153")


def test_batting_averages_are_drawn_together():
    # Efron and Morris, Scientific American, May 1977 (from memory): 0.265 + 0.212 × (0.400 − 0.265) = 0.29362
    assert round_half_up(shrunk_towards(D("0.265"), D("0.212"), D("0.400")), 3) == D("0.294")


AFTER = Gamma(shape=D(2), rate=D(1)).after(events=217, jobs=111)
"""Hoff (2009), chapter 3: prior (2, 1), 111 women with 217 children."""


def test_a_count_s_posterior():
    assert Gamma(shape=D(219), rate=D(112)) == AFTER


def test_a_count_s_mean_and_mode():
    # the same: 219 ÷ 112 = 1.955357; 218 ÷ 112 = 1.946429
    assert (round_half_up(AFTER.mean, 6), round_half_up(AFTER.mode, 6)) == (D("1.955357"), D("1.946429"))


def test_a_count_s_interval():
    # the same: 95 % from 1.704943 to 2.222679
    low, high = AFTER.interval(D("0.95"))
    assert (round_half_up(low, 6), round_half_up(high, 6)) == (D("1.704943"), D("2.222679"))


def test_the_three_point_formula():
    # US Navy Special Projects Office, 1958 (second hand): (2 + 4 × 5 + 14) ÷ 6 = 6; (14 − 2) ÷ 6 = 2
    estimate = ThreePoint(best=D(2), likely=D(5), worst=D(14))
    assert (estimate.mean, estimate.deviation) == (6, 2)


def test_the_variances_of_a_path_add_up():
    # the same: √(2² + 1.5²) = 2.5
    path = [ThreePoint(best=D(2), likely=D(5), worst=D(14)), ThreePoint(best=D(1), likely=D(4), worst=D(10))]
    assert path_deviation(path) == D("2.5")


def test_the_beta_distribution_of_three_points():
    # the same: 1 + 4 × 3 ÷ 12 = 2; 1 + 4 × 9 ÷ 12 = 4
    assert ThreePoint(best=D(2), likely=D(5), worst=D(14)).beta == (2, 4)
