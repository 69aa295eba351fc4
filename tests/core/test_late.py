"""Late stretches of a bill: each payment from the day due to its own day, what is unpaid to a day; interest of each."""

from datetime import date
from decimal import Decimal

from quoting.core.books import Entry, EntryKind
from quoting.core.late import LateRule, Stretch, stretches

D = Decimal
K = EntryKind
DUE = date(2026, 4, 1)
SIMPLE = LateRule(rate=D("0.065"), compounding=False, year_days=360)
"""The rate and the year of the worked examples of 5 CFR 1315.17."""


def entry(kind: EntryKind, amount: int, day: int, payment: str = "", invoice: str = "2026-001") -> Entry:
    return Entry(kind=kind, amount=amount, on=date(2026, 4, day), invoice=invoice, payment=payment)


BILLED = Entry(kind=K.BILLED, amount=150_000, on=date(2026, 3, 15), invoice="2026-001")


def late(*entries: Entry, since: date = DUE, until: date = date(2026, 4, 11)) -> tuple[Stretch, ...]:
    return stretches([BILLED, *entries], "2026-001", since=since, until=until, rule=SIMPLE, currency="USD")


def told(found: tuple[Stretch, ...]) -> list[tuple[str, int, bool, str]]:
    return [(str(each.amount), each.days, each.paid, str(each.interest)) for each in found]


def test_what_is_unpaid_is_late_from_the_day_due() -> None:
    # 5 CFR 1315.17: 1,500 × 0.065 × 10 ÷ 360 = 2.7083
    assert told(late()) == [("1500.00", 10, False, "2.71")]


def test_nothing_is_late_on_the_day_due() -> None:
    assert late(until=DUE) == ()


def test_each_payment_is_late_to_its_own_day() -> None:
    # 500 for 4 days: 500 × 0.065 × 4 ÷ 360 = 0.3611; 1,000 for 10 days: 1.8056
    assert told(late(entry(K.SPREAD, 50_000, 5, "1"))) == [("500.00", 4, True, "0.36"), ("1000.00", 10, False, "1.81")]


def test_what_was_paid_in_time_is_not_late() -> None:
    assert told(late(entry(K.SPREAD, 150_000, 1, "1"))) == []


def test_a_bill_that_was_paid_late_is_late_though_nothing_is_due() -> None:
    # 1,500 × 0.065 × 4 ÷ 360 = 1.0833
    assert told(late(entry(K.SPREAD, 150_000, 5, "1"))) == [("1500.00", 4, True, "1.08")]


def test_a_payment_that_bounced_never_paid() -> None:
    entries = [entry(K.SPREAD, 50_000, 1, "1"), entry(K.SPREAD, -50_000, 8, "1")]
    assert told(late(*entries)) == [("1500.00", 10, False, "2.71")]


def test_what_was_credited_was_never_owed() -> None:
    # 1,000 for 10 days
    assert told(late(entry(K.CREDITED, -50_000, 9))) == [("1000.00", 10, False, "1.81")]


def test_interest_goes_on_from_the_day_up_to_which_it_is_billed() -> None:
    # 1,000 is left on 6 April; 5 days to the 11th: 1,000 × 0.065 × 5 ÷ 360 = 0.9028
    paid = entry(K.SPREAD, 50_000, 5, "1")
    assert told(late(paid, since=date(2026, 4, 6))) == [("1000.00", 5, False, "0.90")]


def test_other_bills_do_not_count() -> None:
    assert told(late(entry(K.BILLED, 9_900, 2, invoice="2026-002"))) == [("1500.00", 10, False, "2.71")]
