"""A customer's certificates in the browser's eyes."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from customers.models import Customer
from quoting.models import Certificate
from tests.factories import CrewFactory, CustomerFactory, FirmFactory, OwnerFactory
from tests.services.test_certificates import PDF

pytestmark = pytest.mark.django_db


@pytest.fixture
def who() -> Customer:
    FirmFactory()
    return CustomerFactory()


@pytest.fixture
def office(client: Client) -> Client:
    client.force_login(OwnerFactory())
    return client


def sent(content: bytes = PDF, **facts: Any) -> dict[str, Any]:
    file = SimpleUploadedFile("../../etc/<b>.html", content, content_type="text/html")
    return {"kind": "resale", "number": "R-55", "region": "", "valid_from": "2026-01-01", "file": file} | facts


def test_one_is_kept_and_handed_out_as_a_download_from_which_nothing_runs(office, who):
    assert office.post(f"/people/{who.pk}/certificates/", sent()).status_code == 302
    row = Certificate.objects.get()
    assert "R-55" in office.get(f"/people/{who.pk}/certificates/").text
    answer = office.get(f"/people/{who.pk}/certificates/{row.pk}/file/")
    names = ("Content-Type", "Content-Disposition", "X-Content-Type-Options", "Content-Security-Policy")
    assert answer.content == PDF
    assert [answer[name] for name in names] == [
        "application/pdf", f'attachment; filename="certificate-{row.pk}.pdf"', "nosniff",
        "sandbox; default-src 'none'",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"content": b"<html>"}, "This is no PDF, JPEG or PNG file."),
        ({"valid_until": "2025-01-01"}, "The last day is before the first."),
        ({"number": ""}, "This field is required."),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_kept(office, who, facts, sentence):
    answer = office.post(f"/people/{who.pk}/certificates/", sent(**facts))
    assert (answer.status_code, sentence in answer.text, Certificate.objects.count()) == (422, True, 0)


def test_taking_one_away_asks_once(office, who):
    office.post(f"/people/{who.pk}/certificates/", sent())
    address = f"/people/{who.pk}/certificates/{Certificate.objects.get().pk}/remove/"
    assert (office.get(address).status_code, Certificate.objects.count()) == (200, 1)
    assert (office.post(address).status_code, Certificate.objects.count()) == (302, 0)


def test_another_customers_certificate_is_not_found(office, who):
    office.post(f"/people/{who.pk}/certificates/", sent())
    row, other = Certificate.objects.get(), CustomerFactory()
    for page in ("file", "remove"):
        assert office.get(f"/people/{other.pk}/certificates/{row.pk}/{page}/").status_code == 404


def test_the_persons_page_leads_there(office, who):
    assert f'href="/people/{who.pk}/certificates/"' in office.get(f"/people/{who.pk}/").text


def test_the_crew_is_shown_none(office, client, who):
    office.post(f"/people/{who.pk}/certificates/", sent())
    client.force_login(CrewFactory())
    pages = ("", f"{Certificate.objects.get().pk}/file/")
    assert [client.get(f"/people/{who.pk}/certificates/{page}").status_code for page in pages] == [403, 403]


def test_the_number_of_queries_does_not_grow(office, who, django_assert_num_queries):
    for number in ("1", "2", "3"):
        office.post(f"/people/{who.pk}/certificates/", sent(number=number))
        if number != "2":
            with django_assert_num_queries(6):
                office.get(f"/people/{who.pk}/certificates/")
