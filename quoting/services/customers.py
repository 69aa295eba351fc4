"""Acts on people that need to know of their folders and papers: merging two, telling all that is kept, erasing."""

from __future__ import annotations

import json
from typing import Any

from django.db import transaction
from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone

from customers.models import Customer, CustomerQuerySet, Property
from customers.services import merge_rows
from quoting.models import Area, Job, Option, Paper, Proposal, Question, Statement, User, lock_row
from quoting.services.certificates import erase_certificates, export_certificates, merge_certificates
from quoting.services.findings import erase_found, export_found
from quoting.services.kept_work import erase_hand_overs, erase_work, export_hand_over, export_work
from quoting.services.outbox import erase_messages, export_messages
from quoting.services.trail import record

ERASED = "Erased"
"""What stands in the place of a name or a street that is gone."""

FREE_TEXT = ("asked", "poured", "last_sealed", "pool", "wanted_by")


class StillOut(Exception):
    """An offer of this person is still out or being drafted: who answers it?"""

    def __init__(self, numbers: list[str]) -> None:
        which = ", ".join(numbers)
        super().__init__(f"An offer is still open in folder {which}. Withdraw or close it first, then erase.")


def people_by_offer(people: CustomerQuerySet, state: str) -> CustomerQuerySet:
    """Those with an offer in this state; "none" for those without a folder."""
    jobs = Job.objects.filter(property__customer=OuterRef("pk"))
    if state == "none":
        return people.filter(~Exists(jobs))
    return people.filter(Exists(Proposal.objects.filter(job__property__customer=OuterRef("pk"), state=state)))


def merge_customers(*, by: User, stays: Customer, version: int, goes: Customer, goes_version: int) -> Customer:
    """Make two rows one: `stays` has all properties, `goes` points to it.

    Raises MergeRefused, and the customers' ChangedMeanwhile when either was changed after it was looked at.
    """
    with transaction.atomic():
        # Always in the same order, so that two who merge at once never wait for each other.
        rows = {pk: lock_row(Customer, pk) for pk in sorted({stays.pk, goes.pk})}
        survivor, other = rows[stays.pk], rows[goes.pk]
        if survivor is not other:
            survivor.claim(version)
            other.claim(goes_version)
        moved = merge_rows(stays=survivor, goes=other)
        merge_certificates(stays=survivor, goes=other)
        Statement.objects.filter(customer=other).update(customer=survivor)
        told = {"from": other.pk, "into": survivor.pk, "properties": moved}
        record("people merged", actor=by, data=told)
    return survivor


def papers_of(customer: Customer) -> QuerySet[Paper]:
    """Everything that was issued to this person."""
    return Paper.objects.filter(job__property__customer=customer)


def erase_customer(*, by: User, customer: Customer, version: int) -> Customer | None:
    """Erase what is kept of a person; gives what must stay, or None when nothing stays.

    Without issued papers all of it goes. With them name, address and the papers stay, since contracts and taxes must be
    shown for years; telephone, e-mail, notes and the free words of the folders go. Raises StillOut while an offer is
    drafted or with them, and the customers' ChangedMeanwhile.
    """
    with transaction.atomic():
        row = lock_row(Customer, customer.pk)
        row.claim(version)
        jobs = Job.objects.filter(property__customer=row)
        open_states = [Proposal.State.DRAFTED, Proposal.State.ISSUED]
        still_out = jobs.filter(Exists(Proposal.objects.filter(job=OuterRef("pk"), state__in=open_states)))
        if numbers := list(still_out.order_by("number").values_list("number", flat=True)):
            raise StillOut(numbers)
        papers = papers_of(row).count()
        folders = list(jobs.order_by("number").values_list("number", flat=True))
        told = {"customer": row.pk, "papers_kept": papers, "folders": folders}
        _erase_folders(jobs)
        _erase_places(row)
        if not papers:
            erase_certificates(row)
        left = row.properties.exists()
        if left:
            _erase_words(row, name=row.name if papers else ERASED)
            for merged in row.merged_from.all():
                _erase_words(merged, name=ERASED)
        else:
            row.merged_from.all().delete()
            row.delete()
        record("person erased", actor=by, data=told)
    return row if left else None


def _erase_folders(jobs: QuerySet[Job]) -> None:
    """The free words of all folders; a folder's row stays, since the trail tells of it."""
    for job in jobs:
        job.claim(job.version)
        for name in FREE_TEXT:
            setattr(job, name, "")
        job.save(update_fields=FREE_TEXT)
    Area.objects.filter(job__in=jobs).update(note="")
    without_paper = jobs.filter(~Exists(Paper.objects.filter(job=OuterRef("pk"))))
    Area.objects.filter(job__in=without_paper).update(agreed_with="")
    Option.objects.filter(job__in=jobs).update(discount_reason="")
    erase_hand_overs(jobs)
    erase_work(jobs)
    erase_found(jobs)
    erase_messages(jobs)
    Question.objects.filter(job__in=jobs).update(asked="", answer="")
    Proposal.objects.filter(job__in=jobs).update(title="", in_short="")


def _erase_places(customer: Customer) -> None:
    """Places without a folder go; of places without a paper the address goes; access goes everywhere."""
    folders, papers = Job.objects.filter(property=OuterRef("pk")), Paper.objects.filter(job__property=OuterRef("pk"))
    customer.properties.filter(~Exists(folders)).delete()
    customer.properties.update(access="")
    gone = Property.objects.filter(customer=customer).filter(~Exists(papers))
    gone.update(street=ERASED, town="", region="", postcode="")


def _erase_words(customer: Customer, *, name: str) -> None:
    customer.name, customer.erased_at = name, timezone.now()
    words = ("email", "phone", "other_phone", "post_address", "notes")
    for word in words:
        setattr(customer, word, "")
    customer.save(update_fields=["name", "erased_at", *words])


PERSON_FIELDS = ("name", "email", "phone", "other_phone", "post_address", "notes")
PLACE_FIELDS = ("street", "town", "region", "postcode", "access")


def export_customer(customer: Customer) -> dict[str, Any]:
    """All that is kept of one person, for JSON: contact, places, folders, measures, offers, papers, trail."""
    places = customer.properties.prefetch_related("jobs__areas__parts", "jobs__proposals", "jobs__events__actor")
    papers: dict[int, list[dict[str, Any]]] = {}
    for paper in papers_of(customer).defer("pdf"):
        papers.setdefault(paper.job_id, []).append(_told_paper(paper))
    return {
        "format": 1,
        "exported_at": timezone.now().isoformat(),
        "person": _told_person(customer),
        "certificates": export_certificates(customer),
        "merged_into_this_person": [_told_person(each) for each in customer.merged_from.all()],
        "properties": [
            _told(place, PLACE_FIELDS)
            | {"folders": [_told_job(job, papers.get(job.pk, [])) for job in place.jobs.all()]}
            for place in places
        ],
    }


def _told(row: Any, names: tuple[str, ...]) -> dict[str, Any]:
    return {name: getattr(row, name) for name in names}


def _told_person(customer: Customer) -> dict[str, Any]:
    since = {"written_down_at": customer.created_at.isoformat()}
    erased = {"erased_at": customer.erased_at.isoformat()} if customer.erased_at else {}
    return _told(customer, PERSON_FIELDS) | since | erased


def _told_job(job: Job, papers: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "number": job.number,
        "opened_at": job.opened_at.isoformat(),
        **_told(job, FREE_TEXT),
        "areas": [
            area.scope_entry
            | _told(area, ("note", "agreed_with", "agreed_net"))
            | {"agreed_on": area.agreed_on.isoformat() if area.agreed_on else ""}
            for area in job.areas.all()
        ],
        "found": export_found(job),
        "work": export_work(job),
        "handed_over": export_hand_over(job),
        "mails": export_messages(job),
        "offers": [_told(proposal, ("state", "title", "in_short")) for proposal in job.proposals.all()],
        "papers": papers,
        "trail": [{"at": event.at.isoformat(), "what": event.kind} for event in job.events.all()],
    }


def _told_paper(paper: Paper) -> dict[str, Any]:
    return {
        "number": paper.number,
        "kind": paper.kind,
        "issued_at": paper.issued_at.isoformat(),
        "facts": json.loads(paper.facts),
        "pdf_sha256": paper.pdf_sha256,
        "pages": paper.pages,
    }
