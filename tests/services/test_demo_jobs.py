"""What the demo holds, and that it is left alone from then on."""

from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.db import transaction
from django.utils import timezone

from customers.models import Customer
from quoting.core.slab_conditions import condition_found
from quoting.documents.findings import slab_of
from quoting.documents.measured import measure_area, net_shown
from quoting.models import (
    Acceptance,
    AdviceChoice,
    Area,
    Certificate,
    ChangeOrder,
    Edition,
    Entry,
    Event,
    Finding,
    Firm,
    HandOver,
    Hold,
    Invoice,
    Job,
    Lot,
    Message,
    Option,
    Pack,
    Paper,
    Photo,
    Proposal,
    Question,
    Receipt,
    RegionRule,
    Role,
    Sample,
    Tone,
    User,
    Visit,
)
from quoting.services.booking import to_book
from quoting.services.books import balances_of
from quoting.services.demo import demo_people, make_demo
from quoting.services.recall import due_now, window_state
from quoting.services.scope import workings_of
from quoting.services.verify import Counted, verify_all
from tests.reading_pdf import text_of

pytestmark = pytest.mark.django_db


def rows_of(area: Area, rows: list[Finding]) -> list[Finding]:
    """The findings of the area's folder."""
    return [row for row in rows if row.job_id == area.job_id]


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


def test_the_price_book_has_an_edition_of_today_and_a_cheaper_one_of_some_years_ago(paper):
    found = Edition.objects.order_by("published_at")
    assert list(found.values_list("state", flat=True)) == [Edition.State.SUPERSEDED, Edition.State.PUBLISHED]
    pails = Pack.objects.filter(material__key="acrylic-18", size=5).order_by("material__edition_id")
    assert [str(pack.price.amount) for pack in pails] == ["210.50", "239.00"]  # 239 × 0.88 = 210.32, up to the half


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


def test_every_area_is_priced_as_the_slab_that_was_found(paper):
    rows = list(Finding.objects.all())
    areas = Area.objects.filter(findings__isnull=False).distinct()
    found = {
        (area.job.number, area.name): (condition_found(slab_of(area, rows_of(area, rows))), area.condition)
        for area in areas
    }
    assert len(found) > 6
    assert {where: pair for where, pair in found.items() if pair[0] and pair[0] != pair[1]} == {}


def test_the_paper_says_what_the_demo_job_is(paper):
    words = text_of(bytes(paper.pdf))
    assert paper.number == "0417-A"
    for said in ("Priya and Tom Wexley", "Ferrow & Daughter", "Licence 00-4417", "A, B, 18 ft", "532.39"):
        assert said.lower() in words.lower()


def test_the_older_job_has_two_revisions_of_which_one_was_accepted(paper):
    found = Proposal.objects.filter(job__number="0416").order_by("paper__revision")
    assert [(each.paper.number, each.state) for each in found] == [("0416-A", "superseded"), ("0416-B", "accepted")]
    yes = Acceptance.objects.get(paper__job__number="0416")
    assert (yes.paper.number, yes.typed_name, yes.add_ons) == ("0416-B", "Ruth Calloway", [1])


def test_the_demo_job_was_looked_at_all_over(paper):
    areas = Area.objects.filter(job__number="0417")
    assert all(area.findings.exists() for area in areas)
    chosen = AdviceChoice.objects.filter(area__in=areas).order_by("area__position")
    assert [(choice.approach, choice.against) for choice in chosen] == [
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


def test_a_question_waits_on_the_offer_of_the_drive(paper):
    asked = Question.objects.get(job__number="0415")
    days = (timezone.localdate() - timezone.localdate(asked.asked_at)).days
    assert (asked.answered_at, days, asked.paper.number) == (None, 2, "0415-A")
    assert Proposal.objects.get(job__number="0415").state == "issued"


def test_the_job_at_work_has_its_deposit_paid_and_two_changes(paper):
    balances = balances_of(Job.objects.get(number="0412"))
    assert balances.billed.amount == balances.paid.amount > 0
    found = ChangeOrder.objects.order_by("pk")
    assert [(str(each), each.state) for each in found] == [("0412-C1", "accepted"), ("0412-C2", "issued")]


def test_the_crew_has_washed_there_and_comes_back_on_the_next_two_days_of_work(paper):
    washed, *rest = Visit.objects.filter(job__number="0412").order_by("number")
    days = [timezone.localdate() + timedelta(days=n) for n in range(1, 8)]
    worked = [day for day in days if day.weekday() < 5]
    assert (washed.state, washed.purpose, washed.day < timezone.localdate()) == ("done", "wash", True)
    assert [(each.state, each.purpose, each.day) for each in rest[:2]] == [
        ("planned", "colour", worked[0]),
        ("planned", "seal", worked[1]),
    ]


def test_the_finished_job_was_held_for_rain_written_down_and_signed(paper):
    assert {each.state for each in Visit.objects.filter(job__number="0409")} == {"done"}
    hold = Hold.objects.get()
    assert (hold.visit.job.number, hold.reason, hold.notice is not None) == ("0409", "rain", True)
    kinds = set(Entry.objects.filter(visit__job__number="0409").values_list("kind", flat=True))
    assert kinds == {"tick", "reading", "used", "hours", "note"}
    sheet = HandOver.objects.get(job__number="0409")
    assert (sheet.signed_name, sheet.signed_how) == ("Ben Lindqvist", "page")


def test_one_of_its_bills_was_taken_back_and_the_last_is_overdue(paper):
    job = Job.objects.get(number="0409")
    bills = Invoice.objects.filter(job=job).order_by("pk")
    assert [each.kind for each in bills] == ["deposit", "progress", "credit-note", "progress", "final"]
    deposit, too_soon, progress, last = balances_of(job).invoices
    assert (deposit.due, too_soon.billed + too_soon.credited, progress.due) == (0, 0, 0)
    assert last.due == last.billed - 150_00 > 0
    assert bills[4].due_on < timezone.localdate()
    assert Receipt.objects.count() == 1


def test_a_slab_of_three_years_ago_is_due_for_its_next_coat(paper):
    due = list(due_now(timezone.localdate()))
    assert [(each.job.number, each.area, window_state(each, timezone.localdate())) for each in due] == [
        ("0297", "Terrace", "open")
    ]


def test_the_trail_and_the_bills_run_in_the_order_of_their_days(paper):
    issued = Paper.objects.filter(kind__in=["invoice", "credit-note"]).order_by("number")
    assert list(issued) == sorted(issued, key=lambda each: each.issued_at)
    folders = Event.objects.filter(kind="folder opened").order_by("pk")
    numbers = [each.job.number for each in folders]
    assert numbers == ["0297", "0409", "0412", "0415", "0416", "0417", "0418"]
    assert list(folders) == sorted(folders, key=lambda each: each.at)


def test_what_was_mailed_in_the_past_went_out_on_its_day(paper):
    today = timezone.localdate()
    mails = [each for each in Message.objects.all() if timezone.localdate(each.written_at) < today]
    assert mails
    assert all(timezone.localdate(each.sent_at) == timezone.localdate(each.written_at) for each in mails)


def test_the_shed_holds_full_and_opened_packs_some_of_them_booked_back_from_a_job(paper):
    opened = {(lot.lot, lot.came_back_from and lot.came_back_from.number) for lot in Lot.objects.all() if lot.opened}
    assert {("G-0302", None), ("MC-5480", None), ("A18-2291", "0409"), ("G-0318", "0409")} <= opened


def test_what_the_crew_wrote_is_booked_but_for_the_last_days(paper):
    done = Visit.objects.filter(state=Visit.State.DONE, entries__kind=Entry.Kind.USED)
    open_still = {visit.job.number for visit, _count in to_book(Job.objects.all())}
    assert (open_still, done.filter(entries__booked__isnull=False).exists()) == ({"0412"}, True)


def test_a_lot_is_kept_for_the_job_at_work(paper):
    assert Lot.objects.get(reserved_for__number="0412").lot == "A18-2340"


def test_a_customer_is_exempt_by_a_certificate(paper):
    held = Certificate.objects.get()
    assert (held.customer.name, held.number) == ("Grange Hall Association", "E-20417")
    assert held.holds(timezone.localdate(), "")


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
        assert (Customer.objects.count(), User.objects.count(), Job.objects.count()) == (7, 3, 7)
        transaction.set_rollback(True)
