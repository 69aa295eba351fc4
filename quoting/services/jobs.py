"""Acts on a job folder: opening it, and keeping what the homeowner asked."""

from __future__ import annotations

from datetime import timedelta
from typing import Any, TypedDict, Unpack

from django.db import transaction
from django.utils import timezone

from customers.models import Customer, Property
from quoting.documents.numbering import take_number
from quoting.models import Job, User, lock_row
from quoting.services.trail import record

SERIES = "folder"

PRESSED_TWICE = timedelta(minutes=1)
"""The same folder, opened by the same person within this time, is one press too many and not a second folder."""


class Facts(TypedDict, total=False):
    """What was asked, and what the homeowner knows about the slab; every one may stay empty."""

    asked: str
    poured: str
    last_sealed: str
    pool: str
    wanted_by: str


def open_folder(*, by: User, property: Property, **facts: Unpack[Facts]) -> Job:
    """Open a folder for one property, with the next number of the series: 0001, 0002 … without gaps.

    Gives the folder that is there already when the button was pressed twice.
    """
    with transaction.atomic():
        lock_row(User, by.pk)
        if twin := _just_opened(by, facts, property=property):
            return twin
        job = Job.objects.create(number=f"{take_number(SERIES):04d}", property=property, opened_by=by, **facts)
        record("folder opened", job=job, actor=by)
    return job


def _just_opened(by: User, facts: Facts, **place: Any) -> Job | None:
    since = timezone.now() - PRESSED_TWICE
    every_fact = dict.fromkeys(Facts.__annotations__, "") | facts
    return Job.objects.filter(opened_by=by, opened_at__gte=since, **every_fact, **place).first()


class NewPlace(TypedDict, total=False):
    """A customer and a property that nobody knew before."""

    customer: str
    phone: str
    email: str
    street: str
    town: str
    region: str
    postcode: str


def open_folder_at_new_place(*, by: User, place: NewPlace, **facts: Unpack[Facts]) -> Job:
    """Write down who rang and where the slab is, and open a folder for it, all or nothing; once if pressed twice."""
    with transaction.atomic():
        lock_row(User, by.pk)
        who, where = ("name", "phone", "email"), ("street", "town", "region", "postcode")
        same = {f"property__customer__{each}": place.get("customer" if each == "name" else each, "") for each in who}
        if twin := _just_opened(by, facts, **same, **{f"property__{each}": place.get(each, "") for each in where}):
            return twin
        customer = Customer.objects.create(
            name=place["customer"], phone=place.get("phone", ""), email=place.get("email", "")
        )
        property = Property.objects.create(
            customer=customer,
            street=place["street"],
            town=place.get("town", ""),
            region=place.get("region", ""),
            postcode=place.get("postcode", ""),
        )
        return open_folder(by=by, property=property, **facts)


def keep_asked(*, job: Job, version: int, **facts: Unpack[Facts]) -> Job:
    """Keep the wish and the facts of a folder.

    Raises ChangedMeanwhile when `version` is no longer the current one.
    """
    with transaction.atomic():
        kept = lock_row(Job, job.pk)
        kept.claim(version)
        for name, value in facts.items():
            setattr(kept, name, value)
        kept.save(update_fields=list(facts))
    return kept
