from decimal import Decimal

import pytest

from quoting.core.rounding import round_half_up
from quoting.core.scope import CoverageUse, CrackUse, EachUse, JointUse, LengthUse, MixUse
from quoting.services.scope import Gap, OptionIncomplete, scope_of, steps_of, visits_of, workings_of
from tests.factories import (
    AddOnFactory,
    LabourTaskFactory,
    MaterialFactory,
    OptionChargeFactory,
    OptionGroupFactory,
    OptionStepFactory,
    OptionUseFactory,
    PackFactory,
    StepMaterialFactory,
    SystemStepFactory,
)
from tests.sample_options import House, step_material, whole

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> House:
    return House()


def use_of(house: House, option):
    """The first use of the first step."""
    return scope_of(house.firm, whole(option)).work[0].materials[0].use


def gaps_of(house: House, option, add_ons=()) -> tuple[Gap, ...]:
    with pytest.raises(OptionIncomplete) as incomplete:
        workings_of(house.firm, whole(option), add_ons)
    return incomplete.value.gaps


# the price worked by hand


def test_an_option_comes_to_what_its_steps_cost_and_the_markup(house):
    # 400 ft² ÷ 200 ft²/gal = 2 gal × 50.00 = 100.00; 1 + 400 ÷ 400 = 2 h × 39.00 = 78.00; 178.00 × 1.5 = 267.00
    option = house.option(house.area())
    price = workings_of(house.firm, whole(option)).price.of
    assert (price.cost, price.price) == (Decimal("178.00"), Decimal("267.00"))


# coverage by slab


def test_the_condition_found_decides_the_coverage(house):
    option = house.option(house.area(condition="bare"))
    assert use_of(house, option).coverage.text == "100 ft**2/gal"


def test_two_coats_take_the_coverage_of_each(house):
    option = house.option(house.area(), system=house.system(use={"by": "coverage", "coats": 2}))
    use = use_of(house, option)
    assert isinstance(use, CoverageUse)
    assert [rate.text for rate in use.rates] == ["200 ft**2/gal", "250 ft**2/gal"]


def test_a_second_coat_that_is_a_step_of_its_own_takes_the_second_coverage(house):
    option = house.option(house.area(), system=house.system(use={"by": "coverage", "coats": 1, "first_coat": 2}))
    assert use_of(house, option).coverage.text == "250 ft**2/gal"


def test_a_stripped_slab_is_bare_whatever_was_found(house):
    option = house.option(house.area(), system=house.system(use={"by": "coverage", "coats": 1, "condition": "bare"}))
    assert use_of(house, option).coverage.text == "100 ft**2/gal"


def test_where_slabs_differ_the_thirstiest_decides(house):
    option = house.option(house.area("Deck"), house.area("Walk", condition="bare"))
    assert use_of(house, option).coverage.text == "100 ft**2/gal"


def test_steps_are_reckoned_like_stamped_concrete(house):
    option = house.option(house.area(surface="steps"))
    assert use_of(house, option).coverage.text == "200 ft**2/gal"


def test_the_system_s_own_coverage_comes_before_the_book_s(house):
    option = house.option(house.area(), system=house.system(use={"by": "coverage", "coverage": "65 ft**2/gal"}))
    assert use_of(house, option).coverage.text == "65 ft**2/gal"


def test_a_coverage_that_the_book_does_not_know_is_a_gap_of_its_step(house):
    option = house.option(house.area(surface="clay-pavers"))
    sentence = "Seal: the price book doesn’t say how far Sealer goes on clay pavers, worn or patchy."
    assert gaps_of(house, option) == (Gap("Seal", sentence, steps_of(whole(option))[0].pk),)


# what the option says itself


@pytest.mark.parametrize(
    ("own", "hours"),
    [
        # 1 h of set-up + passes × 400 ft² ÷ rate × difficulty
        ({}, "2"),
        ({"passes": 3}, "4"),  # 1 + 3 × 1
        ({"rate": Decimal(200)}, "3"),  # 1 + 400 ÷ 200
        ({"setup": Decimal(0)}, "1"),
        ({"difficulty": Decimal("1.5")}, "2.5"),  # 1 + 1 × 1.5
    ],
)
def test_a_step_takes_its_own_figures_before_the_book_s(house, own, hours):
    option = house.option(house.area())
    option.groups.get().steps.update(**own)
    assert workings_of(house.firm, whole(option)).person_hours == Decimal(hours)


def test_its_own_coverage_holds_for_every_coat(house):
    system = house.system(use={"by": "coverage", "coats": 2})
    option = house.option(house.area(), system=system)
    step = option.groups.get().steps.get()
    OptionUseFactory(option_step=step, step_material=step_material(system), coverage=Decimal(160))
    use = use_of(house, option)
    assert (use.coverage.text, use.coats, use.rates) == ("160 ft**2/gal", 2, ())


def test_its_own_coats_take_the_book_s_coverage_of_each(house):
    system = house.system()
    option = house.option(house.area(), system=system)
    OptionUseFactory(option_step=option.groups.get().steps.get(), step_material=step_material(system), coats=2)
    assert [rate.text for rate in use_of(house, option).rates] == ["200 ft**2/gal", "250 ft**2/gal"]


def test_waste_is_the_option_s_then_the_system_s_then_the_material_s(house):
    house.sealer.waste = Decimal("0.1")
    house.sealer.save()
    system = house.system()
    option = house.option(house.area(), system=system)

    def waste() -> Decimal:
        return scope_of(house.firm, whole(option)).work[0].materials[0].waste

    found = [waste()]
    system.steps.get().materials.update(waste=Decimal("0.05"))
    found.append(waste())
    OptionUseFactory(option_step=option.groups.get().steps.get(), step_material=step_material(system), waste=Decimal(0))
    found.append(waste())
    assert found == [Decimal("0.1"), Decimal("0.05"), Decimal(0)]


def test_another_tone_brings_its_own_strength_and_packs(house):
    tones = [
        MaterialFactory(edition=house.edition, key=key, name=key, kind="dry", group="powders", strength=strength)
        for key, strength in (("graphite", 6), ("walnut", 8))
    ]
    for tone in tones:
        PackFactory(material=tone, size=1, unit="lb", price="20.00")
        house.goes(tone, "stamped", "worn", 200)
    system = house.system(use={"by": "mix", "batch": "5 gal"})
    system.steps.get().materials.update(material=tones[0])
    option = house.option(house.area(), system=system)
    OptionUseFactory(
        option_step=option.groups.get().steps.get(), step_material=step_material(system), material=tones[1]
    )
    scope = scope_of(house.firm, whole(option))
    use = scope.work[0].materials[0].use
    assert isinstance(use, MixUse)
    assert (use.strength.text, [material.key for material in scope.materials]) == ("8 oz/gal", ["walnut"])


def test_its_own_strength_comes_before_the_system_s_and_the_tone_s(house):
    tone = MaterialFactory(edition=house.edition, key="graphite", kind="dry", group="powders", strength=6)
    PackFactory(material=tone, size=1, unit="lb")
    house.goes(tone, "stamped", "worn", 200)
    system = house.system(use={"by": "mix", "batch": "5 gal", "strength": "7 oz/gal"})
    system.steps.get().materials.update(material=tone)
    option = house.option(house.area(), system=system)
    assert use_of(house, option).strength.text == "7 oz/gal"
    OptionUseFactory(
        option_step=option.groups.get().steps.get(), step_material=step_material(system), strength=Decimal("5.5")
    )
    assert use_of(house, option).strength.text == "5.5 oz/gal"


# joints, edges, cracks, pieces


def sand(house: House, **use: object):
    material = MaterialFactory(edition=house.edition, key="sand", name="Sand", kind="dry", group="sundries", density=90)
    PackFactory(material=material, size=50, unit="lb", price="12.00")
    system = house.system(use={"by": "joint", "unit_length": "8 in", "unit_width": "4 in"} | use)
    system.steps.get().materials.update(material=material)
    return system


def test_joint_sand_takes_the_density_of_the_material(house):
    system = sand(house, joint="1/8 in", depth="1 in")
    use = use_of(house, house.option(house.area(), system=system))
    assert isinstance(use, JointUse)
    assert (use.joint.text, use.density.text) == ("1/8 in", "90 lb/ft**3")


def test_joints_as_measured_on_the_slab_come_first(house):
    system = sand(house, joint="1/8 in", depth="1 in")
    option = house.option(house.area(), system=system)
    step = option.groups.get().steps.get()
    OptionUseFactory(option_step=step, step_material=step_material(system), width="1/4 in", depth="2 in")
    use = use_of(house, option)
    assert (use.joint.text, use.depth.text) == ("1/4 in", "2 in")


def test_masking_goes_along_the_edge(house):
    film = MaterialFactory(edition=house.edition, key="film", kind="count", group="sundries")
    PackFactory(material=film, size=1, unit="each")
    system = house.system(use={"by": "length", "per_length": "0.01 each/ft"})
    system.steps.get().materials.update(material=film)
    workings = workings_of(house.firm, whole(house.option(house.area(), system=system)))
    use = workings.steps[0].materials[0]
    assert isinstance(use.use, LengthUse)
    assert round_half_up(use.need, 20) == Decimal("0.8")  # 4 × 20 ft of edge × 0.01


def cracks(house: House):
    paste = MaterialFactory(edition=house.edition, key="paste", name="Paste", group="sundries")
    PackFactory(material=paste, size=1, unit="qt")
    system = house.system(use={"by": "crack", "width": "1/4 in", "depth": "1/2 in"})
    task = LabourTaskFactory(edition=house.edition, key="crack", rate=10, unit="ft/hour", setup=0)
    system.steps.update(measure="length", task=task, name="Fill cracks")
    system.steps.get().materials.update(material=paste)
    return house.option(house.area(), system=system)


def test_a_length_that_nobody_has_said_is_a_gap_of_its_step(house):
    option = cracks(house)
    step = steps_of(whole(option))[0]
    assert gaps_of(house, option) == (Gap("Fill cracks", "Fill cracks: say how long it is, such as 18 ft.", step.pk),)


def test_cracks_take_the_length_of_their_step_and_what_was_measured(house):
    option = cracks(house)
    step = option.groups.get().steps.get()
    option.groups.get().steps.update(length="18 ft")
    OptionUseFactory(option_step=step, step_material=step.step.materials.get(), width="3/8 in")
    workings = workings_of(house.firm, whole(option))
    use = workings.steps[0].materials[0].use
    assert isinstance(use, CrackUse)
    assert (use.length.text, use.width.text, use.depth.text) == ("18 ft", "3/8 in", "1/2 in")
    assert workings.person_hours == Decimal("1.8")  # 18 ft ÷ 10 ft an hour


def test_pieces_are_counted_in_the_step(house):
    rolls = MaterialFactory(edition=house.edition, key="rolls", kind="count", group="sundries")
    PackFactory(material=rolls, size=1, unit="each")
    system = house.system(use={"by": "each"})
    task = LabourTaskFactory(edition=house.edition, key="piece", rate=2, unit="each/hour", setup=0)
    system.steps.update(measure="count", task=task)
    system.steps.get().materials.update(material=rolls)
    option = house.option(house.area(), system=system)
    assert [gap.sentence for gap in gaps_of(house, option)] == ["Seal: say how many there are."]
    option.groups.get().steps.update(count=6)
    workings = workings_of(house.firm, whole(option))
    assert isinstance(workings.steps[0].materials[0].use, EachUse)
    assert (workings.steps[0].materials[0].need, workings.person_hours) == (6, 3)


# gaps


def test_an_option_without_a_system_says_so(house):
    option = house.option(house.area())
    option.groups.all().delete()
    assert gaps_of(house, option) == (Gap("", "No system has been chosen for an area yet."),)


def test_every_gap_is_named_at_once(house):
    option = house.option(house.area(), house.area("Walk", surface="clay-pavers"))
    house.job.areas.get(name="Deck").parts.all().delete()
    assert [gap.sentence for gap in gaps_of(house, option)] == [
        "Seal: the price book doesn’t say how far Sealer goes on clay pavers, worn or patchy.",
        "Deck has not been measured yet.",
    ]


def test_nothing_switched_on_is_nothing_to_price(house):
    option = house.option(house.area())
    option.groups.get().steps.update(on=False)
    assert [gap.sentence for gap in gaps_of(house, option)] == [
        "Every step is switched off: there is nothing to price."
    ]


def test_a_fault_of_the_core_is_told_in_the_step_that_it_is_about(house):
    option = cracks(house)
    option.groups.get().steps.update(length="18 furlongs")
    gaps = gaps_of(house, option)
    assert {(gap.step, gap.option_step) for gap in gaps} == {("Fill cracks", steps_of(whole(option))[0].pk)}
    assert "furlongs" in gaps[0].sentence


def test_a_fault_in_a_measure_is_told_in_its_area(house):
    option = house.option(house.area())
    house.job.areas.get().parts.update(measures={"shape": "rectangle", "length": "20 ft", "width": "0 ft"})
    gap = gaps_of(house, option)[0]
    assert (gap.step, gap.option_step, gap.sentence.split(":")[0]) == ("", None, "Deck")


# visits, charges, extras


def test_a_charge_a_visit_is_charged_once_for_each_visit(house):
    system = house.system()
    SystemStepFactory(system=system, name="Again", task=house.task, visit=3, position=1)
    option = house.option(house.area(), system=system)
    OptionChargeFactory(option=option, charge=house.travel, name="Travel", amount="30.00", per="visit")
    assert visits_of(whole(option)) == (1, 3)
    assert [(each.name, each.amount) for each in scope_of(house.firm, whole(option)).charges] == [
        ("Travel, 2 visits", Decimal(60))
    ]


def test_an_extra_shares_the_visits_and_the_travel_of_its_option(house):
    area = house.area()
    option = house.option(area, system=house.system(visit=1))
    OptionChargeFactory(option=option, charge=house.travel, name="Travel", amount="30.00", per="visit")
    extra = AddOnFactory(with_option=option)
    group = OptionGroupFactory(option=extra, system=house.system("grit", visit=2), areas=[area])
    OptionStepFactory(group=group, step=group.system.steps.get())
    OptionChargeFactory(option=extra, charge=house.travel, name="Travel", amount="30.00", per="visit")
    together = scope_of(house.firm, whole(option), [whole(extra)])
    assert [(each.name, each.amount) for each in together.charges] == [("Travel, 2 visits", Decimal(60))]


def test_an_extra_s_own_charge_is_not_shared(house):
    option = house.option(house.area())
    OptionChargeFactory(option=option)
    extra = AddOnFactory(with_option=option)
    OptionChargeFactory(option=extra)
    together = scope_of(house.firm, whole(option), [whole(extra)])
    assert [each.amount for each in together.charges] == [Decimal(95), Decimal(95)]


def test_a_charge_that_is_off_is_not_charged(house):
    option = house.option(house.area())
    OptionChargeFactory(option=option, on=False)
    assert scope_of(house.firm, whole(option)).charges == ()


def test_a_step_that_is_off_uses_nothing(house):
    system = house.system()
    step = SystemStepFactory(system=system, name="Second", task=house.task, position=1)
    StepMaterialFactory(step=step, material=house.sealer)
    option = house.option(house.area(), system=system)
    option.groups.get().steps.filter(step=step).update(on=False)
    assert [step.step for step in scope_of(house.firm, whole(option)).work] == ["Seal"]


def test_a_scope_is_read_in_a_number_of_queries_that_does_not_grow(house, django_assert_num_queries):
    def build(areas: int) -> None:
        option = house.option(
            *(house.area(f"Area {areas} {n}") for n in range(areas)), system=house.system(f"s{areas}")
        )
        with django_assert_num_queries(15):
            scope_of(house.firm, whole(option))

    build(1)
    build(3)
