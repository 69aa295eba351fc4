"""The firm's list of gear: the one to begin with, its words, and what a pick list makes of it."""

from __future__ import annotations

from decimal import Decimal

import pytest

from quoting.core.gear import GearKind, Per, gear_for
from quoting.core.weather_limits import Work
from quoting.documents.crew_words import Pair
from quoting.documents.pick_list import load_page
from quoting.models import ChangedMeanwhile, Event, GearItem
from quoting.services import gear as acts
from quoting.services.agreed_work import need_work
from quoting.services.crew_sheets import pick_list_of
from tests.factories import FirmFactory, OwnerFactory
from tests.sample_visits import agreed_job

pytestmark = pytest.mark.django_db


def words(**more: object) -> dict[str, object]:
    return {"name": "Big fan", "name_es": "", "place": "Shed", "place_es": "", "works": ["seal"]} | more


def test_the_list_to_begin_with_is_whole_in_both_languages():
    items = acts.starting_gear()
    assert len({item.key for item in items}) == len(items)
    assert [item.key for item in items if item.lacks_spanish or not item.place or not item.works] == []
    assert all(item.is_starting_value for item in items)
    for item in items:
        item.clean_fields(exclude=["id"])


@pytest.mark.parametrize("work", Work)
def test_every_kind_of_work_begins_with_goggles_and_a_first_aid_kit(work):
    gear = [item.gear for item in acts.starting_gear() if item.kind != GearKind.MASKING]
    assert {"goggles", "first-aid"} <= {each.key for each, _count in gear_for([work], 1, gear)}


def test_cartridges_are_for_each_person():
    # Spray painters' cartridges were changed every 4 h in one study, instead of every 16 to 24: two pairs for a day.
    cartridges = next(item for item in acts.starting_gear() if item.key == "cartridges")
    assert (cartridges.count, cartridges.per) == (2, Per.PERSON)


def test_sealing_begins_with_a_spare_sprayer():
    spares = {item.key for item in acts.starting_gear() if item.kind == GearKind.SPARE and Work.SEAL in item.for_works}
    assert "spare-sprayer" in spares


def test_rolls_are_kept_in_metres():
    # 100 ft × 0.3048 = 30.48 m.
    film = next(item for item in acts.starting_gear() if item.key == "film")
    assert (film.roll, film.rows, film.waste) == (Decimal("30.48"), 1, Decimal("0.15"))


def test_it_is_begun_once():
    FirmFactory(id=1)
    owner = OwnerFactory()
    count = acts.begin_gear(by=owner)
    assert (count, acts.begin_gear(by=owner), GearItem.objects.count()) == (len(acts.starting_gear()), 0, count)


def test_a_thing_of_the_firms_own_is_added_to_the_whole_list():
    FirmFactory(id=1)
    owner = OwnerFactory()
    acts.add_gear(by=owner, kind="tool", **words())
    acts.add_gear(by=owner, kind="tool", **words())
    assert list(GearItem.objects.filter(is_starting_value=False).values_list("key", flat=True)) == [
        "big-fan",
        "big-fan-2",
    ]
    assert GearItem.objects.count() == len(acts.starting_gear()) + 2
    assert Event.objects.filter(kind="gear changed").count() == 2


def test_what_is_changed_is_no_longer_a_starting_value_and_two_hands_are_told():
    FirmFactory(id=1)
    owner = OwnerFactory()
    acts.begin_gear(by=owner)
    row = GearItem.objects.get(key="goggles")
    acts.keep_gear(row=row, version=1, by=owner, **words(name="Goggles, clear"))
    row.refresh_from_db()
    assert (row.name, row.is_starting_value) == ("Goggles, clear", False)
    with pytest.raises(ChangedMeanwhile):
        acts.keep_gear(row=row, version=1, by=owner, **words())


def test_the_last_row_taken_off_brings_the_list_to_begin_with_back():
    FirmFactory(id=1)
    owner = OwnerFactory()
    row = GearItem.objects.create(key="fan", kind="tool", **words())
    assert [item.key for item in acts.current_gear()] == ["fan"]
    acts.remove_gear(row=row, version=1, by=owner)
    assert len(acts.current_gear()) == len(acts.starting_gear())


def test_the_pick_list_takes_the_firms_rows_by_place_and_english_where_spanish_is_missing():
    job = agreed_job()
    GearItem.objects.create(key="fan", kind="tool", count=2, **words())
    GearItem.objects.create(key="tape", kind="masking", **words(name="Tape", name_es="Cinta", roll=Decimal("54.864")))
    gear = acts.current_gear()
    found = pick_list_of(job, need_work(job), 2, gear=gear)[0]
    page = load_page(found, "us", acts.words_of(gear))
    shed = next(group for group in page.groups if group.place.en == "Shed")
    assert [row.what for row in shed.rows] == [Pair("Big fan", "Big fan"), Pair("Tape", "Cinta")]
    assert shed.rows[0].take == Pair("2", "2")


def test_one_row_s_spanish_serves_the_same_place_of_another():
    rows = [GearItem(name="a", place="Shed", place_es="Bodega"), GearItem(name="b", place="Shed")]
    assert acts.words_of(rows) == {"Shed": "Bodega"}
