"""The page of a visit: what it fills in by itself, and what a page that was opened before a change still says."""

from datetime import timedelta
from uuid import UUID

import pytest
from django.test import Client
from django.utils import timezone

from quoting.models import Entry
from quoting.services.entries import keep_entry
from tests.book_factories import EditionFactory
from tests.factories import AreaFactory, CrewFactory, OwnerFactory, PartFactory
from tests.reading_pdf import text_of
from tests.sample_change import drafted, issued, yes
from tests.sample_visits import planned_job, visit_of

pytestmark = pytest.mark.django_db
FINE = {
    "work": "seal", "air": "70", "slab": "75", "humidity": "50", "wind": "5", "air_lowest": "60", "since_rain": "72",
}  # fmt: skip


def signed_in(person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def blank(client: Client, name: str = "since_wash") -> dict:
    readings = client.get("/folders/0417/visits/3/").context["readings"]
    return next(row for row in readings["rows"] if row["name"] == name)


def test_the_hours_since_washing_stand_in_their_blank() -> None:
    job = planned_job()
    crew = CrewFactory()
    assert blank(signed_in(crew))["value"] == ""
    keep_entry(
        visit=visit_of(job), by=crew, once=UUID(int=1), kind="tick", data={"step": "0.1.1"},
        made_at=timezone.now() - timedelta(hours=30, minutes=20),
    )  # fmt: skip
    assert blank(signed_in(crew))["value"] == "30"


def test_two_plain_choices_stand_for_figures_that_there_are_not() -> None:
    planned_job()
    client = signed_in(CrewFactory())
    client.post("/folders/0417/visits/3/entries/reading/", FINE | {"not_washed": "on", "no_rain": "on"})
    data = Entry.objects.get().data
    assert (data["word"], data["since_wash"], data["until_rain"]) == ("go", "999", "999")
    page = client.get("/folders/0417/visits/3/")
    weather = page.context["weather"]
    assert [pair.en for pair in weather["chosen"]] == ["Not washed here", "No rain in sight"]
    assert {"Not washed here", "No rain in sight"} <= {pair.en for pair in weather["kept"]}
    assert "999" not in page.content.decode()


def test_without_choice_or_figure_it_is_still_asked_for() -> None:
    planned_job()
    client = signed_in(CrewFactory())
    client.post("/folders/0417/visits/3/entries/reading/", FINE)
    weather = client.get("/folders/0417/visits/3/").context["weather"]
    assert [pair.en for pair in weather["missing"]] == ["Hours since washing", "Hours until rain"]


def test_a_page_opened_before_a_change_still_names_its_steps() -> None:
    """Colour stood at place 1; with the wash taken out it is at 0, and 1 is the seal."""
    EditionFactory(name="2026-1")
    job = planned_job(by=OwnerFactory(email="ines@example.com"))
    crew = CrewFactory(name="Mateo Ruiz")
    client = signed_in(crew)
    old = client.get("/folders/0417/visits/2/").content.decode()
    assert '<input type="hidden" name="of_step" value="Base tone">' in old
    assert '<option value="1|Base tone">' in old
    assert 'name="place" value="1|Base tone"' in old
    yes(issued(drafted(job, "He washes it himself", out_steps=["0:Wash"])))
    client.post("/folders/0417/visits/2/entries/tick/", {"step": "1.1.1", "of_step": "Base tone"})
    told = {"who": crew.pk, "place": "1|Base tone", "hours": "2"}
    client.post("/folders/0417/visits/2/entries/hours/", told)
    client.post("/folders/0417/visits/1/entries/hours/", told | {"place": "0|Wash"})
    kept = [(entry.data.get("step", entry.data.get("place")), entry.data["of_step"]) for entry in Entry.objects.all()]
    assert kept == [("1.1.1", "Base tone"), (1, "Base tone"), (0, "Wash")]
    page = client.get("/folders/0417/visits/2/")
    assert [(step.name.en, bool(step.tick)) for step in page.context["steps"]][:2] == [
        ("Base tone", True), ("Seal, two coats", False),
    ]  # fmt: skip
    assert "Base tone" in page.context["written"][0]["words"]
    # What was done of a step that was taken out is still read back by its name.
    assert "Wash" in client.get("/folders/0417/visits/1/").context["written"][0]["words"]


@pytest.mark.parametrize("place", ["", "x", "-1", "1.5", "99999", "x|Base tone"])
def test_a_place_that_is_none_is_refused(place: str) -> None:
    planned_job()
    crew = CrewFactory()
    sent = signed_in(crew).post("/folders/0417/visits/2/entries/hours/", {"who": crew.pk, "place": place, "hours": "2"})
    assert (sent.status_code, Entry.objects.count()) == (422, 0)


def test_the_guard_asks_for_the_coat_of_the_day() -> None:
    """Colour and the first coat of sealer are on the second visit, the second coat on the third."""
    planned_job()
    client = signed_in(CrewFactory())
    asked = [
        [(each.row.material, each.row.coat) for each in client.get(f"/folders/0417/visits/{n}/").context["guards"]]
        for n in (2, 3)
    ]
    assert asked == [[("base-tone", 1), ("sealer", 1)], [("sealer", 2)]]


def test_what_was_loaded_stays_ticked_and_the_office_sees_it() -> None:
    job = planned_job()
    client = signed_in(CrewFactory(name="Mateo Ruiz"))
    page = client.get("/folders/0417/visits/2/pick-list/")
    (row, tick, _once), *_rest = page.context["groups"][0][1]
    assert (tick, page.context["loaded"]) == (None, 0)
    told = {"step": row.mark, "thing": f"{row.take.en} {row.what.en}"}
    sent = client.post("/folders/0417/visits/2/entries/tick/", told)
    assert sent.url == "/folders/0417/visits/2/pick-list/"
    office = signed_in(job.opened_by)
    seen = office.get("/folders/0417/visits/2/pick-list/")
    assert (seen.context["loaded"], seen.context["groups"][0][1][0][1].by.name) == (1, "Mateo Ruiz")
    visit = office.get("/folders/0417/visits/2/")
    assert (visit.context["loaded"], visit.context["written"]) == (1, [])
    # The other visit has a list of its own; and a tick is taken back.
    assert client.get("/folders/0417/visits/3/pick-list/").context["loaded"] == 0
    client.post("/folders/0417/visits/2/entries/untick/", told)
    assert client.get("/folders/0417/visits/2/pick-list/").context["loaded"] == 0


def test_every_line_of_a_list_has_a_mark_of_its_own() -> None:
    planned_job()
    groups = signed_in(CrewFactory()).get("/folders/0417/visits/2/pick-list/").context["groups"]
    marks = [row.mark for _place, rows in groups for row, _tick, _once in rows]
    assert len(set(marks)) == len(marks) > 5


def test_a_mark_that_is_none_is_refused() -> None:
    planned_job()
    sent = signed_in(CrewFactory()).post("/folders/0417/visits/2/entries/tick/", {"step": "load.sealer"})
    assert (sent.status_code, Entry.objects.count()) == (422, 0)


def test_a_pick_list_asks_a_constant_number_of_questions(django_assert_num_queries) -> None:
    planned_job()
    client = signed_in(CrewFactory())
    groups = client.get("/folders/0417/visits/2/pick-list/").context["groups"]
    marks = [row.mark for _place, rows in groups for row, _tick, _once in rows]
    for count in (1, 3):
        for mark in marks[:count]:
            client.post("/folders/0417/visits/2/entries/tick/", {"step": mark, "thing": "x"})
        with django_assert_num_queries(17):
            client.get("/folders/0417/visits/2/pick-list/")


def test_the_crew_is_warned_of_days_laid_before_a_change() -> None:
    EditionFactory(name="2026-1")
    job = planned_job(by=OwnerFactory(email="ines@example.com"))
    client = signed_in(CrewFactory())
    warning = "llame a la oficina antes de empezar"
    assert warning not in client.get("/folders/0417/visits/2/").content.decode()
    yes(issued(drafted(job, "He washes it himself", out_steps=["0:Wash"])))
    pages = [client.get(f"/folders/0417/visits/{path}").content.decode() for path in ("2/", "")]
    assert [warning in page for page in pages] == [True, True]
    signed_in(job.opened_by).post("/folders/0417/visits/again/")
    assert warning not in client.get("/folders/0417/visits/2/").content.decode()


@pytest.mark.parametrize(
    ("path", "english", "spanish"),
    [
        ("visits/", "After “Wash”, Front walk has to wait.", "Después de “Lave”, hay que esperar"),
        ("visits/", "dries, or no work", "secando o sin trabajo"),
        ("visits/", "Thursday 16 July", "jueves 16 de julio"),
        ("colours/", "Colour record", "Registro de color"),
    ],
)
def test_pages_that_office_and_crew_share_speak_both_languages_to_the_crew(
    path: str, english: str, spanish: str
) -> None:
    job = planned_job()
    crew, office = (
        signed_in(person).get(f"/folders/0417/{path}").content.decode() for person in (CrewFactory(), job.opened_by)
    )
    assert (english.split(",")[0] in crew, spanish in crew) == (True, True)
    assert (english.split(",")[0] in office, spanish in office) == (True, False)


def test_the_page_of_the_calendar_speaks_both_languages_to_the_crew() -> None:
    planned_job()
    page = signed_in(CrewFactory()).get("/crew/calendar/").content.decode()
    assert "Haga una dirección" in page


def test_the_limits_and_where_they_are_from_are_in_both_languages() -> None:
    planned_job()
    limits = signed_in(CrewFactory()).get("/folders/0417/visits/1/").context["weather"]["limits"]
    name, source, figure = limits[0]
    assert (name.es, figure, source.es) == ("Aire", ">\u00a032\u00a0°F", "Práctica común, sin fuente publicada")
    coats = signed_in(CrewFactory()).get("/folders/0417/visits/3/").context["weather"]["limits"]
    assert coats[0][0].es == "Losa arriba del punto de rocío"
    assert coats[0][1].en.startswith("MIL-HDBK-1110 (1996)")


def test_the_mix_sheet_on_paper_has_cautions_plan_and_lots() -> None:
    job = planned_job()
    PartFactory(area=AreaFactory(job=job, name="Pool deck"))
    words = text_of(signed_in(CrewFactory()).get("/folders/0417/visits/2/mix-sheet.pdf").content)
    said = ["Lentes cerrados", "Start corner", "Salida", "32′ 0″", "Solvent acrylic, 24 %", "Lote"]
    assert [each for each in said if each not in words] == []
