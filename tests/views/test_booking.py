"""The page on which the office books what the crew wrote: looked over, put right, pressed once."""

import re
from uuid import UUID

import pytest
from django.test import Client

from quoting.core.units import parse_quantity
from quoting.models import Booked, Job, Lot
from quoting.services.stock import add_lot
from quoting.services.visits import finish_visit
from tests.factories import CrewFactory
from tests.sample_visits import planned_job, visit_of

pytestmark = pytest.mark.django_db
PAGE = "/folders/0417/visits/3/stock/"


@pytest.fixture
def job() -> Job:
    job = planned_job()
    add_lot(
        by=job.opened_by, material="sealer", name="Solvent acrylic, 24 % solids", size=parse_quantity("5 gal"),
        size_text="5 gal", count=3, lot="S-18", reserved_for=job,
    )  # fmt: skip
    crew = signed_in(CrewFactory(name="Mateo Ruiz"))
    told = {"material": "sealer", "place": "2", "amount": "6 gal", "lot": "S-18", "packs": "2"}
    assert crew.post("/folders/0417/visits/3/entries/used/", told).status_code == 302
    return job


def signed_in(person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def typed(page: str, **more: str) -> dict[str, str]:
    """What the browser sends of the page as it stands, with what is changed."""
    found = dict(re.findall(r'<input [^>]*?name="([\w-]+)"[^>]*?value="([^"]*)"', page))
    found |= {name: value for value, name in re.findall(r'<input [^>]*?value="([^"]*)"[^>]*?name="([\w-]+)"', page)}
    found.pop("csrfmiddlewaretoken", None)
    return {**found, **more}


def test_the_page_says_what_the_crew_wrote_and_what_it_means(job):
    page = signed_in(job.opened_by).get(PAGE).content.decode()
    assert [said in page for said in (
        "What the crew wrote, to book into stock", "Lot S-18", "used: 6 gal", "2\u00a0packs opened", "Mateo",
        "On hand: 3 × 5 gal full.", 'value="4 gal"', "Book it into stock",
    )] == [True] * 8  # fmt: skip


def test_one_press_books_it_and_a_second_changes_nothing(job):
    office = signed_in(job.opened_by)
    sent = typed(office.get(PAGE).content.decode())
    answers = [office.post(PAGE, sent).status_code for _twice in range(2)]
    shown = sorted((row.count, row.opened, row.reserved_for_id) for row in Lot.objects.all())
    assert (answers, shown) == ([302, 302], [(1, False, job.pk), (1, True, None)])
    assert "All that the crew wrote of this visit is booked." in office.get(PAGE).content.decode()


def test_what_is_put_right_is_booked(job):
    office = signed_in(job.opened_by)
    sent = typed(office.get(PAGE).content.decode(), **{"l0-opened": "1", "l0-left": "0.5 gal", "free": "on"})
    office.post(PAGE, sent)
    opened = Lot.objects.get(opened_on__isnull=False)
    assert (f"{opened.left:.9f}", Lot.objects.filter(reserved_for=job).count()) == ("0.001892706", 0)
    assert sorted(Lot.objects.values_list("count", flat=True)) == [1, 2]


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"l0-opened": "9"}, "Only 3 full"), ({"l0-left": "some"}, "to mend"),
        ({"l0-left": "5 gal"}, "at most its size"),
        ({"l0-left": "2 lb"}, "at most its size"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_and_nothing_is_booked(job, wrong, said):
    office = signed_in(job.opened_by)
    answer = office.post(PAGE, typed(office.get(PAGE).content.decode(), **wrong))
    assert (answer.status_code, said in answer.content.decode(), Booked.objects.count()) == (422, True, 0)


def test_what_the_crew_wrote_meanwhile_is_looked_at_before_it_is_booked(job):
    office = signed_in(job.opened_by)
    sent = typed(office.get(PAGE).content.decode())
    told = {"material": "sealer", "amount": "4 gal", "lot": "S-18"}
    signed_in(CrewFactory()).post("/folders/0417/visits/3/entries/left/", told)
    page = office.post(PAGE, sent, follow=True).content.decode()
    assert ("Nothing was booked: look again." in page, Booked.objects.count()) == (True, 0)


def test_what_was_bought_for_the_job_asks_for_its_size(job):
    crew, office = signed_in(CrewFactory()), signed_in(job.opened_by)
    crew.post("/folders/0417/visits/3/entries/left/", {"material": "sealer", "amount": "2 gal", "lot": "T-9"})
    page = office.get(PAGE).content.decode()
    assert "Not in stock: it was bought for this job." in page
    answer = office.post(PAGE, typed(page))
    assert (answer.status_code, "Say how large one pack is" in answer.content.decode()) == (422, True)
    office.post(PAGE, typed(page, **{"l1-size": "5 gal", "l1-full": "1", "l1-place": "Van"}))
    assert list(Lot.objects.filter(lot="T-9").order_by("pk").values_list("count", "place")) == [(1, "Van"), (1, "Van")]


def test_the_office_is_told_on_the_days_and_on_the_stock_once_the_visit_is_done(job):
    office = signed_in(job.opened_by)
    pages = ("/", "/folders/0417/", "/folders/0417/visits/", "/stock/")
    before = [PAGE in office.get(page).content.decode() for page in pages]
    finish_visit(visit=visit_of(job, 3), version=visit_of(job, 3).version, by=job.opened_by)
    after = [PAGE in office.get(page).content.decode() for page in pages]
    assert (before, after) == ([False] * 4, [True] * 4)


def test_booking_is_not_for_the_crew(job):
    assert signed_in(CrewFactory()).get(PAGE).status_code == 403


def test_a_form_without_its_mark_books_nothing(job):
    office = signed_in(job.opened_by)
    sent = typed(office.get(PAGE).content.decode(), once="x")
    assert (office.post(PAGE, sent).status_code, Booked.objects.count()) == (422, 0)
    assert UUID(typed(office.get(PAGE).content.decode())["once"])


@pytest.mark.parametrize("rows", [1, 3])
def test_the_page_asks_a_constant_number_of_questions(job, rows, django_assert_num_queries):
    crew, office = signed_in(CrewFactory()), signed_in(job.opened_by)
    for count in range(rows):
        crew.post(
            "/folders/0417/visits/3/entries/left/", {"material": "sealer", "amount": "1 gal", "lot": f"T-{count}"}
        )
    with django_assert_num_queries(12):
        office.get(PAGE)
