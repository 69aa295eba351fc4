"""Hundreds of random lives of a job, each step held against a reference ledger in plain integers, equal to the cent."""

from __future__ import annotations

import os
from datetime import UTC, date, datetime
from decimal import Decimal
from itertools import count
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from quoting.core.books import book_faults, to_minor
from quoting.core.contracts import Agreed, PaidWith, agreed_of, taken_off
from quoting.core.schedule import schedule
from quoting.documents.billed import bill_of, figures_of
from quoting.documents.contexts import Facts
from quoting.documents.freeze import canonical_json
from quoting.models import BookEntry, ChangeOrder, Invoice, Job, Paper, Payment, lock_row
from quoting.services.billing import billing_of
from quoting.services.books import balances_of, book_agreement, entries_of
from quoting.services.contracts import need_contract
from quoting.services.credit_notes import credit_invoice, left_of
from quoting.services.invoices import draft_invoice, issue_invoice, keep_invoice
from quoting.services.payments import bounce_payment, enter_payment, refund_payment, use_credit
from quoting.services.verify_books import book_faults_of_all
from tests.sample_contract import accepted_job

DAY = date(2026, 6, 12)
SUMS = st.integers(1, 40_000)
LIVES = int(os.environ.get("LIVES", "100"))
"""How many are played from each beginning, on each database: two beginnings, so that two hands share them."""


def blank(facts: Facts, at: datetime) -> bytes:
    """A press that prints nothing, since here it is about the books."""
    return b"%PDF-1.7"


def cents(minor: int) -> Decimal:
    return Decimal(minor).scaleb(-2)


class Life(RuleBasedStateMachine):
    """A job from its acceptance on. `bills` and `pays` are the reference: plain integers, kept by the rules below."""

    def __init__(self) -> None:
        super().__init__()
        self.around = transaction.atomic()
        self.around.__enter__()
        self.once = count(1)
        self.agreed, self.changes, self.earned = 0, [0], 0
        self.bills: dict[str, dict[str, Any]] = {}
        self.pays: dict[int, dict[str, Any]] = {}

    def teardown(self) -> None:
        if self.agreed:
            assert list(book_faults_of_all()) == []
        transaction.set_rollback(True)
        self.around.__exit__(None, None, None)

    @initialize()
    def accept(self) -> None:
        self.job = accepted_job()
        self.by = self.job.opened_by
        self.agreed = to_minor(need_contract(self.job).original.total, "USD")

    # what is agreed changes

    @rule(
        amount=st.integers(-20_000, 30_000), tax=st.integers(0, 900), how=st.sampled_from(PaidWith),
        place=st.integers(1, 4),
    )  # fmt: skip
    def change(self, amount: int, tax: int, how: PaidWith, place: int) -> None:
        number = f"0417-{len(self.changes)}"
        taxes = list(need_contract(self.job).original.taxes[:1])
        share = Agreed(taxes=tuple(taxes)).taxes[0]
        moved = type(share)(name=share.name, rate=share.rate, on=share.on, base=cents(tax * 16), amount=cents(tax))
        of = agreed_of([("Pool deck", cents(amount))], [moved])
        facts = {
            "number": number, "contract": "0417-A", "days_more": "1", "figures": figures_of(of, "USD"),
            "paid_with": how.value, "paid_place": str(place),
        }  # fmt: skip
        paper = Paper.objects.create(
            kind="change-order", number=number, job=self.job, revision=len(self.changes), issued_by=self.by,
            issued_at=datetime(2026, 6, 2, tzinfo=UTC), facts=canonical_json(facts), facts_sha256="0" * 64, pdf=b"%PDF",
            pdf_sha256="0" * 64, pages=1,
        )  # fmt: skip
        ChangeOrder.objects.create(job=self.job, state="accepted", paper=paper, title="More", drafted_by=self.by)
        with transaction.atomic():
            book_agreement(lock_row(Job, self.job.pk))
        self.changes.append(amount + tax)

    # bills

    @property
    def contract(self) -> int:
        return self.agreed + sum(self.changes)

    @property
    def billed(self) -> int:
        return sum(bill["amount"] - bill["credited"] for bill in self.bills.values())

    @property
    def deposit(self) -> int:
        return sum(bill["amount"] - bill["credited"] for bill in self.bills.values() if bill["deposit"])

    def due(self, number: str) -> int:
        bill = self.bills[number]
        paid: int = sum(pay["on"].get(number, 0) for pay in self.pays.values())
        return int(bill["amount"]) - int(bill["credited"]) - paid

    def left(self, pk: int) -> int:
        pay = self.pays[pk]
        return int(pay["amount"]) - int(pay["out"]) - sum(pay["on"].values()) + int(pay["moved"])

    def cover(self) -> None:
        """What is left of payments goes on what was given back of bounced ones, the oldest first."""
        for giver in self.pays:
            for owing in self.pays:
                moved = min(self.left(giver), -self.left(owing))
                if moved > 0:
                    self.pays[giver]["moved"] -= moved
                    self.pays[owing]["moved"] += moved

    def put_credit(self, numbers: list[str]) -> None:
        """Oldest payment first, on the bills in their order."""
        for pk in self.pays:
            for number in numbers:
                moved = min(self.left(pk), self.due(number))
                if moved > 0:
                    self.pays[pk]["on"][number] = self.pays[pk]["on"].get(number, 0) + moved

    @precondition(lambda self: self.contract > self.billed)
    @rule(amount=SUMS, whole=st.booleans(), done=st.none() | st.integers(0, 100))
    def bill(self, amount: int, whole: bool, done: int | None) -> None:
        draft = draft_invoice(job=self.job, by=self.by)
        left = self.contract - self.billed
        kind = "final" if whole else "progress"
        if draft.kind == "deposit" and not self.deposit and not whole:
            kind, amount = "deposit", min(to_minor(draft.amount, "USD"), amount)
        amount = left if whole else min(amount, left)
        share = None if done is None or kind != "progress" else Decimal(done) / 100
        keep_invoice(invoice=draft, version=draft.version, kind=kind, amount=cents(amount), done=share)
        before = self.billed - self.deposit
        paper = issue_invoice(invoice=draft, version=draft.version + 1, by=self.by, press=blank)
        self.bills[paper.number] = {"amount": amount, "credited": 0, "deposit": kind == "deposit"}
        self.put_credit([paper.number])
        value = self.contract * 100 if kind == "final" else self.contract * (done or 0) if share is not None else None
        if value is not None:
            others = (before + amount) * 100
            self.earned = max(self.earned, min(max(value - others, 0), max(self.deposit, 0) * 100) // 100)

    @precondition(lambda self: self.bills)
    @rule(data=st.data(), amount=SUMS, whole=st.booleans())
    def credit(self, data: st.DataObject, amount: int, whole: bool) -> None:
        number = data.draw(st.sampled_from(sorted(self.bills)))
        bill = self.bills[number]
        left = bill["amount"] - bill["credited"]
        if not left:
            return
        amount = left if whole else min(amount, left)
        invoice = Invoice.objects.get(paper__number=number)
        assert to_minor(left_of(invoice), "USD") == left
        credit_invoice(
            invoice=invoice, amount=cents(amount), left=cents(left), reason="A slip.", by=self.by, press=blank
        )
        bill["credited"] += amount
        over = -min(self.due(number), 0)
        for pk in reversed(self.order_on(number)):
            moved = min(over, self.pays[pk]["on"].get(number, 0))
            self.pays[pk]["on"][number] = self.pays[pk]["on"].get(number, 0) - moved
            over -= moved
        if bill["deposit"]:
            self.earned = min(self.earned, self.deposit)

    def order_on(self, number: str) -> list[int]:
        """The payments of a bill in the order in which they were first put on it."""
        rows = BookEntry.objects.filter(kind="spread", invoice__paper__number=number).order_by("position")
        return list(dict.fromkeys(rows.values_list("payment_id", flat=True)))

    # money in and out

    @rule(amount=SUMS)
    def pay(self, amount: int) -> None:
        once = f"{next(self.once):032x}"
        row = enter_payment(job=self.job, on=DAY, method="check", amount=cents(amount), by=self.by, once=once)
        again = enter_payment(job=self.job, on=DAY, method="check", amount=cents(amount), by=self.by, once=once)
        assert again == row
        self.pays[row.pk] = {"amount": amount, "out": 0, "on": {}, "moved": 0, "bounced": False}
        self.cover()
        for number in self.bills:
            moved = min(self.left(row.pk), self.due(number))
            if moved > 0:
                self.pays[row.pk]["on"][number] = moved

    @precondition(lambda self: self.bills)
    @rule(data=st.data(), amount=SUMS)
    def pay_as_chosen(self, data: st.DataObject, amount: int) -> None:
        number = data.draw(st.sampled_from(sorted(self.bills)))
        put = min(amount, self.due(number))
        row = enter_payment(
            job=self.job, on=DAY, method="bank", amount=cents(amount), by=self.by, once=f"{next(self.once):032x}",
            chosen=[(number, cents(put))],
        )  # fmt: skip
        on = {number: put} if put else {}
        self.pays[row.pk] = {"amount": amount, "out": 0, "on": on, "moved": 0, "bounced": False}
        self.cover()

    @precondition(lambda self: any(self.left(pk) > 0 for pk in self.pays))
    @rule(data=st.data(), amount=SUMS)
    def refund(self, data: st.DataObject, amount: int) -> None:
        pk = data.draw(st.sampled_from([pk for pk in self.pays if self.left(pk) > 0]))
        amount = min(amount, self.left(pk))
        refund_payment(
            payment=Payment.objects.get(pk=pk), on=DAY, method="check", amount=cents(amount), by=self.by,
            once=f"{next(self.once):032x}",
        )  # fmt: skip
        self.pays[pk]["out"] += amount

    @precondition(lambda self: any(not pay["bounced"] for pay in self.pays.values()))
    @rule(data=st.data())
    def bounce(self, data: st.DataObject) -> None:
        pk = data.draw(st.sampled_from([pk for pk, pay in self.pays.items() if not pay["bounced"]]))
        for _ in range(2):
            bounce_payment(payment=Payment.objects.get(pk=pk), on=DAY, by=self.by)
        pay = self.pays[pk]
        back = -pay["moved"]
        for other in reversed(self.pays):
            moved = min(back, self.pays[other]["moved"])
            if moved > 0:
                self.pays[other]["moved"] -= moved
                back -= moved
        # What was given back before it bounced is gone twice.
        self.pays[pk] |= {"out": pay["out"] + pay["amount"], "on": {}, "moved": 0, "bounced": True}
        self.cover()

    @precondition(lambda self: self.pays and self.bills)
    @rule()
    def use_credit(self) -> None:
        use_credit(job=self.job, by=self.by)
        self.cover()
        self.put_credit(list(self.bills))

    # what must hold after every step

    @invariant()
    def the_books_are_the_reference(self) -> None:
        found = balances_of(self.job)
        paid = sum(pay["amount"] - pay["out"] for pay in self.pays.values())
        put = sum(sum(pay["on"].values()) for pay in self.pays.values())
        on_deposits = sum(
            amount
            for pay in self.pays.values()
            for number, amount in pay["on"].items()
            if self.bills[number]["deposit"]
        )
        assert (found.billed.amount, found.paid.amount) == (self.billed, paid)
        lefts = [self.left(pk) for pk in self.pays]
        assert found.due.amount == self.billed - put
        assert found.credit.amount == sum(left for left in lefts if left > 0)
        assert found.owed_back.amount == -sum(left for left in lefts if left < 0)
        assert found.credit.amount - found.owed_back.amount == paid - put
        assert found.deposits.amount == max(on_deposits - self.earned, 0)
        assert {each.number: each.due for each in found.invoices} == {number: self.due(number) for number in self.bills}
        assert {int(each.key): each.left for each in found.payments} == {pk: self.left(pk) for pk in self.pays}
        assert book_faults(entries_of(self.job)) == ()
        if found.agreed.made_of:
            assert (found.agreed.amount, found.changed.amount) == (self.agreed, sum(self.changes))

    @invariant()
    def the_papers_add_up(self) -> None:
        billing = billing_of(self.job)
        assert to_minor(billing.contract.now.total, "USD") == self.contract
        parts = [to_minor(part.amount, "USD") for part in schedule(billing.contract, billing.before.total)]
        assert sum(parts) == self.contract
        assert self.contract < 0 or min(parts) >= 0
        assert to_minor(billing.before.total, "USD") == self.billed
        for each in Invoice.objects.filter(job=self.job).issued():
            assert bill_of(each).total == each.amount
        if self.billed == self.contract:
            assert taken_off(billing.contract.now, billing.before) == Agreed()


class HalfBilledLife(Life):
    """The same job, begun with its deposit billed and paid and the progress bill out."""

    @initialize()
    def accept(self) -> None:
        super().accept()
        for _ in range(2):
            self.bill_next()
        self.pay(next(iter(self.bills.values()))["amount"])

    def bill_next(self) -> None:
        draft = draft_invoice(job=self.job, by=self.by)
        amount, kind = to_minor(draft.amount, "USD"), draft.kind
        paper = issue_invoice(invoice=draft, version=draft.version, by=self.by, press=blank)
        self.bills[paper.number] = {"amount": amount, "credited": 0, "deposit": kind == "deposit"}


@pytest.mark.parametrize("life", [Life, HalfBilledLife])
@pytest.mark.django_db
def test_every_life_of_a_job_is_what_the_reference_says(life: type[Life]) -> None:
    run_state_machine_as_test(
        life,
        settings=settings(
            max_examples=LIVES,
            stateful_step_count=10,
            deadline=None,
            phases=[Phase.reuse, Phase.generate],  # to shrink a life takes minutes; its steps are printed whole
            suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large],
        ),
    )
