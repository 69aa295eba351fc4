"""Acts on certificates of exemption: keeping one with its file, taking one away, and finding the one that holds."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date

from django.db import transaction

from customers.models import Customer
from quoting.documents.certificates import read_certificate
from quoting.documents.freeze import sha256_of
from quoting.models import Certificate, Event, Exemption, Proposal, User, lock_row
from quoting.services.trail import record

MOST = 50
"""Certificates of one customer."""


class TooManyCertificates(Exception):
    """The customer has as many as are kept."""

    def __init__(self) -> None:
        super().__init__(f"{MOST} certificates are kept of one customer. Take an old one away first.")


def add_certificate(
    *, customer: Customer, by: User, content: bytes, kind: str, number: str, region: str, valid_from: date,
    valid_until: date | None, taxes: Sequence[str] = (),
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
            taxes=list(taxes),
            valid_from=valid_from,
            valid_until=valid_until,
            content=kept,
            content_type=content_type,
            sha256=sha256,
            added_by=by,
        )
        record("certificate kept", actor=by, data={"customer": owner.pk, "certificate": row.pk, "sha256": sha256})
    return row


class CertificateUsed(Exception):
    """A paper says that no tax was charged by this certificate, so its file must stay."""

    def __init__(self) -> None:
        super().__init__(
            "An offer or a contract charges no tax by this certificate, so it stays: its file is the proof. On a draft "
            "another may be chosen."
        )


def remove_certificate(*, certificate: Certificate, by: User) -> None:
    """Take away a certificate that was entered wrongly; its fingerprint stays in the trail. Raises CertificateUsed."""
    with transaction.atomic():
        lock_row(Customer, certificate.customer_id)
        used = Proposal.objects.filter(certificate=certificate.pk).exists()
        if used or Exemption.objects.filter(certificate=certificate.pk).exists():
            raise CertificateUsed
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


def certificate_faults() -> Iterator[str]:
    """Each certificate whose file is not what was kept, by its SHA-256 and by the trail; each exemption without one."""
    told: dict[int, str] = {}
    for data in Event.objects.filter(kind="certificate kept").values_list("data", flat=True):
        event = json.loads(data)
        told[event["certificate"]] = event["sha256"]
    for row in Certificate.objects.order_by("pk").iterator(chunk_size=1):
        if sha256_of(bytes(row.content)) != row.sha256:
            yield f"certificate {row.pk}: file: its bytes do not have the SHA-256 that was kept"
        if told.get(row.pk) != row.sha256:
            yield f"certificate {row.pk}: is not what the trail was told"
    applied: dict[int, dict[str, object]] = {}
    for data in Event.objects.filter(kind="tax taken off").values_list("data", flat=True):
        event = json.loads(data)
        applied[event["exemption"]] = event
    for each in Exemption.objects.select_related("certificate").defer("certificate__content").order_by("pk"):
        if applied.pop(each.pk, None) != told_of_exemption(each):
            yield f"exemption {each.pk}: is not what the trail was told"
        if each.certificate.sha256 != each.sha256:
            yield f"exemption {each.pk}: its certificate has another file"
    for pk in sorted(applied):
        yield f"exemption {pk}: is missing"


def told_of_exemption(row: Exemption) -> dict[str, object]:
    """What the trail keeps of an exemption: every field, no personal data; the certificate by its file's SHA-256."""
    return {
        "exemption": row.pk,
        "certificate": row.certificate_id,
        "kind": row.kind,
        "sha256": row.sha256,
        "taxes": row.taxes,
        "applied_on": row.applied_on.isoformat(),
    }


def merge_certificates(*, stays: Customer, goes: Customer) -> None:
    """Move the certificates of somebody who is merged, in the caller's transaction; what both had stays once."""
    both = {(row.sha256, row.number): row for row in stays.certificates.without_file()}
    for row in goes.certificates.without_file():
        twin = both.get((row.sha256, row.number))
        if twin is not None and twin.exemptions.exists() and row.exemptions.exists():
            continue  # two contracts name two rows of the same file, and neither may go
        if twin is not None:
            kept, gone = (row, twin) if row.exemptions.exists() else (twin, row)
            Proposal.objects.filter(certificate=gone).update(certificate=kept)
            gone.delete()
            if kept == twin:
                continue
        Certificate.objects.filter(pk=row.pk).update(customer=stays)


def erase_certificates(customer: Customer) -> None:
    """Take all of them away, for somebody of whom no paper stays; in the caller's transaction."""
    Proposal.objects.filter(certificate__customer=customer).update(certificate=None)
    customer.certificates.all().delete()


def export_certificates(customer: Customer) -> list[dict[str, str]]:
    """Each certificate as it is told to the person whom it is about."""
    return [
        {
            "kind": row.kind,
            "number": row.number,
            "region": row.region,
            "taxes": ", ".join(row.taxes),
            "valid_from": row.valid_from.isoformat(),
            "valid_until": row.valid_until.isoformat() if row.valid_until else "",
            "sha256": row.sha256,
        }
        for row in customer.certificates.without_file()
    ]
