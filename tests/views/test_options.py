import json
import re
from decimal import Decimal

import pytest
from django.urls import reverse

from quoting.core.units import from_unit
from quoting.forms.option_sheet import sheet_texts
from quoting.models import Edition, Observed, Option, RestorationSystem
from quoting.services.editions import copy_edition
from tests.factories import (
    AddOnFactory,
    CrewFactory,
    IssuedProposalFactory,
    OptionChargeFactory,
    OptionGroupFactory,
    OptionStepFactory,
    OwnerFactory,
    ProposalFactory,
)
from tests.found_factories import FindingFactory
from tests.sample_options import House, whole

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> House:
    return House()


@pytest.fixture
def office(client, house):
    client.force_login(OwnerFactory())
    return client


def at(name: str, option: Option, *more: int) -> str:
    return reverse(name, args=[option.job.number, option.pk, *more])


def sheet(option: Option, **typed: str) -> dict[str, str]:
    """What a browser posts of the sheet of an option of one step: short names as in `s_rate` and `u_coverage`."""
    option = whole(option)
    step = option.groups.first().steps.first()
    texts = sheet_texts(option)
    s, u = f"s{step.pk}_", f"u{step.pk}x{step.step.materials.first().pk}_"
    named = {re.sub("^u_", u, re.sub("^s_", s, key)): text for key, text in typed.items()}
    posted = {name: text for name, text in (texts | named).items() if text}
    return posted | {"version": str(option.version), "had": json.dumps(texts)}


# side by side


def test_options_stand_side_by_side_with_every_figure(office, house):
    house.option(house.area(), name="Thin coat", advised=True)
    page = office.get(reverse("options", args=[house.job.number]))
    # 178.00 × 1.5 = 267.00; 267.00 ÷ 400 ft² = 0.67; profit 89.00: a third of the price, half of the cost
    for shown in ("Thin coat", "Option 1, advised", "267.00", "33.3\xa0%", "50.0\xa0%", "0.67", "2 × 1 gal"):
        assert shown in page.text
    assert "Margin, of the price" in page.text
    assert "Markup, of the cost, wanted 50\xa0%" in page.text


def test_an_option_with_gaps_says_what_is_missing_and_the_others_stand(office, house):
    area = house.area()
    house.option(area, name="Whole")
    house.option(area, name="Empty", system=house.system("empty")).groups.get().steps.update(on=False)
    page = office.get(reverse("options", args=[house.job.number]))
    assert "267.00" in page.text
    assert "Every step is switched off: there is nothing to price." in page.text


def test_extras_show_what_they_add_and_what_they_cost_later(office, house):
    area = house.area()
    option = house.option(area)
    extra = AddOnFactory(with_option=option, name="Another coat")
    group = OptionGroupFactory(option=extra, system=house.system("more"), areas=[area])
    OptionStepFactory(group=group, step=group.system.steps.get())
    page = office.get(reverse("folder", args=[house.job.number]))
    # twice the work, and no charges: 178.00 more cost, 267.00 more price; on the option's own area never alone
    row = re.search(r"Another coat</a>.*?</tr>", page.text, re.DOTALL)
    assert re.findall(r"\d+\.\d\d|not offered", row[0]) == ["178.00", "267.00", "not offered"]


def test_a_folder_without_options_says_what_to_do_first(office, house):
    house.area()
    page = office.get(reverse("folder", args=[house.job.number]))
    assert "Draft the first option" in page.text


@pytest.mark.parametrize("options", [1, 3])
def test_the_side_by_side_asks_as_many_queries_for_three_as_for_one(office, house, options, django_assert_num_queries):
    area = house.area()
    for n in range(options):
        option = house.option(area, name=f"Option {n}", system=house.system(f"s{n}"))
        AddOnFactory(with_option=option)
    with django_assert_num_queries(19):
        office.get(reverse("options", args=[house.job.number]))


# a new one


def test_an_option_is_drafted_from_a_system_and_areas(office, house):
    system, deck, walk = house.system(), house.area("Deck"), house.area("Walk", surface="clay-pavers")
    house.publish()
    url = reverse("option-add", args=[house.job.number])
    page = office.get(url)
    assert "not meant for B Walk" in page.text
    answer = office.post(url, {"areas": [deck.pk], "system": system.pk, "name": ""})
    option = Option.objects.get()
    assert answer.url == at("option", option)
    assert (option.name, list(option.groups.get().areas.all())) == ("Reseal", [deck])
    assert walk not in option.groups.get().areas.all()
    again = office.post(url, {"areas": [deck.pk], "system": system.pk, "name": ""})
    assert (again.url, Option.objects.count()) == (answer.url, 1)


def test_a_new_option_without_area_or_system_is_refused_beside_the_choice(office, house):
    house.area(), house.system()
    house.publish()
    page = office.post(reverse("option-add", args=[house.job.number]), {"name": "Thin"})
    assert page.status_code == 422
    assert "Choose at least one area for it." in page.text
    assert "Choose the system that is done on them." in page.text
    assert "Thin" in page.text


def test_without_a_measure_or_a_book_the_page_says_what_comes_first(office, house):
    url = reverse("option-add", args=[house.job.number])
    assert "Measure first" in office.get(url).text
    house.area()
    assert "Publish the price book first" in office.get(url).text


# the sheet


def test_the_sheet_shows_the_book_s_figures_and_what_it_comes_to(office, house):
    option = house.option(house.area())
    page = office.get(at("option", option))
    for shown in ("267.00", "book 400", "from 150 to 250, likely 200; reckoned with 200", "2.00\xa0gal", "wet film"):
        assert shown in page.text


def test_what_is_typed_is_answered_in_place_and_not_kept(office, house):
    option = house.option(house.area())
    posted = sheet(option, s_rate="200", u_coverage="160") | {"price_now": "267.00"}
    page = office.post(at("option-figures", option), posted, headers={"hx-request": "true"})
    # 2.5 gal: 3 × 50.00; 3 h × 39.00; 267.00 × 1.5 = 400.50
    assert '<span class="was">267.00</span> <b>400.50</b>' in page.text
    assert "<html" not in page.text
    assert "reckoned with 160" in page.text
    kept = whole(option)
    assert (kept.version, kept.groups.get().steps.get().rate) == (1, None)


def test_a_change_that_moves_no_price_leaves_the_struck_one(office, house):
    option = house.option(house.area())
    posted = sheet(option, name="Other") | {"price_now": "267.00", "price_was": "250.00"}
    page = office.post(at("option-figures", option), posted)
    assert '<span class="was">250.00</span> <b>267.00</b>' in page.text


def test_figures_that_can_t_be_read_are_said_beside_their_step(office, house):
    option = house.option(house.area())
    page = office.post(at("option-figures", option), sheet(option, s_rate="fast"))
    assert page.status_code == 200
    assert "Ft² an hour: " in page.text
    assert "<b>not yet</b>" in page.text


def test_without_a_script_it_is_worked_out_and_what_was_typed_stays(office, house):
    option = house.option(house.area())
    page = office.post(at("option", option), sheet(option, s_rate="200") | {"work_out": "1", "price_now": "267.00"})
    # 100.00 + 3 h × 39.00 = 217.00 × 1.5 = 325.50
    assert "325.50" in page.text
    assert 'value="200"' in page.text
    assert whole(option).version == 1


def test_the_sheet_is_kept(office, house):
    option = house.option(house.area())
    posted = sheet(option, name="Thin coat", s_rate="200", s_reason="Steep")
    page = office.post(at("option", option), posted, follow=True)
    assert "“Thin coat” is kept." in page.text
    assert "Differs: rate 200" in page.text
    step = whole(option).groups.get().steps.get()
    assert (step.rate, step.reason) == (Decimal(200), "Steep")


def test_a_missing_reason_stands_beside_its_step_and_the_figures_stay(office, house):
    option = house.option(house.area())
    page = office.post(at("option", option), sheet(option, s_rate="200"))
    assert page.status_code == 422
    assert "Say why it differs from the book: rate." in page.text
    assert "325.50" in page.text
    assert whole(option).version == 1


def test_a_gap_stands_beside_its_step(office, house):
    option = house.option(house.area())
    type(house.task).objects.filter(pk=house.task.pk).update(unit="ft/hour")
    option.groups.get().system.steps.update(measure="length")
    page = office.get(at("option", option))
    assert "Seal: say how long it is, such as 18 ft." in page.text
    assert "Something is still to be said beside the steps above." in page.text


def test_two_hands_at_different_blanks_lose_nothing(office, house):
    option = house.option(house.area())
    posted = sheet(option, s_rate="200", s_reason="Steep")
    option.groups.get().steps.update(passes=2)
    Option.objects.filter(pk=option.pk).update(version=2)
    office.post(at("option", option), posted)
    step = whole(option).groups.get().steps.get()
    assert (step.rate, step.passes, whole(option).version) == (Decimal(200), 2, 3)


def test_two_hands_at_one_blank_are_shown_both(office, house):
    option = house.option(house.area())
    posted = sheet(option, s_rate="200", s_reason="Steep")
    option.groups.get().steps.update(rate=Decimal(300))
    Option.objects.filter(pk=option.pk).update(version=2)
    page = office.post(at("option", option), posted)
    assert page.status_code == 409
    assert page.context["rows"] == [("Seal: ft² an hour", "by the book", "300", "200")]
    assert whole(option).groups.get().steps.get().rate == Decimal(300)
    again = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', page.text))
    again["had"] = page.context["posted"]["had"]
    office.post(at("option", option), again)
    assert whole(option).groups.get().steps.get().rate == Decimal(200)


def test_the_second_of_two_clicks_changes_nothing_more(office, house):
    option = house.option(house.area())
    posted = sheet(option, new_name="Lift", new_amount="80", new_reason="Roof")
    office.post(at("option", option), posted)
    office.post(at("option", option), posted)
    assert [charge.name for charge in option.charges.all()] == ["Lift"]


def test_a_name_that_is_taken_is_refused_beside_the_blank(office, house):
    option = house.option(house.area(), name="One")
    house.option(name="Two", system=house.system("two"))
    page = office.post(at("option", option), sheet(option, name="Two"))
    assert page.status_code == 422
    assert "There is an option called “Two” in this folder already." in page.text


@pytest.mark.parametrize("areas", [1, 3])
def test_the_figures_ask_as_many_queries_for_three_areas_as_for_one(office, house, areas, django_assert_num_queries):
    option = house.option(*(house.area(f"Area {n}") for n in range(areas)))
    posted = sheet(option, s_rate="200")
    with django_assert_num_queries(22):  # one of them asks what the firm's own jobs say
        office.post(at("option-figures", option), posted)


def test_what_the_last_jobs_showed_stands_beside_the_books_figure_and_changes_none(office, house):
    area = house.area()
    option = house.option(area)
    used = option.groups.get().steps.get().step.materials.get()
    before = office.get(at("option", option)).context["workings"].price.of.price
    Observed.objects.create(
        job=house.job, area=area.name, surface=area.surface, condition=area.condition, step="Seal", kind="coverage",
        of=used.material.key, coat=1, rate=from_unit(Decimal(118), "ft**2/gal").quantize(Decimal("1E-9")),
    )  # fmt: skip
    page = office.get(at("option", option))
    assert "Last job: 118\u00a0ft²/gal on" in page.text
    assert page.context["workings"].price.of.price == before


def test_an_extra_s_sheet_says_what_it_adds(office, house):
    area = house.area()
    option = house.option(area)
    extra = AddOnFactory(with_option=option, name="Another coat")
    group = OptionGroupFactory(option=extra, system=house.system("more"), areas=[area])
    OptionStepFactory(group=group, step=group.system.steps.get())
    page = office.get(at("option", extra))
    assert "adds, before tax" in page.text
    assert "As an extra to" in page.text


def test_words_that_somebody_typed_are_shown_as_words(office, house):
    option = house.option(house.area(), name="<script>alert(1)</script>", mends="<b>x</b>")
    page = office.get(at("option", option))
    assert "<script>alert(1)" not in page.text
    assert "&lt;b&gt;x&lt;/b&gt;" in page.text


# acts


def test_systems_are_added_changed_and_taken_out(office, house):
    option, strip = house.option(house.area()), house.system("strip")
    area = house.job.areas.get()
    office.post(at("option-group-add", option), {"areas": [area.pk], "system": strip.pk, "version": 1})
    assert option.groups.count() == 2
    first = option.groups.first()
    office.post(at("option-group", option, first.pk), {"areas": [area.pk], "system": strip.pk, "version": 2})
    assert option.groups.first().system == strip
    asked = office.get(at("option-group-remove", option, first.pk))
    assert "Its steps go, and what you changed in them." in asked.text
    office.post(at("option-group-remove", option, first.pk), {"version": 3})
    assert option.groups.count() == 1


def test_the_page_that_changes_a_group_says_what_the_findings_say(office, house):
    area = house.area()
    option = house.option(area)
    RestorationSystem.objects.filter(edition=house.edition).update(approach="reseal")
    FindingFactory(area=area, answers={"result": "everywhere"}, reading="lifts")
    page = office.get(at("option-group", option, option.groups.get().pk))
    assert "ruled out on A" in page.text


def test_an_act_on_an_old_version_does_nothing(office, house):
    option = house.option(house.area())
    page = office.post(at("option-group-remove", option, option.groups.get().pk), {"version": 9}, follow=True)
    assert "Somebody changed this option meanwhile." in page.text
    assert option.groups.count() == 1


def test_an_option_is_copied_and_advised(office, house):
    option = house.option(house.area(), name="Reseal")
    office.post(at("option-copy", option), {"name": "Reseal, matt"})
    copy = Option.objects.get(name="Reseal, matt")
    office.post(at("option-advise", copy))
    assert list(Option.objects.filter(advised=True)) == [copy]


def test_an_option_is_removed_after_one_question(office, house):
    option = house.option(house.area())
    assert "Remove it?" in office.get(at("option-remove", option)).text
    office.post(at("option-remove", option), {"version": 1})
    assert not Option.objects.exists()


def test_an_option_that_is_offered_stays_and_the_page_says_why(office, house):
    option = house.option(house.area(), name="Reseal")
    ProposalFactory(job=house.job).options.add(option)
    page = office.post(at("option-remove", option), {"version": 1}, follow=True)
    assert "“Reseal” stands in the proposal being drafted, so it stays." in page.text
    assert Option.objects.get() == option


def test_an_option_of_an_old_edition_says_so_and_shows_what_today_s_changes(office, house):
    option = house.option(house.area())
    edition = copy_edition(edition=house.edition, name="2026-2")
    edition.materials.get().packs.update(price=Decimal("60.00"))
    house.publish()
    Edition.objects.published().update(state="superseded")
    edition.state = "published"
    edition.save(update_fields=["state"])
    assert "Edition 2026-1 is superseded." in office.get(at("option", option)).text
    page = office.get(at("option-move", option))
    # 120.00 + 78.00 + travel 30.00 = 228.00 × 1.5 = 342.00
    assert "267.00" in page.text
    assert "342.00" in page.text
    assert whole(option).edition == house.edition
    office.post(at("option-move", option), {"version": 1})
    assert whole(option).edition == edition


# who may see it


@pytest.mark.parametrize("name", ["option", "option-copy", "option-remove", "option-move", "extra-add"])
def test_the_crew_sees_no_option(client, house, name):
    option = house.option(house.area())
    IssuedProposalFactory(job=house.job)
    client.force_login(CrewFactory())
    assert client.get(at(name, option)).status_code == 403


def test_the_crew_s_figures_are_refused_too(client, house):
    option = house.option(house.area())
    OptionChargeFactory(option=option)
    IssuedProposalFactory(job=house.job)
    client.force_login(CrewFactory())
    assert client.post(at("option-figures", option), sheet(option)).status_code == 403
    assert client.get(reverse("options", args=[house.job.number])).status_code == 403


def test_an_option_of_another_folder_is_not_found(office, house):
    option = house.option(house.area())
    assert office.get(reverse("option", args=["9999", option.pk])).status_code == 404
    assert office.get(reverse("option", args=[option.job.number, option.pk + 1])).status_code == 404


def test_looking_changes_nothing(office, house):
    option = house.option(house.area())
    for name in ("option", "option-copy", "option-remove", "option-group-add"):
        office.get(at(name, option))
    assert office.get(at("option-figures", option)).status_code == 405
    assert office.get(at("option-advise", option)).status_code == 405
    assert whole(option).version == 1
