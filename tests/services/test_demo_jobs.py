"""What the demo holds, and that it is left alone from then on."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.db import transaction

from customers.models import Customer
from quoting.documents.measured import measure_area, net_shown
from quoting.models import (
    Acceptance,
    AdviceChoice,
    Area,
    Edition,
    Firm,
    Job,
    Message,
    Option,
    Paper,
    Photo,
    Proposal,
    Question,
    RegionRule,
    Role,
    Sample,
    Tone,
    User,
)
from quoting.services.demo import demo_people, make_demo
from quoting.services.scope import workings_of
from quoting.services.verify import Counted, verify_all
from tests.reading_pdf import text_of

pytestmark = pytest.mark.django_db

PASSWORDS = {person["email"]: f"a password of {person['name']}" for person in demo_people()}


def make() -> Paper:
    said: list[str] = []
    return make_demo(passwords=PASSWORDS, say=said.append)


def everything() -> dict[str, list[Any]]:
    """Every row of our own, as it is kept."""
    models = [*apps.get_app_config("quoting").get_models(), *apps.get_app_config("customers").get_models()]
    return {model.__name__: list(model.objects.order_by("pk").values_list()) for model in models}


@pytest.fixture(scope="module")
def paper(django_db_setup: None, django_db_blocker: Any) -> Iterator[Paper]:
    """The demo, made once for the tests of this file, and undone after them."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield make()
        transaction.set_rollback(True)


def test_three_people_may_sign_in_one_in_each_role(paper, settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.PBKDF2PasswordHasher"]  # as when the demo was made
    assert list(User.objects.values_list("name", "email", "role")) == [
        ("Ines Ferrow", "ines@ferrow.example.com", Role.OWNER),
        ("Maribel Soto", "maribel@ferrow.example.com", Role.OFFICE),
        ("Mateo Ruiz", "mateo@ferrow.example.com", Role.CREW),
    ]
    assert all(person.check_password(PASSWORDS[person.email]) for person in User.objects.all())


def test_the_firm_has_its_rules_and_a_logo(paper):
    firm = Firm.objects.get()
    terms = [(term.trigger, str(term.share.normalize())) for term in firm.payment_terms.all()]
    assert terms == [("on acceptance", "0.25"), ("when the colour is on", "0.5"), ("at hand-over", "0.25")]
    taxes = [(rule.name, str(rule.rate.normalize()), rule.on) for rule in firm.tax_rules.all()]
    assert taxes == [("Sales tax", "0.0625", "materials")]
    assert (str(firm.hourly_cost.amount), str(firm.round_to.amount), firm.overhead) == (
        "39.00",
        "5.00",
        Decimal("0.15"),
    )
    assert bytes(firm.logo).startswith(b"\x89PNG")


def test_the_starter_edition_is_published(paper):
    assert list(Edition.objects.values_list("state", flat=True)) == [Edition.State.PUBLISHED]


def test_the_demo_job_has_three_areas_measured_with_the_tape(paper):
    areas = Area.objects.filter(job__number="0417")
    # 32 × 14.5 = 464; Simpson over 0, 25, 41, 50, 53, 50, 41, 25, 0 in at 48 in: 48 ÷ 3 × (4 × (25 + 50 + 50 + 25)
    # + 2 × (41 + 53 + 41)) = 13,920 in² = 96.67 ft²; π × 6² ÷ 4 = 28.27; 464 + 96.67 − 28.27 = 532.39
    # 3 × 5 × (1 + 7 ÷ 12) = 23.75
    # 24.25 × 4.1667 = 101.04; Heron over 6′ 2″, 5′ 8″, 8′ 5″ and over 6′ 4″, 5′ 6½″, 8′ 5″ = 35.02; together 136.06
    assert [(area.name, net_shown(measure_area(area).figures.net, "us")) for area in areas] == [
        ("Pool deck", "532.39\N{NO-BREAK SPACE}ft²"),
        ("Steps", "23.75\N{NO-BREAK SPACE}ft²"),
        ("Front walk", "136.06\N{NO-BREAK SPACE}ft²"),
    ]


def test_the_demo_job_offers_two_ways_and_extras(paper):
    offered = Option.objects.filter(job__number="0417")
    assert [(option.name, option.kind, option.advised) for option in offered] == [
        ("Wash and reseal", Option.Kind.OPTION, False),
        ("Recolour and seal", Option.Kind.OPTION, True),
        ("Front walk: wash, joint sand, one coat", Option.Kind.ADD_ON, False),
        ("Grit in the last coat", Option.Kind.ADD_ON, False),
        ("Furniture moved out and back", Option.Kind.ADD_ON, False),
    ]


def test_the_paper_says_what_the_demo_job_is(paper):
    words = text_of(bytes(paper.pdf))
    assert paper.number == "0417-A"
    for said in ("Priya and Tom Wexley", "Ferrow & Daughter", "Licence 00-4417", "A, B, 18 ft", "532.39"):
        assert said.lower() in words.lower()


def test_the_older_job_has_two_revisions_of_which_one_was_accepted(paper):
    found = Proposal.objects.filter(job__number="0416").order_by("paper__revision")
    assert [(each.paper.number, each.state) for each in found] == [("0416-A", "superseded"), ("0416-B", "accepted")]
    yes = Acceptance.objects.get()
    assert (yes.paper.number, yes.typed_name, yes.add_ons) == ("0416-B", "Ruth Calloway", [1])


def test_the_demo_job_was_looked_at_all_over(paper):
    areas = Area.objects.filter(job__number="0417")
    assert all(area.findings.exists() for area in areas)
    assert [(choice.approach, choice.against) for choice in AdviceChoice.objects.order_by("area__position")] == [
        ("recolour", False),
        ("recolour", False),
        ("sand-and-seal", False),
    ]
    photos = Photo.objects.filter(job__number="0417")
    assert [(photo.of, photo.is_cover) for photo in photos] == [
        ("sample", True),
        ("found", False),
        ("found", False),
        ("found", False),
    ]
    assert [(tone.colour, str(tone.strength.normalize())) for tone in Tone.objects.all()] == [
        ("graphite", "6"),
        ("driftwood", "3"),
    ]
    assert Sample.objects.get().approved_by == "Mrs Wexley"


def test_rules_are_loaded_and_two_are_on_that_the_terms_keep(paper):
    # 25 % is less than a third; three business days to cancel a sale at home
    assert RegionRule.objects.count() == 3
    assert sorted(RegionRule.objects.filter(on=True).values_list("key", flat=True)) == ["ma-deposit", "us-cooling-off"]
    words = text_of(bytes(paper.pdf)).lower()
    for said in ("what we saw", "your wish", "right to cancel", "notice of cancellation", "allowances", "warranty"):
        assert said in words


def test_the_advised_option_lays_no_film_over_two_mil(paper):
    # 1,604 ÷ 270 × 0.18 and 1,604 ÷ 330 × 0.18: 1.07 + 0.87 = 1.94 mil dry
    option = Option.objects.with_everything().get(job__number="0417", advised=True)
    assert workings_of(Firm.objects.get(), option).warnings == ()


def test_the_proposal_went_out_by_mail_and_one_question_waits(paper):
    assert Message.objects.filter(paper=paper, kind=Message.Kind.PROPOSAL).count() == 1
    asked = Question.objects.filter(paper=paper).order_by("pk")
    assert [question.answered_at is not None for question in asked] == [True, False]


def test_somebody_has_only_asked(paper):
    assert [job.number for job in Job.objects.filter(areas=None)] == ["0418"]


def test_everything_verifies(paper):
    assert list(verify_all(Counted())) == []


def test_made_again_it_changes_nothing(paper):
    before = everything()
    assert make() == paper
    assert everything() == before


def test_what_was_changed_in_the_demo_stays_changed(paper):
    with transaction.atomic():
        Firm.objects.update(name="Ferrow & Daughters")
        Customer.objects.filter(name="Ruth Calloway").update(name="R. Calloway")
        User.objects.filter(role=Role.CREW).update(name="Mateo R.")
        make()
        assert Firm.objects.get().name == "Ferrow & Daughters"
        assert (Customer.objects.count(), User.objects.count(), Job.objects.count()) == (3, 3, 3)
        transaction.set_rollback(True)
