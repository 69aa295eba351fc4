"""Batches: whole ones, and a last one rounded up."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.core.batches import Batch, mixed_volume, split_into_batches


def waters(volume: str, batch: str = "5", step: str | None = None) -> list[tuple[int, str]]:
    """Count and water of the batches for a volume, at a strength of 6."""
    found = split_into_batches(Decimal(volume), Decimal(batch), None if step is None else Decimal(step), Decimal(6))
    assert all(each.powder == 6 * each.water for each in found)
    return [(each.count, str(each.water.normalize())) for each in found]


@pytest.mark.parametrize(
    ("volume", "batches"),
    [
        ("3.42", [(1, "3.75")]),  # a quarter of 5 is 1.25: 2.5 is too little
        ("5", [(1, "5")]),
        ("5.01", [(1, "5"), (1, "1.25")]),
        ("12.6", [(2, "5"), (1, "3.75")]),
        ("14", [(3, "5")]),  # the last is rounded up to a whole batch
        ("0", []),
    ],
)
def test_the_last_batch_goes_up_to_a_quarter(volume: str, batches: list[tuple[int, str]]) -> None:
    assert waters(volume) == batches


def test_the_last_batch_goes_up_to_the_step() -> None:
    assert waters("13.1", step="0.25") == [(2, "5"), (1, "3.25")]


def test_a_step_that_does_not_divide_the_batch_never_makes_one_larger() -> None:
    # 4.9 in steps of 2 would be 6; a bucket holds 5
    assert waters("4.9", step="2") == [(1, "5")]


def test_a_volume_of_exactly_whole_batches_has_no_last_one() -> None:
    third = Decimal(10) / 3
    assert waters(str(third * 3)) == [(2, "5")]


@given(st.decimals("0.001", "1000", places=3), st.decimals("0.1", "20", places=1), st.integers(1, 8))
def test_the_batches_hold_the_volume_and_less_than_a_step_more(volume: Decimal, batch: Decimal, steps: int) -> None:
    step = batch / steps
    mixed = mixed_volume(split_into_batches(volume, batch, step, Decimal(6)))
    assert Decimal(0) <= mixed - volume + Decimal("1e-20")
    assert mixed - volume < step


def test_mixed_volume_counts_every_batch() -> None:
    batches = (
        Batch(count=2, water=Decimal(5), powder=Decimal(30)),
        Batch(count=1, water=Decimal(2), powder=Decimal(12)),
    )
    assert mixed_volume(batches) == 12
