"""Contracts that stay untaxed though the certificate has run out: said before a change is issued, and when billing."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from datetime import date

from django.utils import timezone

from quoting.documents.contexts import day_text, listed
from quoting.models import Certificate, Exemption, Job, Proposal
from quoting.services.contracts import acceptance_of
from quoting.services.exemptions import covered_by, holding_for


def lapsed_words(job: Job, on: date | None = None) -> list[str]:
    """A sentence for each certificate by which the contract bears no tax and that does not hold today, or on a day, any
    more, unless others of the customer that hold cover its taxes."""
    day = on or timezone.localdate()
    return [
        f"{listed(taxes)} not charged, by {certificate}, which {_why(certificate, day)}. What is changed or billed "
        "from now on stays without it. Ask for a new certificate, or your adviser what is due."
        for certificate, taxes in _lapsed(job, day)
    ]


def _lapsed(job: Job, on: date) -> Iterator[tuple[Certificate, list[str]]]:
    applied = list(_applied(job))
    holding = holding_for(job, on) if applied else []
    for certificate, taxes in applied:
        covered = {name for other in holding for name in covered_by(other, taxes)}
        if left := [name for name in taxes if name not in covered]:
            yield certificate, left


def _applied(job: Job) -> Iterator[tuple[Certificate, Sequence[str]]]:
    """The certificates that took taxes off this contract, with the offer or afterwards, and those taxes."""
    acceptance = acceptance_of(job)
    if acceptance is None:
        return
    agreed = json.loads(acceptance.paper.facts).get("exempt", {})
    drafted = (
        Proposal.objects.filter(paper=acceptance.paper).select_related("certificate").defer("certificate__content")
    )
    if agreed and (found := drafted.first()) and found.certificate:
        yield found.certificate, agreed["taxes"]
    rows = Exemption.objects.filter(paper=acceptance.paper).select_related("certificate").defer("certificate__content")
    for row in rows:
        yield row.certificate, row.taxes


def _why(certificate: Certificate, on: date) -> str:
    until = certificate.valid_until
    return f"ran out on {day_text(until)}" if until and until < on else "does not hold for work at this place"
