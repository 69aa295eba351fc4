import pytest

from quoting.models import AdviceChoice, Finding, Photo, Sample
from quoting.services import findings as acts
from quoting.services.customers import erase_customer, export_customer
from quoting.services.demo_photos import demo_photo
from quoting.services.photos import add_photo
from tests.factories import AreaFactory, CustomerFactory, JobFactory, OwnerFactory, PropertyFactory
from tests.found_factories import AdviceChoiceFactory, FindingFactory, PhotoFactory, SampleFactory

pytestmark = pytest.mark.django_db


def test_all_or_none_of_the_areas_is_written():
    there = FindingFactory(kind="film", answers={"look": "even"})
    other = AreaFactory(job=there.job, position=1)
    with pytest.raises(acts.FoundAlready) as caught:
        acts.keep_findings(
            job=there.job, by=OwnerFactory(), kind="film", areas=[other, there.area], answers={"look": "milky"}
        )
    assert caught.value.row == there
    assert Finding.objects.count() == 1


def test_an_area_holds_so_many_places_of_a_kind():
    row = FindingFactory()
    for _ in range(acts.MOST_PLACES - 1):
        FindingFactory(area=row.area, found_by=row.found_by)
    with pytest.raises(acts.TooManyPlaces):
        acts.keep_findings(job=row.job, by=row.found_by, kind="tape", areas=[row.area], answers={"result": "clean"})


def test_a_changed_reading_tells_what_it_was():
    row = FindingFactory(reading="holds")
    acts.keep_finding(finding=row, version=1, by=row.found_by, answers={"result": "everywhere"}, note="")
    event = row.job.events.get()
    assert event.kind == "finding changed"
    assert event.data == '{"area":"A","from":"holds","test":"Tape","to":"lifts"}'


def test_erasing_a_person_takes_words_and_photographs(tmp_path, django_capture_on_commit_callbacks):
    customer = CustomerFactory()
    job = JobFactory(property=PropertyFactory(customer=customer))
    area = AreaFactory(job=job)
    FindingFactory(area=area, kind="stains", answers={"result": "oil", "where": "by Tom's car"}, note="Tom said")
    AdviceChoiceFactory(area=area, against=True, reason="Tom wants it")
    photo = add_photo(job=job, by=OwnerFactory(), content=demo_photo("dry"), note="Tom").photo
    SampleFactory(area=area, photo=photo, approved_on="2026-06-03", approved_by="Tom")
    with django_capture_on_commit_callbacks(execute=True):
        erase_customer(by=OwnerFactory(), customer=customer, version=customer.version)
    assert Finding.objects.values_list("answers", "note").get() == ({"result": "oil"}, "")
    assert AdviceChoice.objects.get().reason == "erased"
    assert Sample.objects.values_list("photo", "approved_by").get() == (None, "erased")
    assert not Photo.objects.exists()
    assert list((tmp_path / "media").rglob("*.jpg")) == []


def test_the_export_of_a_person_has_what_was_found():
    customer = CustomerFactory()
    job = JobFactory(property=PropertyFactory(customer=customer))
    FindingFactory(area=AreaFactory(job=job), note="By the gate")
    PhotoFactory(job=job, note="Dry", sha256="a" * 64)
    (folder,) = export_customer(customer)["properties"][0]["folders"]
    assert folder["found"]["findings"] == [
        {"test": "tape", "area": "A", "answers": {"result": "clean"}, "note": "By the gate"}
    ]
    assert folder["found"]["photographs"][0]["note"] == "Dry"
