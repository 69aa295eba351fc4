"""Acts on what a draft says besides its words and options: payments, allowances, unit prices, dates, what rules ask."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction

from quoting.models import Allowance, Firm, PaymentTerm, Proposal, ProposalPayment, UnitPrice
from quoting.services.firm import THE_FIRM

FACTS = ("work_dates", "at_home", "special_order", "left_off")


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentLine:
    """One payment: a share of the total (a fraction) or a sum; neither for the last, which takes what is left.

    `done` is the share of the work that is done when it is due, None where nobody said it.
    """

    name: str
    trigger: str
    share: Decimal | None = None
    amount: Decimal | None = None
    done: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AllowanceLine:
    """What is in the price, up to where, and what each further one costs (None: a change says it)."""

    name: str
    included: str
    further: str = ""
    price: Decimal | None = None


def firms_lines(firm: Firm) -> list[PaymentLine]:
    """The firm's payment terms as lines of a draft."""
    rows: list[PaymentTerm] = list(firm.payment_terms.all())
    return [
        PaymentLine(name=row.name, trigger=row.trigger, share=None if row is rows[-1] else row.share, done=row.done)
        for row in rows
    ]


def begin_terms(draft: Proposal, before: Proposal | None) -> None:
    """Give a new draft the terms of the proposal that it revises, else the firm's; within the caller's transaction."""
    if before is None:
        firm = Firm.objects.filter(pk=THE_FIRM).first()
        _write_payments(draft, firms_lines(firm) if firm else [])
        return
    _write_payments(draft, [payment_line(row) for row in before.payments.all()])
    _write_allowances(draft, [allowance_line(row) for row in before.allowances.all()])
    for name in FACTS:
        setattr(draft, name, getattr(before, name))
    draft.save(update_fields=list(FACTS))


def keep_terms(
    *,
    proposal: Proposal,
    version: int,
    payments: Sequence[PaymentLine],
    allowances: Sequence[AllowanceLine],
    **facts: Any,
) -> Proposal:
    """Put these payments and allowances, in this order, in the place of the draft's, and keep its other facts.

    Raises ChangedMeanwhile, NotDrafted or DraftGone.
    """
    # proposals.py begins drafts with the terms from here.
    from quoting.services.proposals import lock_draft

    with transaction.atomic():
        kept = lock_draft(proposal)
        kept.claim(version)
        for name, value in facts.items():
            setattr(kept, name, value)
        kept.save(update_fields=list(facts))
        kept.payments.all().delete()
        kept.allowances.all().delete()
        _write_payments(kept, payments)
        _write_allowances(kept, allowances)
    return kept


def payment_line(row: ProposalPayment) -> PaymentLine:
    """A row as the line that was typed."""
    return PaymentLine(name=row.name, trigger=row.trigger, share=row.share, amount=row.amount, done=row.done)


def allowance_line(row: Allowance) -> AllowanceLine:
    """A row as the line that was typed."""
    return AllowanceLine(name=row.name, included=row.included, further=row.further, price=row.price)


def unit_prices(edition_pk: int) -> list[UnitPrice]:
    """All unit prices of an edition, in its order; which go on the paper is for the draft to say."""
    return list(UnitPrice.objects.filter(edition=edition_pk))


def _write_payments(proposal: Proposal, lines: Iterable[PaymentLine]) -> None:
    ProposalPayment.objects.bulk_create(
        ProposalPayment(proposal=proposal, position=place, **asdict(line)) for place, line in enumerate(lines)
    )


def _write_allowances(proposal: Proposal, lines: Iterable[AllowanceLine]) -> None:
    Allowance.objects.bulk_create(
        Allowance(proposal=proposal, position=place, **asdict(line)) for place, line in enumerate(lines)
    )
