"""The books: balances follow from entries alone."""

from datetime import date
from decimal import Decimal

import pytest

from quoting.core.books import Entry, EntryKind, balances, book_faults, from_minor, to_minor
from quoting.core.spreading import Spread, SpreadFault, released, spread_as_chosen, spread_oldest_first, unspread

K = EntryKind
DAY = date(2026, 6, 12)


def entry(kind: EntryKind, amount: int, **more: object) -> Entry:
    return Entry(kind=kind, amount=amount, on=DAY, **more)  # type: ignore[arg-type]


DEPOSIT = entry(K.BILLED, 400, invoice="2026-001", deposit=True)
PROGRESS = entry(K.BILLED, 800, invoice="2026-002")
PAID = entry(K.RECEIVED, 900, payment="1")
ON_DEPOSIT = entry(K.SPREAD, 400, payment="1", invoice="2026-001")
ON_PROGRESS = entry(K.SPREAD, 300, payment="1", invoice="2026-002")
LIFE = [entry(K.AGREED, 1600), entry(K.CHANGED, 100), DEPOSIT, PROGRESS, PAID, ON_DEPOSIT, ON_PROGRESS]


def figures(entries: list[Entry]) -> dict[str, int]:
    found = balances(entries)
    names = ("agreed", "changed", "billed", "paid", "due", "deposits", "credit")
    return {name: getattr(found, name).amount for name in names}


def test_balances_follow_from_the_entries() -> None:
    # billed 400 + 800; due 1,200 − 400 − 300; credit 900 − 700; of the deposit nothing is earned yet
    assert figures(LIFE) == {
        "agreed": 1600,
        "changed": 100,
        "billed": 1200,
        "paid": 900,
        "due": 500,
        "deposits": 400,
        "credit": 200,
    }


def test_nothing_has_balances_of_nothing() -> None:
    assert set(figures([]).values()) == {0}


def test_every_figure_opens_to_the_entries_that_it_is_made_of() -> None:
    found = balances(LIFE)
    assert found.due.made_of == ((DEPOSIT, 400), (PROGRESS, 800), (ON_DEPOSIT, -400), (ON_PROGRESS, -300))
    for figure in (found.agreed, found.billed, found.paid, found.due, found.credit):
        assert sum(amount for _entry, amount in figure.made_of) == figure.amount


def test_a_credit_lowers_what_is_billed_and_due() -> None:
    credit = entry(K.CREDITED, -150, invoice="2026-002", paper="2026-003")
    assert figures([*LIFE, credit])["billed"] == 1050
    assert balances([*LIFE, credit]).invoice("2026-002").due == 350


def test_a_deposit_is_owed_until_it_is_earned() -> None:
    assert figures([*LIFE, entry(K.EARNED, 250)])["deposits"] == 150
    assert figures([*LIFE, entry(K.EARNED, 400)])["deposits"] == 0


def test_a_deposit_that_is_earned_before_it_is_paid_is_not_owed() -> None:
    assert figures([DEPOSIT, entry(K.EARNED, 400)])["deposits"] == 0


def test_a_bounced_payment_leaves_everything_due() -> None:
    entries = [*LIFE, *spread_entries(unspread(LIFE, "1")), entry(K.BOUNCED, -900, payment="1")]
    found = figures(entries)
    assert (found["paid"], found["due"], found["credit"]) == (0, 1200, 0)


def test_a_refund_comes_off_the_credit() -> None:
    found = figures([*LIFE, entry(K.REFUNDED, -200, payment="1")])
    assert (found["paid"], found["credit"], found["due"]) == (700, 0, 500)


def spread_entries(found: tuple[Spread, ...]) -> list[Entry]:
    return [entry(K.SPREAD, each.amount, payment=each.payment, invoice=each.invoice) for each in found]


def test_a_payment_goes_on_the_oldest_invoice_first() -> None:
    assert spread_oldest_first([("7", 500)], [("2026-001", 400), ("2026-002", 800)]) == (
        Spread(payment="7", invoice="2026-001", amount=400),
        Spread(payment="7", invoice="2026-002", amount=100),
    )


def test_what_no_invoice_asks_for_stays_a_credit() -> None:
    assert spread_oldest_first([("7", 500)], [("2026-001", 400), ("2026-002", 0)]) == (
        Spread(payment="7", invoice="2026-001", amount=400),
    )


def test_two_credits_go_on_one_invoice() -> None:
    assert spread_oldest_first([("7", 50), ("8", 90)], [("2026-001", 100)]) == (
        Spread(payment="7", invoice="2026-001", amount=50),
        Spread(payment="8", invoice="2026-001", amount=50),
    )


def test_a_payment_is_spread_as_chosen() -> None:
    chosen = spread_as_chosen("7", 500, [("2026-002", 500), ("2026-001", 0)], [("2026-001", 400), ("2026-002", 800)])
    assert chosen == (Spread(payment="7", invoice="2026-002", amount=500),)


@pytest.mark.parametrize(
    "chosen", [[("2026-001", 401)], [("2026-009", 1)], [("2026-001", -1)], [("2026-001", 300), ("2026-001", 101)]]
)
def test_no_invoice_takes_more_than_is_due_on_it(chosen: list[tuple[str, int]]) -> None:
    with pytest.raises(SpreadFault, match="less to pay"):
        spread_as_chosen("7", 900, chosen, [("2026-001", 400)])


def test_no_more_is_spread_than_was_paid() -> None:
    with pytest.raises(SpreadFault, match="than was paid"):
        spread_as_chosen("7", 300, [("2026-001", 301)], [("2026-001", 400)])


def test_what_is_released_comes_off_the_last_payment_first() -> None:
    entries = [*LIFE, entry(K.SPREAD, 200, payment="2", invoice="2026-002")]
    assert released(entries, "2026-002", 250) == (
        Spread(payment="2", invoice="2026-002", amount=-200),
        Spread(payment="1", invoice="2026-002", amount=-50),
    )


def test_books_that_hold_have_no_fault() -> None:
    assert book_faults(LIFE) == ()


def test_faults_of_the_books_are_named() -> None:
    wrong = [*LIFE, entry(K.SPREAD, 600, payment="1", invoice="2026-002")]
    assert book_faults(wrong) == (
        "2026-002: more was paid or credited than billed",
        "payment 1: more was spread, refunded or bounced than received",
    )


@pytest.mark.parametrize(
    ("amount", "currency", "minor"), [("12.34", "USD", 1234), ("12", "JPY", 12), ("-0.05", "USD", -5)]
)
def test_sums_are_kept_in_minor_units(amount: str, currency: str, minor: int) -> None:
    assert to_minor(Decimal(amount), currency) == minor
    assert from_minor(minor, currency) == Decimal(amount)


def test_a_sum_finer_than_its_currency_is_refused() -> None:
    with pytest.raises(ValueError, match="no sum of USD"):
        to_minor(Decimal("1.005"), "USD")


def test_what_was_given_back_of_a_payment_that_bounced_is_owed_beside_the_bills() -> None:
    # 900 came, of which 200 was on no bill and given back; then all 900 bounced: the firm has paid 200 for nothing
    bounced = [
        entry(K.REFUNDED, -200, payment="1"),
        entry(K.SPREAD, -400, payment="1", invoice="2026-001"),
        entry(K.SPREAD, -300, payment="1", invoice="2026-002"),
        entry(K.BOUNCED, -900, payment="1"),
    ]
    found = balances([*LIFE, *bounced])
    assert (found.due.amount, found.owed_back.amount, found.credit.amount, found.paid.amount) == (1200, 200, 0, -200)
    assert sum(amount for _entry, amount in found.owed_back.made_of) == 200
    assert book_faults([*LIFE, *bounced]) == ()


def test_what_is_moved_between_payments_must_come_to_nothing() -> None:
    assert "what was moved between payments is not what came from others" in book_faults(
        [PAID, entry(K.MOVED, -100, payment="1")]
    )
