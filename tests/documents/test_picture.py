"""Pictures that people bring: real files, made here, read back from what the child writes."""

import io
import struct
import zlib

import pytest
from PIL import Image

from quoting.documents.picture import LARGEST_FILE, PictureRefused, rewrite_picture


def picture(size=(40, 20), kind="PNG", mode="RGB", colour="#8a2b17", **more) -> bytes:
    written = io.BytesIO()
    Image.new(mode, size, colour).save(written, kind, **more)
    return written.getvalue()


def read(content: bytes) -> Image.Image:
    return Image.open(io.BytesIO(content))


def refused(content: bytes) -> str:
    with pytest.raises(PictureRefused) as caught:
        rewrite_picture(content)
    return caught.value.why


def huge_png(width: int, height: int) -> bytes:
    """A PNG whose header claims a size, with next to nothing behind it."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 99)) + chunk(b"IEND", b"")
    )


def test_a_wide_picture_is_kept_1200_pixels_wide():
    kept = read(rewrite_picture(picture((2400, 600))))
    assert (kept.format, kept.size) == ("PNG", (1200, 300))


def test_a_small_one_is_not_blown_up():
    assert read(rewrite_picture(picture((40, 20)))).size == (40, 20)


def test_a_jpeg_becomes_a_png_upright_and_without_what_else_it_carried():
    facts = Image.Exif()
    facts[0x0112] = 6  # to be turned by a quarter
    facts[0x010F] = "a telephone of somebody"
    kept = rewrite_picture(picture((40, 20), "JPEG", exif=facts, comment=b"secret"))
    assert (read(kept).format, read(kept).size) == ("PNG", (20, 40))
    assert b"somebody" not in kept
    assert b"secret" not in kept


def test_what_is_clear_stays_clear():
    kept = read(rewrite_picture(picture((40, 20), mode="RGBA", colour=(0, 0, 0, 0))))
    assert (kept.mode, kept.getpixel((0, 0))) == ("RGBA", (0, 0, 0, 0))


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"", "empty"),
        (b"<svg onload='x'/>", "kind"),
        (b"GIF89a" + b"\0" * 50, "kind"),
        (b"\x89PNG\r\n\x1a\n" + b"\0" * (LARGEST_FILE + 1), "bytes"),
        (b"\x89PNG\r\n\x1a\nrubbish", "kind"),
    ],
)
def test_what_is_no_picture_is_refused_by_its_content(content, why):
    assert refused(content) == why


def test_a_picture_that_breaks_off_is_refused():
    assert refused(picture((900, 900), "JPEG")[:2000]) == "damaged"


def test_too_many_pixels_are_refused_before_they_are_decoded():
    assert refused(huge_png(5000, 4001)) == "pixels"  # 20,005,000
    assert refused(huge_png(60_000, 60_000)) == "pixels"


def test_twenty_megapixels_are_read():
    assert read(rewrite_picture(picture((5000, 4000), mode="L", colour=99))).size == (1200, 960)
