"""Photographs for the demo, worked out instead of taken: stamped stone, dry, half hosed, cracked, and with a sample."""

from __future__ import annotations

import io
import random

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageOps

SIZE = (1440, 1080)
KINDS = ("dry", "half-wet", "crack", "sample", "toned")
JOINT = 9
"""Pixels of half a joint."""

GREY, WET, TONED = (136, 132, 126), (72, 68, 64), (104, 88, 74)


class NoSuchPhoto(ValueError):
    """There is no demo photograph of that kind."""

    def __init__(self, kind: str) -> None:
        super().__init__(f"There is no demo photograph “{kind}”; there are: {', '.join(KINDS)}.")


def demo_photo(kind: str) -> bytes:
    """A JPEG of a stamped slab, always the same: `dry`, `half-wet`, `crack`, `sample`, or `toned` all over.

    Raises NoSuchPhoto.
    """
    if kind not in KINDS:
        raise NoSuchPhoto(kind)
    chance = random.Random(20_260_601)  # noqa: S311 — a picture, no secret
    stones = _stones(chance)
    picture = _slab(stones, chance, GREY)
    if kind == "dry":
        picture = _clouded(picture, chance)
    elif kind == "half-wet":
        picture = _halves(_clouded(picture, chance), _slab(stones, chance, WET), chance)
    elif kind == "crack":
        picture = _card(_cracked(picture, chance))
    elif kind == "toned":
        picture = _slab(stones, chance, TONED)
    else:
        patch = _slab(stones, chance, TONED)
        mask = Image.new("L", SIZE, 0)
        ImageDraw.Draw(mask).rectangle((470, 300, 1010, 800), fill=255)
        picture = Image.composite(patch, picture, mask.filter(ImageFilter.GaussianBlur(5)))
    written = io.BytesIO()
    picture.save(written, "JPEG", quality=88)
    return written.getvalue()


def _stones(chance: random.Random) -> list[tuple[int, int, int, int]]:
    """Ashlar courses that run over the edge, as rectangles."""
    stones, top = [], -60
    while top < SIZE[1]:
        height = chance.choice((150, 190, 230))
        left = -chance.randrange(20, 200)
        while left < SIZE[0]:
            width = chance.choice((180, 260, 340, 420))
            stones.append((left, top, left + width, top + height))
            left += width
        top += height
    return stones


def _noise(chance: random.Random, cells: tuple[int, int]) -> Image.Image:
    """Soft grey noise of so many cells across and down."""
    small = Image.frombytes("L", cells, chance.randbytes(cells[0] * cells[1]))
    return small.resize(SIZE, Image.Resampling.BICUBIC)


def _slab(stones: list[tuple[int, int, int, int]], chance: random.Random, colour: tuple[int, int, int]) -> Image.Image:
    """Stones with a grain, each a little lighter or darker, and joints with a shadow."""
    faces, height = Image.new("RGB", SIZE, colour), Image.new("L", SIZE, 60)
    draw_face, draw_height = ImageDraw.Draw(faces), ImageDraw.Draw(height)
    for left, top, right, bottom in stones:
        lighter = chance.randrange(-13, 14)
        tone = tuple(min(max(part + lighter + chance.randrange(-1, 2), 0), 255) for part in colour)
        box = (left + JOINT, top + JOINT, right - JOINT, bottom - JOINT)
        draw_face.rectangle(box, fill=tone)
        draw_height.rounded_rectangle(box, 16, fill=170)
    rough = Image.blend(_noise(chance, (48, 36)), _noise(chance, (240, 180)), 0.5)
    fine = _noise(chance, (720, 540))
    height = Image.blend(height.filter(ImageFilter.GaussianBlur(7)), rough, 0.28)
    light = ImageOps.autocontrast(
        height.filter(ImageFilter.Kernel((3, 3), (-2, -1, 0, -1, 1, 1, 0, 1, 2), 1, 110)), cutoff=1
    )
    grain = Image.blend(light, fine, 0.3).convert("RGB")
    joints = ImageOps.autocontrast(height.filter(ImageFilter.GaussianBlur(3))).point(lambda v: min(255, 120 + v))
    shaded = ImageChops.multiply(faces, joints.convert("RGB"))
    return Image.blend(shaded, ImageChops.overlay(shaded, grain), 0.7)


def _clouded(picture: Image.Image, chance: random.Random) -> Image.Image:
    """White clouds in a film that holds."""
    cloud = Image.new("L", SIZE, 0)
    draw = ImageDraw.Draw(cloud)
    for _ in range(26):
        x, y, r = chance.randrange(820, 1200), chance.randrange(200, 560), chance.randrange(20, 90)
        draw.ellipse((x - r, y - r * 2 // 3, x + r, y + r * 2 // 3), fill=130)
    soft = ImageChops.multiply(cloud.filter(ImageFilter.GaussianBlur(26)), _noise(chance, (60, 45)))
    return Image.composite(Image.new("RGB", SIZE, (226, 224, 220)), picture, soft)


def _halves(dry: Image.Image, wet: Image.Image, chance: random.Random) -> Image.Image:
    """The right half hosed wet, with an edge as water makes it."""
    mask = Image.new("L", SIZE, 0)
    edge = [(700 + chance.randrange(-40, 41), y) for y in range(0, SIZE[1] + 60, 60)]
    ImageDraw.Draw(mask).polygon([*edge, (SIZE[0], SIZE[1]), (SIZE[0], 0)], fill=255)
    return Image.composite(wet, dry, mask.filter(ImageFilter.GaussianBlur(9)))


def _cracked(picture: Image.Image, chance: random.Random) -> Image.Image:
    """A thin crack from edge to edge."""
    mask = Image.new("L", SIZE, 0)
    y, points = 330.0, []
    for x in range(-20, SIZE[0] + 40, 22):
        y += chance.randrange(-13, 20)
        points.append((x, y))
    ImageDraw.Draw(mask).line(points, fill=235, width=5, joint="curve")
    return Image.composite(Image.new("RGB", SIZE, (38, 35, 32)), picture, mask.filter(ImageFilter.GaussianBlur(1.2)))


def _card(picture: Image.Image) -> Image.Image:
    """A scale card with black and white squares beside the crack."""
    draw = ImageDraw.Draw(picture)
    draw.rectangle((820, 800, 1260, 890), fill=(246, 245, 242))
    for square in range(8):
        if square % 2 == 0:
            draw.rectangle((836 + square * 51, 822, 836 + square * 51 + 51, 868), fill=(24, 24, 24))
    return picture
