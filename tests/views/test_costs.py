"""The pages of what a job cost."""

from __future__ import annotations

from decimal import Decimal

import pytest
from pytest_django.asserts import assertContains, assertRedirects

from quoting.models import CostSheet, ExtraCost, Job, Observed
from tests.factories import AreaFactory, CrewFactory, JobFactory, OwnerFactory
from tests.sample_contract import accepted_job, sealed_areas
from tests.views.sent import sent_from

pytestmark = pytest.mark.django_db
PAGE = "/folders/0417/cost/"


@pytest.fixture
def job(client) -> Job:
    owner = OwnerFactory()
    client.force_login(owner)
    job = accepted_job(by=owner, data=sealed_areas())
    AreaFactory(job=job, name="Pool deck", surface="stamped", condition="worn")
    return job


def test_nothing_written_down_says_what_to_do(client, job):
    assertContains(client.get(PAGE), "Nothing written down yet")


def test_nothing_agreed_leads_back_to_the_folder(client, job):
    other = JobFactory(number="0500")
    answer = client.get("/folders/0500/cost/", follow=True)
    assertContains(answer, f"Nothing is agreed in folder {other.number} yet.")


def test_what_is_typed_is_reckoned_in_the_units_shown(client, job):
    # The first row is the deck's hours of base tone, the second its powder in ounces.
    answer = client.post(f"{PAGE}enter/", {"version": 1, "used_0": "4", "weather_0": "1", "used_1": "20"})
    assertRedirects(answer, PAGE)
    rows = {(row["of"], row["area"]): row for row in CostSheet.objects.get().rows}
    # 20 oz = 20 × 0.028349523125 kg; hours are hours.
    assert Decimal(rows["base-tone", "Pool deck"]["amount"]) == Decimal("0.5669904625")
    assert (rows["labour", "Pool deck"]["amount"], rows["labour", "Pool deck"]["weather"]) == ("4", "1")
    page = client.get(PAGE)
    assertContains(page, "The weather")
    assertContains(page, "2 of 8 are known.")


def test_more_weather_than_was_used_is_refused(client, job):
    answer = client.post(f"{PAGE}enter/", {"version": 1, "used_0": "1", "weather_0": "2"})
    assertContains(answer, "What the weather and extras took is part of what was used.", status_code=422)


def test_two_hands_see_both_and_each_keeps_what_he_touched(client, job):
    opened = sent_from(client.get(f"{PAGE}enter/"))
    client.post(f"{PAGE}enter/", opened | {"used_0": "4", "used_1": "20"})
    answer = client.post(f"{PAGE}enter/", opened | {"used_0": "5"})
    assert answer.status_code == 409
    assertContains(answer, "Base tone, Pool deck, hours: used", status_code=409)
    # Kept all the same: the hours are the second one's, the powder, which he did not touch, is the first one's.
    client.post(f"{PAGE}enter/", opened | {"used_0": "5", "version": "2"})
    rows = {(row["of"], row["area"]): row["amount"] for row in CostSheet.objects.get().rows}
    assert rows["labour", "Pool deck"] == "5"
    assert Decimal(rows["base-tone", "Pool deck"]) == Decimal("0.5669904625")


def outside(client, **more: str):
    first = {name: str(value) for name, value in client.get(f"{PAGE}extra/").context["form"].initial.items()}
    return first | {"kind": "hire", "words": "Lift for the wall", "amount": "120.00"} | more


def test_a_cost_outside_the_scope_stands_in_the_difference_as_extra(client, job):
    typed = outside(client)
    for _again in range(2):
        assertRedirects(client.post(f"{PAGE}extra/", typed), PAGE)
    assert ExtraCost.objects.get().amount == 12_000
    page = client.get(PAGE)
    assertContains(page, "What was not in the scope")
    assert (page.context["difference"], [row[1] for row in page.context["causes"]]) == ("+120.00", ["+120.00"])


def test_it_is_taken_back_by_a_counter_entry_and_both_stay(client, job):
    client.post(f"{PAGE}extra/", outside(client))
    row = ExtraCost.objects.get()
    assertContains(client.get(f"{PAGE}extra/{row.pk}/"), "Take it back")
    assertRedirects(client.post(f"{PAGE}extra/{row.pk}/"), PAGE)
    page = client.get(PAGE)
    assertContains(page, "Taken back: Lift for the wall")
    assert (page.context["difference"], [sum for _row, sum in page.context["outside"]]) == (
        "0.00",
        ["+120.00", "\u2212120.00"],
    )
    assertContains(client.post(f"{PAGE}extra/{row.pk}/", follow=True), "That is taken back already.")


@pytest.mark.parametrize(
    "wrong", [{"amount": "0"}, {"amount": "-5"}, {"words": ""}, {"on": "2999-01-01"}, {"kind": "x"}]
)
def test_a_cost_that_cannot_be_is_refused(client, job, wrong):
    assert client.post(f"{PAGE}extra/", outside(client, **wrong)).status_code == 422
    assert ExtraCost.objects.count() == 0


def test_every_sum_opens_to_lines_that_come_to_it(client, job):
    client.post(f"{PAGE}enter/", {"version": 1, "used_0": "4", "weather_0": "1", "used_1": "20", "found_0": "500"})
    client.post(f"{PAGE}extra/", outside(client))
    shown = client.get(PAGE).context
    for rows in (shown["totals"], shown["causes"], shown["steps"], shown["areas"]):
        for _words, figure, lines in rows:
            assert reckoned(lines) == Decimal(figure.replace("+", "").replace("\u2212", "-").replace(",", ""))
    for line in shown["lines"]:
        # Used less estimated, and below it the causes, each adds up to the difference.
        parts = [reckoned(part) for part in parted(line.sum_lines)]
        assert parts == [Decimal(line.sum.replace("+", "").replace("\u2212", "-").replace(",", ""))] * len(parts)


def parted(lines):
    """The columns of a tape: each ends with its result."""
    columns, column = [], []
    for line in lines:
        column.append(line)
        if line.operator == "=":
            columns.append(column)
            column = []
    return columns


def reckoned(lines) -> Decimal:
    """What the figures of one column come to with a pocket calculator; checked against its last line."""
    total = sum(Decimal(line.figure.replace(",", "")) * (-1 if line.operator == "\u2212" else 1) for line in lines[:-1])
    assert total == Decimal(lines[-1].figure.replace(",", "").replace("\u2212", "-"))
    return total


def test_what_it_showed_is_kept(client, job):
    client.post(f"{PAGE}enter/", {"version": 1, "used_1": "20"})
    assertContains(client.post(f"{PAGE}learn/", follow=True), "1 figure kept to learn from.")
    assert Observed.objects.count() == 1


def test_nothing_to_learn_is_said(client, job):
    assertContains(client.post(f"{PAGE}learn/", follow=True), "Nothing was written down yet from which")


def test_the_crew_does_not_come_here(client, job):
    client.force_login(CrewFactory())
    for page in (PAGE, f"{PAGE}enter/", f"{PAGE}extra/", f"{PAGE}extra/1/"):
        assert client.get(page).status_code == 403


@pytest.mark.parametrize("rows", [1, 3])
def test_the_page_asks_as_often_however_much_is_known(client, job, rows, django_assert_num_queries):
    client.post(f"{PAGE}enter/", {"version": 1} | {f"used_{n}": "4" for n in range(rows)})
    for n in range(rows):
        client.post(f"{PAGE}extra/", outside(client, words=f"Hire {n}"))
    # session, user, folder, sheet, acceptance, scopes, changes, entries, extra costs, firm, figures kept
    with django_assert_num_queries(11):
        client.get(PAGE)
