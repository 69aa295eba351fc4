from concurrent.futures import ThreadPoolExecutor
from datetime import date
from decimal import Decimal
from threading import Barrier

import pytest
from django.db import connection

from quoting.documents.measured import measure_area
from quoting.models import Area, ChangedMeanwhile, Event, Part
from quoting.models.jobs import MOST_AREAS, MOST_PARTS
from quoting.services.areas import (
    NameTaken,
    NothingToAgree,
    TooManyAreas,
    TooManyParts,
    add_area,
    agree_area,
    copy_area,
    keep_area,
    keep_part,
    move_area,
    move_part,
    remove_area,
    remove_part,
)
from tests.factories import AreaFactory, DeductFactory, JobFactory, PartFactory, UserFactory

RECTANGLE = {"shape": "rectangle", "length": "10 ft", "width": "8 ft"}


def names(job) -> list[tuple[str, str]]:
    return [(area.letter, area.name) for area in Area.objects.filter(job=job)]


@pytest.mark.django_db
def test_areas_are_added_at_the_end_and_lettered():
    job, ines = JobFactory(), UserFactory()
    add_area(job=job, by=ines, name="Pool deck", surface="stamped")
    add_area(job=job, by=ines, name="Steps", surface="steps", texture=Decimal("1.1"))
    assert names(job) == [("A", "Pool deck"), ("B", "Steps")]
    assert list(Event.objects.values_list("kind", "data")) == [
        ("area added", '{"area":"A"}'),
        ("area added", '{"area":"B"}'),
    ]


@pytest.mark.django_db
def test_two_areas_of_a_folder_can_not_share_a_name():
    job = AreaFactory(name="Pool deck").job
    with pytest.raises(NameTaken, match="“pool deck”"):
        add_area(job=job, by=UserFactory(), name="pool deck", surface="stamped")
    other = AreaFactory(job=job, name="Steps", position=1)
    with pytest.raises(NameTaken):
        keep_area(area=other, version=1, name="Pool deck")


@pytest.mark.django_db
def test_an_area_may_keep_its_own_name():
    area = AreaFactory(name="Pool deck")
    assert keep_area(area=area, version=1, name="pool deck", condition="bare").condition == "bare"


@pytest.mark.django_db
def test_a_full_folder_takes_no_further_area():
    job = JobFactory()
    Area.objects.bulk_create(Area(job=job, position=n, name=f"{n}", surface="stamped") for n in range(MOST_AREAS))
    with pytest.raises(TooManyAreas, match="500 areas at most"):
        add_area(job=job, by=UserFactory(), name="One more", surface="stamped")


@pytest.mark.django_db
def test_a_full_area_takes_no_further_part():
    area = AreaFactory()
    Part.objects.bulk_create(Part(area=area, position=n, measures=RECTANGLE) for n in range(MOST_PARTS))
    with pytest.raises(TooManyParts, match="200 parts at most"):
        keep_part(area=area, version=1, measures=RECTANGLE)


@pytest.mark.django_db
def test_a_copy_has_the_parts_and_not_the_agreement():
    area = AreaFactory(name="Pool deck", texture=Decimal("1.12"), agreed_with="Mrs Wexley")
    PartFactory(area=area)
    DeductFactory(area=area, position=1)
    copy = copy_area(area=area, by=UserFactory(), name="Terrace")
    assert (copy.name, copy.letter, copy.texture, copy.agreed_with) == ("Terrace", "B", Decimal("1.12"), "")
    assert [part.measures for part in copy.parts.all()] == [part.measures for part in area.parts.all()]
    assert area.parts.count() == 2


@pytest.mark.django_db
def test_a_moved_area_takes_the_letter_of_its_new_place():
    job = JobFactory()
    a, _, c = (AreaFactory(job=job, position=n, name=name) for n, name in enumerate(["Deck", "Steps", "Walk"]))
    move_area(area=c, places=-2)
    assert names(job) == [("A", "Walk"), ("B", "Deck"), ("C", "Steps")]
    move_area(area=a, places=99)
    assert names(job) == [("A", "Walk"), ("B", "Steps"), ("C", "Deck")]


@pytest.mark.django_db
def test_when_an_area_goes_its_parts_go_and_the_letters_close_up():
    job = JobFactory()
    first = AreaFactory(job=job, name="Deck")
    PartFactory(area=first)
    AreaFactory(job=job, position=1, name="Steps")
    remove_area(area=first, version=1, by=UserFactory())
    assert names(job) == [("A", "Steps")]
    assert not Part.objects.exists()


@pytest.mark.django_db
def test_parts_are_added_at_the_end_changed_moved_and_removed():
    area = AreaFactory()
    one = keep_part(area=area, version=1, name="one", measures=RECTANGLE)
    two = keep_part(area=area, version=2, name="two", measures=RECTANGLE)
    keep_part(area=area, version=3, part=one, name="first", measures={"shape": "circle", "diameter": "6 ft"})
    move_part(part=two, version=4, places=-1)
    assert list(area.parts.values_list("name", "position")) == [("two", 0), ("first", 1)]
    remove_part(part=two, version=5)
    assert list(area.parts.values_list("name", "position", "measures")) == [
        ("first", 0, {"shape": "circle", "diameter": "6 ft"})
    ]


@pytest.mark.django_db
def test_who_measures_on_an_old_version_of_the_area_overwrites_nothing():
    area = AreaFactory()
    keep_part(area=area, version=1, name="one", measures=RECTANGLE)
    with pytest.raises(ChangedMeanwhile):
        keep_part(area=area, version=1, name="two", measures=RECTANGLE)
    assert list(area.parts.values_list("name", flat=True)) == ["one"]


@pytest.mark.django_db
def test_agreeing_freezes_who_when_and_which_figure():
    area = PartFactory().area
    agree_area(area=area, version=1, by=UserFactory(), on=date(2026, 6, 1), with_whom="Mrs Wexley")
    area.refresh_from_db()
    # 32 ft × 14.5 ft = 464 ft²
    assert (area.agreed_on, area.agreed_with, area.agreed_net) == (date(2026, 6, 1), "Mrs Wexley", "464.00\u00a0ft²")
    assert measure_area(area).agreed_stands
    assert list(Event.objects.values_list("kind", "data")) == [("area agreed", '{"area":"A","net":"464.00\u00a0ft²"}')]


@pytest.mark.django_db
def test_when_a_measure_changes_the_agreed_figure_no_longer_stands():
    part = PartFactory()
    area = agree_area(area=part.area, version=1, by=UserFactory(), on=date(2026, 6, 1), with_whom="Mrs Wexley")
    keep_part(area=area, version=2, part=part, measures=RECTANGLE)
    area = Area.objects.get(pk=area.pk)
    assert not measure_area(area).agreed_stands
    assert area.agreed_net == "464.00\u00a0ft²"


@pytest.mark.django_db
def test_a_new_name_or_order_of_the_parts_leaves_the_agreement_standing():
    first, second = (part := PartFactory()), PartFactory(area=part.area, position=1, measures=RECTANGLE)
    area = agree_area(area=part.area, version=1, by=UserFactory(), on=date(2026, 6, 1), with_whom="Mrs Wexley")
    move_part(part=second, version=2, places=-1)
    keep_part(area=area, version=3, part=first, name="the long side")
    assert measure_area(Area.objects.get(pk=area.pk)).agreed_stands


@pytest.mark.django_db
def test_there_is_nothing_to_agree_on_before_a_part_is_measured():
    with pytest.raises(NothingToAgree):
        agree_area(area=AreaFactory(), version=1, by=UserFactory(), on=date(2026, 6, 1), with_whom="Mrs Wexley")


@pytest.mark.django_db(transaction=True)
def test_of_many_hands_on_one_version_one_is_kept():
    area, start = AreaFactory(), Barrier(8)

    def keep(hand: int) -> bool:
        start.wait()
        try:
            keep_part(area=area, version=1, name=f"{hand}", measures=RECTANGLE)
        except ChangedMeanwhile:
            return False
        finally:
            connection.close()
        return True

    with ThreadPoolExecutor(8) as hands:
        kept = list(hands.map(keep, range(8)))
    assert kept.count(True) == 1
    assert Part.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_areas_added_at_once_get_places_of_their_own():
    job, by, start = JobFactory(), UserFactory(), Barrier(6)

    def add(hand: int) -> None:
        start.wait()
        try:
            add_area(job=job, by=by, name=f"Area {hand}", surface="stamped")
        finally:
            connection.close()

    with ThreadPoolExecutor(6) as hands:
        list(hands.map(add, range(6)))
    assert [area.position for area in Area.objects.filter(job=job)] == [0, 1, 2, 3, 4, 5]
