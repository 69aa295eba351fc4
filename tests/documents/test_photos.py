"""Photographs: real files made here, and what a stranger might send instead of one."""

import io
import struct
import zlib

import pillow_heif
import pytest
from PIL import Image, ImageCms

from quoting.documents.photos import LARGEST_FILE, PhotoRefused, rewrite_photo
from quoting.services.demo_photos import KINDS, demo_photo

pillow_heif.register_heif_opener()


def picture(size=(40, 20), kind="JPEG", mode="RGB", colour="#8a2b17", **more) -> bytes:
    written = io.BytesIO()
    Image.new(mode, size, colour).save(written, kind, **more)
    return written.getvalue()


def opened(content: bytes) -> Image.Image:
    return Image.open(io.BytesIO(content))


def refused(content: bytes) -> str:
    with pytest.raises(PhotoRefused) as caught:
        rewrite_photo(content)
    return caught.value.why


def png(width: int, height: int, *extra: tuple[bytes, bytes]) -> bytes:
    """A PNG whose header claims a size, with next to nothing behind it."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    header = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    body = b"".join(chunk(name, data) for name, data in extra)
    end = chunk(b"IDAT", zlib.compress(b"\0" * 99)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + header + body + end


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_each_kind_becomes_jpegs_in_four_sizes(kind):
    kept = rewrite_photo(picture((3000, 1500), kind))
    sizes = {name: (opened(content).format, opened(content).size) for name, content in kept.files.items()}
    assert sizes == {
        "full": ("JPEG", (2400, 1200)),
        "page": ("JPEG", (960, 480)),
        "print": ("JPEG", (1400, 700)),
        "small": ("JPEG", (240, 120)),
    }
    assert (kept.width, kept.height) == (2400, 1200)


def test_a_small_one_is_not_blown_up():
    kept = rewrite_photo(picture((40, 20)))
    assert {opened(content).size for content in kept.files.values()} == {(40, 20)}


@pytest.mark.parametrize(
    ("orientation", "corner"), [(1, (0, 0)), (2, (39, 0)), (3, (39, 19)), (4, (0, 19)), (6, (19, 0)), (8, (0, 39))]
)
def test_it_is_turned_upright(orientation, corner):
    # A dark block lies in the stored picture's upper left; where it must be seen follows from the EXIF standard.
    stored = Image.new("RGB", (40, 20), "white")
    stored.paste("black", (0, 0, 10, 6))
    facts = Image.Exif()
    facts[0x0112] = orientation
    written = io.BytesIO()
    stored.save(written, "JPEG", quality=95, exif=facts)
    full = opened(rewrite_photo(written.getvalue()).files["full"]).convert("L")
    assert full.size == ((20, 40) if orientation in (6, 8) else (40, 20))
    assert full.getpixel(corner) < 60


def test_place_telephone_comment_and_profile_are_dropped():
    facts = Image.Exif()
    facts[0x010F] = "a telephone of somebody"
    facts.get_ifd(0x8825)[1] = "N"
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    kept = rewrite_photo(picture((40, 20), exif=facts, comment=b"secret words", icc_profile=profile))
    for content in kept.files.values():
        assert b"somebody" not in content
        assert b"secret" not in content
        assert set(opened(content).info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_what_is_clear_becomes_white():
    kept = rewrite_photo(picture((40, 20), "PNG", "RGBA", (0, 0, 0, 0)))
    assert opened(kept.files["full"]).getpixel((5, 5)) == (255, 255, 255)


@pytest.mark.parametrize("kind", KINDS)
def test_four_photographs_leave_room_on_a_paper_of_one_megabyte(kind):
    assert len(rewrite_photo(demo_photo(kind)).files["print"]) <= 190_000


def test_an_empty_file_is_refused():
    assert refused(b"") == "empty"


def test_a_file_over_25_megabytes_is_refused_before_it_is_decoded():
    assert refused(b"\xff\xd8\xff" + b"\0" * LARGEST_FILE) == "bytes"


@pytest.mark.parametrize(
    "content",
    [
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"GIF89a" + b"\0" * 40,
        b"%PDF-1.7\n",
        b"MZ\x90\0",
        b"PK\x03\x04",
        b"<html><body>no picture</body></html>",
        b"RIFF\0\0\0\0WAVEfmt ",
        b"\0\0\0\x18ftypmp42\0\0\0\0",
    ],
)
def test_what_is_no_photograph_is_refused_by_its_content(content):
    assert refused(content) == "kind"


def test_a_header_that_claims_too_many_pixels_is_refused():
    assert refused(png(10_000, 5_001)) == "pixels"  # 50 010 000


def test_fifty_megapixels_pass_the_header():
    assert refused(png(10_000, 5_000)) == "damaged"  # 50 000 000, with no pixels behind the header


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_a_file_that_breaks_off_is_refused(kind):
    noise = Image.effect_noise((300, 200), 80).convert("RGB")
    written = io.BytesIO()
    noise.save(written, kind)
    assert refused(written.getvalue()[: len(written.getvalue()) // 2]) == "damaged"


def test_a_text_that_unpacks_to_gigabytes_is_refused():
    bomb = zlib.compress(b"\0" * 80_000_000, 9)
    assert refused(png(4, 4, (b"zTXt", b"Comment\0\0" + bomb))) == "damaged"


def test_damaged_exif_turns_nothing_and_loses_nothing():
    kept = rewrite_photo(picture((40, 20), exif=b"Exif\0\0MM\0*\xff\xff\xff\xff" + b"\xff" * 400))
    assert (kept.width, kept.height) == (40, 20)


def test_a_page_of_script_behind_a_picture_is_gone_after_it():
    kept = rewrite_photo(picture() + b"<script>alert(document.cookie)</script>")
    assert all(b"script" not in content for content in kept.files.values())
