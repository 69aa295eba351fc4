"""The demo's folders: each is opened, measured, priced and offered by the same acts that the pages use."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from customers.services import add_customer
from quoting.models import Area, Job, Option, Part, Proposal, RestorationSystem, Series, User
from quoting.services.areas import add_area, agree_area, keep_part
from quoting.services.demo_found import Seen
from quoting.services.demo_scene import Scene
from quoting.services.firm import current_firm
from quoting.services.issue import issue_proposal
from quoting.services.jobs import SERIES, open_folder
from quoting.services.option_sheet import Sheet
from quoting.services.options import add_option, keep_option, published_edition
from quoting.services.proposal_terms import AllowanceLine, PaymentLine, keep_terms, payment_line
from quoting.services.proposals import draft_proposal, keep_draft, revise

Row = Mapping[str, Any]

FACTS = ("asked", "poured", "last_sealed", "pool", "wanted_by")
PLAIN = {"name", "place", "taken_out", "at_x", "at_y"}
"""What a part says beside its shape."""

STEP_WORDS = {"on", "length", "reason"}


def open_demo_folder(scene: Scene) -> None:
    """Open the folder of a customer who is new, with the number that its row says."""
    if Job.objects.filter(number=scene.number).exists():
        return
    row, last = scene.row, int(scene.number) - 1
    with transaction.atomic():
        # The firm keeps the folders between these on paper; the next number here follows the last one there.
        series, _ = Series.objects.get_or_create(name=SERIES, defaults={"last": last})
        if series.last < last:
            series.last = last
            series.save(update_fields=["last"])
        customer = add_customer(person=row["person"], place=row["place"])
        facts: Any = {name: row[name].strip() for name in FACTS if name in row}
        open_folder(by=scene.office, property=customer.properties.get(), **facts)


def draft(scene: Scene) -> None:
    """Measure, look, price and draft the next revision, all in one go, so that an interrupted demo goes on here; then
    keep the photographs, which are decoded outside any transaction."""
    job, row = scene.job, scene.act
    if job.last_revision >= row["revision"]:
        return
    seen = Seen(job, scene.owner, scene.today)
    if not Proposal.objects.being_drafted().filter(job=job).exists():
        with transaction.atomic():
            _draft(job, row, scene, seen)
    seen.take_photos()


def issue(scene: Scene) -> None:
    """Issue the revision that was drafted."""
    job = scene.job
    if job.last_revision >= scene.act["revision"]:
        return
    found = Proposal.objects.being_drafted().get(job=job)
    scene.printing("the proposal")
    issue_proposal(proposal=found, version=found.version, by=scene.owner)


def _draft(job: Job, row: Row, scene: Scene, seen: Seen) -> None:
    by = scene.owner
    for area in row["area"]:
        _measure(job, area, by)
    seen.keep({area["name"] for area in row["area"]}, at_first=job.last_revision == 0)
    for option in row["option"]:
        _price(job, option, by)
    before = Proposal.objects.standing().filter(job=job).first()
    draft = revise(proposal=before, by=by) if before else draft_proposal(job=job, by=by)
    if terms := row.get("terms"):
        payments = [PaymentLine(**each) for each in terms.get("payment", ())]
        draft = keep_terms(
            proposal=draft,
            version=draft.version,
            payments=payments or [payment_line(each) for each in draft.payments.all()],
            allowances=[_allowance(each) for each in terms.get("allowance", ())],
            work_dates=terms["work_dates"],
            at_home=terms["at_home"],
        )
    issued = scene.today - timedelta(days=row.get("issued", [0])[0])
    keep_draft(
        proposal=draft,
        version=draft.version,
        title=row["title"],
        in_short=row["in_short"].strip(),
        valid_until=issued + timedelta(days=current_firm().valid_days),
        options=list(Option.objects.filter(job=job)),
    )


def _allowance(row: Row) -> AllowanceLine:
    price = Decimal(row["price"]) if "price" in row else None
    return AllowanceLine(name=row["name"], included=row["included"], further=row.get("further", ""), price=price)


def _measure(job: Job, row: Row, by: User) -> None:
    area = add_area(
        job=job,
        by=by,
        name=row["name"],
        surface=row["surface"],
        condition=row["condition"],
        texture=Decimal(row.get("texture", "1")),
        note=row.get("note", ""),
    )
    for part in row["parts"]:
        keep_part(
            area=area,
            version=area.version,
            kind=Part.Kind.DEDUCT if part.get("taken_out") else Part.Kind.PART,
            name=part.get("name", ""),
            place=part.get("place", Part.Place.RIGHT),
            at_x=part.get("at_x", ""),
            at_y=part.get("at_y", ""),
            measures={name: value for name, value in part.items() if name not in PLAIN},
        )
        area.refresh_from_db()
    if whom := row.get("agreed_with"):
        agree_area(area=area, version=area.version, by=by, on=timezone.localdate(), with_whom=whom)


def _price(job: Job, row: Row, by: User) -> None:
    edition = published_edition()
    added = add_option(
        job=job,
        by=by,
        system=RestorationSystem.objects.get(edition=edition, key=row["system"]),
        areas=Area.objects.filter(job=job, name__in=row["areas"]),
        name=row.get("name", ""),
        with_option=Option.objects.get(job=job, name=row["with"]) if "with" in row else None,
    )
    option = Option.objects.with_everything().get(pk=added.pk)
    steps = {step.step.key: step for group in option.groups.all() for step in group.steps.all()}
    said = {steps[each["key"]]: each for each in row.get("steps", ())}
    sheet = Sheet(
        option={"name": option.name, "advised": row.get("advised", False)},
        steps={step.pk: {k: v for k, v in each.items() if k in STEP_WORDS} for step, each in said.items()},
        uses={
            (step.pk, used.pk): {"coverage": Decimal(each["coverage"])}
            for step, each in said.items()
            for used in step.step.materials.all()
            if "coverage" in each
        },
    )
    keep_option(option=option, version=option.version, sheet=sheet)
