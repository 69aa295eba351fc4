"""The price book's pages: who may open them, reading, editing in place, copying, publishing, comparing."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from quoting.models import Coverage, Edition, Firm, Material, Pack
from quoting.services.editions import copy_edition, publish_edition
from quoting.services.starter_edition import create_starter_edition
from tests.factories import (
    CoverageFactory,
    CrewFactory,
    EditionFactory,
    FirmFactory,
    LabourTaskFactory,
    MaterialFactory,
    OwnerFactory,
    PackFactory,
    RestorationSystemFactory,
    StepMaterialFactory,
    SystemStepFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def firm():
    return FirmFactory()


@pytest.fixture
def office(client: Client) -> Client:
    client.force_login(UserFactory())
    return client


@pytest.fixture
def draft() -> Edition:
    return create_starter_edition(name="2026-1")


@pytest.fixture
def published(draft: Edition) -> Edition:
    return publish_edition(edition=draft, version=1)


def url(name: str, *args: object) -> str:
    return reverse(name, args=args)


def text_of(response) -> str:
    """The words of a page, without tags and doubled blanks."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", response.content.decode())).replace("\xa0", " ")


def blanks_of(response) -> dict[str, str]:
    """What a browser would send back from the page's form of figures."""
    found = re.findall(r"<input[^>]*>", response.content.decode())
    pairs = [(re.search(r'name="([^"]*)"', tag), re.search(r'value="([^"]*)"', tag)) for tag in found]
    return {name[1]: value[1] if value else "" for name, value in pairs if name and name[1] not in {"q", "changed"}}


def test_the_crew_sees_no_price_book(client, draft):
    client.force_login(CrewFactory())
    step = draft.systems.first().steps.first()
    pages = [
        url("prices"),
        url("edition", draft.pk),
        url("edition-copy", draft.pk),
        url("edition-publish", draft.pk),
        url("edition-against", draft.pk, draft.pk),
        url("material", draft.pk, draft.materials.first().pk),
        url("materials-csv", draft.pk),
        url("price-list-read", draft.pk),
        url("system", draft.pk, step.system_id),
        url("system-step", draft.pk, step.pk),
        url("rate", draft.pk, "labour", draft.tasks.first().pk),
    ]
    assert [client.get(page).status_code for page in pages] == [403] * len(pages)
    posts = [url("prices-begin"), url("edition-publish", draft.pk), url("edition-delete", draft.pk)]
    assert [client.post(page, {"version": 1}).status_code for page in posts] == [403] * 3
    assert Edition.objects.get().state == "drafted"


def test_a_stranger_is_sent_to_the_door(client, draft):
    assert client.get(url("edition", draft.pk)).status_code == 302


def test_the_owner_opens_it(client, draft):
    client.force_login(OwnerFactory())
    assert client.get(url("edition", draft.pk)).status_code == 200


def test_without_an_edition_the_page_says_how_to_begin(office):
    response = office.get(url("prices"))
    assert "Begin with the starter edition" in text_of(response)
    assert not Edition.objects.exists()


def test_the_starter_edition_is_begun_once(office, firm):
    firm.currency = "CAD"
    firm.save()
    office.post(url("prices-begin"))
    response = office.post(url("prices-begin"))
    edition = Edition.objects.get()
    assert response.url == url("edition", edition.pk)
    assert set(Pack.objects.values_list("price_currency", flat=True)) == {"CAD"}


def test_prices_leads_to_the_published_edition(office, published):
    copy_edition(edition=published, name="2026-2")
    assert office.get(url("prices")).url == url("edition", published.pk)


def test_a_published_edition_is_read_and_has_no_blanks(office, published):
    response = office.get(url("edition", published.pk))
    words = text_of(response)
    assert "Solvent acrylic, 18 % solids" in words
    assert "239.00" in words
    assert "Copy 2026-1 to a draft" in words
    assert b'inputmode="decimal"' not in response.content


def test_a_published_edition_takes_no_figures(office, published):
    response = office.post(url("edition", published.pk), {"version": 1}, follow=True)
    assert "is published and never changes" in text_of(response)


@pytest.mark.parametrize("count", [1, 3])
def test_an_edition_is_shown_in_a_constant_number_of_queries(office, count, django_assert_num_queries):
    first = EditionFactory(name="2026-1")
    for _ in range(count):
        used = StepMaterialFactory(step__system__edition=first)
        PackFactory(material=used.material)
        CoverageFactory(material=used.material)
        LabourTaskFactory(edition=first)
    second = copy_edition(edition=first, name="2026-2")
    second.tasks.update(rate=300)
    # session, user, edition; twice a book of nine; the editions; the firm and its tax rules
    with django_assert_num_queries(3 + 9 + 9 + 1 + 2):
        office.get(url("edition", second.pk))


def test_figures_are_edited_in_place(office, draft):
    page = office.get(url("edition", draft.pk))
    pack = Pack.objects.get(material__key="acrylic-18", size=5)
    task = draft.tasks.get(key="seal")
    material = draft.materials.get(key="grit")
    typed = {
        f"pack-{pack.pk}-price": "245",
        f"labourtask-{task.pk}-rate": "340",
        f"material-{material.pk}-waste": "2.5",
    }
    response = office.post(url("edition", draft.pk), {**blanks_of(page), **typed}, follow=True)
    assert "Kept: 3 figures changed." in text_of(response)
    for row in (pack, task, material):
        row.refresh_from_db()
    assert (str(pack.price.amount), task.rate, str(material.waste)) == ("245.00", 340, "0.0250")
    assert (task.is_starting_value, material.is_starting_value) == (False, False)


def test_coverage_is_edited_on_the_slab_that_is_shown(office, draft):
    address = url("edition", draft.pk) + "?surface=stamped&condition=bare"
    page = office.get(address)
    row = Coverage.objects.get(material__key="acrylic-18", surface="stamped", condition="bare", coat=1)
    response = office.post(address, {**blanks_of(page), f"coverage-{row.pk}-likely": "150"})
    assert response.url == address
    row.refresh_from_db()
    assert row.likely == 150


def test_a_wrong_figure_is_said_at_its_place_and_nothing_is_written(office, draft):
    page = office.get(url("edition", draft.pk))
    pack, task = Pack.objects.get(material__key="grit"), draft.tasks.get(key="seal")
    typed = {f"pack-{pack.pk}-price": "1,8", f"labourtask-{task.pk}-rate": "340"}
    response = office.post(url("edition", draft.pk), {**blanks_of(page), **typed})
    assert response.status_code == 422
    assert "Write “1,8” without commas" in text_of(response)
    assert 'value="1,8"' in response.content.decode()
    task.refresh_from_db()
    assert task.rate == 350


def test_two_people_may_edit_different_figures(office, draft):
    page = office.get(url("edition", draft.pk))
    seal, wash = draft.tasks.get(key="seal"), draft.tasks.get(key="wash")
    office.post(url("edition", draft.pk), {**blanks_of(page), f"labourtask-{wash.pk}-rate": "300"})
    office.post(url("edition", draft.pk), {**blanks_of(page), f"labourtask-{seal.pk}-rate": "340"})
    seal.refresh_from_db()
    wash.refresh_from_db()
    assert (seal.rate, wash.rate) == (340, 300)


def test_the_second_of_two_who_changed_one_figure_chooses(office, draft):
    page = office.get(url("edition", draft.pk))
    seal = draft.tasks.get(key="seal")
    mine = {**blanks_of(page), f"labourtask-{seal.pk}-rate": "340"}
    office.post(url("edition", draft.pk), {**blanks_of(page), f"labourtask-{seal.pk}-rate": "330"})
    response = office.post(url("edition", draft.pk), mine)
    assert response.status_code == 409
    assert response.context["rows"] == [("Seal, spray and roll, a coat, rate", "350", "330", "340")]
    seal.refresh_from_db()
    assert seal.rate == 330
    office.post(url("edition", draft.pk), {**mine, "version": response.context["version"]})
    seal.refresh_from_db()
    assert seal.rate == 340


def names(response) -> list[str]:
    return [row.row.name for row in response.context["ledger"].rows]


def test_the_search_keeps_its_address(office, draft):
    response = office.get(url("edition", draft.pk), {"q": "grit shelf", "kept": "shelf 4"})
    assert names(response) == ["Grit, polymer, 70 mesh"]
    assert 'value="grit shelf"' in response.content.decode()


def test_a_search_without_a_find_says_so(office, draft):
    assert "Nothing of that in this edition" in text_of(office.get(url("edition", draft.pk), {"q": "gold"}))


def test_only_what_changed_is_shown(office, published):
    draft = copy_edition(edition=published, name="2026-2")
    draft.tasks.filter(key="seal").update(rate=340)
    Pack.objects.filter(material__edition=draft, material__key="grit").update(price=20)
    response = office.get(url("edition", draft.pk), {"changed": "on"})
    assert names(response) == ["Grit, polymer, 70 mesh", "Seal, spray and roll, a coat"]


def test_what_a_figure_was_stands_beside_it(office, published):
    draft = copy_edition(edition=published, name="2026-2")
    Pack.objects.filter(material__edition=draft, material__key="grit").update(price=20)
    words = text_of(office.get(url("edition", draft.pk)))
    assert "1 figure" in words
    assert re.search(r"1 lb 18\.00 20\.00", words)


@pytest.mark.parametrize(
    "query", ["q=%00", "surface=lava", "after=9999999999999999999", "after=x", "kept=" + "x" * 400]
)
def test_an_absurd_address_is_no_crash(office, draft, query):
    assert office.get(url("edition", draft.pk) + "?" + query).status_code == 200


def test_many_materials_come_in_leaves(office):
    edition = EditionFactory()
    for number in range(81):
        MaterialFactory(edition=edition, name=f"Sealer {number:03}")
    first = office.get(url("edition", edition.pk))
    assert len(names(first)) == 80
    second = office.get(first.context["older_url"])
    assert names(second) == ["Sealer 080"]


def test_an_edition_is_copied_to_a_draft(office, published):
    page = office.get(url("edition-copy", published.pk))
    name = page.context["form"]["name"].value()
    response = office.post(url("edition-copy", published.pk), {"name": name, "takes_over": "2026-07-01"})
    draft = Edition.objects.get(name=name)
    assert response.url == url("edition", draft.pk)
    assert (draft.state, draft.based_on, draft.materials.count()) == ("drafted", published, 15)


def test_a_copy_needs_a_name_that_is_free(office, published):
    response = office.post(url("edition-copy", published.pk), {"name": published.name})
    assert (response.status_code, Edition.objects.count()) == (422, 1)
    assert "There is an edition of this name already." in text_of(response)


def test_name_and_day_of_a_draft_are_kept(office, draft):
    office.post(url("edition-words", draft.pk), {"name": "Summer", "takes_over": "2026-07-01", "version": 1})
    draft.refresh_from_db()
    assert (draft.name, str(draft.takes_over)) == ("Summer", "2026-07-01")


def test_publishing_is_asked_once_with_its_consequence(office, published):
    draft = copy_edition(edition=published, name="2026-2")
    page = text_of(office.get(url("edition-publish", draft.pk)))
    assert "Publish 2026-2?" in page
    assert "2026-1 is superseded and kept." in page
    response = office.post(url("edition-publish", draft.pk), {"version": 1}, follow=True)
    assert "Published: 2026-2 is what new options are priced with from now on." in text_of(response)
    states = dict(Edition.objects.values_list("name", "state"))
    assert states == {"2026-1": "superseded", "2026-2": "published"}


def test_what_is_missing_leads_to_where_it_is_made_good(office, draft):
    bare = MaterialFactory(edition=draft, name="Bare")
    system = RestorationSystemFactory(edition=draft, name="Empty")
    step = SystemStepFactory(system__edition=draft, system__name="Half", name="Sweep")
    response = office.get(url("edition-publish", draft.pk))
    places = {(str(lack.where), where) for lack, where in response.context["lacks"]}
    assert places == {
        ("Bare", url("material", draft.pk, bare.pk)),
        ("Empty", url("system", draft.pk, system.pk)),
        ("Half, Sweep", url("system-step", draft.pk, step.pk)),
    }
    assert "Publish 2026-1?" not in text_of(response)
    office.post(url("edition-publish", draft.pk), {"version": 1})
    assert Edition.objects.get().state == "drafted"


@pytest.mark.parametrize("version", ["7", "", "x"])
def test_an_edition_that_changed_meanwhile_is_not_published(office, draft, version):
    response = office.post(url("edition-publish", draft.pk), {"version": version}, follow=True)
    assert "Somebody changed this edition meanwhile" in text_of(response)
    assert Edition.objects.get().state == "drafted"


def test_a_draft_is_deleted_after_it_was_asked(office, draft):
    assert "Delete the draft 2026-1?" in text_of(office.get(url("edition-delete", draft.pk)))
    assert Edition.objects.exists()
    office.post(url("edition-delete", draft.pk), {"version": 1})
    assert not Edition.objects.exists()


def test_what_is_published_has_no_pages_to_change_it(office, published):
    pages = [
        url("edition-publish", published.pk),
        url("edition-delete", published.pk),
        url("edition-words", published.pk),
        url("material-add", published.pk),
        url("material-remove", published.pk, published.materials.first().pk),
        url("rate", published.pk, "labour", published.tasks.first().pk),
        url("system-add", published.pk),
        url("price-list-read", published.pk),
    ]
    assert [office.get(page).status_code for page in pages] == [404] * len(pages)


def test_two_editions_are_compared(office, published):
    draft = copy_edition(edition=published, name="2026-2")
    draft.tasks.filter(key="seal").update(rate=343)
    words = text_of(office.get(url("edition-against", draft.pk, published.pk)))
    assert re.search(r"Seal, spray and roll, a coat rate 350 343 −2\.0 %", words)
    assert "What it does" in words
    assert Material.objects.count() == 30


def test_editions_that_do_not_differ_say_so(office, published):
    draft = copy_edition(edition=published, name="2026-2")
    words = text_of(office.get(url("edition-against", draft.pk, published.pk)))
    assert "Nothing differs between 2026-1 and 2026-2." in words


def test_an_edition_can_be_copied_into_metric_units_and_its_labels_say_so(office, published):
    office.post(url("edition-copy", published.pk), {"name": "metric", "units": "metric"})
    draft = Edition.objects.get(name="metric")
    assert draft.units == "metric"
    page = office.get(url("edition", draft.pk))
    assert ("m² a litre" in page.text, "ft² a gallon" in page.text) == (True, False)
    material = office.get(url("material", draft.pk, draft.materials.get(key="base-graphite").pk))
    assert [material.context["form"][name].label for name in ("strength", "scoop", "density")] == [
        "Strength, g a litre", "A level scoop holds, g", "Density, kg a cubic metre",
    ]  # fmt: skip


def test_a_metric_firm_begins_with_a_metric_book(office):
    Firm.objects.update(units="metric")
    assert office.get(reverse("prices")).context["form"]["units"].value() == "metric"
    office.post(reverse("prices-begin"))
    assert Edition.objects.get().units == "metric"
