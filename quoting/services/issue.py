"""Issuing a proposal: worked out and printed first, then kept with its number in one short transaction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Any

from django.conf import settings
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from quoting.core.scope_file import write_scope
from quoting.core.workings_file import workings_data
from quoting.documents.contexts import Facts, paper_html, paper_images
from quoting.documents.freeze import canonical_json, count_pages, sha256_of
from quoting.documents.numbering import paper_number
from quoting.documents.offers import Offer, Worked
from quoting.documents.proposal_facts import Stamp, proposal_facts, terms_of
from quoting.documents.proposal_found import PhotoLost, read_pictures
from quoting.documents.render import render_pdf
from quoting.models import (
    ChangedMeanwhile,
    Firm,
    Job,
    Option,
    Paper,
    PaperImage,
    PaperScope,
    Proposal,
    User,
    lock_row,
)
from quoting.services.exemptions import exempt_facts
from quoting.services.firm import THE_FIRM
from quoting.services.made_from import made_from
from quoting.services.offers import chosen_of
from quoting.services.points import Point
from quoting.services.proposal_checks import look_over
from quoting.services.proposals import DraftGone, NotDrafted, end, lock_draft
from quoting.services.trail import record

MOST_TRIES = 3
NO_PICTURES: Mapping[str, bytes] = MappingProxyType({})


class NotReady(Exception):
    """Something that a proposal needs is missing; `points` says what, all of it."""

    def __init__(self, points: tuple[Point, ...]) -> None:
        self.points = points
        super().__init__(" ".join(point.sentence for point in points))


class AlreadyIssued(Exception):
    """This draft was issued before: by a second click, or by somebody else at the same moment."""

    def __init__(self, paper: Paper) -> None:
        self.paper = paper
        super().__init__(f"{paper.number} is issued already. There is one paper, and this is it.")


class AcceptedAlready(Exception):
    """What was agreed is changed by a change order, not by another offer."""

    def __init__(self, paper: Paper) -> None:
        super().__init__(f"{paper.number} was accepted. What changes now is a change to that, not a new proposal.")


class StillMoving(Exception):
    """The folder changed each time while its paper was being printed."""

    def __init__(self) -> None:
        super().__init__(
            "The folder, its options or the firm’s rules were changed each time while the paper was being printed. "
            "Nothing was issued. Ask who is working on it, and issue it when they are done."
        )


class _Moved(Exception):
    """Something that is on the paper changed since it was printed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A proposal that was worked out and printed, and the state of everything that it was made from."""

    proposal: Proposal
    offer: Offer
    facts: Facts
    pictures: Mapping[str, bytes]
    pdf: bytes
    stamp: Stamp
    made_from: tuple[Any, ...]


def issue_proposal(*, proposal: Proposal, version: int, by: User) -> Paper:
    """Issue the draft with the next number of its folder; what it is worth is frozen from then on.

    It is printed outside any transaction, so do not call this inside one. Raises ChangedMeanwhile, NotReady,
    AlreadyIssued, DraftGone, AcceptedAlready, StillMoving or a PaperNotPrinted; in each case nothing was issued, and no
    number is lost.
    """
    for _ in range(MOST_TRIES):
        printed = print_draft(proposal=proposal, version=version)
        try:
            return _keep(printed, by)
        except _Moved:
            continue
    raise StillMoving


def preview(*, proposal: Proposal) -> bytes:
    """The draft as a PDF, marked as a draft on every page; nothing is kept. Raises NotReady or a PaperNotPrinted."""
    return print_draft(proposal=proposal, version=None).pdf


def print_draft(*, proposal: Proposal, version: int | None) -> Printed:
    """Work the draft out and print it: with the number that it will get, or, without a version, marked as a draft."""
    row = Proposal.objects.select_related("job__property__customer", "paper").filter(pk=proposal.pk).first()
    if row is None:
        raise DraftGone
    if row.state != Proposal.State.DRAFTED:
        raise _no_draft(row)
    if version is not None and row.version != version:
        raise ChangedMeanwhile(row)
    state = made_from(row)
    firm = Firm.objects.get(pk=THE_FIRM)
    terms = terms_of(firm, row)
    ready = look_over(firm, row, chosen_of(row), terms)
    if ready.offer is None:
        raise NotReady(ready.missing)
    revision = row.job.last_revision + 1
    before = Paper.objects.filter(job=row.job, kind=Paper.Kind.PROPOSAL, revision=revision - 1).only("number").first()
    stamp = Stamp(
        number=paper_number(row.job.number, revision),
        issued_at=timezone.now(),
        replaces=before.number if before else "",
        is_draft=version is None,
        address=f"{settings.SITE_ADDRESS}{reverse('ask-link', args=[paper_number(row.job.number, revision)])}",
    )
    try:
        facts = proposal_facts(firm=firm, job=row.job, proposal=row, offer=ready.offer, stamp=stamp, terms=terms)
        facts |= {"exempt": exempt_facts(firm, row.job, row.certificate)}
        pictures = read_pictures(facts)
    except PhotoLost as lost:
        raise NotReady((Point(str(lost), True, page="photos"),)) from lost
    pdf = print_facts(facts, stamp.issued_at, pictures)
    return Printed(
        proposal=row,
        offer=ready.offer,
        facts=facts,
        pictures=pictures,
        pdf=pdf,
        stamp=stamp,
        made_from=state,
    )


def print_facts(facts: Facts, issued_at: datetime, pictures: Mapping[str, bytes] = NO_PICTURES) -> bytes:
    """The PDF of a paper from its facts and its photographs, by their hashes, alone."""
    return render_pdf(
        paper_html(facts),
        document_date=issued_at,
        images=paper_images(facts, pictures),
        paper=facts["sheet"]["paper"],
        accent=facts["sheet"]["accent"],
        language=facts["sheet"]["language"],
    )


def _keep(printed: Printed, by: User) -> Paper:
    """Take the number and write everything, if nothing has changed since the paper was printed."""
    with transaction.atomic():
        job = lock_row(Job, printed.proposal.job_id)
        try:
            proposal = lock_draft(printed.proposal)
        except NotDrafted as fault:
            issued = Proposal.objects.filter(pk=printed.proposal.pk).select_related("paper").first()
            raise (_no_draft(issued) if issued else fault) from None
        lock_row(Firm, THE_FIRM)
        if made_from(proposal) != printed.made_from:
            raise _Moved
        if accepted := Proposal.objects.filter(job=job, state=Proposal.State.ACCEPTED).first():
            raise AcceptedAlready(_paper_of(accepted))
        job.last_revision += 1
        job.save(update_fields=["last_revision"])
        standing = Proposal.objects.standing().filter(job=job).select_related("paper").first()
        if standing:
            end(lock_row(Proposal, standing.pk), Proposal.State.SUPERSEDED, by=by)
        try:
            write_pictures(printed.pictures)
        except IntegrityError as error:
            raise _Moved from error
        paper = _write_paper(printed, job, by)
        scopes = _write_scopes(printed.offer, paper)
        proposal.claim(proposal.version)
        proposal.state, proposal.paper = Proposal.State.ISSUED, paper
        proposal.save(update_fields=["state", "paper"])
        record("proposal issued", job=job, paper=paper, actor=by, data=told_of(paper, scopes), at=paper.issued_at)
    return paper


def told_of(paper: Paper, scopes: list[PaperScope]) -> dict[str, object]:
    """What the trail keeps of an issued paper: every field of it, long ones by their SHA-256. No personal data."""
    return {
        "number": paper.number,
        "kind": paper.kind,
        "job": paper.job_id,
        "revision": paper.revision,
        "replaces": paper.replaces_id,
        "issued_at": paper.issued_at.isoformat(timespec="microseconds"),
        "issued_by": paper.issued_by_id,
        "valid_until": paper.valid_until.isoformat() if paper.valid_until else None,
        "pages": paper.pages,
        "facts_sha256": paper.facts_sha256,
        "pdf_sha256": paper.pdf_sha256,
        "scopes": [
            {
                "position": each.position,
                "role": each.role,
                "name": each.name,
                "edition": each.edition,
                "scope_sha256": each.scope_sha256,
                "workings_sha256": each.workings_sha256,
            }
            for each in scopes
        ],
    }


def _write_paper(printed: Printed, job: Job, by: User) -> Paper:
    facts = canonical_json(printed.facts)
    before = Paper.objects.filter(job=job, kind=Paper.Kind.PROPOSAL, revision=job.last_revision - 1)
    return Paper.objects.create(
        kind=Paper.Kind.PROPOSAL,
        number=printed.stamp.number,
        job=job,
        revision=job.last_revision,
        replaces_id=before.values_list("pk", flat=True).first(),
        issued_at=printed.stamp.issued_at,
        issued_by=by,
        valid_until=printed.proposal.valid_until,
        facts=facts,
        facts_sha256=sha256_of(facts),
        pdf=printed.pdf,
        pdf_sha256=sha256_of(printed.pdf),
        pages=count_pages(printed.pdf),
    )


def write_pictures(pictures: Mapping[str, bytes]) -> None:
    """Keep the photographs that no paper shows yet. Raises IntegrityError for one that goes on another folder's paper
    at this very moment; then the paper is made again."""
    have = set(PaperImage.objects.filter(sha256__in=pictures).values_list("sha256", flat=True))
    with transaction.atomic():
        PaperImage.objects.bulk_create(
            PaperImage(sha256=sha256, content=content) for sha256, content in pictures.items() if sha256 not in have
        )


def _write_scopes(offer: Offer, paper: Paper) -> list[PaperScope]:
    """Every scope that a figure on the paper comes from: each option, it together with each add-on, and each add-on
    that was priced alone."""
    found: list[tuple[str, str, Option, Worked]] = []
    for each in offer.options:
        found.append(("option", each.option.name, each.option, each.alone))
        for add_on in each.add_ons:
            name = add_on.option.name
            found.append(("together", name, each.option, add_on.together))
            if add_on.alone:
                found.append(("alone", name, add_on.option, add_on.alone))
    rows = [
        _scope_row(paper, place, role, name, option.edition.name, worked)
        for place, (role, name, option, worked) in enumerate(found)
    ]
    return PaperScope.objects.bulk_create(rows)


def _scope_row(paper: Paper, place: int, role: str, name: str, edition: str, worked: Worked) -> PaperScope:
    scope, workings = write_scope(worked.scope), canonical_json(workings_data(worked.workings))
    return PaperScope(
        paper=paper,
        position=place,
        role=role,
        name=name,
        edition=edition,
        scope=scope,
        scope_sha256=sha256_of(scope),
        workings=workings,
        workings_sha256=sha256_of(workings),
    )


def _no_draft(proposal: Proposal) -> Exception:
    return AlreadyIssued(proposal.paper) if proposal.paper else NotDrafted(proposal)


def _paper_of(proposal: Proposal) -> Paper:
    if proposal.paper is None:
        raise NotDrafted(proposal)
    return proposal.paper
