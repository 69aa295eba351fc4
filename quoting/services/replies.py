"""Mail that an answer brings with it: the homeowner's copy, a word to the firm; in the answer's transaction."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from django.utils import timezone

from quoting.documents.agreed import Agreed
from quoting.documents.contexts import sum_text
from quoting.documents.letters import first_words
from quoting.models import Acceptance, Firm, Message, Paper
from quoting.services.outbox import write_message

Kind = Message.Kind


def accepted_copy(acceptance: Acceptance, facts: Mapping[str, Any], agreed: Agreed) -> list[str]:
    """Write the copy to the homeowner and the word to the firm; their Message-IDs, which are kept with the yes."""
    paper = acceptance.paper
    customer = paper.job.property.customer
    ids = []
    if customer.email:
        subject, words = first_words(
            "acceptance",
            number=paper.number,
            paper_name=paper.get_kind_display(),
            contract_sum=facts["sums"][-1]["amount"] if paper.kind == Paper.Kind.CHANGE else "",
            paid_words=facts.get("paid_words", ""),
            place=facts["place"],
            customer=customer.name,
            confirmed_at=acceptance.confirmed_at,
            typed_name=acceptance.typed_name,
            agreed=agreed_lines(agreed),
            total=f"{sum_text(agreed.total, agreed.currency)} {agreed.currency}",
            deposit=f"{sum_text(agreed.deposit, agreed.currency)} {agreed.currency}",
            cancel_day=last_day(acceptance),
            pdf_sha256=acceptance.pdf_sha256,
            firm=Firm.objects.defer("logo").first() or Firm(),
        )
        copy = write_message(
            kind=Kind.ACCEPTANCE, to=customer.email, subject=subject, words=words, paper=paper,
            attach_paper=True, with_link=True,
        )  # fmt: skip
        ids.append(copy.message_id)
    return ids + tell_firm(paper, "accepted", agreed_lines(agreed))


def last_day(acceptance: Acceptance) -> date | None:
    """The last day on which the yes may be taken back, to its end; None where it can't be."""
    end = acceptance.cancel_until
    return timezone.localdate(end - timedelta(microseconds=1)) if end else None


def agreed_lines(agreed: Agreed) -> str:
    """What was agreed, line by line: each name with its price, each tax."""
    told = [*agreed.lines, *agreed.taxes]
    return "\n".join(f"{name}: {sum_text(amount, agreed.currency)}" for name, amount in told)


def tell_firm(paper: Paper, what: str, words: str, *, to_customer: bool = False) -> list[str]:
    """A short notice to the firm that its paper was accepted, declined, taken back or asked about; the Message-IDs."""
    customer = paper.job.property.customer
    firm = Firm.objects.defer("logo").first() or Firm()
    subject, text = first_words(
        "notice", number=paper.number, paper_name=paper.get_kind_display(), place=paper.job.property.street, what=what,
        customer=customer.name, words=words,
    )  # fmt: skip
    to = [firm.email] if firm.email else []
    if to_customer and customer.email:
        to.append(customer.email)
    return [
        write_message(kind=Kind.NOTICE, to=address, subject=subject, words=text, paper=paper).message_id
        for address in to
    ]
