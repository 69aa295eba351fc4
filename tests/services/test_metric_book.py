"""A price book that counts in metric units: from its figures through the option's scope to the paper."""

import json
from decimal import Decimal

import pytest

from quoting.core.book_units import METRIC
from quoting.core.scope_file import read_scope
from quoting.core.work_out import work_out
from quoting.documents.contexts import paper_html
from quoting.models import Edition, Firm, Material, Option, PaperScope
from quoting.services.comparison import compare
from quoting.services.editions import copy_edition
from quoting.services.issue import issue_proposal
from quoting.services.learning import learned_of, rate_said
from quoting.services.option_moves import move_to_edition
from quoting.services.pricebook import read_book
from quoting.services.publication import find_lacks
from quoting.services.scope import scope_of, workings_of
from quoting.services.starter_edition import create_starter_edition
from tests.factories import OptionUseFactory, OwnerFactory, PackFactory
from tests.sample_offer import ready_draft
from tests.sample_options import House, step_material, whole
from tests.services.test_learning import seen

pytestmark = pytest.mark.django_db


def metric_house() -> House:
    """A litre of sealer at 12.00 goes 5 m²; one person seals 40 m² an hour."""
    house = House()
    Edition.objects.filter(pk=house.edition.pk).update(units="metric")
    house.edition.refresh_from_db()
    house.sealer.packs.all().delete()
    PackFactory(material=house.sealer, size=1, unit="L", price="12.00")
    house.sealer.coverages.update(low=4, likely=5, high=6)
    house.task.rate, house.task.unit = 40, "m**2/hour"
    house.task.save()
    house.task.refresh_from_db()
    return house


def test_an_option_is_worked_out_in_the_units_of_its_edition():
    house = metric_house()
    option = whole(house.option(house.area(square="10 m")))
    # 100 m² ÷ 5 m²/L = 20 L × 12.00 = 240.00; 1 + 100 ÷ 40 = 3.5 h × 39.00 = 136.50; 376.50 × 1.5 = 564.75
    assert workings_of(house.firm, option).price.of.price == Decimal("564.75")
    (step,) = scope_of(house.firm, option).work
    assert (step.materials[0].use.coverage.text, step.labour.rate.text) == ("5 m**2/L", "40 m**2/hour")


def test_the_options_own_coverage_and_strength_are_in_them_too():
    house = metric_house()
    system = house.system(use={"by": "mix", "coats": 1, "batch": "20 L"})
    Material.objects.update(kind="dry", scoop=60, density=1300)
    house.sealer.packs.all().delete()
    PackFactory(material=house.sealer, size=1, unit="kg", price="12.00")
    option = house.option(house.area(square="10 m"), system=system)
    step = option.groups.get().steps.get()
    OptionUseFactory(option_step=step, step_material=step_material(system), coverage=4, strength=45)
    scope = scope_of(house.firm, whole(option))
    use, material = scope.work[0].materials[0].use, scope.materials[0]
    assert (use.coverage.text, use.strength.text) == ("4 m**2/L", "45 g/L")
    assert (material.scoop.text, material.density.text) == ("60 g", "1300 kg/m**3")


def test_a_metric_edition_prices_the_paper_as_the_american_one_that_it_was_converted_from():
    by = OwnerFactory()
    draft = ready_draft(by)
    firm = Firm.objects.get()
    (option,) = Option.objects.filter(job=draft.job, advised=True)
    american = workings_of(firm, whole(option))
    Edition.objects.update(state="superseded")
    metric = copy_edition(edition=option.edition, name="metric", units="metric")
    Edition.objects.filter(pk=metric.pk).update(state="published")
    for each in Option.objects.filter(job=draft.job, kind="option"):
        move_to_edition(option=each, version=each.version, by=by)
    Firm.objects.update(units="metric")
    draft.refresh_from_db()
    paper = issue_proposal(proposal=draft, version=draft.version, by=by)
    scopes = [read_scope(each.scope) for each in PaperScope.objects.filter(paper=paper)]
    (scope,) = [each for each in scopes if each.title == option.name]
    workings = work_out(scope)
    assert workings.price.of.total == american.price.of.total
    # a figure of four decimals is right to 5 in 100,000
    needs = [each.need for each in american.materials]
    assert [each.need for each in workings.materials] == pytest.approx(needs, rel=Decimal("0.00005"))
    html = paper_html(json.loads(paper.facts))
    assert ("ft²" in html, "m²" in html) == (False, True)


def test_a_copy_in_other_units_has_the_figures_converted_and_the_packs_as_they_are_sold():
    house = House()
    house.sealer.density, house.sealer.strength = Decimal(80), Decimal(6)
    house.sealer.save()
    copy = copy_edition(edition=house.edition, name="metric", units="metric")
    sealer, task = copy.materials.get(), copy.tasks.get()
    # 200 × 0.09290304 ÷ 3.785411784 = 4.9085; 80 × 16.01846337 = 1,281.4771; 6 × 7.489151707 = 44.9349
    assert copy.counts_in is METRIC
    assert sealer.coverage_on("stamped", "worn").likely == Decimal("4.9085")
    assert (sealer.density, sealer.strength) == (Decimal("1281.4771"), Decimal("44.9349"))
    assert (task.rate, task.unit) == (Decimal("37.1612"), "m**2/hour")  # 400 × 0.09290304
    assert [pack.size_text for pack in sealer.packs.all()] == ["1 gal"]


def test_editions_in_different_units_are_held_against_each_other_in_those_of_the_new_one():
    house = House()
    copy = copy_edition(edition=house.edition, name="metric", units="metric")
    assert compare(read_book(house.edition), read_book(copy)) == []
    copy.tasks.update(rate=40)
    (difference,) = compare(read_book(house.edition), read_book(copy))
    assert (difference.old, difference.new) == (Decimal("37.1612"), Decimal(40))


def test_a_metric_starter_edition_has_metric_packs_and_nothing_is_missing_in_it():
    edition = create_starter_edition(units="metric")
    assert find_lacks(read_book(edition)) == []
    sealer, powder = (edition.materials.get(key=key) for key in ("acrylic-18", "base-graphite"))
    assert [pack.size_text for pack in sealer.packs.all()] == ["4 L", "20 L"]
    # 220 ft²/gal is 5.399 m²/L, 6 oz/gal is 44.93 g/L, a scoop of 2 oz 56.7 g: two digits
    assert sealer.coverage_on("stamped", "worn").likely == Decimal("5.4")
    assert (powder.strength, powder.scoop) == (Decimal(45), Decimal(57))
    assert set(edition.tasks.values_list("unit", flat=True)) <= {"m**2/hour", "m/hour", "each/hour"}


def test_what_jobs_say_is_told_in_the_units_of_the_book():
    house = metric_house()
    seen("sealer", "200")
    seen("seal", "400", kind="rate")
    row = house.sealer.coverages.filter(condition="worn", coat=1).get()
    said = learned_of(["sealer"]).of_coverage("sealer", row, METRIC)
    # 200 ft²/gal = 4.908 m²/L; 5 ÷ (4 ÷ 5 + 1 ÷ 4.908) = 4.98
    assert said is not None
    assert said.words == "Last job: 4.9\u00a0m²/L on worn or patchy; with the book’s figure 5.0."
    # 400 ft²/h = 37.16 m²/h; 5 ÷ (4 ÷ 40 + 1 ÷ 37.16) = 39.4
    told = rate_said(house.task)
    assert told is not None
    assert told.words == "Last job: 37\u00a0m²/h; with the book’s figure 39."
