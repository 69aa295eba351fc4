"""Materials as CSV: written, read with a report first, then taken over."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from quoting.models import Edition, Pack, PriceList
from quoting.services.starter_edition import create_starter_edition
from tests.factories import FirmFactory, UserFactory

pytestmark = pytest.mark.django_db
HEAD = "material,name,group,kind,kept in,pack,unit,price\n"
DEARER = HEAD + '"grit","Grit, polymer, 70 mesh",sealers,dry,shelf 4,1,lb,21.00\n'


@pytest.fixture
def office(client: Client) -> Client:
    FirmFactory()
    client.force_login(UserFactory())
    return client


@pytest.fixture
def draft() -> Edition:
    return create_starter_edition(name="2026-1")


def text_of(response) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", response.content.decode())).replace("\xa0", " ")


def read(office: Client, draft: Edition, content: str | bytes, name: str = "prices.csv", version: int = 1):
    file = SimpleUploadedFile(name, content if isinstance(content, bytes) else content.encode())
    page = reverse("price-list-read", args=[draft.pk])
    return office.post(page, {"file": file, "version": version}, follow=True)


def price_of_grit() -> str:
    return str(Pack.objects.get(material__key="grit").price.amount)


def test_the_materials_are_written_as_a_file(office, draft):
    response = office.get(reverse("materials-csv", args=[draft.pk]))
    lines = b"".join(response.streaming_content).decode().splitlines()
    assert response["Content-Disposition"] == 'attachment; filename="materials-2026-1.csv"'
    assert (lines[0] + "\n", len(lines)) == (HEAD, 1 + Pack.objects.count())


def test_a_report_comes_first_and_nothing_is_written(office, draft):
    response = read(office, draft, DEARER)
    assert "Grit, polymer, 70 mesh 1 lb 18.00 21.00" in text_of(response)
    assert price_of_grit() == "18.00"


def test_then_all_of_it_is_taken_over(office, draft):
    read(office, draft, DEARER)
    page = reverse("price-list", args=[draft.pk, PriceList.objects.get().pk])
    response = office.post(page, {"version": 1}, follow=True)
    assert "prices.csv is taken over: 1 change." in text_of(response)
    assert price_of_grit() == "21.00"


def test_the_same_file_a_second_time_is_named(office, draft):
    read(office, draft, DEARER)
    office.post(reverse("price-list", args=[draft.pk, PriceList.objects.get().pk]), {"version": 1})
    response = read(office, draft, DEARER, version=2)
    assert response.status_code == 422
    assert "prices.csv was taken over before. Nothing has happened a second time." in text_of(response)


def test_a_draft_that_changed_meanwhile_takes_nothing(office, draft):
    read(office, draft, DEARER)
    page = reverse("price-list", args=[draft.pk, PriceList.objects.get().pk])
    response = office.post(page, {"version": 9}, follow=True)
    assert "Nothing has been written." in text_of(response)
    assert price_of_grit() == "18.00"


def test_faults_are_told_with_their_lines_and_can_not_be_taken_over(office, draft):
    response = read(office, draft, HEAD + "grit,Grit,sealers,dry,,1,lb,cheap\n")
    words = text_of(response)
    assert "One thing to mend in the file" in words
    assert "Line 2, price: “cheap” is not a plain number" in words
    assert "Take it over" not in words
    office.post(reverse("price-list", args=[draft.pk, PriceList.objects.get().pk]), {"version": 1})
    assert price_of_grit() == "18.00"


def test_a_picture_is_no_price_list(office, draft):
    response = read(office, draft, b"\x89PNG\r\n\x1a\n\0\0", name="../../shed.png")
    assert "not in UTF-8" in text_of(response)


def test_an_empty_file_is_refused(office, draft):
    assert read(office, draft, b"").status_code == 422


def test_a_file_that_is_too_large_is_refused(office, draft):
    response = read(office, draft, b"x" * (10 * 1024 * 1024 + 1))
    assert response.status_code == 422
    assert "The file is larger than 10 MB." in text_of(response)
    assert not PriceList.objects.exists()


def test_a_file_is_forgotten(office, draft):
    read(office, draft, DEARER)
    office.post(reverse("price-list-drop", args=[draft.pk, PriceList.objects.get().pk]))
    assert not PriceList.objects.exists()
    assert price_of_grit() == "18.00"
