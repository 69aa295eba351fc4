"""Which payment pays what: what was given back of a payment that bounced is covered by what is left of others."""

from quoting.core.books import PaymentBalance
from quoting.core.spreading import Move, covered, uncovered


def payment(key: str, received: int, refunded: int = 0, bounced: int = 0, moved: int = 0) -> PaymentBalance:
    return PaymentBalance(key=key, received=received, refunded=refunded, bounced=bounced, spread=0, moved=moved)


def test_what_is_left_covers_what_was_given_back_the_oldest_first() -> None:
    # 1 bounced after 200 of it was given back, 2 after 50; 3 has 120 left, 4 has 200
    payments = [payment("1", 900, -200, -900), payment("2", 400, -50, -400), payment("3", 120), payment("4", 200)]
    assert covered(payments) == (
        Move(payment="3", amount=-120), Move(payment="1", amount=120),
        Move(payment="4", amount=-80), Move(payment="1", amount=80),
        Move(payment="4", amount=-50), Move(payment="2", amount=50),
    )  # fmt: skip


def test_without_a_payment_that_bounced_nothing_is_moved() -> None:
    assert covered([payment("1", 900), payment("2", 100, -40)]) == ()


def test_when_the_cover_bounces_it_is_taken_back_from_the_last_one() -> None:
    payments = [payment("1", 900, -200, -900, 200), payment("2", 400, -50, -400, 50), payment("3", 500, moved=-250)]
    assert uncovered(payments, "3") == (
        Move(payment="2", amount=-50), Move(payment="3", amount=50),
        Move(payment="1", amount=-200), Move(payment="3", amount=200),
    )  # fmt: skip
    assert uncovered(payments, "1") == ()
