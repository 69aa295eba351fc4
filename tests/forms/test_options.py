import json
from decimal import Decimal

import pytest
from django.http import QueryDict

from quoting.forms.option_sheet import SheetForm, merge, sheet_texts
from quoting.models import Material
from tests.factories import MaterialFactory, OptionChargeFactory, OptionUseFactory
from tests.sample_options import House, step_material, whole

pytestmark = pytest.mark.django_db


class Opened:
    """The sheet of an option as a browser has it: `post` gives what it sends when some blanks were typed in."""

    def __init__(self, house: House, option) -> None:
        self.house, self.option = house, whole(option)
        self.texts = sheet_texts(self.option)
        self.version = self.option.version
        self.step = self.option.groups.first().steps.first()
        self.s = f"s{self.step.pk}_"
        self.u = f"u{self.step.pk}x{self.step.step.materials.first().pk}_"

    def post(self, **typed: str) -> QueryDict:
        """By short names: `s_rate`, `u_coverage`, or the name of a blank of the option itself."""
        data = QueryDict(mutable=True)
        names = {self.s + key[2:] if key[:2] == "s_" else self.u + key[2:] if key[:2] == "u_" else key: text
                 for key, text in typed.items()}  # fmt: skip
        data.update({name: text for name, text in (self.texts | names).items() if text})
        data["version"], data["had"] = str(self.version), json.dumps(self.texts)
        return data

    def form(self, *, preview: bool = False, **typed: str) -> SheetForm:
        form = SheetForm(
            self.post(**typed),
            option=self.option,
            materials=Material.objects.filter(edition=self.house.edition),
            preview=preview,
        )
        form.is_valid()
        return form


@pytest.fixture
def house() -> House:
    return House()


@pytest.fixture
def opened(house) -> Opened:
    return Opened(house, house.option(house.area(), name="Reseal"))


def test_an_untouched_sheet_says_what_it_was_opened_with(opened):
    form = opened.form()
    assert not form.errors
    assert form.facts["steps"][opened.step.pk] == {
        "on": True, "reason": "", "passes": None, "rate": None, "setup": None, "visit": None, "difficulty": None,
    }  # fmt: skip


def test_figures_become_what_the_rows_hold(opened):
    form = opened.form(s_rate="200", s_passes="2", s_reason="Steep", u_coverage="160", u_coats="2", u_waste="7.5")
    assert not form.errors
    step = form.facts["steps"][opened.step.pk]
    assert (step["rate"], step["passes"], step["reason"]) == (Decimal(200), 2, "Steep")
    assert form.facts["uses"][(opened.step.pk, opened.step.step.materials.get().pk)] == {
        "coats": 2, "coverage": Decimal(160), "waste": Decimal("0.075"),
    }  # fmt: skip


def test_what_differs_from_the_book_needs_a_reason(opened):
    form = opened.form(s_rate="200", u_coverage="160")
    assert form.errors == {opened.s + "reason": ["Say why it differs from the book: rate, coverage."]}


def test_a_step_that_is_off_needs_no_reason(opened):
    opened.texts[opened.s + "on"] = ""
    assert not opened.form(s_rate="200").errors


def test_while_it_is_typed_a_reason_may_still_come(opened):
    assert not opened.form(preview=True, s_rate="200").errors


@pytest.mark.parametrize(
    ("chosen", "factor", "kept"),
    [
        ("", "", None),
        ("textured", "", Decimal("1.25")),
        ("awkward", "", Decimal("1.5")),
        ("own", "1.1", Decimal("1.1")),
    ],
)
def test_difficulty_is_a_factor_of_the_task_or_its_own(opened, chosen, factor, kept):
    form = opened.form(s_difficulty=chosen, s_factor=factor, s_reason="Narrow")
    assert form.facts["steps"][opened.step.pk]["difficulty"] == kept


def test_the_book_s_own_factor_needs_no_reason_and_another_does(opened):
    assert not opened.form(s_difficulty="textured").errors
    assert "difficulty" in opened.form(s_difficulty="own", s_factor="1.1").errors[opened.s + "reason"][0]


def test_what_can_t_be_read_is_said_beside_its_step(opened):
    form = opened.form(s_rate="fast", preview=True)
    assert list(form.errors) == [opened.s + "rate"]
    assert form.step_faults[opened.step.pk][0].startswith("Ft² an hour: ")


@pytest.mark.parametrize("typed", ["1e3", "NaN", "-1", "0", "9" * 15, "200.00001"])
def test_absurd_figures_are_refused(opened, typed):
    assert list(opened.form(s_rate=typed, s_reason="x").errors) == [opened.s + "rate"]


def test_another_tone_is_one_of_the_same_group(house):
    other = MaterialFactory(edition=house.edition, name="Sealer, matt")
    stranger = MaterialFactory(edition=house.edition, group="cleaners")
    opened = Opened(house, house.option(house.area()))
    form = opened.form(u_material=str(other.pk))
    assert form.facts["uses"][(opened.step.pk, opened.step.step.materials.get().pk)]["material"] == other
    assert opened.u + "material" in opened.form(u_material=str(stranger.pk)).errors


def test_sundries_do_not_stand_in_for_one_another(house):
    house.sealer.group = "sundries"
    house.sealer.save()
    MaterialFactory(edition=house.edition, group="sundries")
    opened = Opened(house, house.option(house.area()))
    assert opened.u + "material" not in opened.form().fields


def test_a_discount_needs_a_reason(opened):
    assert list(opened.form(discount="20").errors) == ["discount_reason"]
    form = opened.form(discount="20", discount_reason="Neighbour")
    assert (form.facts["option"]["discount"].amount, form.facts["option"]["discount_reason"]) == (20, "Neighbour")


def test_a_charge_of_its_own_needs_a_name_an_amount_and_a_reason(opened):
    assert list(opened.form(new_amount="80").errors) == ["new_name", "new_reason"]
    form = opened.form(new_name="Lift", new_amount="80", new_per="visit", new_reason="Roof")
    added = form.facts["added"][0]
    assert (added["name"], added["amount"].amount, added["per"]) == ("Lift", 80, "visit")


def test_what_was_kept_is_shown_again(house):
    system = house.system()
    option = house.option(house.area(), system=system)
    option.groups.get().steps.update(difficulty=Decimal("1.5000"), rate=Decimal("200.0000"))
    OptionUseFactory(
        option_step=option.groups.get().steps.get(), step_material=step_material(system), waste=Decimal("0.05")
    )
    opened = Opened(house, option)
    texts = opened.texts
    shown = (texts[opened.s + "difficulty"], texts[opened.s + "rate"], texts[opened.u + "waste"])
    assert shown == ("awkward", "200", "5")


# two hands


def test_what_only_the_other_changed_is_taken_over(house, opened):
    opened.option.groups.get().steps.update(passes=3)
    merged = merge(opened.post(s_rate="200"), whole(opened.option))
    assert (merged.clashes, merged.data[opened.s + "passes"], merged.data[opened.s + "rate"]) == ((), "3", "200")


def test_what_both_changed_is_for_a_person_to_decide(house, opened):
    opened.option.groups.get().steps.update(rate=Decimal(300))
    merged = merge(opened.post(s_rate="200"), whole(opened.option))
    assert [tuple(clash) for clash in merged.clashes] == [(opened.s + "rate", "", "300", "200")]
    assert merged.data[opened.s + "rate"] == "200"


def test_what_both_changed_alike_is_no_matter(house, opened):
    opened.option.groups.get().steps.update(rate=Decimal(200))
    assert merge(opened.post(s_rate="200"), whole(opened.option)).clashes == ()


def test_a_step_that_came_meanwhile_stays_as_it_is(house, opened):
    system = house.system("strip")
    from_them = house.option(house.area("Walk"), system=system).groups.get()
    from_them.option = opened.option
    from_them.save()
    merged = merge(opened.post(), whole(opened.option))
    assert merged.data[f"s{from_them.steps.get().pk}_on"] == "on"


def test_a_box_that_the_other_unticked_stays_unticked(house, opened):
    opened.option.groups.get().steps.update(on=False)
    assert opened.s + "on" not in merge(opened.post(), whole(opened.option)).data


def test_a_second_click_adds_a_charge_only_once(house, opened):
    OptionChargeFactory(option=opened.option, name="Lift", amount="80.00")
    posted = opened.post(new_name="Lift", new_amount="80", new_reason="Roof")
    assert "new_name" not in merge(posted, whole(opened.option)).data


@pytest.mark.parametrize("had", ["", "[1]", "{", '{"name": 3}', "[" * 4000])
def test_a_memory_that_can_t_be_read_overwrites_nothing_of_theirs(house, opened, had):
    posted = opened.post(name="Mine")
    posted["had"] = had
    assert merge(posted, whole(opened.option)).data["name"] == "Reseal"


def test_a_share_of_direct_cost_is_added_with_its_reason(opened):
    form = opened.form(new_name="Contingency", new_share="20", new_reason="Nobody knows what lies on it")
    assert not form.errors
    (added,) = form.facts["added"]
    assert (added["per"], added["share"], added["amount"].amount) == ("share", Decimal("0.2"), 0)
    assert list(opened.form(new_name="C", new_share="20", new_amount="5", new_reason="Both").errors) == ["new_amount"]


def test_the_book_s_difficulty_can_be_taken_off_and_put_back(opened):
    assert opened.form(s_difficulty="usual").facts["steps"][opened.step.pk]["difficulty"] == 1
    assert opened.form(s_difficulty="").facts["steps"][opened.step.pk]["difficulty"] is None


def test_the_blank_of_difficulty_says_what_the_book_has(house):
    deep = Opened(house, house.option(house.area(texture=Decimal("1.2"))))
    assert dict(deep.form().fields[f"{deep.s}difficulty"].choices)[""] == "by the book, × 1.25"


def test_a_metric_edition_asks_in_its_own_units(house):
    house.edition.units = "metric"
    house.edition.save()
    opened = Opened(house, house.option(house.area()))
    assert [blank.short for blank in opened.form().blanks.values() if blank.key == "coverage"] == ["M² a litre"]
