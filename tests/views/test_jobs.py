import json
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from customers.models import Customer, Property
from quoting.models import Job, Paper, PaperScope, Proposal
from quoting.services.jobs import keep_asked, open_folder
from quoting.views import jobs as jobs_views
from tests.factories import (
    AgreedAreaFactory,
    AreaFactory,
    CrewFactory,
    CustomerFactory,
    DeductFactory,
    FirmFactory,
    JobFactory,
    OwnerFactory,
    PartFactory,
    PropertyFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client):
    FirmFactory()
    client.force_login(OwnerFactory())
    return client


def folder_of(job: Job) -> str:
    return reverse("folder", args=[job.number])


def test_with_no_folder_the_list_says_what_to_do_first(office):
    page = office.get(reverse("folders"))
    assert "No folder yet" in page.text
    assert "Open the first folder" in page.text


def test_the_list_has_the_newest_first_with_the_state_of_the_offer(office):
    JobFactory(number="0101", property__street="7 Tern Court")
    JobFactory(number="0102", property__street="18 Alder Row")
    page = office.get(reverse("folders"))
    assert [job.number for job in page.context["jobs"]] == ["0102", "0101"]
    assert page.text.count("nothing yet") == 2


def test_the_list_is_filtered_by_words_and_state_and_keeps_its_address(office, monkeypatch):
    monkeypatch.setattr(jobs_views, "LEAF", 2)
    for n in range(3):
        JobFactory(number=f"010{n}", property__street=f"{n} Alder Row")
    JobFactory(number="0200", property__street="7 Tern Court")
    page = office.get(reverse("folders"), {"q": "alder", "state": "none"})
    assert [job.number for job in page.context["jobs"]] == ["0102", "0101"]
    assert page.context["older_url"] == "?q=alder&state=none&after=0101"
    assert office.get(reverse("folders"), {"state": "issued"}).context["jobs"] == []


def test_leaves_follow_each_other_by_key_without_gap_or_double_even_at_one_moment(office, monkeypatch):
    monkeypatch.setattr(jobs_views, "LEAF", 2)
    for n in range(5):
        JobFactory(number=f"010{n}")
    Job.objects.update(opened_at=timezone.now())  # one moment for all: the id decides
    seen, address = [], ""
    while True:
        page = office.get(reverse("folders") + address)
        seen += [job.number for job in page.context["jobs"]]
        if not (address := page.context["older_url"]):
            break
    assert seen == ["0104", "0103", "0102", "0101", "0100"]
    back = office.get(reverse("folders") + page.context["newer_url"])
    assert [job.number for job in back.context["jobs"]] == ["0102", "0101"]


def test_an_address_that_names_no_folder_shows_the_first_leaf(office):
    JobFactory(number="0101")
    page = office.get(reverse("folders"), {"after": "nonsense", "state": "nonsense"})
    assert [job.number for job in page.context["jobs"]] == ["0101"]


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_five_queries(office, count, django_assert_num_queries):
    JobFactory.create_batch(count)
    # session, person, folders with place, proposals, firm
    with django_assert_num_queries(5):
        office.get(reverse("folders"))


def test_a_folder_is_opened_for_someone_new(office):
    typed = {"customer": "Noor Haddad", "street": "64 Ferry Road", "town": "Larkmere", "asked": "It is grey."}
    page = office.post(reverse("folder-open"), typed, follow=True)
    job = Job.objects.get()
    assert page.redirect_chain == [(folder_of(job), 302)]
    assert (job.number, job.property.street, job.property.customer.name) == ("0001", "64 Ferry Road", "Noor Haddad")
    assert "Nothing measured yet" in page.text
    assert "Folder opened." in page.text


def test_a_folder_is_opened_for_a_place_that_is_known(office):
    place = PropertyFactory()
    found = office.get(reverse("folder-open"), {"place": "alder wexley"})
    assert f"?property={place.pk}" in found.text
    assert "18 Alder Row, Priya and Tom Wexley" in office.get(reverse("folder-open"), {"property": place.pk}).text
    office.post(reverse("folder-open"), {"known_place": place.pk})
    assert (Job.objects.get().property, Property.objects.count()) == (place, 1)


def test_who_and_where_must_be_said(office):
    page = office.post(reverse("folder-open"), {"town": "Larkmere"})
    assert page.status_code == 422
    assert "Two things to mend" in page.text
    assert 'value="Larkmere"' in page.text
    assert not Customer.objects.exists()


@pytest.mark.parametrize("pk", ["9" * 40, "-1", "x", "٣"])
def test_a_place_that_is_no_place_is_taken_for_a_new_one(office, pk):
    assert office.get(reverse("folder-open"), {"property": pk}).context["known"] is None


def test_the_folder_shows_what_was_asked_and_measured_with_workings(office):
    job = JobFactory(asked="Now it is grey paper.", poured="about 2014")
    deck = AreaFactory(job=job, name="Pool deck", texture="1.12")
    PartFactory(area=deck)
    DeductFactory(area=deck, position=1)
    AgreedAreaFactory(job=job, name="Steps", position=1)
    page = office.get(folder_of(job))
    assert "Now it is grey paper." in page.text
    # 464 − 28.27 = 435.73; × 1.12 = 488.01
    assert page.context["areas"][0].lines == [
        ("", "464.00", "32′ 0″ × 14′ 6″"),
        ("−", "28.27", "planter, Ø 6′ 0″, π ÷ 4 × Ø²"),
        ("=", "435.73", "ft² net"),
    ]
    assert page.context["areas"][0].effective == "488.01"
    assert page.context["total"] == "435.73"
    assert page.text.count("<svg") == 2


@pytest.mark.parametrize("count", [1, 3])
def test_the_folder_costs_twenty_six_queries_whatever_is_in_it(office, count, django_assert_num_queries):
    job = JobFactory()
    for n in range(count):
        PartFactory(area=AreaFactory(job=job, position=n))
    # session, person, folder, areas, parts, proposals, tax rules, options, papers, events, mails, firm;
    # found: findings, photographs, advice taken, systems, tones, samples; agreed: the yes; billed: the books, bills;
    # days: two; questions
    with django_assert_num_queries(26):
        office.get(folder_of(job))


def test_what_was_asked_is_changed_and_two_hands_are_shown(office):
    job = JobFactory(asked="old")
    address = reverse("folder-asked", args=[job.number])
    first = {"asked": "mine", "version": 1, "initial-asked": "old"}
    keep_asked(job=job, version=1, asked="theirs")
    page = office.post(address, first)
    assert page.status_code == 409
    assert page.context["rows"] == [("What they asked", "old", "theirs", "mine")]
    job.refresh_from_db()
    assert job.asked == "theirs"
    office.post(address, first | {"version": page.context["version"]})
    job.refresh_from_db()
    assert job.asked == "mine"


def test_markup_in_what_was_typed_is_shown_and_does_nothing(office):
    job = JobFactory(asked="<script>alert(1)</script>")
    AreaFactory(job=job, name="<b>deck</b>")
    PartFactory(area=job.areas.get(), name="</svg><script>x</script>")
    page = office.get(folder_of(job))
    assert "<script>alert" not in page.text
    assert "<script>x" not in page.text
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page.text


def test_a_folder_that_is_not_there_is_not_found(office):
    assert office.get("/folders/9999/").status_code == 404
    assert office.get("/folders/%00/").status_code == 404
    assert office.get("/folders/../").status_code in (301, 302, 404)


def test_the_crew_sees_no_folder_before_its_proposal_is_issued(client):
    FirmFactory()
    client.force_login(CrewFactory())
    job = JobFactory()
    assert client.get(folder_of(job)).status_code == 404
    assert "Ask the office" in client.get(reverse("folders")).text
    assert client.get(reverse("folder-open")).status_code == 403
    assert client.get(reverse("folder-asked", args=[job.number])).status_code == 403


def issue_to_crew(job: Job) -> None:
    """A proposal that stands, with one frozen option that holds prices and costs."""
    paper = Paper.objects.create(
        kind="proposal", number=f"{job.number}-A", job=job, revision=1, issued_at=timezone.now(),
        issued_by=UserFactory(), facts="{}", facts_sha256="0" * 64, pdf=b"%PDF", pdf_sha256="0" * 64, pages=1,
    )  # fmt: skip
    scope = {
        "materials": {"seal": {"name": "Sealer, 20 % solids", "packs": [{"size": "5 gal", "price": "228.41"}]}},
        "work": [{"step": "Seal", "areas": ["Pool deck"], "visit": 3, "hold": "24 hour"}],
        "crew": {"size": 2, "hourly_cost": "39.17"},
    }
    sealer = {"material": "seal", "need": {"value": "4.55", "unit": "gal"}}
    workings = {
        "steps": [{"step": "Seal", "person_hours": "2.4", "labour_cost": "94.01", "materials": [sealer]}],
        "materials": [sealer | {"buy": [{"size": "5 gal", "count": 1}], "cost": "228.41"}],
        "price": {"price": "1810.55", "total": "1833.18", "margin": "0.301"},
    }
    PaperScope.objects.create(
        paper=paper, position=0, role="option", name="Recolour", edition="2026-1",
        scope=json.dumps(scope), scope_sha256="0" * 64, workings=json.dumps(workings), workings_sha256="0" * 64,
    )  # fmt: skip
    Proposal.objects.create(job=job, state="issued", paper=paper)


def test_the_crew_reads_steps_and_quantities_and_no_money_anywhere(client):
    FirmFactory(hourly_cost="39.17")
    client.force_login(CrewFactory())
    job = JobFactory(asked="We can pay 5000")
    PartFactory(area=AreaFactory(job=job, name="Pool deck", note="The grill stays."))
    issue_to_crew(job)
    page = client.get(folder_of(job))
    for shown in (
        "Pool deck",
        "464.00",
        "Seal",
        "4.55\u00a0gal",
        "2.4\u00a0h",
        "1 × 5 gal",
        "visit 3",
        "The grill stays.",
    ):
        assert shown in page.text
    for hidden in ("228.41", "39.17", "94.01", "1810", "1,810", "1833", "0.301", "30.1", "$", "price", "cost", "5000"):
        assert hidden not in page.text
    assert client.get(reverse("folders")).context["jobs"] == [job]


@pytest.mark.parametrize("count", [1, 3])
def test_the_crew_folder_costs_sixteen_queries(client, count, django_assert_num_queries):
    FirmFactory()
    client.force_login(CrewFactory())
    job = JobFactory()
    for n in range(count):
        PartFactory(area=AreaFactory(job=job, position=n))
    issue_to_crew(job)
    # session, person, folder, areas, parts, scopes, firm;
    # found: findings, photographs, advice taken, systems, tones, samples; days: two; changes accepted
    with django_assert_num_queries(16):
        client.get(folder_of(job))


def test_the_state_of_the_offer_is_in_the_list_and_the_title_block(office):
    job = JobFactory(number="0417")
    issue_to_crew(job)
    Proposal.objects.create(job=job)
    assert "0417-A" in office.get(reverse("folders"), {"state": "issued"}).text
    page = office.get(folder_of(job))
    assert (page.context["standing"].paper.number, page.context["draft"].state) == ("0417-A", "drafted")


def test_search_finds_folders_and_people_by_name_street_and_number(office):
    job = open_folder(by=UserFactory(), property=PropertyFactory())
    CustomerFactory(name="Aldous Finch")
    by_street = office.get(reverse("search"), {"q": "alder"})
    assert [each.pk for each in by_street.context["jobs"]] == [job.pk]
    assert [each.name for each in by_street.context["people"]] == ["Priya and Tom Wexley"]
    assert [each.pk for each in office.get(reverse("search"), {"q": job.number}).context["jobs"]] == [job.pk]
    assert [each.name for each in office.get(reverse("search"), {"q": "finch"}).context["people"]] == ["Aldous Finch"]


def test_search_says_what_is_near_when_nothing_has_the_word(office):
    open_folder(by=UserFactory(), property=PropertyFactory())
    page = office.get(reverse("search"), {"q": "Aldar"})
    assert page.context["near"]
    assert [each.property.street for each in page.context["jobs"]] == ["18 Alder Row"]


@pytest.mark.parametrize("words", ["", "%", "_", "'; drop table", "\0", "x" * 5000, "a b c d e f g h i j"])
def test_search_takes_whatever_is_typed(office, words):
    JobFactory()
    assert office.get(reverse("search"), {"q": words}).status_code == 200
    assert office.get(reverse("folders"), {"q": words}).status_code == 200


@pytest.mark.parametrize("count", [1, 3])
def test_search_costs_six_queries(office, count, django_assert_num_queries):
    for _ in range(count):
        open_folder(by=UserFactory(), property=PropertyFactory())
    # session, person, folders with place, proposals, people, firm
    with django_assert_num_queries(6):
        office.get(reverse("search"), {"q": "alder"})


def test_the_crew_finds_no_people(client):
    FirmFactory()
    client.force_login(CrewFactory())
    CustomerFactory(name="Aldous Finch")
    assert client.get(reverse("search"), {"q": "finch"}).context["people"] == []


def test_older_means_opened_earlier(office):
    new, old = JobFactory(number="0101"), JobFactory(number="0102")
    Job.objects.filter(pk=old.pk).update(opened_at=timezone.now() - timedelta(days=900))
    page = office.get(reverse("folders"))
    assert [job.pk for job in page.context["jobs"]] == [new.pk, old.pk]


def test_of_very_many_areas_the_first_are_drawn_and_all_are_counted(office):
    job = JobFactory()
    for n in range(26):
        PartFactory(area=AreaFactory(job=job, position=n))
    page = office.get(folder_of(job))
    assert "The drawing shows areas A to X; every other one is drawn on its own page." in page.text
    # 26 × 464 = 12 064
    assert page.context["total"] == "12,064.00"


def test_areas_are_moved_from_the_folder(office):
    job = JobFactory()
    AreaFactory(job=job, name="Deck")
    walk = AreaFactory(job=job, name="Walk", position=1)
    assert "Move area B up" in office.get(folder_of(job)).text
    page = office.post(reverse("area-move", args=[job.number, walk.pk]), {"places": "-1"})
    assert page.url == folder_of(job) + "#measured"
    assert list(job.areas.values_list("name", flat=True)) == ["Walk", "Deck"]
