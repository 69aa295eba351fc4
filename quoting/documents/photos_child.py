"""The child that decodes one photograph, as `python -m`: a file comes in, a line of JSON and four JPEGs go out."""

from __future__ import annotations

import io
import json
import sys
from typing import TYPE_CHECKING, Any

from quoting.documents.photos import MOST_PIXELS, PRINT_BYTES, SIZES, kind_of
from quoting.documents.picture_child import limit_self

if TYPE_CHECKING:
    from PIL.Image import Image

QUALITY = {"full": 84, "page": 80, "small": 76}
PRINT_TRIES = ((1400, 80), (1400, 66), (1200, 66), (1000, 66), (900, 56), (700, 50))
"""Longer side and quality of the size for paper, until it is small enough; the last is taken in any case."""

TURNS = {2: (0,), 3: (3,), 4: (1,), 5: (5,), 6: (4,), 7: (6,), 8: (2,)}
"""The turn that undoes each orientation of the EXIF standard, as Pillow's Transpose numbers it."""

ORIENTATION = 0x0112


def read_upright(content: bytes) -> Image:
    """The photograph as it is meant to be seen, in sRGB, no larger than the largest size.

    Raises ValueError("pixels").
    """
    # After the limits, so that they hold for the decoders' own set-up too.
    import pillow_heif
    from PIL import Image

    pillow_heif.options.DECODE_THREADS = 1
    pillow_heif.register_heif_opener(thumbnails=False)
    Image.MAX_IMAGE_PIXELS = None  # the limit of our own stands below, before anything is decoded
    picture: Any = Image.open(io.BytesIO(content), formats=(str(kind_of(content)),))
    if picture.width * picture.height > MOST_PIXELS:
        raise ValueError("pixels")
    profile, turn = picture.info.get("icc_profile"), TURNS.get(orientation_of(picture), ())
    largest = SIZES["full"]
    picture.draft("RGB", (largest, largest))
    if "A" in picture.getbands() or "transparency" in picture.info:
        clear = picture.convert("RGBA")
        picture = Image.new("RGB", clear.size, "white")
        picture.paste(clear, mask=clear.getchannel("A"))
        profile = None
    elif picture.mode not in ("RGB", "L"):
        profile = profile if picture.mode == "RGB" else None
        picture = picture.convert("RGB")
    picture.thumbnail((largest, largest), Image.Resampling.LANCZOS)
    upright = as_srgb(picture, profile).convert("RGB")
    for each in turn:
        upright = upright.transpose(Image.Transpose(each))
    upright.info.clear()
    return upright


def orientation_of(picture: Image) -> int:
    """How the telephone was held, 1 where the file doesn't say or says it wrongly."""
    try:
        return int(picture.getexif().get(ORIENTATION, 1))
    except (OSError, ValueError, TypeError, SyntaxError, KeyError, OverflowError):
        return 1


def as_srgb(picture: Image, profile: bytes | None) -> Image:
    """The colours of a wider profile brought to sRGB; as they are where the profile can't be read."""
    from PIL import ImageCms  # after the limits as well

    if not profile or picture.mode != "RGB":
        return picture
    try:
        given = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        made = ImageCms.profileToProfile(picture, given, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError, ValueError):
        return picture
    return made or picture


def as_jpeg(picture: Image, side: int, quality: int) -> bytes:
    """The picture with no side longer than `side`, as a JPEG that holds nothing else."""
    smaller = picture.copy()
    smaller.thumbnail((side, side), reducing_gap=3.0)
    written = io.BytesIO()
    smaller.save(written, "JPEG", quality=quality, optimize=True)
    return written.getvalue()


def for_paper(picture: Image) -> bytes:
    """The size for paper, as good as its bytes allow."""
    for side, quality in PRINT_TRIES:
        written = as_jpeg(picture, side, quality)
        if len(written) <= PRINT_BYTES:
            break
    return written


def main() -> int:
    """Write the photograph on standard input anew to standard output; else 1, and a word on standard error."""
    limit_self()
    try:
        picture = read_upright(sys.stdin.buffer.read())
        files = {size: as_jpeg(picture, SIZES[size], quality) for size, quality in QUALITY.items()}
        files["print"] = for_paper(picture)
    except ValueError as fault:
        sys.stderr.write("pixels" if str(fault) == "pixels" else "damaged")
        return 1
    except (OSError, SyntaxError, MemoryError, EOFError, RuntimeError):
        sys.stderr.write("damaged")
        return 1
    lengths = [[size, len(content)] for size, content in files.items()]
    head = json.dumps({"width": picture.width, "height": picture.height, "lengths": lengths})
    sys.stdout.buffer.write(head.encode() + b"\n" + b"".join(files.values()))
    return 0


if __name__ == "__main__":
    sys.exit(main())
