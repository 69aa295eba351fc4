"""Photographs from before and after the work, area by area, as pairs for the hand-over sheet. Reads their files."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import zip_longest

from django.db.models import F

from quoting.documents.contexts import Facts, day_text
from quoting.documents.freeze import sha256_of
from quoting.documents.photo_files import read_file
from quoting.documents.proposal_found import PhotoLost
from quoting.models import Job, Photo

MOST_PAIRS = 6
"""Of one sheet, so that it stays a letter's length and goes through the mail."""

A_SIDE = 2
"""Pairs of one area."""

SIZE = "print"
WHOLE = "The whole property"
SIDES: tuple[str, ...] = (Photo.Of.BEFORE, Photo.Of.DURING, Photo.Of.AFTER)

BY_AREA = (F("area__position").asc(nulls_last=True), "position", "id")
"""Their order: area by area, those of the whole property last."""


def sides_of(photos: Iterable[Photo]) -> dict[str, dict[str, list[Photo]]]:
    """Photographs from before, during and after the work by area, in their order. Expects `area` with each."""
    sides: dict[str, dict[str, list[Photo]]] = {}
    for photo in photos:
        name = photo.area.name if photo.area else WHOLE
        if photo.of in SIDES:
            sides.setdefault(name, {side: [] for side in SIDES})[photo.of].append(photo)
    return sides


def pair_facts(job: Job) -> list[Facts]:
    """The pairs of a sheet: of each area its first photographs that may go on papers, before beside after.

    An area without one from after the work is left out: there is nothing to show yet. Raises PhotoLost.
    """
    photos = Photo.objects.filter(job=job, on_paper=True).select_related("area").order_by(*BY_AREA)
    pairs = []
    for name, sides in sides_of(photos).items():
        after = sides[Photo.Of.AFTER][:A_SIDE]
        for first, then in zip_longest(sides[Photo.Of.BEFORE][: len(after)], after):
            pairs.append((name, first, then))
    kept = pairs[:MOST_PAIRS]
    return [
        {
            "area": name,
            "before": _photo(before, 2 * place + 1, name) if before else "",
            "after": _photo(after, 2 * place + 2, name),
        }
        for place, (name, before, after) in enumerate(kept)
    ]


def _photo(photo: Photo, number: int, name: str) -> Facts:
    word = "before" if photo.of == Photo.Of.BEFORE else "after"
    try:
        content = read_file(photo.name, SIZE)
    except FileNotFoundError as error:
        raise PhotoLost(number) from error
    where = name if photo.area else "the whole property"
    return {
        "number": str(number),
        "name": photo.name,
        "size": SIZE,
        "sha256": sha256_of(content),
        "letter": photo.area.letter if photo.area else "",
        "caption": ", ".join(each for each in (f"{word}, {day_text(photo.added_at)}", photo.step, photo.note) if each),
        "alt": f"{where} {word} the work{f': {photo.note}' if photo.note else ''}",
    }
