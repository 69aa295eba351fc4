"""Acts on people and their properties, as far as they need nothing of quoting."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from customers.models import Customer, Property

FILLED_IN = ("email", "phone", "other_phone", "post_address")
"""What the one who stays takes over from the other where it has nothing."""


class MergeRefused(Exception):
    """Two rows that can't become one; the sentence says why."""


def add_customer(*, person: dict[str, Any], place: dict[str, Any] | None = None) -> Customer:
    """Write down somebody new, with the first property when there is one."""
    with transaction.atomic():
        customer = Customer.objects.create(**person)
        if place and place.get("street"):
            Property.objects.create(customer=customer, **place)
    return customer


def keep_customer(*, customer: Customer, version: int, person: dict[str, Any]) -> None:
    """Keep what was changed about somebody. Raises ChangedMeanwhile when `version` is no longer the current one."""
    with transaction.atomic():
        customer.claim(version)
        _write(customer, person)


def add_property(*, customer: Customer, place: dict[str, Any]) -> Property:
    """Write down one more property of somebody."""
    return Property.objects.create(customer=customer, **place)


def keep_property(*, property: Property, version: int, place: dict[str, Any]) -> None:
    """Keep what was changed about a property. Raises ChangedMeanwhile when `version` is no longer the current one."""
    with transaction.atomic():
        property.claim(version)
        _write(property, place)


def _write(row: Customer | Property, facts: dict[str, Any]) -> None:
    for name, value in facts.items():
        setattr(row, name, value)
    row.save(update_fields=list(facts))


def refuse_merge(stays: Customer, goes: Customer) -> None:
    """Raise MergeRefused for two that can't become one; a row that was merged is never merged again, so nothing turns
    in a circle.
    """
    if stays.pk == goes.pk:
        raise MergeRefused("These are one and the same person already.")
    for each in (stays, goes):
        if each.merged_into_id is not None:
            raise MergeRefused(f"{each.name} was merged into somebody else already. Open that person and start there.")
        if each.erased_at is not None:
            raise MergeRefused(f"{each.name} was erased. What is left of an erased person is not merged.")


def merged_facts(stays: Customer, goes: Customer) -> dict[str, str]:
    """What the one who stays has after the merge: its own words, the other's where it has none, and both notes."""
    facts = {name: getattr(stays, name) or getattr(goes, name) for name in FILLED_IN}
    spare = [number for number in (goes.phone, goes.other_phone) if number and number != facts["phone"]]
    if not stays.other_phone:
        facts["other_phone"] = spare[0] if spare else ""
    left = [number for number in spare if number != facts["other_phone"]]
    left += [goes.email] if goes.email and goes.email.lower() != facts["email"].lower() else []
    left += [goes.post_address] if goes.post_address and goes.post_address != facts["post_address"] else []
    notes = [stays.notes, goes.notes, f"Also: {'; '.join(left)}" if left else ""]
    facts["notes"] = "\n".join(note for note in notes if note)[: Customer._meta.get_field("notes").max_length]
    return facts


def merge_rows(*, stays: Customer, goes: Customer) -> int:
    """Move the properties of `goes` and let it, and all that was merged into it, point to `stays`.

    To be called inside the transaction in which both rows are locked. Gives the number of properties moved.
    """
    refuse_merge(stays, goes)
    _write(stays, merged_facts(stays, goes))
    moved = goes.properties.update(customer=stays)
    goes.merged_from.update(merged_into=stays)
    _write(goes, {"merged_into": stays})
    return moved
