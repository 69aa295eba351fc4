import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from quoting.documents.photo_files import path_of
from quoting.documents.photos import SIZES
from quoting.models import Photo
from quoting.services import photos as acts
from tests.factories import (
    AreaFactory,
    CrewFactory,
    FirmFactory,
    IssuedProposalFactory,
    JobFactory,
    OwnerFactory,
    PaperFactory,
)
from tests.found_factories import FindingFactory, PhotoFactory, SampleFactory
from tests.sample_visits import planned_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client):
    """Signed in as the owner."""
    FirmFactory()
    client.force_login(OwnerFactory())
    return client


def jpeg(colour="#8a2b17") -> bytes:
    written = io.BytesIO()
    Image.new("RGB", (64, 48), colour).save(written, "JPEG")
    return written.getvalue()


def sent(content: bytes, name="IMG_1.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content)


def photos_of(job) -> str:
    return reverse("photos", args=[job.number])


def file_of(photo, size="small") -> str:
    return reverse("photo-file", args=[photo.job.number, photo.name, size])


def add(owner, job, *files, **more):
    return owner.post(photos_of(job), {"photos": list(files), "area": "", "note": "", **more})


def test_several_at_once_are_kept_on_an_area_with_a_note(owner):
    area = AreaFactory()
    files = [sent(jpeg(colour)) for colour in ("red", "green")]
    page = add(owner, area.job, *files, area=str(area.pk), note="By the planter")
    assert page.status_code == 302
    assert list(Photo.objects.values_list("area", "note", "position", "width", "height")) == [
        (area.pk, "By the planter", 0, 64, 48),
        (area.pk, "By the planter", 1, 64, 48),
    ]


def test_they_say_whether_they_are_from_before_during_or_after_and_of_which_step(owner):
    job = planned_job()
    add(owner, job, sent(jpeg()), of="after", step="Seal, two coats")
    assert list(Photo.objects.values_list("of", "step")) == [("after", "Seal, two coats")]
    assert "after the work, Seal, two coats" in owner.get(photos_of(job)).text
    assert add(owner, job, sent(jpeg("blue")), of="after", step="Polish").status_code == 422


def test_what_says_nothing_is_of_what_was_found(owner):
    add(owner, JobFactory(), sent(jpeg()))
    assert Photo.objects.get().of == Photo.Of.FOUND


def test_one_that_is_refused_loses_none_of_the_others(owner):
    job = JobFactory()
    page = add(
        owner, job, sent(jpeg()), sent(b"<svg/>", "nice.jpg"), sent(b"", "none.jpg"), sent(jpeg("blue"), "b.png")
    )
    assert page.status_code == 422
    assert Photo.objects.count() == 2
    assert 'nice.jpg</b>: <span class="fault">not a photograph that can be taken' in page.text
    assert 'none.jpg</b>: <span class="fault">the file is empty.' in page.text


def test_a_hundred_files_are_answered_one_by_one(owner, settings):
    job = JobFactory()
    acts.add_photo(job=job, by=OwnerFactory(), content=jpeg())
    page = add(owner, job, *[sent(jpeg(), f"{n}.jpg") for n in range(100)])
    assert page.status_code == 422
    assert page.text.count("in the folder already.") == 40
    assert page.text.count("not taken: 40 at a time.") == 60


def test_the_name_of_a_file_is_shown_and_never_obeyed(owner):
    page = add(owner, JobFactory(), sent(b"x", "../../<img src=x onerror=alert(1)>.jpg"))
    assert "<img src=x" not in page.text
    assert "&lt;img src=x onerror=alert(1)&gt;.jpg" in page.text


def test_the_same_file_twice_is_one_photograph(owner):
    job = JobFactory()
    add(owner, job, sent(jpeg()))
    page = owner.post(photos_of(job), {"photos": [sent(jpeg(), "again.jpg")], "area": "", "note": ""}, follow=True)
    assert Photo.objects.count() == 1
    assert "0 photographs kept. 1 was in the folder already." in page.text


def test_a_script_gets_the_answer_of_one_file_as_a_line(owner):
    page = owner.post(
        photos_of(JobFactory()), {"photos": [sent(jpeg())], "area": "", "note": ""}, HTTP_HX_REQUEST="true"
    )
    assert page.status_code == 200
    assert page.text.lstrip().startswith("<li>")
    assert 'IMG_1.jpg</b>: <span class="">kept.</span>' in page.text


def test_nothing_chosen_is_said(owner):
    assert "Choose at least one photograph." in add(owner, JobFactory()).text


def test_photographs_are_attached_to_a_test(owner):
    row = FindingFactory()
    address = f"{photos_of(row.job)}?finding={row.pk}"
    assert "Of the test <b>Tape</b>" in owner.get(address).text
    owner.post(address, {"photos": [sent(jpeg())], "area": str(row.area.pk), "note": ""})
    assert Photo.objects.get().finding == row


def test_a_full_folder_says_so_and_keeps_no_file(owner, settings, tmp_path):
    job = PhotoFactory(bytes=acts.QUOTA).job
    page = add(owner, job, sent(jpeg()))
    assert "the photographs of this folder fill 500 MB" in page.text
    assert list((tmp_path / "media").rglob("*.jpg")) == []


def test_a_photograph_is_served_as_a_picture_and_as_nothing_else(owner):
    photo = acts.add_photo(job=JobFactory(), by=OwnerFactory(), content=jpeg()).photo
    page = owner.get(file_of(photo))
    assert (page.status_code, page["Content-Type"]) == (200, "image/jpeg")
    assert page["X-Content-Type-Options"] == "nosniff"
    assert page["Content-Security-Policy"] == "sandbox; default-src 'none'"
    assert page["Cache-Control"] == "private, max-age=31536000, immutable"
    assert owner.get(file_of(photo, "huge")).status_code == 404


def test_who_may_not_open_the_folder_does_not_see_its_photographs(client):
    FirmFactory()
    photo = acts.add_photo(job=JobFactory(), by=OwnerFactory(), content=jpeg()).photo
    assert client.get(file_of(photo)).status_code == 302  # to the log-in page
    client.force_login(CrewFactory())
    assert client.get(file_of(photo)).status_code == 404
    assert client.get(photos_of(photo.job)).status_code == 404


def test_a_photograph_is_not_found_under_another_folder(owner):
    photo = acts.add_photo(job=JobFactory(), by=OwnerFactory(), content=jpeg()).photo
    assert owner.get(reverse("photo-file", args=[JobFactory().number, photo.name, "small"])).status_code == 404


def test_the_crew_adds_and_reads_and_does_nothing_else(client):
    FirmFactory()
    client.force_login(CrewFactory())
    job = IssuedProposalFactory().job
    client.post(photos_of(job), {"photos": [sent(jpeg())], "area": "", "note": "Gate"})
    photo = Photo.objects.get()
    page = client.get(photos_of(job))
    assert "Gate" in page.text
    assert "Note, cover, paper" not in page.text
    for name in ("photo", "photo-move", "photo-remove"):
        assert client.post(reverse(name, args=[job.number, photo.pk]), {"version": "1"}).status_code == 403


def test_note_cover_and_paper_are_kept_and_there_is_one_cover(owner):
    job = JobFactory()
    first, second = PhotoFactory(job=job, is_cover=True), PhotoFactory(job=job)
    address = reverse("photo", args=[job.number, second.pk])
    owner.post(address, {"note": "Dry", "area": "", "of": "found", "is_cover": "on", "version": "1"})
    assert list(Photo.objects.values_list("is_cover", "on_paper", "note")) == [(False, True, ""), (True, True, "Dry")]
    assert first.job == second.job


def test_two_who_note_the_same_photograph_see_both(owner):
    photo = PhotoFactory(note="theirs", version=2)
    typed = {"note": "mine", "initial-note": "", "area": "", "of": "found", "on_paper": "on", "version": "1"}
    assert owner.post(reverse("photo", args=[photo.job.number, photo.pk]), typed).status_code == 409
    photo.refresh_from_db()
    assert photo.note == "theirs"


def test_photographs_are_put_in_order(owner):
    job = JobFactory()
    one, two = PhotoFactory(job=job, position=0), PhotoFactory(job=job, position=1)
    owner.post(reverse("photo-move", args=[job.number, two.pk]), {"places": "-1"})
    assert list(Photo.objects.all()) == [two, one]


def test_a_photograph_is_removed_with_its_files_after_it_was_asked_once(
    owner, tmp_path, django_capture_on_commit_callbacks
):
    photo = acts.add_photo(job=JobFactory(), by=OwnerFactory(), content=jpeg()).photo
    assert all((tmp_path / "media" / path_of(photo.name, size)).exists() for size in SIZES)
    address = reverse("photo-remove", args=[photo.job.number, photo.pk])
    assert "It goes for good" in owner.get(address).text
    with django_capture_on_commit_callbacks(execute=True):
        owner.post(address, {"version": "1"})
    assert not Photo.objects.exists()
    assert list((tmp_path / "media").rglob("*.jpg")) == []


def test_a_photograph_on_an_issued_paper_stays(owner):
    photo = PhotoFactory()
    PaperFactory(job=photo.job, number="0417-A", facts=f'{{"found":"{photo.name}"}}')
    page = owner.post(reverse("photo-remove", args=[photo.job.number, photo.pk]), {"version": "1"}, follow=True)
    assert "This photograph stands on 0417-A, which was issued" in page.text
    assert Photo.objects.exists()


def test_the_photograph_of_a_sample_stays(owner):
    photo = PhotoFactory()
    SampleFactory(area__job=photo.job, photo=photo)
    page = owner.post(reverse("photo-remove", args=[photo.job.number, photo.pk]), {"version": "1"}, follow=True)
    assert "it stays as long as the sample does" in page.text


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_costs_seven_queries(owner, count, django_assert_num_queries):
    job = JobFactory()
    for _ in range(count):
        PhotoFactory(job=job, area=AreaFactory(job=job, position=_), finding=None)
    # session, person, folder, areas, steps of its visits, photographs, firm
    with django_assert_num_queries(7):
        owner.get(photos_of(job))
