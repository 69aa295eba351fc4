import pytest
from django.urls import reverse

from quoting.models import Area, Part
from tests.factories import (
    AgreedAreaFactory,
    AreaFactory,
    CrewFactory,
    DeductFactory,
    FirmFactory,
    OwnerFactory,
    PartFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client):
    """Signed in as the owner, in a firm that measures in feet."""
    FirmFactory()
    client.force_login(OwnerFactory())
    return client


def at(name: str, area: Area, *more: int) -> str:
    return reverse(name, args=[area.job.number, area.pk, *more])


RECTANGLE = {"shape_key": "rectangle", "kind": "part", "version": "1", "length": "24' 3\"", "width": "4' 2\""}


def test_an_area_without_parts_says_what_to_do_first(office):
    area = AreaFactory(name="Pool deck")
    page = office.get(at("area", area))
    assert page.status_code == 200
    assert "Measure the first part" in page.text
    assert at("part-add", area) in page.text


def test_a_part_is_kept_as_it_was_called_and_shown_with_its_working(office):
    area = AreaFactory()
    page = office.post(at("part-add", area), RECTANGLE | {"name": "Walk"}, follow=True)
    assert page.redirect_chain == [(at("area", area), 302)]
    assert "The part is kept." in page.text
    # 24.25 × 4 1/6 = 101.0417
    assert "24′ 3″ × 4′ 2″ = 101.04 ft²" in page.text
    assert Part.objects.get().measures == {"shape": "rectangle", "length": "24' 3\"", "width": "4' 2\""}


def test_what_was_typed_is_kept_with_the_fault_beside_it(office):
    area = AreaFactory()
    page = office.post(at("part-add", area), RECTANGLE | {"width": "4' 14\""})
    assert page.status_code == 422
    assert "4&#x27; 14&quot;" in page.text
    assert "the inches after feet must be under 12" in page.text
    assert "One thing to mend" in page.text
    assert not Part.objects.exists()


def test_what_is_hardly_right_is_asked_about_and_then_kept(office):
    area = AreaFactory()
    asked = office.post(at("part-add", area), RECTANGLE | {"width": "145"})
    assert "Did you mean 14′ 5″?" in asked.text
    assert "It is right as I wrote it" in asked.text
    sure = asked.context["form"].fingerprint
    office.post(at("part-add", area), RECTANGLE | {"width": "145", "sure": sure})
    assert Part.objects.get().measures["width"] == "145 ft"


def test_taking_out_more_than_there_is_is_refused_in_the_form(office):
    area = PartFactory(measures={"shape": "rectangle", "length": "2 ft", "width": "2 ft"}).area
    page = office.post(
        at("part-add", area), {"shape_key": "circle", "kind": "deduct", "version": "1", "diameter": "6 ft"}
    )
    assert page.status_code == 422
    assert "Nothing is left" in page.text
    assert Part.objects.count() == 1


def test_a_stale_form_keeps_the_part_when_others_were_at_other_parts(office):
    part = PartFactory()
    Area.objects.filter(pk=part.area.pk).update(version=7)
    office.post(at("part-add", part.area), RECTANGLE)
    assert part.area.parts.count() == 2


def test_a_part_is_kept_once_however_often_the_button_was_pressed(office):
    area = AreaFactory()
    opened = RECTANGLE | {"version": "1"}
    assert [office.post(at("part-add", area), opened)["Location"] for _ in range(2)] == [at("area", area)] * 2
    assert area.parts.count() == 1
    office.post(at("part-add", area), RECTANGLE | {"version": "2"})  # from a page that shows the first
    assert area.parts.count() == 2


def as_opened(form) -> dict[str, str]:
    """What a browser posts of a form that nobody has typed in: every field, and the first values that it remembers."""
    posted = {field.html_name: str(field.value() or "") for field in form}
    return posted | {field.html_initial_name: str(field.value() or "") for field in form.visible_fields()}


def test_two_hands_on_one_part_see_what_differs_and_nothing_is_overwritten(office):
    part = PartFactory(measures={"shape": "rectangle", "length": "32 ft", "width": "14 ft"})
    address = at("part", part.area, part.pk)
    opened = as_opened(office.get(address).context["form"])
    office.post(address, opened | {"length": "30 ft"})
    page = office.post(address, opened | {"length": "33 ft"})
    assert page.status_code == 409
    assert page.context["rows"] == [("Length", "32 ft", "30 ft", "33 ft")]
    part.refresh_from_db()
    assert part.measures["length"] == "30 ft"
    office.post(address, dict(page.context["posted"].items()) | {"version": str(page.context["version"])})
    part.refresh_from_db()
    assert part.measures["length"] == "33 ft"


def test_a_part_that_somebody_took_away_is_not_lost(office):
    part = PartFactory()
    area, pk = part.area, part.pk
    part.delete()
    page = office.post(at("part", area, pk), RECTANGLE, follow=True)
    assert "Somebody took this part away meanwhile" in page.text
    assert area.parts.get().measures["length"] == "24' 3\""


def test_the_live_figures_write_nothing(office):
    area = PartFactory().area
    page = office.post(
        at("part-figures-new", area), RECTANGLE, headers={"hx-request": "true", "hx-trigger-name": "width"}
    )
    assert page.status_code == 200
    # 464 + 101.0417 = 565.0417
    assert "101.04 ft²" in page.text
    assert "565.04 ft²" in page.text
    assert "<svg" in page.text
    area.refresh_from_db()
    assert (Part.objects.count(), area.version) == (1, 1)


def test_the_live_figures_say_what_does_not_close(office):
    part = PartFactory()
    typed = {
        "shape_key": "quadrilateral",
        "kind": "part",
        "version": "1",
        "called": "6' 2\", 5' 8\", 6' 4\", 5' 6 1/2\", 8' 5\", 8' 9 1/2\"",
    }
    page = office.post(at("part-figures", part.area, part.pk), typed)
    assert "diagonal q doesn’t close: it reads 8′ 9½″, the other five say 8′ 4½″" in page.text


def test_while_a_measure_is_half_typed_the_last_drawing_stands_and_no_figure_is_shown_for_the_part(office):
    area = PartFactory().area
    page = office.post(at("part-figures-new", area), RECTANGLE | {"width": "4' 1/"})
    assert page.status_code == 200
    assert 'id="fault-width" hx-swap-oob="true">“4' in page.text
    assert page.context["part_figures"] is None
    empty = office.post(at("part-figures-new", area), RECTANGLE | {"width": ""})
    assert "missing" not in empty.text


@pytest.mark.parametrize("parts", [1, 3])
def test_the_live_figures_cost_five_queries_whatever_is_in_the_area(office, parts, django_assert_num_queries):
    area = AreaFactory()
    PartFactory.create_batch(parts, area=area)
    DeductFactory(area=area, position=9)
    # session, person, area, parts, firm
    with django_assert_num_queries(5):
        office.post(at("part-figures-new", area), RECTANGLE)


@pytest.mark.parametrize("parts", [1, 3])
def test_the_area_page_costs_five_queries(office, parts, django_assert_num_queries):
    area = AreaFactory()
    PartFactory.create_batch(parts, area=area)
    with django_assert_num_queries(5):
        office.get(at("area", area))


def test_another_shape_shows_its_blanks_and_keeps_what_fits(office):
    area = AreaFactory()
    page = office.post(at("part-add", area), RECTANGLE | {"shape_key": "ellipse", "name": "Island", "reshape": "1"})
    assert page.status_code == 200
    form = page.context["form"]
    assert [measure.name for measure, _ in form.blanks] == ["length", "width"]
    assert (form["name"].value(), form["length"].value()) == ("Island", "24' 3\"")
    assert not Part.objects.exists()


def test_an_area_is_added_and_its_first_part_comes_next(office):
    job = AreaFactory(name="Pool deck").job
    add = reverse("area-add", args=[job.number])
    typed = {"name": " Front  walk ", "surface": "concrete-pavers", "condition": "worn", "texture": "1.05"}
    page = office.post(add, typed)
    walk = Area.objects.get(name="Front walk")
    assert page.url == at("part-add", walk)
    assert walk.letter == "B"
    again = office.post(add, typed)
    assert "There is an area called “Front walk”" in again.text


@pytest.mark.parametrize(
    ("texture", "sentence"),
    [
        ("0.12", "0.12 is under 1. A stamped slab is 1.05 to 1.20."),
        ("1e1", "is not a plain number"),
        ("9", "9 is over 3."),
        ("2", "Is it right?"),
    ],
)
def test_an_absurd_texture_gets_its_sentence(office, texture, sentence):
    area = AreaFactory()
    page = office.post(
        at("area-edit", area),
        {"name": "x", "surface": "stamped", "condition": "worn", "texture": texture, "version": 1},
    )
    assert page.status_code == 422
    assert sentence in page.text


def test_two_hands_on_what_an_area_is(office):
    area = AreaFactory(name="Deck", condition="bare")
    Area.objects.filter(pk=area.pk).update(version=2)
    typed = {"name": "Pool deck", "surface": "stamped", "condition": "worn", "texture": "1", "note": "", "version": 1}
    had = {"initial-name": "Deck", "initial-surface": "stamped", "initial-condition": "worn", "initial-texture": "1"}
    page = office.post(at("area-edit", area), typed | had)
    assert page.status_code == 409
    assert page.context["rows"] == [
        ("Name", "Deck", "Deck", "Pool deck"),
        ("Condition", "worn or patchy", "stripped or bare", "worn or patchy"),
    ]


def test_agreeing_is_shown_until_a_measure_changes(office):
    part = PartFactory()
    office.post(at("area-agree", part.area), {"with_whom": "Mrs Wexley", "on": "2026-06-01", "version": "1"})
    assert "464.00\u00a0ft² <small>Mrs Wexley" in office.get(at("area", part.area)).text
    office.post(at("part", part.area, part.pk), RECTANGLE | {"version": "2"})
    assert "no longer stands" in office.get(at("area", part.area)).text


def test_an_agreement_on_other_measures_does_not_stand(office):
    area = AgreedAreaFactory()
    PartFactory(area=area)
    assert "no longer stands" in office.get(at("area", area)).text


def test_copying_asks_for_a_name(office):
    area = PartFactory(area__name="Pool deck").area
    assert 'value="Pool deck, copy"' in office.get(at("area-copy", area)).text
    office.post(at("area-copy", area), {"name": "Terrace"})
    assert Area.objects.get(name="Terrace").parts.count() == 1


def test_removing_asks_once_with_the_consequence(office):
    part = PartFactory()
    asked = office.get(at("area-remove", part.area))
    assert "Its 1\u00a0part and their measures go with it" in asked.text
    assert Area.objects.exists()
    office.post(at("area-remove", part.area), {"version": 1})
    assert not Area.objects.exists()


def test_parts_are_moved_and_removed(office):
    first, second = (one := PartFactory(name="one")), PartFactory(area=one.area, position=1, name="two")
    office.post(at("part-move", first.area, second.pk), {"places": "-1", "version": "1"})
    assert list(first.area.parts.values_list("name", flat=True)) == ["two", "one"]
    office.post(at("part-remove", first.area, second.pk), {"version": "2"})
    assert list(first.area.parts.values_list("name", flat=True)) == ["one"]


@pytest.mark.parametrize("page", ["area", "part-add", "area-edit", "area-copy", "area-agree", "area-remove"])
def test_the_crew_does_not_measure(client, page):
    client.force_login(CrewFactory())
    assert client.get(at(page, AreaFactory())).status_code == 403


@pytest.mark.parametrize("page", ["area", "part-add", "area-edit"])
def test_a_stranger_is_led_to_the_door(client, page):
    assert client.get(at(page, AreaFactory())).status_code == 302


def test_an_area_of_another_folder_is_not_found(office):
    area, other = AreaFactory(), AreaFactory()
    assert office.get(reverse("area", args=[other.job.number, area.pk])).status_code == 404
    assert office.get(reverse("area", args=["9999", area.pk])).status_code == 404


def test_of_very_many_parts_those_about_the_open_one_are_drawn(office):
    area = AreaFactory()
    Part.objects.bulk_create(Part(area=area, position=n, measures=PartFactory.build().measures) for n in range(150))
    last = area.parts.last()
    assert "The drawing shows parts 91 to 150 of 150." in office.get(at("part", area, last.pk)).text
    assert "The drawing shows parts 1 to 60 of 150." in office.get(at("area", area)).text
