"""A material's page: read, edited with packs and coverage, added, removed."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from quoting.models import Coverage, Edition, Material, Pack
from quoting.services.editions import publish_edition
from quoting.services.starter_edition import create_starter_edition
from tests.factories import FirmFactory, PackFactory, UserFactory
from tests.views.sent import sent_from

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client: Client) -> Client:
    FirmFactory()
    client.force_login(UserFactory())
    return client


@pytest.fixture
def draft() -> Edition:
    return create_starter_edition(name="2026-1")


@pytest.fixture
def sealer(draft: Edition) -> Material:
    return draft.materials.get(key="acrylic-18")


def page_of(row: Material) -> str:
    return reverse("material", args=[row.edition_id, row.pk])


def text_of(response) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", response.content.decode())).replace("\xa0", " ")


def test_a_material_of_a_published_edition_is_read(office, draft, sealer):
    publish_edition(edition=draft, version=1)
    words = text_of(office.get(page_of(sealer)))
    assert "5 gal 239.00" in words
    assert "stamped concrete, worn or patchy 2 220 270 320 22.5 %" in words
    assert "Recolour and seal, Seal, first coat" in words
    assert office.post(page_of(sealer), {"name": "other"}).status_code == 200
    assert Material.objects.get(pk=sealer.pk).name == "Solvent acrylic, 18 % solids"


def test_sending_a_page_back_as_it_is_changes_nothing(office, sealer):
    packs, coverages = list(Pack.objects.values()), list(Coverage.objects.values())
    response = office.post(page_of(sealer), sent_from(office.get(page_of(sealer))))
    assert response.status_code == 302
    assert (list(Pack.objects.values()), list(Coverage.objects.values())) == (packs, coverages)


def test_name_price_and_coverage_are_kept_together(office, sealer):
    sent = sent_from(office.get(page_of(sealer)))
    likely = next(name for name, value in sent.items() if name.endswith("-likely") and value == "220")
    sent |= {"name": "Acrylic, clear", "packs-1-price": "245", likely: "215"}
    response = office.post(page_of(sealer), sent, follow=True)
    assert "Acrylic, clear is kept." in text_of(response)
    sealer.refresh_from_db()
    assert [str(pack.price.amount) for pack in sealer.packs.all()] == ["56.50", "245.00"]
    assert sealer.coverage_on("stamped", "worn").likely == 215


def test_a_pack_is_added_and_another_removed(office, sealer):
    sent = sent_from(office.get(page_of(sealer)))
    sent |= {"packs-0-DELETE": "on", "packs-2-size": "55", "packs-2-unit": "gal", "packs-2-price": "2100"}
    office.post(page_of(sealer), sent)
    assert [pack.size_text for pack in sealer.packs.all()] == ["5 gal", "55 gal"]


def test_coverage_is_added_for_another_slab(office, sealer):
    sent = sent_from(office.get(page_of(sealer)))
    place = sent["coverages-INITIAL_FORMS"]
    line = {"surface": "steps", "condition": "worn", "coat": "1", "low": "150", "likely": "180", "high": "210"}
    sent |= {f"coverages-{place}-{name}": value for name, value in line.items()}
    office.post(page_of(sealer), sent)
    sealer.refresh_from_db()
    assert sealer.coverage_on("steps", "worn").likely == 180


def test_the_same_slab_twice_is_refused(office, sealer):
    sent = sent_from(office.get(page_of(sealer)))
    place = sent["coverages-INITIAL_FORMS"]
    line = {"surface": "stamped", "condition": "worn", "coat": "1", "low": "150", "likely": "180", "high": "210"}
    sent |= {f"coverages-{place}-{name}": value for name, value in line.items()}
    response = office.post(page_of(sealer), sent)
    assert response.status_code == 422
    assert "Two of these rows are alike; keep one." in text_of(response)


def test_what_was_typed_is_kept_with_its_fault(office, sealer):
    sent = sent_from(office.get(page_of(sealer))) | {"name": "Acrylic, clear", "packs-1-price": "dear"}
    response = office.post(page_of(sealer), sent)
    assert response.status_code == 422
    assert "“dear” is not a plain number" in text_of(response)
    assert 'value="Acrylic, clear"' in response.content.decode()
    sealer.refresh_from_db()
    assert sealer.name == "Solvent acrylic, 18 % solids"


def test_the_kind_that_is_typed_decides_about_the_packs(office, sealer):
    sent = sent_from(office.get(page_of(sealer))) | {"kind": "dry"}
    response = office.post(page_of(sealer), sent)
    assert "It is bought dry, by mass: oz, lb, g, kg." in text_of(response)


def test_two_who_changed_one_price_choose(office, sealer):
    sent = sent_from(office.get(page_of(sealer)))
    office.post(page_of(sealer), sent | {"packs-1-price": "245"})
    response = office.post(page_of(sealer), sent | {"packs-1-price": "250"})
    assert response.status_code == 409
    assert response.context["rows"] == [("Price", "239.00", "245.00", "250")]


def test_two_who_changed_different_things_keep_both(office, sealer):
    sent = sent_from(office.get(page_of(sealer)))
    office.post(page_of(sealer), sent | {"packs-1-price": "245"})
    office.post(page_of(sealer), sent | {"kept_in": "shelf 9"})
    sealer.refresh_from_db()
    assert (sealer.kept_in, str(sealer.packs.last().price.amount)) == ("shelf 9", "245.00")


def test_a_material_is_added_with_its_pack(office, draft):
    page = reverse("material-add", args=[draft.pk])
    sent = sent_from(office.get(page))
    sent |= {"name": "Wet-look enhancer", "group": "sealers", "kind": "liquid", "charge": "packs"}
    sent |= {"packs-0-size": "1", "packs-0-unit": "gal", "packs-0-price": "72"}
    office.post(page, sent)
    row = draft.materials.get(key="wet-look-enhancer")
    assert [pack.size_text for pack in row.packs.all()] == ["1 gal"]
    assert row.position == 15


def test_a_material_that_a_step_uses_is_not_removed(office, sealer):
    page = reverse("material-remove", args=[sealer.edition_id, sealer.pk])
    assert "Remove Solvent acrylic, 18 % solids?" in text_of(office.get(page))
    response = office.post(page, follow=True)
    assert "is still used by" in text_of(response)
    assert Material.objects.filter(pk=sealer.pk).exists()


def test_a_material_is_removed_after_it_was_asked(office, draft):
    row = draft.materials.get(key="acrylic-24")
    office.post(reverse("material-remove", args=[draft.pk, row.pk]))
    assert not draft.materials.filter(key="acrylic-24").exists()


def test_a_material_of_another_edition_is_not_found_here(office, draft):
    other = PackFactory().material
    assert office.get(reverse("material", args=[draft.pk, other.pk])).status_code == 404
