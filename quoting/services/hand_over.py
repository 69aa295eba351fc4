"""Acts at the end of a job: the walk-through, issuing the hand-over sheet with the slab's record, its sign-off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from quoting.documents.contexts import Facts
from quoting.documents.freeze import canonical_json
from quoting.documents.hand_over import CARE, hand_over_facts
from quoting.documents.invoices import BillStamp
from quoting.documents.letters import first_words
from quoting.documents.photo_pairs import pair_facts
from quoting.documents.proposal_found import read_pictures
from quoting.documents.recall_rules import resealing_of
from quoting.documents.slab_record import OnSlab, on_slab, reading_words, usual_seal
from quoting.documents.step_places import at_todays_places
from quoting.models import (
    ChangedMeanwhile,
    Entry,
    Firm,
    HandOver,
    Job,
    Message,
    Paper,
    PrivateLink,
    SlabRecord,
    User,
    Visit,
    lock_row,
)
from quoting.models.outbox import LINK
from quoting.services.agreed_work import AgreedWork, need_work
from quoting.services.contracts import acceptance_of
from quoting.services.firm import THE_FIRM, current_firm
from quoting.services.issue import print_facts, told_of, write_pictures
from quoting.services.money_papers import Moved, keep_paper, next_count, take_expected, until_it_holds
from quoting.services.outbox import write_message
from quoting.services.recall_rules import the_rules
from quoting.services.seals import fresh_salt
from quoting.services.told_work import told_sheet, told_sign_off, told_slab
from quoting.services.trail import record

HAND_OVERS = "hand-over"
"""The series of their numbers."""


class SheetOut(Exception):
    """The sheet was issued; what it says never changes."""

    def __init__(self, paper: Paper) -> None:
        self.paper = paper
        super().__init__(f"{paper.number} is issued already. What it says does not change any more.")


class NothingPutOn(Exception):
    """The agreed work puts nothing on the slab, so there is nothing to hand over."""

    def __init__(self) -> None:
        super().__init__("The agreed work puts neither colour nor sealer on any area, so there is no sheet to make.")


class SignedAlready(Exception):
    """The hand-over was signed before; the first signature holds."""

    def __init__(self) -> None:
        super().__init__("This hand-over is signed already.")


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedSheet:
    """A sheet that was printed, with all that it was made from."""

    row: HandOver
    slabs: tuple[OnSlab, ...]
    system: str
    readings: list[str]
    count: int
    stamp: BillStamp
    facts: Facts
    pictures: Mapping[str, bytes]
    pdf: bytes
    made_from: str


def sheet_number(count: int) -> str:
    """The number of a hand-over sheet: H-0012."""
    return f"H-{count:04}"


def begin_hand_over(*, job: Job, by: User) -> HandOver:
    """The draft of a job's hand-over; the one that is there, if one is. Raises NothingAgreed or NothingPutOn."""
    if found := HandOver.objects.filter(job=job).first():
        return found
    slabs = on_slab(need_work(job).workings, [])
    if not slabs:
        raise NothingPutOn
    before = {each.area: each for each in SlabRecord.objects.standing().filter(property=job.property_id)}
    firm = current_firm()
    with transaction.atomic():
        lock_row(Job, job.pk)
        row, _is_new = HandOver.objects.get_or_create(
            job=job,
            defaults={
                "finished_on": _last_day(job),
                "walk_hours": firm.walk_hours,
                "furniture_hours": firm.furniture_hours,
                "park_hours": firm.park_hours,
                "care": CARE,
                "begun_by": by,
                "slabs": [_first(each, before.get(each.area)) for each in slabs],
            },
        )
    return row


def keep_hand_over(*, row: HandOver, version: int, **facts: Any) -> None:
    """Keep what was changed on a draft. Raises ChangedMeanwhile, or SheetOut."""
    with transaction.atomic():
        found = _locked(row)
        found.claim(version)
        for name, value in facts.items():
            setattr(found, name, value)
        found.save(update_fields=list(facts))


def issue_hand_over(*, row: HandOver, version: int, by: User) -> Paper:
    """Issue the sheet, and keep with the property what is on each of its areas since.

    It is printed outside any transaction, so do not call this inside one. Raises ChangedMeanwhile, SheetOut,
    NothingAgreed, NothingPutOn, PhotoLost, StillMoving or a PaperNotPrinted; in each case nothing was issued, and no
    number is lost.
    """
    return until_it_holds(lambda: _keep(print_sheet(row=row, version=version), by))


def preview_hand_over(*, row: HandOver) -> bytes:
    """The sheet as a draft; nothing is kept. Raises as issuing does."""
    return print_sheet(row=row, version=None).pdf


def print_sheet(*, row: HandOver, version: int | None) -> PrintedSheet:
    """Print the sheet with the number that it will get; without a version, marked as a draft."""
    found = HandOver.objects.select_related("job__property__customer", "paper").get(pk=row.pk)
    if found.paper:
        raise SheetOut(found.paper)
    if version is not None and found.version != version:
        raise ChangedMeanwhile(found)
    job, firm = found.job, Firm.objects.get(pk=THE_FIRM)
    work, entries = need_work(job), _entries(job)
    slabs = on_slab(work.workings, at_todays_places(entries, work.workings.steps))
    if not slabs:
        raise NothingPutOn
    now, count, system = timezone.now(), next_count(HAND_OVERS), _system(job)
    stamp = BillStamp(number=sheet_number(count), issued_at=now, is_draft=version is None)
    rules = the_rules()
    facts = hand_over_facts(
        firm=firm, job=job, row=found, slabs=slabs, system=system, stamp=stamp, resealing=resealing_of(rules),
        pairs=pair_facts(job),
    )  # fmt: skip
    pictures = read_pictures(facts)
    return PrintedSheet(
        row=found, slabs=slabs, system=system, readings=reading_words(entries), count=count, stamp=stamp, facts=facts,
        pictures=pictures, pdf=print_facts(facts, now, pictures), made_from=_made_from(firm, work, entries),
    )  # fmt: skip


def sign_hand_over(*, row: HandOver, name: str, on: date, how: str, by: User | None = None) -> None:
    """Note who signed the hand-over, when, and whether on the sheet or on the private page. Raises SignedAlready."""
    with transaction.atomic():
        found = lock_row(HandOver, row.pk)
        if found.signed_on:
            raise SignedAlready
        found.signed_on, found.signed_name, found.signed_how, found.signed_salt = on, name, how, fresh_salt()
        found.save(update_fields=["signed_on", "signed_name", "signed_how", "signed_salt"])
        told = {"how": HandOver.Signed(how).label, "on": on.isoformat(), "signed": told_sign_off(found)}
        record("hand-over signed", job=found.job, paper=found.paper, actor=by, data=told)


def sign_by_link(*, link: PrivateLink, name: str) -> None:
    """The homeowner's own sign-off, on the page of the sheet. Raises SignedAlready."""
    row = HandOver.objects.get(paper=link.paper_id)
    sign_hand_over(row=row, name=name, on=timezone.localdate(), how=HandOver.Signed.PAGE)


def draft_hand_over_mail(*, paper: Paper, facts: Facts, by: User) -> tuple[str, str]:
    """Subject and words of the mail that brings the sheet and the link for the sign-off."""
    told = {"facts": facts, "writer": by.name, "customer": facts["customer"], "pages": paper.pages}
    return first_words("hand_over", **told)


def send_hand_over(*, paper: Paper, to: str, subject: str, words: str, by: User, once: str) -> Message:
    """Put the mail into the outbox with the sheet and a private link; the same `once` never sends it twice."""
    with transaction.atomic():
        return write_message(
            kind=Message.Kind.HAND_OVER, to=to, subject=subject, words=words, paper=paper, by=by, attach_paper=True,
            with_link=LINK in words, once=once,
        )  # fmt: skip


def _keep(printed: PrintedSheet, by: User) -> Paper:
    with transaction.atomic():
        job = lock_row(Job, printed.row.job_id)
        row = _locked(printed.row)
        if row.version != printed.row.version:
            raise ChangedMeanwhile(row)
        firm = lock_row(Firm, THE_FIRM)
        if _made_from(firm, need_work(job), _entries(job)) != printed.made_from:
            raise Moved
        take_expected(HAND_OVERS, printed.count)
        try:
            write_pictures(printed.pictures)
        except IntegrityError as error:
            raise Moved from error
        paper = keep_paper(
            kind=Paper.Kind.HAND_OVER, number=printed.stamp.number, job=job, facts=printed.facts, pdf=printed.pdf,
            issued_at=printed.stamp.issued_at, by=by,
        )  # fmt: skip
        SlabRecord.objects.bulk_create(_records(job, row, printed))
        slabs = SlabRecord.objects.filter(job=job).order_by("pk")  # as the database gives their figures back
        row.claim(row.version)
        row.paper, row.salt = paper, fresh_salt()
        row.save(update_fields=["paper", "salt"])
        told = {"sheet": told_sheet(row), "slabs": {str(slab.pk): told_slab(slab) for slab in slabs}}
        record("hand-over issued", job=job, paper=paper, actor=by, data=told_of(paper, []) | told, at=paper.issued_at)
    return paper


def _records(job: Job, row: HandOver, printed: PrintedSheet) -> list[SlabRecord]:
    told = {each["area"]: each for each in row.slabs}
    said = {each["area"]: each for each in printed.facts["slabs"]}
    return [
        SlabRecord(
            property_id=job.property_id, job=job, area=each.area, surface=each.surface, system=printed.system,
            seal=told[each.area]["seal"], exposures=told[each.area]["exposures"], sealed_on=row.finished_on,
            coats=each.coats, coats_before=told[each.area].get("coats_before"), film=each.film,
            recipe=list(each.recipe), lots=list(each.lots), readings=printed.readings,
            film_depth=each.film_depth, is_stripped=each.is_stripped,
            due_first=_day(said[each.area]["due_first"]),
            due_likely=_day(said[each.area]["due_likely"]),
            due_last=_day(said[each.area]["due_last"]),
        )
        for each in printed.slabs
        if each.area in told
    ]  # fmt: skip


def _day(text: str) -> date | None:
    return date.fromisoformat(text) if text else None


def _made_from(firm: Firm, work: AgreedWork, entries: list[Entry]) -> str:
    keys = [entry.pk for entry in entries]
    return canonical_json([firm.version, the_rules().version, work.sha256, keys, str(timezone.localdate())])


def _locked(row: HandOver) -> HandOver:
    found = lock_row(HandOver, row.pk)
    if found.paper:
        raise SheetOut(found.paper)
    return found


def _entries(job: Job) -> list[Entry]:
    return list(Entry.objects.filter(visit__job=job).order_by("made_at", "id"))


def _system(job: Job) -> str:
    """The accepted option, by its name on the paper."""
    acceptance = acceptance_of(job)
    if acceptance is None:
        return ""
    scope = acceptance.paper.scopes.filter(role="option").order_by("position")[acceptance.option - 1 :].first()
    return scope.name if scope else ""


def _last_day(job: Job) -> date:
    """The day of the last visit that is over, else today."""
    today = timezone.localdate()
    return Visit.objects.filter(job=job, day__lte=today).order_by("-day").values_list("day", flat=True).first() or today


def _first(on: OnSlab, before: SlabRecord | None) -> dict[str, Any]:
    """What the form says first of an area: as the last job left it, where we did one."""
    return {
        "area": on.area,
        "seal": before.seal if before else str(usual_seal(on.surface)),
        "exposures": before.exposures if before else [],
        "coats_before": 0 if on.is_stripped else before.coats_now if before else None,
    }
