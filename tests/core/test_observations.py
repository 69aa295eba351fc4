"""Learning from jobs."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.observations import (
    Learned,
    LearningFault,
    NormalPrior,
    Observation,
    ThreePoint,
    grouped,
    learn,
    path_deviation,
    shrunk_mean,
    shrunk_towards,
    shrunk_variance,
)
from quoting.core.rounding import round_half_up

D = Decimal


def seen(rate: str, step: str = "Seal") -> Observation:
    return Observation(surface="stamped", condition="worn", step=step, of="sealer, coat 1", rate=D(rate))


def test_no_job_leaves_the_book():
    assert learn(D(200), []) == Learned(rate=D(200), book=D(200), observed=None, jobs=0, share=D(0))


def test_what_adds_up_is_averaged():
    # 1/100 and 1/300 gal/ft² are 1/150 on average, not 1/200; the book's 1/300 counts for two jobs:
    # (2/300 + 2/150) ÷ 4 = 1/200
    learned = learn(D(300), [seen("100"), seen("300")], weight=D(2))
    assert (round_half_up(learned.observed, 10), round_half_up(learned.rate, 10)) == (150, 200)
    assert (learned.jobs, learned.share) == (2, D("0.5"))


def test_many_jobs_outweigh_the_book():
    assert round_half_up(learn(D(200), [seen("100")] * 396).share, 2) == D("0.99")


def test_different_things_are_not_averaged():
    with pytest.raises(LearningFault, match="different things"):
        learn(D(200), [seen("100"), seen("100", step="Wash")])


@pytest.mark.parametrize(("book", "weight"), [("0", "4"), ("200", "0")])
def test_a_book_of_nothing_is_refused(book: str, weight: str):
    with pytest.raises(LearningFault, match="more than nothing"):
        learn(D(book), [], D(weight))


def test_a_rate_of_nothing_is_refused():
    with pytest.raises(LearningFault, match="more than nothing"):
        seen("0")


def test_observations_are_grouped_by_what_they_are_about():
    one, two, three = seen("100"), seen("90", step="Wash"), seen("110")
    assert list(grouped([one, two, three]).values()) == [(one, three), (two,)]


@settings(max_examples=60, deadline=None)
@given(st.integers(50, 500), st.lists(st.integers(50, 500), min_size=1, max_size=9))
def test_what_is_learned_lies_between_the_book_and_the_jobs(book: int, rates: list[int]):
    learned = learn(D(book), [seen(str(rate)) for rate in rates])
    low, high = sorted((learned.book, learned.observed))
    assert low - D("1e-20") <= learned.rate <= high + D("1e-20")


def test_a_mean_between():
    # (1 × 10 + 3 × 20) ÷ 4
    assert shrunk_mean(D(10), D(1), D(20), 3) == D("17.5")


def test_a_variance_grows_with_the_distance_from_the_prior():
    # (1 × 4 + 2 × 6 + 1 × 3 ÷ 4 × 4²) ÷ 4 = 28 ÷ 4
    assert shrunk_variance(NormalPrior(mean=D(10), weight=D(1), variance=D(4)), D(14), D(6), 3) == 7


def test_a_factor_of_one_changes_nothing():
    assert shrunk_towards(D("0.3"), D(1), D("0.4")) == D("0.4")


def test_three_points_in_the_wrong_order_are_refused():
    with pytest.raises(LearningFault, match="between the best and the worst"):
        ThreePoint(best=D(3), likely=D(2), worst=D(4))


def test_one_point_has_no_distribution():
    with pytest.raises(LearningFault, match="are the same"):
        _ = ThreePoint(best=D(2), likely=D(2), worst=D(2)).beta


def test_no_path_has_no_deviation():
    assert path_deviation([]) == 0
