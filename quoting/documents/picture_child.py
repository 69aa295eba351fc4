"""The child that decodes one picture, as `python -m`: a file comes in, a PNG goes out, or one word says why not."""

from __future__ import annotations

import io
import resource
import sys

from quoting.documents.picture import MEMORY_BYTES, MOST_PIXELS, SECONDS, WIDEST


def limit_self() -> None:
    """No more memory, time or files than one picture needs."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def main() -> int:
    """Write the picture on standard input anew to standard output; if it can't be: 1, and a word on standard error."""
    limit_self()
    # After the limits, so that they hold for the decoder's own set-up too.
    from PIL import Image, ImageOps, UnidentifiedImageError

    Image.MAX_IMAGE_PIXELS = None  # the limit of our own stands below, before anything is decoded
    try:
        picture = Image.open(io.BytesIO(sys.stdin.buffer.read()), formats=("PNG", "JPEG"))
        if picture.width * picture.height > MOST_PIXELS:
            sys.stderr.write("pixels")
            return 1
        picture.draft("RGB", (WIDEST * 2, WIDEST * 2))
        upright = ImageOps.exif_transpose(picture)
        clear = "A" in upright.getbands() or "transparency" in upright.info
        clean = upright.convert("RGBA" if clear else "RGB")
        clean.thumbnail((WIDEST, WIDEST), Image.Resampling.LANCZOS)
        clean.info.clear()
        written = io.BytesIO()
        clean.save(written, "PNG", optimize=True)
    except UnidentifiedImageError:
        sys.stderr.write("kind")
        return 1
    except (OSError, ValueError, SyntaxError, MemoryError):
        sys.stderr.write("damaged")
        return 1
    sys.stdout.buffer.write(written.getvalue())
    return 0


if __name__ == "__main__":
    sys.exit(main())
