"""The pages of the stock: for owner and office; typed amounts are checked beside their blank."""

import pytest
from django.test import Client

from quoting.models import Lot
from tests.factories import CrewFactory, JobFactory, MaterialFactory, OwnerFactory, UserFactory

pytestmark = pytest.mark.django_db
TYPED = {"material": "sealer", "lot": "S-18", "size": "5 gal", "count": "2", "left": "", "place": "Shed"}


@pytest.fixture
def office() -> Client:
    MaterialFactory(key="sealer", name="Sealer")
    client = Client()
    client.force_login(UserFactory())
    return client


def test_a_lot_is_taken_in_and_listed(office: Client) -> None:
    assert office.post("/stock/new/", TYPED).status_code == 302
    page = office.get("/stock/?q=s-18 shed").content.decode()
    assert ("2 × 5 gal" in page, "Nothing on hand" in office.get("/stock/?q=walnut").content.decode()) == (True, True)


@pytest.mark.parametrize("wrong", [{"size": "5 ft"}, {"size": "some"}, {"left": "6 gal"}, {"count": "0"}])
def test_what_cannot_be_is_refused(office: Client, wrong: dict[str, str]) -> None:
    page = office.post("/stock/new/", TYPED | wrong)
    assert (page.status_code, "to mend" in page.content.decode(), Lot.objects.count()) == (422, True, 0)


def test_a_lot_is_counted_again_and_one_booked_back(office: Client) -> None:
    job = JobFactory(number="0417")
    office.post("/stock/new/", TYPED)
    pk = Lot.objects.get().pk
    kept = office.post(f"/stock/{pk}/", {"version": "1", "count": "1", "place": "Van", "reserved_for": "0417"})
    back = office.post(f"/stock/{pk}/back/", {"job": "0417", "left": "2 gal"})
    assert (kept.status_code, back.status_code) == (302, 302)
    shown = [(each.count, each.place, each.reserved_for, each.came_back_from) for each in Lot.objects.order_by("pk")]
    assert shown == [(1, "Van", job, None), (1, "Van", None, job)]


@pytest.mark.parametrize("rows", [1, 3])
def test_the_list_asks_a_constant_number_of_questions(office: Client, rows: int, django_assert_num_queries) -> None:
    for _n in range(rows):
        office.post("/stock/new/", TYPED)
    with django_assert_num_queries(5):
        office.get("/stock/")


@pytest.mark.parametrize("path", ["/stock/", "/stock/new/"])
def test_stock_is_not_for_the_crew(path: str) -> None:
    OwnerFactory()
    client = Client()
    client.force_login(CrewFactory())
    assert client.get(path).status_code == 403


def test_a_lot_counted_by_two_is_put_before_the_second(office: Client) -> None:
    office.post("/stock/new/", TYPED)
    pk = Lot.objects.get().pk
    opened = {"initial-count": "2", "initial-place": "Shed", "initial-reserved_for": ""}
    for count in ("1", "5"):
        typed = {"version": "1", "count": count, "place": "Shed", "reserved_for": ""}
        sent = office.post(f"/stock/{pk}/", typed | opened)
    told = sent.content.decode()
    assert (sent.status_code, Lot.objects.get().count, "Two hands" in told, "How many there are" in told) == (
        409, 1, True, True
    )  # fmt: skip
    assert "Where it is kept" not in told
    kept = office.post(f"/stock/{pk}/", {"version": "2", "count": "5", "place": "Shed", "reserved_for": ""})
    assert (kept.status_code, Lot.objects.get().count) == (302, 5)
