"""Who may be somebody that is in the file already: the same e-mail, telephone or street."""

from __future__ import annotations

from typing import NamedTuple

from customers.models import Customer, Property, digits_of, same_number

MOST_SHOWN = 5
"""Of one field; more are not read."""


class Near(NamedTuple):
    """One person who may be the same: the field that says so, who it is, and the sentence to show."""

    field: str
    customer: Customer
    sentence: str


def near_people(
    *, email: str = "", phone: str = "", other_phone: str = "", street: str = "", town: str = "", but: int | None = None
) -> list[Near]:
    """Everybody in the file with the same e-mail, telephone digits or street; `but` is a person who may have them."""
    people = Customer.objects.current().filter(erased_at=None).exclude(pk=but)
    found = [
        Near("email", each, f"This e-mail belongs to {each.name} already.")
        for each in people.with_email(email)[:MOST_SHOWN]
    ]
    known = people.with_number(phone, other_phone)[:MOST_SHOWN] if digits_of(phone + other_phone) else []
    for each in known:
        first = any(same_number(phone, own) for own in (each.phone, each.other_phone))
        field = "phone" if first else "other_phone"
        found.append(Near(field, each, f"This number belongs to {each.name} already."))
    places = Property.objects.at(street, town).filter(customer__merged_into=None, customer__erased_at=None)
    for place in places.exclude(customer=but).select_related("customer")[:MOST_SHOWN]:
        found.append(Near("street", place.customer, f"{place.street} belongs to {place.customer.name} already."))
    return found
