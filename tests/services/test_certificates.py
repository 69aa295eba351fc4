"""Certificates of exemption: what is kept, what holds, what becomes of them when people are merged or erased."""

from __future__ import annotations

import io
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone
from PIL import Image

from customers.models import Customer
from quoting.core.sales_tax import tax_lines
from quoting.documents.certificates import CertificateRefused
from quoting.models import Certificate, Event, User
from quoting.services.bookkeeper import sales_of
from quoting.services.certificates import (
    TooManyCertificates,
    add_certificate,
    reasons_for,
    remove_certificate,
)
from quoting.services.customers import erase_customer, export_customer, merge_customers
from quoting.services.invoices import draft_invoice, issue_invoice
from tests.factories import CustomerFactory, OwnerFactory
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db

PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\n%%EOF\n"


@pytest.fixture
def ines() -> User:
    return OwnerFactory()


def typed(**facts: Any) -> dict[str, Any]:
    return {
        "content": PDF, "kind": "organisation", "number": "12-7", "region": "Ohio", "valid_from": date(2026, 1, 1),
        "valid_until": date(2026, 12, 31),
    } | facts  # fmt: skip


def picture(kind: str) -> bytes:
    buffer = io.BytesIO()
    Image.new("RGB", (40, 20), "white").save(buffer, kind, comment=b"Larkmere 41.5")
    return buffer.getvalue()


def test_a_pdf_is_kept_as_it_is(ines: User) -> None:
    row = add_certificate(customer=CustomerFactory(), by=ines, **typed())
    assert (bytes(row.content), row.content_type) == (PDF, "application/pdf")


def test_a_picture_is_written_anew_without_what_else_was_in_it(ines: User) -> None:
    row = add_certificate(customer=CustomerFactory(), by=ines, **typed(content=picture("JPEG")))
    assert (bytes(row.content)[:4], row.content_type, b"Larkmere" in bytes(row.content)) == (
        b"\x89PNG", "image/png", False,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"", "empty"),
        (b"<html><script>alert(1)</script>", "kind"),
        (b"GIF89a....", "kind"),
        (b"%PDF-1.7\nhalf of it", "damaged"),
        (picture("PNG")[:60], "damaged"),
        (b"%PDF-" + b"0" * 5 * 1024 * 1024 + b"%%EOF", "bytes"),
    ],
    ids=["empty", "html", "gif", "half a pdf", "half a picture", "large"],
)
def test_what_is_no_certificate_is_refused_by_its_content(ines: User, content: bytes, why: str) -> None:
    with pytest.raises(CertificateRefused) as refused:
        add_certificate(customer=CustomerFactory(), by=ines, **typed(content=content))
    assert (refused.value.why, Certificate.objects.count()) == (why, 0)


def test_a_second_click_keeps_one(ines: User) -> None:
    who = CustomerFactory()
    first, second = (add_certificate(customer=who, by=ines, **typed()) for _click in range(2))
    assert first == second
    assert Certificate.objects.count() == 1


def test_there_is_an_end_to_how_many_are_kept(ines: User, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("quoting.services.certificates.MOST", 1)
    who = CustomerFactory()
    add_certificate(customer=who, by=ines, **typed())
    with pytest.raises(TooManyCertificates):
        add_certificate(customer=who, by=ines, **typed(number="13"))


@pytest.mark.parametrize(
    ("day", "region", "holds"),
    [
        (date(2026, 1, 1), "Ohio", True),
        (date(2026, 12, 31), "ohio", True),
        (date(2025, 12, 31), "Ohio", False),
        (date(2027, 1, 1), "Ohio", False),
        (date(2026, 6, 1), "Oregon", False),
    ],
)
def test_a_certificate_holds_on_its_days_in_its_region(ines: User, day: date, region: str, holds: bool) -> None:
    who = CustomerFactory()
    add_certificate(customer=who, by=ines, **typed())
    said = "exempt organisation, certificate 12-7" if holds else ""
    assert reasons_for([who.pk])(who.pk, day, region) == said


def test_one_without_region_and_end_holds_everywhere_from_its_first_day(ines: User) -> None:
    who = CustomerFactory()
    add_certificate(customer=who, by=ines, **typed(region="", valid_until=None))
    assert reasons_for([who.pk])(who.pk, date(2040, 1, 1), "Oregon") == "exempt organisation, certificate 12-7"


def test_the_bookkeepers_table_says_which_certificate_exempts() -> None:
    job = accepted_job(property__region="Ohio")
    draft = draft_invoice(job=job, by=job.opened_by)
    issue_invoice(invoice=draft, version=draft.version, by=job.opened_by)
    whole = typed(valid_from=date(2020, 1, 1), valid_until=None)
    add_certificate(customer=job.property.customer, by=job.opened_by, **whole)
    today = timezone.localdate()
    state = tax_lines(sale.sold for sale in sales_of(today, today))[1]
    # The bill of 162.50 before tax is taxed by the state on 27.66 of materials: 162.50 - 27.66 = 134.84.
    assert state.reasons == (("exempt organisation, certificate 12-7", Decimal("134.84")),)


def test_one_that_is_taken_away_is_gone_and_the_trail_knows(ines: User) -> None:
    row = add_certificate(customer=CustomerFactory(), by=ines, **typed())
    remove_certificate(certificate=row, by=ines)
    assert Certificate.objects.count() == 0
    assert [event.kind for event in Event.objects.filter(actor=ines).order_by("position")] == [
        "certificate kept",
        "certificate taken away",
    ]


def test_merging_people_moves_what_the_other_had(ines: User) -> None:
    stays, goes = CustomerFactory(), CustomerFactory()
    for who in (stays, goes):
        add_certificate(customer=who, by=ines, **typed())
    add_certificate(customer=goes, by=ines, **typed(number="13"))
    merge_customers(by=ines, stays=stays, version=stays.version, goes=goes, goes_version=goes.version)
    assert sorted(stays.certificates.values_list("number", flat=True)) == ["12-7", "13"]
    assert goes.certificates.count() == 0


def test_erasing_somebody_without_papers_takes_them_away(ines: User) -> None:
    who = CustomerFactory()
    add_certificate(customer=who, by=ines, **typed())
    erase_customer(by=ines, customer=who, version=Customer.objects.get(pk=who.pk).version)
    assert Certificate.objects.count() == 0


def test_whoever_asks_is_told_of_them(ines: User) -> None:
    who = CustomerFactory()
    add_certificate(customer=who, by=ines, **typed())
    told = export_customer(who)["certificates"]
    assert [(each["number"], each["valid_until"]) for each in told] == [("12-7", "2026-12-31")]
