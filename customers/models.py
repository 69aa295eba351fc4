"""People and the places where the work is done. Knows nothing of quoting."""

from __future__ import annotations

import re

from django.db import models
from django.db.models import F, Q, Value
from django.db.models.functions import Replace

SHORTEST_NUMBER = 7
"""Digits from which two telephone numbers may be the same: a local number without its area code."""

_PUNCTUATION = (" ", "-", "(", ")", ".", "/", "+", "\u00a0")


def digits_of(phone: str) -> str:
    """The digits of a telephone number, however it was typed: (555) 01-42 → 5550142."""
    return re.sub(r"[^0-9]", "", phone)


def same_number(one: str, other: str) -> bool:
    """Whether two numbers may be the same one: the shorter, of seven digits at least, is the end of the longer."""
    short, long = sorted((digits_of(one), digits_of(other)), key=len)
    return len(short) >= SHORTEST_NUMBER and long.endswith(short)


def _bare(field: str) -> Replace | F:
    """The digits of a telephone column, in the database."""
    bare: Replace | F = F(field)
    for sign in _PUNCTUATION:
        bare = Replace(bare, Value(sign), Value(""))
    return bare


class ChangedMeanwhile(Exception):
    """Somebody kept another version of this row after the form was opened; nothing has been overwritten."""

    def __init__(self) -> None:
        super().__init__("Somebody changed this while you had it open. Nothing of yours or theirs is lost.")


class CustomerQuerySet(models.QuerySet["Customer"]):
    """Questions about customers, written to read as speech."""

    def current(self) -> CustomerQuerySet:
        """Those that have not been merged into another."""
        return self.filter(merged_into=None)

    def found_by(self, words: str) -> CustomerQuerySet:
        """Those in whose name, address, telephone, e-mail or notes every one of the words is found."""
        found = self.with_bare_phones()
        for word in words.split()[:8]:
            within = (
                Q(name__icontains=word)
                | Q(email__icontains=word)
                | Q(phone__icontains=word)
                | Q(other_phone__icontains=word)
                | Q(notes__icontains=word)
                | Q(pk__in=Property.objects.having(word).values("customer_id"))
            )
            digits = digits_of(word)
            if len(digits) >= 4 and re.fullmatch(r"[0-9().+/-]+", word):
                within |= Q(bare_phone__contains=digits) | Q(bare_other_phone__contains=digits)
            found = found.filter(within)
        return found

    def with_bare_phones(self) -> CustomerQuerySet:
        """With `bare_phone` and `bare_other_phone`: the digits without what stands between them."""
        return self.annotate(bare_phone=_bare("phone"), bare_other_phone=_bare("other_phone"))

    def with_email(self, email: str) -> CustomerQuerySet:
        """Those with this e-mail address, capitals or not."""
        return self.filter(email__iexact=email.strip()) if email.strip() else self.none()

    def with_number(self, *phones: str) -> list[Customer]:
        """Those with one of these telephone numbers, however either was typed."""
        wanted = [digits_of(phone) for phone in phones if len(digits_of(phone)) >= SHORTEST_NUMBER]
        if not wanted:
            return []
        near = Q()
        for digits in wanted:
            end = digits[-SHORTEST_NUMBER:]
            near |= Q(bare_phone__endswith=end) | Q(bare_other_phone__endswith=end)
        found = self.with_bare_phones().filter(near)
        return [
            each
            for each in found
            if any(same_number(own, digits) for own in (each.phone, each.other_phone) for digits in wanted)
        ]

    def after(self, customer: Customer) -> CustomerQuerySet:
        """Those that stand after this one in the list, which is by name."""
        return self.filter(Q(name__gt=customer.name) | Q(name=customer.name, pk__gt=customer.pk))

    def before(self, customer: Customer) -> CustomerQuerySet:
        """Those that stand before this one in the list, the nearest first."""
        earlier = self.filter(Q(name__lt=customer.name) | Q(name=customer.name, pk__lt=customer.pk))
        return earlier.order_by("-name", "-pk")


class Kept(models.Model):
    """A row that two people may edit: forms carry the version that they were opened with."""

    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        abstract = True

    def claim(self, version: int) -> None:
        """Take the next version inside the writing transaction, or raise ChangedMeanwhile."""
        taken = type(self)._default_manager.filter(pk=self.pk, version=version).update(version=version + 1)
        if not taken:
            raise ChangedMeanwhile
        self.version = version + 1


class Customer(Kept):
    """The party in the file: a homeowner, a couple, an owners' association."""

    name = models.CharField(max_length=200)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    other_phone = models.CharField(max_length=40, blank=True)
    post_address = models.TextField(max_length=500, blank=True, help_text="Where letters go, when not to the property.")
    notes = models.TextField(max_length=5000, blank=True)
    merged_into = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="merged_from")
    created_at = models.DateTimeField(auto_now_add=True)
    erased_at = models.DateTimeField(null=True, blank=True)

    objects = CustomerQuerySet.as_manager()

    class Meta:
        ordering = ["name", "id"]
        indexes = [models.Index(fields=["name", "id"], name="customer_by_name")]
        constraints = [
            models.CheckConstraint(condition=~Q(merged_into=models.F("id")), name="customer_not_merged_into_itself")
        ]

    def __str__(self) -> str:
        return self.name


class PropertyQuerySet(models.QuerySet["Property"]):
    """Questions about places."""

    def having(self, word: str) -> PropertyQuerySet:
        """Those with this word in street, town or postcode."""
        return self.filter(Q(street__icontains=word) | Q(town__icontains=word) | Q(postcode__icontains=word))

    def at(self, street: str, town: str = "") -> PropertyQuerySet:
        """Those at this street and number, capitals or not; where both name a town it is the same town."""
        words = " ".join(street.split())
        found = self.filter(street__iexact=words) if words else self.none()
        return found.filter(Q(town__iexact=town.strip()) | Q(town="")) if town.strip() else found


class Property(Kept):
    """The place where the work is done; a customer may have several."""

    customer = models.ForeignKey(Customer, models.PROTECT, related_name="properties")
    street = models.CharField(max_length=200)
    town = models.CharField(max_length=100, blank=True)
    region = models.CharField(max_length=100, blank=True, help_text="State, province or county.")
    postcode = models.CharField(max_length=20, blank=True)
    access = models.TextField(max_length=2000, blank=True, help_text="Gate, water, power, pets, where to park.")
    created_at = models.DateTimeField(auto_now_add=True)

    objects = PropertyQuerySet.as_manager()

    class Meta:
        ordering = ["street", "id"]
        verbose_name_plural = "properties"

    def __str__(self) -> str:
        return self.street

    @property
    def address_lines(self) -> tuple[str, ...]:
        """The address as it is written on an envelope, without empty lines."""
        town = ", ".join(part for part in (self.town, self.region) if part)
        last = " ".join(part for part in (town, self.postcode) if part)
        return tuple(line for line in (self.street, last) if line)


class PeopleList(Kept):
    """A CSV file of people, kept until it is taken over or forgotten; then only its fingerprint stays, so that the same
    file twice is one import."""

    name = models.CharField(max_length=120)
    sha256 = models.CharField(max_length=64, unique=True)
    content = models.BinaryField(default=b"", help_text="The file while it waits; empty afterwards.")
    columns = models.JSONField(default=list, help_text="What each column of the file is, by the keys of people_file.")
    kept_at = models.DateTimeField()
    taken_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-kept_at", "-id"]

    def __str__(self) -> str:
        return self.name
