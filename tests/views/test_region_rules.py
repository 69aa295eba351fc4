"""The pages of region rules as owner, office and crew meet them."""

import pytest
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from quoting.models import RegionRule
from tests.factories import CrewFactory, FirmFactory, OwnerFactory, UserFactory
from tests.rule_factories import RegionRuleFactory
from tests.views.sent import sent_from

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client):
    FirmFactory(region="California")
    client.force_login(OwnerFactory())
    return client


def test_the_crew_sees_no_rule(client):
    FirmFactory()
    client.force_login(CrewFactory())
    assert client.get("/firm/rules/").status_code == 403


def test_the_office_reads_and_does_not_switch(client):
    rule = RegionRuleFactory()
    client.force_login(UserFactory())
    assertContains(client.get("/firm/rules/"), "the lesser of 10\u00a0% and 1,000.00")
    assert client.post(f"/firm/rules/{rule.pk}/switch/", {"version": 1, "on": 1}).status_code == 403


def test_the_firms_own_region_is_offered_first_and_loaded_switched_off(owner):
    page = owner.get("/firm/rules/")
    assert page.context["load"]["region"].value() == "California"
    answer = owner.post("/firm/rules/load/", {"region": "California"}, follow=True)
    assertContains(answer, "5 rules added, all switched off")
    assert not RegionRule.objects.filter(on=True).exists()


def test_a_region_without_starting_rules_loads_nothing(owner):
    owner.post("/firm/rules/load/", {"region": "Atlantis"})
    assert RegionRule.objects.count() == 0


def test_a_rule_is_switched_on_from_the_list(owner):
    rule = RegionRuleFactory()
    assertRedirects(owner.post(f"/firm/rules/{rule.pk}/switch/", {"version": 1, "on": "1"}), "/firm/rules/")
    rule.refresh_from_db()
    assert rule.on


def test_a_notice_without_words_leads_to_its_page(owner):
    rule = RegionRuleFactory(kind="notice", figures={}, text="")
    answer = owner.post(f"/firm/rules/{rule.pk}/switch/", {"version": 1, "on": "1"})
    assertRedirects(answer, f"/firm/rules/{rule.pk}/")
    rule.refresh_from_db()
    assert not rule.on


def test_what_is_sent_back_untouched_changes_nothing(owner):
    rule = RegionRuleFactory(text="At most a tenth.")
    before = RegionRule.objects.values().get()
    owner.post(f"/firm/rules/{rule.pk}/", sent_from(owner.get(f"/firm/rules/{rule.pk}/")))
    assert RegionRule.objects.values().get() == before | {
        "version": 2,
        "figures": {"of": "lesser", "fraction": "0.1", "amount": "1000.00"},
    }


def test_two_hands_at_one_rule_lose_nothing(owner):
    rule = RegionRuleFactory()
    sent = sent_from(owner.get(f"/firm/rules/{rule.pk}/"))
    RegionRule.objects.update(source="Code 9", version=2)
    answer = owner.post(f"/firm/rules/{rule.pk}/", sent | {"name": "Mine"})
    assert answer.status_code == 409
    assertContains(answer, "Code 9", status_code=409)
    assert RegionRule.objects.get().name == rule.name


def test_a_rule_of_the_firms_own_is_written(owner):
    sent = sent_from(owner.get("/firm/rules/new/?kind=notice"))
    typed = {"name": "Yard sign", "source": "Town code 4", "text": "We put up no sign."}
    assertRedirects(owner.post("/firm/rules/new/?kind=notice", sent | typed), "/firm/rules/")
    assertContains(owner.get("/firm/rules/"), "We put up no sign.")


def test_a_fault_stands_beside_its_field_and_what_was_typed_stays(owner):
    sent = sent_from(owner.get("/firm/rules/new/?kind=deposit-cap"))
    answer = owner.post("/firm/rules/new/?kind=deposit-cap", sent | {"name": "Mine", "figure_fraction": "eleven"})
    assertContains(answer, 'value="eleven"', status_code=422)


def test_a_rule_that_is_on_has_no_way_to_be_removed(owner):
    rule = RegionRuleFactory(on=True)
    assertNotContains(owner.get("/firm/rules/"), "remove/")
    owner.post(f"/firm/rules/{rule.pk}/remove/", {"version": 1})
    assert RegionRule.objects.count() == 1


@pytest.mark.parametrize("rows", [1, 3])
def test_the_list_asks_as_often_whatever_it_shows(owner, rows, django_assert_num_queries):
    for _ in range(rows):
        RegionRuleFactory()
    with django_assert_num_queries(5):
        owner.get("/firm/rules/")


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        (
            "cancellation",
            "the period as well as the wording of the notice and of the form. You may write your own text",
        ),
        ("notice", "its wording too. You may write your own text in place of ours"),
        ("deposit-cap", "you write in its words and hold yourself"),
    ],
)
def test_a_rules_page_says_who_confirms_its_wording_and_that_the_firm_may_write_its_own(owner, kind, sentence):
    rule = RegionRuleFactory(kind=kind, figures={"days": "3"} if kind == "cancellation" else {})
    page = owner.get(f"/firm/rules/{rule.pk}/")
    assertContains(page, "A dated starting point: your adviser confirms it")
    assertContains(page, sentence)


def test_where_no_limit_on_the_deposit_is_held_the_rule_says_so(owner):
    owner.post("/firm/rules/load/", {"region": "Vermont"})
    assertContains(owner.get("/firm/rules/"), "How high the deposit may be is not held here: have your adviser say it")


def test_the_forms_own_words_are_kept_on_its_page(owner):
    rule = RegionRuleFactory(kind="cancellation", figures={"days": "3"}, text="You may cancel.")
    page = owner.get(f"/firm/rules/{rule.pk}/")
    owner.post(f"/firm/rules/{rule.pk}/", sent_from(page) | {"figure_form": "I cancel this contract."})
    rule.refresh_from_db()
    assert rule.figures["form"] == "I cancel this contract."
    assertContains(owner.get(f"/firm/rules/{rule.pk}/"), "I cancel this contract.")
