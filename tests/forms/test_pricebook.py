"""The forms of the price book: figures, what two people changed, uses by kind."""

from decimal import Decimal

import pytest
from django.forms import ValidationError
from moneyed import Money

from quoting.core.units import Dimension
from quoting.forms.figures import AmountField, NumberField, PercentField, QuantityField
from quoting.forms.hands import Hands
from quoting.forms.materials import CoverageFormSet, MaterialForm, PackFormSet
from quoting.forms.pricebook import ChargeForm, FiguresForm, TaskForm, cell
from quoting.forms.systems import StepForm, SystemForm
from quoting.forms.uses import UseForm
from quoting.models import Charge, LabourTask, Material, SystemStep
from tests.factories import (
    ChargeFactory,
    CoverageFactory,
    EditionFactory,
    LabourTaskFactory,
    MaterialFactory,
    PackFactory,
    RestorationSystemFactory,
    StepMaterialFactory,
    SystemStepFactory,
)

pytestmark = pytest.mark.django_db


def sentence(field, text: str) -> str:
    with pytest.raises(ValidationError) as caught:
        field.clean(text)
    return caught.value.messages[0]


@pytest.mark.parametrize(("text", "number"), [("220", "220"), (" 0.75 ", "0.75"), ("12.3456", "12.3456")])
def test_a_figure_reads_as_a_decimal(text, number):
    assert NumberField().clean(text) == Decimal(number)


@pytest.mark.parametrize("text", ["1e3", "NaN", "1_000", "1,000", "٣", "9**9**9", "1" * 10, "0.1234567", "1 gal"])
def test_what_is_no_plain_number_is_refused(text):
    assert NumberField().clean("5") == 5
    assert sentence(NumberField(places=6), text)


def test_bounds_are_said():
    assert sentence(NumberField(above=0, least=None), "0") == "It must be more than 0."
    assert sentence(NumberField(least=1), "0.5") == "It can’t be less than 1."
    assert sentence(NumberField(most=20), "21") == "It can’t be more than 20."
    assert sentence(NumberField(places=2), "1.005") == "At most 2 digits after the point."


def test_an_empty_figure_is_none_where_it_may_be():
    assert NumberField(required=False).clean("") is None


def test_a_share_is_typed_in_per_cent():
    field = PercentField()
    assert (field.clean("5"), field.clean("22.5")) == (Decimal("0.05"), Decimal("0.225"))
    assert field.prepare_value(Decimal("0.2250")) == "22.5"
    assert sentence(field, "101") == "It can’t be more than 100."


def test_an_amount_shows_its_cents():
    assert AmountField().prepare_value(Money("56.5", "USD")) == "56.50"


def test_the_same_figure_written_otherwise_is_no_change():
    assert not NumberField().has_changed("220.0000", "220")
    assert NumberField().has_changed("220", "221")
    assert NumberField().has_changed("220", "two")


def test_a_quantity_keeps_its_text_once_it_reads():
    assert QuantityField(Dimension.LENGTH).clean("1/4 in") == "1/4 in"
    assert QuantityField(Dimension.LENGTH, words=("edge",)).clean("edge") == "edge"
    assert QuantityField(Dimension.VOLUME).clean(" 5  gal ") == "5 gal"


@pytest.mark.parametrize("text", ["5", "5 lb", "5 parsecs", "9**9**9 gal", "-5 gal", "0 gal"])
def test_a_quantity_of_another_kind_is_refused(text):
    assert sentence(QuantityField(Dimension.VOLUME), text)


def figures(rows, **typed):
    """The form of figures over these rows and attributes, as a browser would send it back with what was typed."""
    cells = [cell(row, attribute, attribute) for row, attribute in rows]
    data = {"version": "1"}
    for each in cells:
        shown = each.field.prepare_value(getattr(each.row, each.attribute))
        data |= {f"initial-{each.name}": shown, each.name: typed.get(each.attribute, shown)}
    return FiguresForm(data, cells=cells, version=1)


def test_figures_in_place_change_only_what_was_changed():
    pack, task = PackFactory(), LabourTaskFactory()
    form = figures([(pack, "price"), (task, "rate"), (task, "setup")], price="245")
    assert form.is_valid()
    (row,) = form.changed_rows()
    assert (row, row.price) == (pack, Money("245", "USD"))


def test_a_figure_that_was_changed_is_no_starting_value_any_more():
    task = LabourTaskFactory(is_starting_value=True)
    form = figures([(task, "rate")], rate="340")
    assert form.is_valid()
    assert [row.is_starting_value for row in form.changed_rows()] == [False]


def test_low_likely_and_high_stand_in_order_in_place():
    row = CoverageFactory()
    form = figures([(row, "low"), (row, "likely"), (row, "high")], likely="300")
    assert form.errors == {f"coverage-{row.pk}-likely": ["Low, likely and high must stand in this order."]}


def test_a_cell_that_was_not_sent_stays_as_it_is():
    task = LabourTaskFactory()
    form = FiguresForm({"version": "1"}, cells=[cell(task, "rate", "rate")], version=1)
    assert form.is_valid()
    assert form.changed_rows() == []


def test_only_a_figure_that_both_changed_is_a_matter_for_two():
    task = LabourTaskFactory(rate=350, setup=1)
    name = f"labourtask-{task.pk}"
    sent = {
        "version": "1",
        f"initial-{name}-rate": "330",  # was 330 when the page was opened; somebody made it 350
        f"{name}-rate": "340",
        f"initial-{name}-setup": "1",
        f"{name}-setup": "1.5",
    }
    cells = [cell(task, "rate", "Seal, rate"), cell(task, "setup", "Seal, set-up")]
    form = FiguresForm(sent, cells=cells, version=2)
    assert form.is_valid()
    assert form.both_changed() == [Hands("Seal, rate", "330", "350", "340")]


def test_what_somebody_else_changed_and_nobody_touched_here_stays_theirs():
    task = LabourTaskFactory(name="Seal", rate=350, setup=1)
    opened = {"name": "Seal", "rate": "330", "unit": "ft**2/hour", "setup": "1", "textured": "1", "awkward": "1"}
    data = {**{f"initial-{name}": value for name, value in opened.items()}, **opened, "setup": "1.5"}
    form = TaskForm(data, instance=LabourTask.objects.get(pk=task.pk))
    assert form.is_valid(), form.errors
    assert (form.instance.rate, form.instance.setup) == (350, Decimal("1.5"))
    assert form.both_changed() == []


def test_a_charge_is_in_the_firms_currency():
    charge = Charge(edition=EditionFactory())
    data = {"name": "Travel", "category": "equipment", "amount": "32", "per": "visit", "always": "on"}
    form = ChargeForm(data, instance=charge, currency="CAD")
    assert form.is_valid(), form.errors
    assert charge.amount == Money("32", "CAD")


def test_an_amount_that_nobody_touched_keeps_its_currency():
    charge = ChargeFactory(amount=Money("32", "CAD"))
    charge.refresh_from_db()
    data = {"name": "Way", "category": "equipment", "amount": "32", "initial-amount": "32.00", "per": "visit"}
    form = ChargeForm(data, instance=charge, currency="USD")
    assert form.is_valid(), form.errors
    assert charge.amount == Money("32", "CAD")


def material(**changed):
    data = {
        "name": "Acrylic", "group": "sealers", "kind": "liquid", "kept_in": "", "waste": "5", "strength": "",
        "scoop": "", "solids": "18", "density": "", "charge": "packs", "cautions": "",
    }  # fmt: skip
    return MaterialForm({**data, **changed}, instance=Material(edition=EditionFactory()))


def test_a_material_reads_its_shares_in_per_cent():
    form = material()
    assert form.is_valid(), form.errors
    assert (form.instance.waste, form.instance.solids) == (Decimal("0.05"), Decimal("0.18"))


def test_an_empty_waste_is_none_at_all():
    form = material(waste="")
    assert form.is_valid(), form.errors
    assert form.instance.waste == 0


@pytest.mark.parametrize("name", ["waste", "strength", "scoop", "solids", "density"])
def test_a_figure_of_a_material_that_is_no_number_is_said_at_its_field(name):
    assert list(material(**{name: "much"}).errors) == [name]


def packs(row, *lines):
    data = {"packs-TOTAL_FORMS": len(lines), "packs-INITIAL_FORMS": 0}
    for place, (size, unit, price) in enumerate(lines):
        data |= {f"packs-{place}-size": size, f"packs-{place}-unit": unit, f"packs-{place}-price": price}
    return PackFormSet(data, instance=row, prefix="packs", form_kwargs={"currency": "USD"})


def test_packs_come_in_the_units_of_their_kind():
    rows = packs(MaterialFactory(kind="liquid"), ("5", "lb", "239"))
    assert rows.errors == [{"unit": ["It is bought liquid, by volume: fl oz, pt, qt, gal, mL, L."]}]


def test_two_packs_alike_are_refused():
    rows = packs(MaterialFactory(), ("5", "gal", "239"), ("5", "gal", "240"))
    assert not rows.is_valid()
    assert rows.non_form_errors() == ["Two of these rows are alike; keep one."]


def test_packs_that_are_new_are_kept_and_an_empty_line_is_none():
    rows = packs(MaterialFactory(), ("5", "gal", "239"), ("", "", ""))
    assert rows.is_valid(), rows.errors
    assert [row.size_text for row in rows.kept_rows] == ["5 gal"]


def coverage(**typed):
    line = {"surface": "stamped", "condition": "worn", "coat": "1", "low": "180", "likely": "220", "high": "260"}
    line |= {"spread": "25", **typed}
    data = {"c-TOTAL_FORMS": 1, "c-INITIAL_FORMS": 0, **{f"c-0-{name}": value for name, value in line.items()}}
    return CoverageFormSet(data, instance=MaterialFactory(), prefix="c", form_kwargs={"currency": "USD"})


def test_coverage_is_kept_with_its_spread_as_a_share():
    rows = coverage()
    assert rows.is_valid(), rows.errors
    assert [(row.likely, row.spread) for row in rows.kept_rows] == [(220, Decimal("0.25"))]


def test_coverage_out_of_order_is_said_once_at_the_likely_figure():
    assert coverage(likely="300").errors == [{"likely": ["Low, likely and high must stand in this order."]}]


@pytest.fixture
def step() -> SystemStep:
    return SystemStepFactory()


def step_form(step, **changed):
    data = {"name": "Seal", "how": "", "measure": "area", "passes": "1", "visit": "1", "hold_hours": "24", **changed}
    return StepForm(data, instance=step, edition=step.system.edition)


def test_a_step_needs_its_task_or_goes_by_hours(step):
    assert step_form(step).errors == {"task": ["Choose the task, or let it go by hours."]}
    assert step_form(step, measure="hours").errors == {"hours": ["Say how many person-hours it takes."]}
    assert step_form(step, measure="hours", hours="1.5").is_valid()


def test_a_task_fits_what_the_step_goes_by(step):
    task = LabourTaskFactory(edition=step.system.edition, name="Mask", unit="ft/hour")
    assert step_form(step, task=task.pk).errors == {
        "task": ["Mask is reckoned in ft an hour: choose another, or measure."]
    }
    assert step_form(step, task=task.pk, measure="edge").is_valid()


def test_a_task_of_another_edition_can_not_be_chosen(step):
    assert list(step_form(step, task=LabourTaskFactory().pk).errors) == ["task"]


def test_a_system_keeps_its_slabs_as_words():
    system = RestorationSystemFactory()
    data = {"name": "Reseal", "surfaces": ["stamped", "steps"], "conditions": ["worn"]}
    form = SystemForm(data, instance=system)
    assert form.is_valid(), form.errors
    assert (system.surfaces, system.conditions) == (["stamped", "steps"], ["worn"])


def test_a_system_suits_no_made_up_slab():
    data = {"name": "Reseal", "surfaces": ["lava"], "conditions": ["worn"]}
    assert list(SystemForm(data, instance=RestorationSystemFactory()).errors) == ["surfaces"]


USES = {
    "coverage": {"by": "coverage", "coats": 1, "first_coat": 2, "condition": "bare"},
    "mix": {"by": "mix", "coats": 1, "batch": "5 gal", "batch_step": "0.25 gal", "strength": "6 oz/gal"},
    "dilution": {"by": "dilution", "parts_water": "4", "coats": 1},
    "length": {"by": "length", "per_length": "0.01 each/ft", "length": "edge"},
    "crack": {"by": "crack", "width": "1/4 in", "depth": "1/2 in"},
    "joint": {"by": "joint", "unit_length": "8 in", "unit_width": "4 in", "joint": "1/8 in", "depth": "1 in"},
    "each": {"by": "each", "count": 3},
}


def use_form(row, **changed):
    prefix = f"use-{row.pk}"
    data = {f"{prefix}-{name}": str(value) for name, value in row.use.items() if name != "by"}
    data |= {f"{prefix}-material": row.material_id, f"{prefix}-waste": ""}
    data |= {f"initial-{name}": value for name, value in data.items()}
    data |= {f"{prefix}-{name}": value for name, value in changed.items()}
    return UseForm(data, row=row, edition=row.material.edition)


@pytest.mark.parametrize("kind", USES)
def test_a_use_is_kept_as_the_scope_file_writes_it(kind):
    row = StepMaterialFactory(use=USES[kind])
    form = use_form(row)
    assert form.is_valid(), form.errors
    assert form.changed_row().use == USES[kind]


def test_the_first_coat_is_nothing_to_remember():
    row = StepMaterialFactory(use={"by": "coverage", "coats": 2})
    form = use_form(row, first_coat="1", waste="8")
    assert form.is_valid(), form.errors
    changed = form.changed_row()
    assert (changed.use, changed.waste) == ({"by": "coverage", "coats": 2}, Decimal("0.08"))


def test_a_batch_is_a_volume():
    assert list(use_form(StepMaterialFactory(use=USES["mix"]), batch="5 lb").errors) == ["batch"]


def test_what_is_counted_has_a_count_or_an_area():
    row = StepMaterialFactory(use=USES["each"])
    assert use_form(row, per_area="100 ft²").errors == {"count": ["Give exactly one of the two."]}
    form = use_form(row, count="", per_area="100 ft²")
    assert form.is_valid(), form.errors
    assert form.changed_row().use == {"by": "each", "per_area": "100 ft²"}


def charge_form(**typed):
    data = {"name": "Contingency", "category": "other", "amount": "", "per": "share", "share": "20", "always": ""}
    return ChargeForm(data | typed, instance=Charge(edition=EditionFactory()), currency="CAD")


def test_a_charge_can_be_a_share_of_direct_cost_without_an_amount():
    form = charge_form()
    assert form.is_valid(), form.errors
    assert (form.instance.share, form.instance.amount) == (Decimal("0.2"), Money(0, "CAD"))


@pytest.mark.parametrize(("typed", "at"), [({"share": ""}, "share"), ({"per": "job"}, "amount")])
def test_a_charge_says_how_much_it_is_in_one_way_or_the_other(typed, at):
    assert list(charge_form(**typed).errors) == [at]


def test_a_share_that_is_left_standing_beside_an_amount_goes():
    form = charge_form(per="job", amount="45")
    assert form.is_valid(), form.errors
    assert form.instance.share is None
