"""Several telephones at once: nothing lost, nothing doubled, no file without its row, whatever is broken off."""

from __future__ import annotations

import io
import socket
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from urllib.parse import urlsplit

import pillow_heif
import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.urls import reverse
from PIL import Image

from quoting.documents.photo_files import path_of
from quoting.documents.photos import SIZES
from quoting.models import Photo
from quoting.services import photos as acts
from tests.factories import CrewFactory, FirmFactory, IssuedProposalFactory, JobFactory, OwnerFactory, UserFactory

pytestmark = pytest.mark.django_db(transaction=True)

pillow_heif.register_heif_opener()


def picture(shade: int, kind: str = "JPEG") -> bytes:
    written = io.BytesIO()
    Image.new("RGB", (96, 64), (shade, 80, 40)).save(written, kind)
    return written.getvalue()


def files_there() -> set[str]:
    """Every file of a photograph in the media folder."""
    folders = default_storage.listdir("photos")[0] if default_storage.exists("photos") else []
    return {f"photos/{folder}/{name}" for folder in folders for name in default_storage.listdir(f"photos/{folder}")[1]}


def files_wanted() -> set[str]:
    """Every file that the rows name."""
    return {path_of(photo.name, size) for photo in Photo.objects.all() for size in SIZES}


def test_three_telephones_send_at_once_and_some_the_same(db_is_clean):
    FirmFactory()
    job = IssuedProposalFactory().job
    people = [OwnerFactory(), UserFactory(), CrewFactory()]
    # each sends two of its own, one of them HEIC, and all three the same one
    same = picture(200)
    own = [[picture(10 * n, "JPEG"), picture(10 * n + 5, "HEIF")] for n in range(1, 4)]
    gate = Barrier(3)

    def send(place: int) -> list[int]:
        client = Client()
        client.force_login(people[place])
        gate.wait()
        answers = []
        for number, content in enumerate([*own[place], same]):
            body = {"photos": SimpleUploadedFile(f"IMG_{number}.heic", content), "area": "", "note": "", "of": "found"}
            answers.append(client.post(reverse("photos", args=[job.number]), body).status_code)
        connection.close()
        return answers

    with ThreadPoolExecutor(3) as pool:
        answers = list(pool.map(send, range(3)))
    assert answers == [[302, 302, 302]] * 3
    kept = list(Photo.objects.order_by("position"))
    assert len(kept) == 7
    assert [photo.position for photo in kept] == list(range(7))
    assert len({photo.sha256 for photo in kept}) == 7
    assert files_there() == files_wanted()


@pytest.fixture
def db_is_clean():
    """The media folder is the test's own and begins empty."""
    assert files_there() == set()


def test_the_same_photograph_from_eight_at_once_is_one(db_is_clean):
    job, by, content = JobFactory(), OwnerFactory(), picture(1)
    gate = Barrier(8)

    def send(_place: int) -> bool:
        gate.wait()
        try:
            return acts.add_photo(job=job, by=by, content=content).is_new
        finally:
            connection.close()

    with ThreadPoolExecutor(8) as pool:
        came = list(pool.map(send, range(8)))
    assert sorted(came) == [False] * 7 + [True]
    assert (Photo.objects.count(), files_there()) == (1, files_wanted())


def test_what_breaks_off_while_it_is_written_leaves_nothing_and_can_be_sent_again(db_is_clean, monkeypatch):
    job, by, content = JobFactory(), OwnerFactory(), picture(2)
    with monkeypatch.context() as broken:
        broken.setattr(acts.Photo.objects, "create", stop)
        with pytest.raises(KeyboardInterrupt):
            acts.add_photo(job=job, by=by, content=content)
    assert (Photo.objects.count(), files_there()) == (0, set())
    assert acts.add_photo(job=job, by=by, content=content).is_new
    assert files_there() == files_wanted()


def stop(**_given: object) -> None:
    raise KeyboardInterrupt


def test_an_upload_that_breaks_off_on_the_way_is_kept_when_it_is_sent_again(live_server, db_is_clean):
    FirmFactory()
    job, owner = JobFactory(), OwnerFactory()
    client = Client()
    client.force_login(owner)
    path = reverse("photos", args=[job.number])
    token = client.get(path).cookies["csrftoken"].value
    content = picture(3)
    parts = (
        f'--x\r\nContent-Disposition: form-data; name="csrfmiddlewaretoken"\r\n\r\n{token}\r\n'
        f'--x\r\nContent-Disposition: form-data; name="of"\r\n\r\nfound\r\n'
        f'--x\r\nContent-Disposition: form-data; name="photos"; filename="IMG_3.jpg"\r\n'
        "Content-Type: image/jpeg\r\n\r\n"
    ).encode()
    body = parts + content + b"\r\n--x--\r\n"
    address = urlsplit(live_server.url)
    head = (
        f"POST {path} HTTP/1.1\r\nHost: {address.netloc}\r\nConnection: close\r\n"
        f"Cookie: sessionid={client.cookies['sessionid'].value}; csrftoken={token}\r\n"
        f"Content-Type: multipart/form-data; boundary=x\r\nContent-Length: {len(body)}\r\n\r\n"
    ).encode()

    def send(told: bytes) -> bytes:
        with socket.create_connection((address.hostname, address.port), timeout=20) as line:
            line.sendall(head + told)
            line.shutdown(socket.SHUT_WR)  # the signal is gone
            answer = b""
            while piece := line.recv(65536):
                answer += piece
        return answer

    send(body[: len(parts) + len(content) // 2])
    assert (Photo.objects.count(), files_there()) == (0, set())
    assert send(body).startswith(b"HTTP/1.1 302")
    assert (Photo.objects.count(), files_there()) == (1, files_wanted())
