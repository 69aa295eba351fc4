from decimal import Decimal

import pytest
from moneyed import Money

from quoting.models import ChangedMeanwhile, Edition, Event, Option, OptionUse
from quoting.services.option_groups import NoAreaChosen, change_group, choose_system, remove_group, suited
from quoting.services.option_sheet import Sheet
from quoting.services.options import (
    MOST_OPTIONS,
    NoEdition,
    NotOfThisFolder,
    OptionNameTaken,
    OptionOffered,
    TooManyOptions,
    add_option,
    advise,
    copy_option,
    keep_option,
    remove_option,
)
from quoting.services.scope import workings_of
from tests.factories import (
    AreaFactory,
    ChargeFactory,
    IssuedProposalFactory,
    OptionChargeFactory,
    OptionFactory,
    OptionUseFactory,
    ProposalFactory,
    RestorationSystemFactory,
    SystemStepFactory,
    UserFactory,
)
from tests.sample_options import House, step_material, whole

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> House:
    return House()


def add(house: House, **facts: object) -> Option:
    return add_option(job=house.job, by=UserFactory(), **facts)


def words(**facts: object) -> dict[str, object]:
    return {"name": "Reseal", "discount": Money(0, "USD"), "discount_reason": ""} | facts


# adding


def test_a_new_option_is_as_the_book_has_it(house):
    system = house.system()
    SystemStepFactory(system=system, name="Fill cracks", position=1, on=False)
    ChargeFactory(edition=house.edition, name="Disposal", amount="45.00", per="job", always=False, position=1)
    house.publish()
    area = house.area()
    option = add(house, system=system, areas=[area])
    group = option.groups.get()
    assert (option.name, option.mends, option.edition) == ("Reseal", "Dull sealer.", house.edition)
    assert (list(group.areas.all()), [(step.step.name, step.on) for step in group.steps.all()]) == (
        [area],
        [("Seal", True), ("Fill cracks", False)],
    )
    assert [(each.name, each.amount.amount, each.per, each.on) for each in option.charges.all()] == [
        ("Travel", Decimal("30.00"), "visit", True),
        ("Disposal", Decimal("45.00"), "job", False),
    ]
    assert Event.objects.get().kind == "option added"


def test_a_second_click_gives_the_option_that_the_first_one_added(house):
    system, area = house.system(), house.area()
    house.publish()
    first = add(house, system=system, areas=[area])
    assert add(house, system=system, areas=[area]) == first
    assert Option.objects.count() == 1


def test_another_option_of_the_same_name_is_refused(house):
    system, deck, walk = house.system(), house.area(), house.area("Walk")
    house.publish()
    add(house, system=system, areas=[deck])
    with pytest.raises(OptionNameTaken, match="an option called “reseal” in this folder already"):
        add(house, system=system, areas=[walk], name="reseal")


def test_two_options_may_have_an_extra_of_the_same_name_but_one_has_it_once(house):
    area = house.area()
    one, two = house.option(area, name="One"), house.option(area, name="Two", system=house.system("two"))
    grit, sand = house.system("grit"), house.system("sand")
    for option in (one, two):
        add(house, system=grit, areas=[area], with_option=option)
    assert Option.objects.filter(name="Grit").count() == 2
    with pytest.raises(OptionNameTaken, match="an extra called “Grit” beside this option already"):
        add(house, system=sand, areas=[area], with_option=one, name="Grit")


def test_nothing_is_priced_without_a_published_edition(house):
    with pytest.raises(NoEdition, match="No edition of the price book is published yet"):
        add(house, system=house.system(), areas=[house.area()])


def test_areas_and_systems_from_elsewhere_are_refused(house):
    system, area = house.system(), house.area()
    elsewhere = RestorationSystemFactory()
    house.publish()
    for wrong in ({"system": system, "areas": [AreaFactory()]}, {"system": elsewhere, "areas": [area]}):
        with pytest.raises(NotOfThisFolder):
            add(house, **wrong)


def test_a_folder_holds_so_many_options(house):
    OptionFactory.create_batch(MOST_OPTIONS, job=house.job, edition=house.edition)
    system, area = house.system(), house.area()
    house.publish()
    with pytest.raises(TooManyOptions):
        add(house, system=system, areas=[area], name="One more")


def test_an_extra_is_priced_by_the_edition_of_its_option(house):
    option = house.option(house.area())
    system = house.system("grit")
    house.publish()
    Edition.objects.published().update(state="superseded")
    extra = add(house, system=system, areas=[house.job.areas.get()], with_option=option)
    assert (extra.kind, extra.edition, list(option.add_ons.all())) == ("add-on", house.edition, [extra])


# keeping


def test_the_whole_sheet_is_kept_at_once(house):
    system = house.system()
    option = house.option(house.area(), system=system)
    own = OptionChargeFactory(option=option, name="Saw hire")
    gone = OptionChargeFactory(option=option, name="Skip")
    step = option.groups.get().steps.get()
    sheet = Sheet(
        option=words(name="Thin coat", advised=True, discount=Money("20.00", "USD"), discount_reason="Neighbour"),
        steps={step.pk: {"on": True, "rate": Decimal(200), "reason": "Steep"}},
        uses={(step.pk, step_material(system).pk): {"coverage": Decimal(160), "coats": None}},
        charges={own.pk: {"on": False}},
        added=[{"name": "Lift", "category": "equipment", "amount": Money("80.00", "USD"), "per": "job", "reason": "x"}],
        dropped=frozenset([gone.pk]),
    )
    keep_option(option=option, version=1, sheet=sheet)
    kept = whole(option)
    step = kept.groups.get().steps.get()
    assert (kept.version, kept.name, kept.advised, kept.discount) == (2, "Thin coat", True, Money("20.00", "USD"))
    assert (step.rate, step.reason, step.uses.get().coverage) == (Decimal(200), "Steep", Decimal(160))
    assert [(each.name, each.on) for each in kept.charges.all()] == [("Saw hire", False), ("Lift", True)]
    # 400 ÷ 160 = 2.5 gal: 3 × 50.00; 1 + 400 ÷ 200 = 3 h × 39.00 = 117.00; 80.00; (150 + 117 + 80) × 1.5 − 20
    assert workings_of(house.firm, kept).price.of.price == Decimal("500.50")


def test_a_use_that_differs_in_nothing_any_more_goes(house):
    system = house.system()
    option = house.option(house.area(), system=system)
    step = option.groups.get().steps.get()
    OptionUseFactory(option_step=step, step_material=step_material(system), coats=2)
    uses = {(step.pk, step_material(system).pk): {"coats": None, "material": None}}
    keep_option(option=option, version=1, sheet=Sheet(option=words(), uses=uses))
    assert not OptionUse.objects.exists()


def test_a_stale_version_keeps_nothing(house):
    option = house.option(house.area(), name="As it was")
    with pytest.raises(ChangedMeanwhile):
        keep_option(option=option, version=7, sheet=Sheet(option=words(name="New")))
    assert whole(option).name == "As it was"


def test_keeping_refuses_the_name_of_another(house):
    option = house.option(house.area(), name="One")
    OptionFactory(job=house.job, name="Two")
    with pytest.raises(OptionNameTaken):
        keep_option(option=option, version=1, sheet=Sheet(option=words(name="two")))
    assert whole(option).version == 1


def test_only_one_option_of_a_folder_is_advised(house):
    first = house.option(house.area(), name="One", advised=True)
    second = house.option(system=house.system("other"), name="Two")
    keep_option(option=second, version=1, sheet=Sheet(option=words(name="Two", advised=True)))
    assert [(each.name, each.advised) for each in house.job.options.all()] == [("One", False), ("Two", True)]
    advise(option=first)
    assert [(each.name, each.advised) for each in house.job.options.all()] == [("One", True), ("Two", False)]
    advise(option=first, advised=False)
    assert not house.job.options.filter(advised=True).exists()


# copying and removing


def test_a_copy_has_all_that_differs_from_the_book(house):
    system = house.system()
    option = house.option(house.area(), system=system, advised=True)
    option.groups.get().steps.update(rate=Decimal(200), reason="Steep")
    step = option.groups.get().steps.get()
    OptionUseFactory(option_step=step, step_material=step_material(system), coats=2)
    OptionChargeFactory(option=option)
    copy = copy_option(option=option, by=UserFactory(), name="Another")
    assert (copy.pk == option.pk, copy.advised, copy.position) == (False, False, 1)
    assert workings_of(house.firm, whole(copy)).price == workings_of(house.firm, whole(option)).price
    assert copy_option(option=option, by=UserFactory(), name="Another") == copy


def test_an_option_that_nobody_offers_goes_with_its_extras(house):
    option = house.option(house.area())
    extra = OptionFactory(job=house.job, edition=house.edition, kind="add-on", with_option=option)
    remove_option(option=option, version=1, by=UserFactory())
    assert not Option.objects.filter(pk__in=[option.pk, extra.pk]).exists()


def test_an_option_that_a_draft_offers_stays(house):
    option = house.option(house.area(), name="Reseal")
    extra = OptionFactory(job=house.job, edition=house.edition, kind="add-on", with_option=option, name="Grit")
    ProposalFactory(job=house.job).options.add(extra)
    with pytest.raises(OptionOffered, match="“Grit” stands in the proposal being drafted, so it stays"):
        remove_option(option=option, version=1, by=UserFactory())
    assert (Option.objects.count(), whole(option).version) == (2, 1)


def test_an_option_that_was_issued_stays(house):
    option = house.option(house.area(), name="Reseal")
    issued = IssuedProposalFactory(job=house.job)
    issued.options.add(option)
    with pytest.raises(OptionOffered, match=f"“Reseal” stands in proposal {issued.paper.number}, so it stays"):
        remove_option(option=option, version=1, by=UserFactory())


# groups


def test_a_further_system_brings_its_steps(house):
    option = house.option(house.area())
    group = choose_system(option=option, version=1, system=house.system("strip"), areas=[house.job.areas.get()])
    assert (group.position, group.steps.count(), whole(option).version) == (1, 1, 2)


def test_a_system_needs_an_area(house):
    option = house.option(house.area())
    with pytest.raises(NoAreaChosen, match="Choose at least one area"):
        choose_system(option=option, version=1, system=house.system("strip"), areas=[])
    assert whole(option).version == 1


def test_other_areas_leave_what_was_changed_in_the_steps(house):
    option = house.option(house.area())
    group = option.groups.get()
    group.steps.update(reason="Steep", rate=Decimal(200))
    walk = house.area("Walk")
    change_group(group=group, version=1, system=group.system, areas=[walk])
    assert (list(group.areas.all()), group.steps.get().rate) == ([walk], Decimal(200))


def test_another_system_begins_with_its_own_steps(house):
    option = house.option(house.area())
    group = option.groups.get()
    group.steps.update(reason="Steep", rate=Decimal(200))
    strip = house.system("strip")
    change_group(group=group, version=1, system=strip, areas=[house.job.areas.get()])
    step = option.groups.get().steps.get()
    assert (step.step.system, step.rate, step.reason) == (strip, None, "")


def test_a_group_is_taken_out(house):
    option = house.option(house.area())
    remove_group(group=option.groups.get(), version=1)
    assert (option.groups.count(), whole(option).version) == (0, 2)


def test_systems_that_suit_the_chosen_areas_come_first(house):
    reseal, pavers = house.system("reseal"), house.system("pavers")
    pavers.surfaces = ["concrete-pavers"]
    deck, walk = house.area("Deck"), house.area("Walk", surface="concrete-pavers")
    found = suited([reseal, pavers], [deck, walk], [walk.pk])
    assert [(each.system.key, each.sentence) for each in found] == [
        ("pavers", "not meant for A Deck"),
        ("reseal", "not meant for B Walk"),
    ]
