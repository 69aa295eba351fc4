"""The pages of the days: who may do what, no price, the guard's answer, and a constant number of queries."""

import re
from datetime import date, timedelta

import pytest
from django.test import Client
from django.utils import timezone

from quoting.models import Entry, Proposal, Visit
from quoting.services.visits import finish_visit, move_visit
from tests.book_factories import EditionFactory
from tests.factories import CrewFactory, OwnerFactory, UserFactory
from tests.sample_change import drafted, issued, yes
from tests.sample_visits import agreed_job, planned_job, visit_of

pytestmark = pytest.mark.django_db
MONEY = re.compile(r"\$|\b(?:price|cost|margin|total|tax)s?\b", re.IGNORECASE)


def signed_in(person) -> Client:
    client = Client()
    client.force_login(person)
    return client


@pytest.mark.parametrize("path", ["", "1/", "2/", "3/", "2/pick-list/", "2/hold/"])
def test_the_crew_reads_its_pages_without_a_price(path: str) -> None:
    planned_job()
    page = signed_in(CrewFactory()).get(f"/folders/0417/visits/{path}")
    shown = re.sub(r"<[^>]+>", " ", page.content.decode())
    assert (page.status_code, MONEY.findall(shown)) == (200, [])


@pytest.mark.parametrize("path", ["2/move/", "holds/1/tell/"])
def test_moving_and_telling_is_for_the_office(path: str) -> None:
    planned_job()
    assert signed_in(CrewFactory()).get(f"/folders/0417/visits/{path}").status_code == 403


def test_the_office_lays_the_days() -> None:
    job = agreed_job()
    sent = signed_in(job.opened_by).post("/folders/0417/visits/", {"first_day": _coming_monday(), "crew": "2"})
    assert (sent.status_code, job.visits.count()) == (302, 3)


def _coming_monday() -> str:
    today = timezone.localdate()
    return (today + timedelta(days=7 - today.weekday())).isoformat()


def test_the_crew_cannot_lay_days() -> None:
    job = agreed_job()
    signed_in(CrewFactory()).post("/folders/0417/visits/", {"first_day": _coming_monday(), "crew": "2"})
    assert job.visits.count() == 0


@pytest.mark.parametrize(("page", "more"), [("move", {"reason": "Party"}), ("hold", {"reason": "rain", "words": "x"})])
def test_a_visit_changed_meanwhile_is_put_before_the_second_of_the_two(page: str, more: dict[str, str]) -> None:
    job = planned_job()
    client = signed_in(job.opened_by)
    monday, tuesday, wednesday = (date(2026, 7, day) for day in (20, 21, 22))
    seen = visit_of(job, 2).day
    move_visit(visit=visit_of(job, 2), version=visit_of(job, 2).version, by=job.opened_by, day=tuesday, reason="")
    typed = {"version": "1", "seen": seen.isoformat(), "day": wednesday.isoformat()} | more
    sent = client.post(f"/folders/0417/visits/2/{page}/", typed)
    told = sent.content.decode()
    assert (sent.status_code, visit_of(job, 2).day) == (409, tuesday)
    assert [day in told for day in ("Friday 17 July", "Tuesday 21 July", "Wednesday 22 July")] == [True] * 3
    again = client.post(f"/folders/0417/visits/2/{page}/", typed | {"version": str(visit_of(job, 2).version)})
    assert (again.status_code, visit_of(job, 2).day, monday < wednesday) == (302, wednesday, True)


def test_a_hold_from_a_page_of_yesterday_says_what_the_office_did_and_loses_nothing() -> None:
    job = planned_job()
    seen = visit_of(job).day
    move_visit(visit=visit_of(job), version=1, by=job.opened_by, day=date(2026, 7, 21), reason="")
    told = {"seen": seen.isoformat(), "reason": "wind", "day": "2026-07-20", "words": "Gusts of 30."}
    crew = signed_in(CrewFactory(name="Mateo Ruiz"))
    queued = crew.post("/folders/0417/visits/1/entries/hold/", told, headers={"accept": "application/json"})
    assert "the office has moved this visit to Tuesday 21" in queued.json()["said"]
    assert "la oficina pasó esta visita al martes 21" in queued.json()["said"]
    page = crew.get("/folders/0417/visits/1/").content.decode()
    office = signed_in(job.opened_by).get("/folders/0417/visits/").content.decode()
    assert "visit held: Wind; try again on Monday 20" in signed_in(job.opened_by).get("/").content.decode()
    assert ["martes 21" in page, "Gusts of 30." in page] == [True, True]
    assert [said in office for said in ("visit held: Wind; try again on Monday 20", "Gusts of 30.", "Tuesday 21")] == [
        True
    ] * 3


def test_the_crew_holds_and_ends_a_visit_without_a_script() -> None:
    job = planned_job()
    crew = signed_in(CrewFactory())
    told = {"seen": visit_of(job).day.isoformat(), "reason": "rain", "day": "2026-07-20", "words": ""}
    held = crew.post("/folders/0417/visits/1/entries/hold/", told)
    done = crew.post("/folders/0417/visits/1/entries/done/", {"seen": "2026-07-20"})
    assert (held.status_code, done.url, visit_of(job).state) == (302, "/folders/0417/visits/1/#end", "done")


def test_a_hold_without_a_day_is_refused_beside_its_blank() -> None:
    planned_job()
    page = signed_in(CrewFactory()).post("/folders/0417/visits/1/entries/hold/", {"seen": "2026-07-16", "reason": "x"})
    assert (page.status_code, "to mend" in page.content.decode(), Entry.objects.count()) == (422, True, 0)


def test_the_page_of_a_coat_has_its_limits_for_a_day_without_signal() -> None:
    planned_job()
    crew = signed_in(CrewFactory())
    page, wash = (crew.get(f"/folders/0417/visits/{n}/").content.decode() for n in (3, 1))
    assert 'Without signal: wait when … · <span lang="es">Sin señal: espere si …</span>' in page
    # 75 °F at 60 %: the dew point is 60.2 °F, and the slab has to be 5 °F over it.
    assert '<tr><th scope="row">75</th><td class="n">55</td><td class="n">61</td><td class="n">66</td>' in page
    # washing has a list and no table: over 32 °F, the slab wetted first over 90 °F
    assert '<td class="n">≤\xa032\xa0°F</td>' in wash
    assert 'id="by-hand-slab"' not in wash


@pytest.mark.parametrize(
    ("amount", "answer"), [("1 gal", "Too thin"), ("2.5 gal", "Right"), ("4 gal", "Too thick"), ("10 L", "Right")]
)
def test_the_guard_answers_at_once(amount: str, answer: str) -> None:
    # Second coat on 435.726 × 1.12 = 488.01 ft² at 200 ft²/gal ± 15 %: 488.01 / 230 = 2.12 to 488.01 / 170 × 1.05 =
    # 3.01 gal; 10 L are 2.64 gal.
    planned_job()
    client = signed_in(CrewFactory())
    told = {"material": "sealer", "place": "2", "area": "Pool deck", "coat": "2", "amount": amount}
    client.post("/folders/0417/visits/3/entries/used/", told)
    page = client.get("/folders/0417/visits/3/").content.decode()
    assert f'<div class="now"><p class="answer"><b>{answer} ·' in page


def test_an_entry_of_a_form_that_is_sent_twice_is_one() -> None:
    planned_job()
    client = signed_in(CrewFactory())
    told = {"once": "7f3c0a52-54e5-4c0e-8c35-0f0c7f1b2a01", "step": "0.1.1"}
    answers = [
        client.post("/folders/0417/visits/1/entries/tick/", told, headers={"accept": "application/json"}).json()["new"]
        for _twice in range(2)
    ]
    assert (answers, Entry.objects.count()) == ([True, False], 1)


@pytest.mark.parametrize(
    ("kind", "told"),
    [
        ("tick", {"step": "x"}), ("used", {"material": "sealer", "place": "2", "amount": "some"}),
        ("used", {"material": "sealer", "place": "2", "amount": "12 ft"}), ("hours", {"who": "0", "hours": "25"}),
        ("note", {"words": " "}), ("reading", {"work": "seal", "humidity": "0"}),
        ("reading", {"work": "seal", "air": "1e5"}), ("left", {"material": "sealer"}),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_beside_its_blank(kind: str, told: dict[str, str]) -> None:
    planned_job()
    client = signed_in(CrewFactory())
    page = client.post(f"/folders/0417/visits/3/entries/{kind}/", told)
    queued = client.post(f"/folders/0417/visits/3/entries/{kind}/", told, headers={"accept": "application/json"})
    assert (page.status_code, "to mend" in page.content.decode(), queued.status_code) == (422, True, 422)
    assert (bool(queued.json()["fault"]), Entry.objects.count()) == (True, 0)


def test_go_or_wait_is_said_with_its_reasons() -> None:
    planned_job()
    client = signed_in(CrewFactory())
    told = {
        "work": "seal", "air": "74", "slab": "71", "humidity": "90", "wind": "4", "air_lowest": "60",
        "since_wash": "999", "since_rain": "999", "until_rain": "999",
    }  # fmt: skip
    client.post("/folders/0417/visits/3/entries/reading/", told)
    page = client.get("/folders/0417/visits/3/").content.decode()
    assert 'class="verdict wait"' in page
    assert "Humidity 90\u00a0%: too damp; it takes less than 85\u00a0%." in page
    assert "Humedad 90\u00a0%: muy húmedo; se necesita menos de 85\u00a0%." in page


def test_readings_of_a_done_visit_are_judged_as_of_the_hour_in_which_they_were_taken() -> None:
    job = planned_job()
    told = {
        "work": "seal", "air": "71", "slab": "74", "humidity": "52", "wind": "6", "air_lowest": "58",
        "slab_lowest": "60", "since_wash": "30", "since_rain": "30", "until_rain": "30",
        "made_at": (timezone.now() - timedelta(hours=9)).isoformat(),
    }  # fmt: skip
    client = signed_in(job.opened_by)
    client.post("/folders/0417/visits/3/entries/reading/", told)
    words = [client.get("/folders/0417/visits/3/").content.decode().count('class="verdict wait"')]
    finish_visit(visit=visit_of(job, 3), version=visit_of(job, 3).version, by=job.opened_by)
    words.append(client.get("/folders/0417/visits/3/").content.decode().count('class="verdict wait"'))
    assert words == [1, 0]


def test_a_page_of_a_visit_asks_a_constant_number_of_questions(django_assert_num_queries) -> None:
    planned_job()
    client = signed_in(CrewFactory())
    told = {"material": "sealer", "place": "2", "area": "Pool deck", "coat": "2", "amount": "2 gal"}
    for rows in (1, 3):
        while Entry.objects.count() < rows:
            client.post("/folders/0417/visits/3/entries/used/", told)
        with django_assert_num_queries(20):
            client.get("/folders/0417/visits/3/")


@pytest.mark.parametrize("path", ["2/pick-list.pdf", "3/mix-sheet.pdf", "pick-list.pdf", "mix-sheet.pdf"])
def test_sheets_are_printed_for_a_visit_and_for_the_job(path: str) -> None:
    planned_job()
    sheet = signed_in(UserFactory()).get(f"/folders/0417/visits/{path}")
    assert (sheet.status_code, sheet.content[:5]) == (200, b"%PDF-")


def test_a_folder_that_the_crew_may_not_see_has_no_visits() -> None:
    planned_job()
    Proposal.objects.update(state="declined")
    assert signed_in(CrewFactory()).get("/folders/0417/visits/1/").status_code == 404


def test_what_is_looked_at_before_the_work_is_ticked_and_told_by_name() -> None:
    planned_job()
    client = signed_in(CrewFactory())
    sent = client.post("/folders/0417/visits/2/entries/tick/", {"step": "check.plants"})
    page = client.get("/folders/0417/visits/2/")
    assert (sent.status_code, [check.key for check in page.context["checks"] if check.tick]) == (302, ["check.plants"])
    assert page.context["written"][0]["words"] == "Plants are wet and covered · Las plantas están mojadas y tapadas"
    assert [step.tick for step in page.context["steps"]] == [None] * len(page.context["steps"])


def test_nothing_else_is_ticked() -> None:
    planned_job()
    sent = signed_in(CrewFactory()).post("/folders/0417/visits/2/entries/tick/", {"step": "check.gate"})
    assert (sent.status_code, Entry.objects.count()) == (422, 0)


def test_the_address_is_on_the_visit_with_a_way_to_the_map() -> None:
    planned_job()
    page = signed_in(CrewFactory()).get("/folders/0417/visits/2/")
    assert re.search(r'<p>18 Alder Row, [^<]+</p>.*href="geo:0,0\?q=18%20Alder%20Row%2C%20', page.content.decode())


def test_hours_are_read_back_with_the_person_and_the_step() -> None:
    planned_job()
    mateo = CrewFactory(name="Mateo Ruiz")
    client = signed_in(mateo)
    client.post("/folders/0417/visits/1/entries/hours/", {"who": mateo.pk, "place": "0", "hours": "1.5"})
    words = client.get("/folders/0417/visits/1/").context["written"][0]["words"]
    assert words.startswith("1.5 h, Mateo, ")


def test_the_crew_loads_what_is_left_when_a_step_was_taken_out_and_the_days_not_laid_again() -> None:
    """The wash is taken out: colour and seal move up a place, and the days still name the old ones."""
    EditionFactory(name="2026-1")
    job = planned_job(by=OwnerFactory(email="ines@example.com"))
    client = signed_in(CrewFactory())
    client.post("/folders/0417/visits/2/entries/tick/", {"step": "1.1.1"})
    yes(issued(drafted(job, "He washes it himself", out_steps=["0:Wash"])))
    lists = [client.get(f"/folders/0417/visits/{visit}/pick-list/").context["load"].groups for visit in (1, 2, 3)]
    loaded = [[row.what.en for group in groups for row in group.rows if row.is_material] for groups in lists]
    # A tick made before the change stays with its step, though the step has another place now.
    page = client.get("/folders/0417/visits/2/")
    assert [(step.name.en, step.key, bool(step.tick)) for step in page.context["steps"]] == [
        ("Base tone", "0.1.1", True),
        ("Seal, two coats", "1.1.1", False),
    ]
    # The second visit colours and seals the first coat: it takes the sealer along, a 5-gallon and a gallon, for both.
    assert loaded == [[], ["Base tone powder, slate", *["Solvent acrylic, 24 % solids"] * 2], []]


def test_the_office_sees_what_else_is_planned_on_the_same_days() -> None:
    first = planned_job()
    second = planned_job(number="0418", by=first.opened_by)
    Visit.objects.filter(job=second, number=3).update(state=Visit.State.DONE)
    page = signed_in(first.opened_by).get("/folders/0417/visits/")
    assert [(each.job.number, each.number) for each in page.context["elsewhere"]] == [("0418", 1), ("0418", 2)]
    assert signed_in(CrewFactory()).get("/folders/0417/visits/").context["elsewhere"] == []
