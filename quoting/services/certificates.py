"""Acts on certificates of exemption: keeping one with its file, taking one away, and finding the one that holds."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date

from django.db import transaction

from customers.models import Customer
from quoting.documents.certificates import read_certificate
from quoting.documents.freeze import sha256_of
from quoting.models import Certificate, User, lock_row
from quoting.services.trail import record

MOST = 50
"""Certificates of one customer."""


class TooManyCertificates(Exception):
    """The customer has as many as are kept."""

    def __init__(self) -> None:
        super().__init__(f"{MOST} certificates are kept of one customer. Take an old one away first.")


def add_certificate(
    *, customer: Customer, by: User, content: bytes, kind: str, number: str, region: str, valid_from: date,
    valid_until: date | None,
) -> Certificate:  # fmt: skip
    """Keep a certificate with its file; the same file and number again gives the one that is there.

    The file is looked at before the transaction. Raises CertificateRefused or TooManyCertificates.
    """
    kept, content_type = read_certificate(content)
    sha256 = sha256_of(kept)
    with transaction.atomic():
        owner = lock_row(Customer, customer.pk)
        if found := owner.certificates.filter(sha256=sha256, number=number).first():
            return found
        if owner.certificates.count() >= MOST:
            raise TooManyCertificates
        row = Certificate.objects.create(
            customer=owner,
            kind=kind,
            number=number,
            region=region,
            valid_from=valid_from,
            valid_until=valid_until,
            content=kept,
            content_type=content_type,
            sha256=sha256,
            added_by=by,
        )
        record("certificate kept", actor=by, data={"customer": owner.pk, "certificate": row.pk, "sha256": sha256})
    return row


def remove_certificate(*, certificate: Certificate, by: User) -> None:
    """Take away a certificate that was entered wrongly; its fingerprint stays in the trail."""
    with transaction.atomic():
        lock_row(Customer, certificate.customer_id)
        gone, _ = Certificate.objects.filter(pk=certificate.pk).delete()
        if gone:
            told = {
                "customer": certificate.customer_id,
                "certificate": certificate.pk,
                "sha256": certificate.sha256,
            }
            record("certificate taken away", actor=by, data=told)


def reasons_for(customers: Iterable[int]) -> Callable[[int, date, str], str]:
    """Asks once for the certificates of these customers; gives a function of customer, day and region that says which
    one holds, or nothing."""
    held: dict[int, list[Certificate]] = {}
    rows = Certificate.objects.without_file().filter(customer__in=set(customers))
    for row in rows:
        held.setdefault(row.customer_id, []).append(row)

    def reason(customer: int, day: date, region: str) -> str:
        return next((str(each) for each in held.get(customer, ()) if each.holds(day, region)), "")

    return reason


def merge_certificates(*, stays: Customer, goes: Customer) -> None:
    """Move the certificates of somebody who is merged, in the caller's transaction; what both had stays once."""
    both = set(stays.certificates.values_list("sha256", "number"))
    for row in goes.certificates.without_file():
        if (row.sha256, row.number) in both:
            row.delete()
        else:
            Certificate.objects.filter(pk=row.pk).update(customer=stays)


def erase_certificates(customer: Customer) -> None:
    """Take all of them away, for somebody of whom no paper stays; in the caller's transaction."""
    customer.certificates.all().delete()


def export_certificates(customer: Customer) -> list[dict[str, str]]:
    """Each certificate as it is told to the person whom it is about."""
    return [
        {
            "kind": row.kind,
            "number": row.number,
            "region": row.region,
            "valid_from": row.valid_from.isoformat(),
            "valid_until": row.valid_until.isoformat() if row.valid_until else "",
            "sha256": row.sha256,
        }
        for row in customer.certificates.without_file()
    ]
