"""The page of a draft's terms as the office meets it."""

from decimal import Decimal

import pytest
from pytest_django.asserts import assertContains, assertRedirects

from quoting.models import Allowance, Proposal, ProposalPayment
from tests.factories import CrewFactory, OwnerFactory
from tests.sample_offer import ready_draft
from tests.views.sent import sent_from

pytestmark = pytest.mark.django_db

PAGE = "/folders/0417/proposal/terms/"


@pytest.fixture
def draft() -> Proposal:
    return ready_draft(OwnerFactory())


@pytest.fixture
def office(client, draft):
    client.force_login(draft.job.opened_by)
    return client


def sent(office) -> dict:
    return sent_from(office.get(PAGE))


def test_the_crew_gets_no_terms(client, draft):
    client.force_login(CrewFactory())
    assert client.get(PAGE).status_code == 403


def test_without_a_draft_it_leads_to_where_one_is_begun(office, draft):
    Proposal.objects.all().delete()
    assertRedirects(office.get(PAGE), "/folders/0417/proposal/")


def test_what_is_sent_back_untouched_is_what_was(office, draft):
    before = [*ProposalPayment.objects.values_list("name", "trigger", "share", "amount", "done")]
    assertRedirects(office.post(PAGE, sent(office)), "/folders/0417/proposal/")
    assert [*ProposalPayment.objects.values_list("name", "trigger", "share", "amount", "done")] == before
    draft.refresh_from_db()
    assert (draft.left_off, draft.at_home, draft.special_order) == ([], None, 0)


def test_an_allowance_is_added(office, draft):
    typed = {
        "allowance-0-name": "Strip passes",
        "allowance-0-included": "up to 2",
        "allowance-0-further": "each further pass",
        "allowance-0-price": "0.35",
    }
    office.post(PAGE, sent(office) | typed)
    assert Allowance.objects.values_list("name", "included", "price").get() == (
        "Strip passes",
        "up to 2",
        Decimal("0.35"),
    )
    assertContains(office.get("/folders/0417/proposal/"), "Strip passes: up to 2; each further pass, 0.35")


def test_a_unit_price_is_left_off(office, draft):
    typed = sent(office)
    gone = typed["on_paper"].pop(0)
    office.post(PAGE, typed)
    draft.refresh_from_db()
    assert draft.left_off == [gone]


def test_a_fault_keeps_what_was_typed(office, draft):
    answer = office.post(PAGE, sent(office) | {"payment-0-share": "lots", "work_dates": "In July"})
    assertContains(answer, 'value="lots"', status_code=422)
    assertContains(answer, 'value="In July"', status_code=422)


def test_two_hands_at_the_terms_lose_nothing(office, draft):
    typed = sent(office)
    office.post(PAGE, sent(office) | {"work_dates": "In July"})
    answer = office.post(PAGE, typed | {"work_dates": "In August"})
    assertContains(answer, "When: In July", status_code=409)
    draft.refresh_from_db()
    assert draft.work_dates == "In July"


def test_a_draft_whose_words_changed_meanwhile_still_takes_the_terms(office, draft):
    typed = sent(office)
    Proposal.objects.filter(pk=draft.pk).update(title="for them", version=draft.version + 1)
    office.post(PAGE, typed | {"work_dates": "In July"})
    draft.refresh_from_db()
    assert (draft.title, draft.work_dates) == ("for them", "In July")


def in_order(page) -> list[str]:
    return [row["name"].value() for row in page.context["paid"] if row["name"].value()]


def test_a_payment_is_moved_by_a_button_and_nothing_is_kept_by_it(office, draft):
    before = in_order(office.get(PAGE))
    page = office.post(PAGE, sent(office) | {"move": "1-0", "work_dates": "In July"})
    assert (page.status_code, in_order(page)) == (200, [before[1], before[0], *before[2:]])
    assertContains(page, 'value="In July"')
    draft.refresh_from_db()
    assert draft.work_dates == ""
    office.post(PAGE, sent_from(page))
    assert [*ProposalPayment.objects.values_list("name", flat=True)] == [before[1], before[0], *before[2:]]


def test_one_more_payment_goes_up_from_the_last_row(office, draft):
    before = in_order(office.get(PAGE))
    at = len(before)
    typed = {f"payment-{at}-name": "Colour on", f"payment-{at}-trigger": "after the mist", f"payment-{at}-share": "10"}
    page = office.post(PAGE, sent(office) | typed | {"move": f"{at}-{at - 1}"})
    assertRedirects(office.post(PAGE, sent_from(page)), "/folders/0417/proposal/")
    kept = [*ProposalPayment.objects.values_list("name", flat=True)]
    assert kept == [*before[:-1], "Colour on", before[-1]]


@pytest.mark.parametrize("move", ["0-99", "a-b", "3", "-1-0"])
def test_a_move_that_no_button_asks_for_moves_nothing(office, draft, move):
    before = [*ProposalPayment.objects.values_list("name", flat=True)]
    office.post(PAGE, sent(office) | {"move": move})
    assert [*ProposalPayment.objects.values_list("name", flat=True)] == before


def test_the_first_button_of_the_page_keeps_so_that_enter_does(office, draft):
    form = office.get(PAGE).text.split('<form method="post" novalidate>')[1]
    assert form.index("Keep the terms") < form.index('name="move"')
    assert "Stands at place" not in form


@pytest.mark.parametrize("rows", [1, 3])
def test_the_page_asks_as_often_whatever_it_shows(office, draft, rows, django_assert_num_queries):
    for _ in range(rows):
        Allowance.objects.create(proposal=draft, name="Cracks", included="18 ft")
    with django_assert_num_queries(QUERIES):
        office.get(PAGE)


QUERIES = 9
