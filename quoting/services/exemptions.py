"""Applying a certificate of exemption: on a draft of an offer, and on a contract that was agreed with tax.

It never applies by itself: somebody of the firm chooses it, and it must hold on that day and for that place.
"""

from __future__ import annotations

import json
from collections.abc import Collection
from datetime import date

from django.db import transaction
from django.utils import timezone

from quoting.core.contracts import Agreed
from quoting.core.exemptions import taxes_off
from quoting.documents.contexts import Facts, listed
from quoting.models import Certificate, Exemption, Firm, Job, User, lock_row
from quoting.services.books import book_agreement
from quoting.services.certificates import told_of_exemption
from quoting.services.change_orders import supersede_changes
from quoting.services.contracts import acceptance_of, need_contract
from quoting.services.firm import taxes_at
from quoting.services.trail import record


class CantExempt(Exception):
    """The certificate takes no tax off here; the sentence says why."""


def holding_for(job: Job, on: date | None = None) -> list[Certificate]:
    """The certificates of the job's customer that hold today, or on a day, where the work is; without their files."""
    return Certificate.objects.holding_for(job, on or timezone.localdate())


def covered_by(certificate: Certificate, names: Collection[str]) -> list[str]:
    """Those of these taxes that it takes off."""
    return [name for name in names if certificate.covers(name)]


def taxes_of(firm: Firm) -> list[str]:
    """The names of the taxes that the firm charges now, wherever."""
    return list(dict.fromkeys(rule.name for rule in firm.tax_rules.all() if rule.active))


def exempt_on(firm: Firm, job: Job, certificate: Certificate | None) -> list[str]:
    """The taxes of the place that an offer leaves off by this certificate; none without one."""
    names = [rule.name for rule in taxes_at(firm, job.property)] if certificate else []
    return covered_by(certificate, names) if certificate else []


def exempt_facts(firm: Firm, job: Job, certificate: Certificate | None) -> Facts:
    """What stands on a paper of it: the reason and the number in words, and what it takes off; nothing without one."""
    names = exempt_on(firm, job, certificate)
    if certificate is None or not names:
        return {}
    return {
        "words": f"{listed(names)} not charged: {certificate}.",
        "by": str(certificate),
        "taxes": names,
        "sha256": certificate.sha256,
    }


def taken_off_by(job: Job, certificate: Certificate) -> Agreed:
    """What the certificate would take off the contract as it stands: sums below nothing. Raises NoContract."""
    now = need_contract(job).now
    return taxes_off(now, covered_by(certificate, [tax.name for tax in now.taxes]))


def exempt_contract(*, job: Job, certificate: Certificate, by: User) -> Exemption:
    """Take the taxes that a certificate covers off a contract that was agreed with them; once, whatever is clicked
    twice. All bills of the job then add up to the contract without them: what earlier ones charged comes off the next.

    Changes that wait for an answer were made on another contract, and are superseded. Raises NoContract or CantExempt.
    """
    with transaction.atomic():
        row = lock_row(Job, job.pk)
        acceptance = acceptance_of(row)
        if acceptance and (found := Exemption.objects.filter(paper=acceptance.paper, certificate=certificate).first()):
            return found
        today = timezone.localdate()
        place = row.property
        kept = Certificate.objects.without_file().filter(pk=certificate.pk, customer=place.customer_id).first()
        if kept is None or not kept.holds(today, place.region):
            raise CantExempt("This certificate does not hold today for work at this place. Nothing was taken off.")
        off = taken_off_by(row, kept)
        if acceptance is None or not off.taxes:
            raise CantExempt("The contract charges no tax that this certificate takes off.")
        book_agreement(row)
        exemption = Exemption.objects.create(
            paper=acceptance.paper,
            certificate=kept,
            kind=kept.kind,
            number=kept.number,
            sha256=kept.sha256,
            taxes=[tax.name for tax in off.taxes],
            applied_on=today,
            applied_at=timezone.now(),
            applied_by=by,
        )
        record("tax taken off", job=row, paper=acceptance.paper, actor=by, data=told_of_exemption(exemption))
        supersede_changes(row)
        book_agreement(row)
    return exemption


def exempt_names(job: Job) -> frozenset[str]:
    """The taxes that the contract of a job was agreed without, or that were taken off it, by certificates."""
    acceptance = acceptance_of(job)
    if acceptance is None:
        return frozenset()
    names = set(json.loads(acceptance.paper.facts).get("exempt", {}).get("taxes", ()))
    for taxes in Exemption.objects.filter(paper=acceptance.paper).values_list("taxes", flat=True):
        names |= set(taxes)
    return frozenset(names)


def exempt_words(job: Job) -> list[str]:
    """What the bills of a job say of its certificates, a sentence each."""
    acceptance = acceptance_of(job)
    if acceptance is None:
        return []
    agreed = json.loads(acceptance.paper.facts).get("exempt", {})
    later = Exemption.objects.filter(paper=acceptance.paper)
    return [
        *([agreed["words"]] if agreed else []),
        *(f"{listed(row.taxes)} taken off: {row}." for row in later),
    ]
