"""A payment that a customer makes for several folders at once: one sum, one day, one receipt, a part in each folder.

Each part is a payment of its folder, so that the books of a folder stay whole by themselves; the first part stands for
the whole, and what happens to one part of it happens to all.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from django.db import transaction

from customers.models import Customer
from quoting.core.books import to_minor
from quoting.core.spreading import SpreadFault, spread_as_chosen, spread_oldest_first
from quoting.models import Firm, Job, Payment, User, lock_row
from quoting.services.books import balances_of
from quoting.services.firm import THE_FIRM
from quoting.services.owed import dues_of
from quoting.services.payments import receive

WHOLE = "whole"


class NothingDue(Exception):
    """There is no bill to put it on; money in advance is entered in the folder that it is for."""

    def __init__(self) -> None:
        super().__init__("Nothing is due from this customer. What is paid in advance is entered in its folder.")


def enter_for_customer(
    *,
    customer: Customer,
    on: date,
    method: str,
    amount: Decimal,
    reference: str = "",
    chosen: Sequence[tuple[str, Decimal]] | None = None,
    by: User,
    once: str,
) -> Payment:
    """Enter one payment and spread it over all bills of a customer: the oldest first, or as `chosen` (number and sum
    of each). Gives its first part.

    What was given back of payments that bounced goes before the oldest bill. What nothing asks for is the customer's
    credit in the folder of the first part. The same `once` gives the payment that is there. Raises NothingDue or
    SpreadFault.
    """
    with transaction.atomic():
        mine = Job.objects.filter(property__customer=customer).order_by("pk").values_list("pk", flat=True)
        jobs = {pk: lock_row(Job, pk) for pk in mine}  # in one order, before anything is written
        if found := Payment.objects.filter(once=once).first():
            return found
        currency = Firm.objects.values_list("currency", flat=True).get(pk=THE_FIRM)
        minor = to_minor(amount, currency)
        dues = {due.number: due for due in dues_of(customer.pk).values() if due.amount > 0}
        back = {pk: owed for pk, job in jobs.items() if (owed := balances_of(job).owed_back.amount) > 0}
        if not dues and not back:
            raise NothingDue
        claims = [(number, due.amount) for number, due in dues.items()]
        shares: dict[int, int] = {}
        if chosen is None:
            for pk, owed in back.items():
                if taken := min(owed, minor - sum(shares.values())):
                    shares[pk] = taken
            spreads = spread_oldest_first([(WHOLE, minor - sum(shares.values()))], claims)
        else:
            wanted = [(number, to_minor(each, currency)) for number, each in chosen]
            spreads = spread_as_chosen(WHOLE, minor, wanted, claims)
        on_bills: dict[int, list[tuple[str, int]]] = {}
        for each in spreads:
            pk = dues[each.invoice].job
            on_bills.setdefault(pk, []).append((each.invoice, each.amount))
            shares[pk] = shares.get(pk, 0) + each.amount
        first = next(iter(shares), next(iter(back), None) or next(iter(dues.values())).job)
        shares[first] = shares.get(first, 0) + minor - sum(shares.values())
        whole: Payment | None = None
        for place, (pk, share) in enumerate(shares.items()):
            part = receive(
                jobs[pk], share, on_bills.get(pk, []), on=on, method=method, currency=currency, reference=reference,
                entered_by=by, once=f"{once}-{place}" if place else once, whole=whole,
            )  # fmt: skip
            whole = whole or part
    if whole is None:
        raise SpreadFault("A payment is more than nothing.")
    return whole
