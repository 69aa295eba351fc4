"""What a proposal says of the slab as it was found, of the wish and of the colours, and which photographs it shows."""

from __future__ import annotations

from collections.abc import Mapping

from quoting.documents.area_letters import told_letters
from quoting.documents.contexts import Facts, lines_of, listed
from quoting.documents.findings import head_of
from quoting.documents.found import FoundOnPaper, PhotoOnPaper, SampleOnPaper, TestOnPaper, found_for_paper
from quoting.documents.freeze import sha256_of
from quoting.documents.photo_files import read_file
from quoting.models import Job, Photo

MOST_PHOTOS = 12
"""Of one paper, the cover's not counted."""

A_ROW = 3

HISTORY = (("poured", "Poured"), ("last_sealed", "Last sealed"), ("pool", "Pool"))
"""What the folder knows from being told; the fields of Job."""

VARIES = (
    "The shade varies from stone to stone and within each, as on a sample made on your own slab. It will not match a "
    "chart, a screen or a photograph."
)


class PhotoLost(Exception):
    """The file of a photograph that is to be printed is not there, or not the one that was kept."""

    def __init__(self, number: int) -> None:
        super().__init__(
            f"The file of photograph {number} is missing or damaged. Leave the photograph off the paper, "
            "or send it again."
        )


def found_facts(job: Job) -> Facts:
    """The sections “What we saw” and “Your wish and the colours”, and the cover's photograph. Reads files.

    Raises PhotoLost.
    """
    try:
        found = found_for_paper(job)
    except FileNotFoundError as error:
        raise PhotoLost(0) from error
    cover = next((photo for photo in found.photos if photo.is_cover), None)
    inside = [photo for photo in found.photos if photo is not cover]
    seen = [photo for photo in inside if photo.of != Photo.Of.SAMPLE][:MOST_PHOTOS]
    samples = [photo for photo in inside if photo.of == Photo.Of.SAMPLE][:A_ROW]
    shown = {photo.number: place for place, photo in enumerate([*seen, *samples], start=1)}
    return {
        "cover": _photo(cover, 0, _sample_caption(cover, found)) if cover else "",
        "seen": {
            "rows": _rows([_photo(photo, shown[photo.number]) for photo in seen]),
            "tests": [row for test in found.tests for row in _test_rows(test, len(found.areas))],
            "not_known": list(found.not_known) if found.tests else [],
            "history": [f"{label}: {text}" for field, label in HISTORY if (text := getattr(job, field).strip())],
        },
        "wish": lines_of(job.asked),
        "colours": {
            "tones": [
                {"role": tone.role, "colour": tone.colour, "recipe": _recipe(tone.recipe)} for tone in found.tones
            ],
            "samples": [_sample(each) for each in found.samples],
            "rows": _rows([_photo(photo, shown[photo.number], _sample_caption(photo, found)) for photo in samples]),
            "varies": VARIES if found.tones or found.samples else "",
        },
    }


def pictures_of(facts: Mapping[str, object]) -> list[str]:
    """The hashes of the photographs that a paper shows, each once."""
    return list(dict.fromkeys(photo["sha256"] for photo in photos_of(facts)))


def photos_of(facts: Mapping[str, object]) -> list[Facts]:
    """The photographs that a paper shows, the cover's first. [] for a paper of before there were any."""
    cover: object = facts.get("cover")
    seen: Mapping[str, list[list[Facts]]] = facts.get("seen") or {}  # type: ignore[assignment]
    colours: Mapping[str, list[list[Facts]]] = facts.get("colours") or {}  # type: ignore[assignment]
    pairs: list[Facts] = facts.get("pairs") or []  # type: ignore[assignment]
    rows = [*seen.get("rows", []), *colours.get("rows", [])]
    sides = [pair[side] for pair in pairs for side in ("before", "after") if pair[side]]
    return [*([cover] if isinstance(cover, dict) else []), *(photo for row in rows for photo in row), *sides]


def read_pictures(facts: Mapping[str, object]) -> dict[str, bytes]:
    """The bytes of the photographs of a draft's facts, by their hashes, from the job's files. Raises PhotoLost."""
    pictures = {}
    for photo in photos_of(facts):
        try:
            content = read_file(photo["name"], photo["size"])
        except FileNotFoundError as error:
            raise PhotoLost(int(photo["number"])) from error
        if sha256_of(content) != photo["sha256"]:
            raise PhotoLost(int(photo["number"]))
        pictures[photo["sha256"]] = content
    return pictures


def _recipe(words: str) -> str:
    """A recipe without the name of its tone, what was noted of it in the same sentence."""
    mixed, _, note = (words.partition(": ")[2] or words).partition("; ")
    if note[1:2].islower():
        note = f"{note[:1].lower()}{note[1:]}"
    return f"{mixed}; {note}" if note else mixed


def _photo(photo: PhotoOnPaper, place: int, caption: str = "") -> Facts:
    return {
        "number": str(place),
        "name": photo.name,
        "size": photo.size,
        "sha256": photo.sha256,
        "letter": photo.letter,
        "caption": caption or photo.note,
        "alt": photo.alt,
    }


def _rows(photos: list[Facts]) -> list[list[Facts]]:
    return [photos[start : start + A_ROW] for start in range(0, len(photos), A_ROW)]


def _sample_caption(photo: PhotoOnPaper | None, found: FoundOnPaper) -> str:
    """What is said below the photograph of a sample: where it was made, when, and who said yes to it."""
    sample = next((each for each in found.samples if photo and each.photo == photo.number), None)
    if sample is None:
        return photo.note if photo else ""
    said = f"The sample on {sample.letter}, {sample.area}, made on {sample.made_on}"
    return f"{said} and approved by {sample.approved_by} on {sample.approved_on}." if sample.approved_on else f"{said}."


def _sample(sample: SampleOnPaper) -> Facts:
    state = f"approved by {sample.approved_by}, {sample.approved_on}" if sample.approved_on else "not approved yet"
    return {"letter": sample.letter, "area": sample.area, "made_on": sample.made_on, "state": state}


def _test_rows(test: TestOnPaper, areas: int) -> list[Facts]:
    """One row for each thing that the test showed, with the areas where it showed that; none named where it is all."""
    where: dict[tuple[str, str], list[str]] = {}
    for place in test.places:
        where.setdefault((place.words, place.sentence), []).append(place.letter)
    return [
        {
            "name": test.name,
            "where": "" if len(letters) == areas or not letters[0] else listed(told_letters(letters)),
            "words": words,
            "sentence": _told_besides(words, sentence),
        }
        for (words, sentence), letters in where.items()
    ]


def _told_besides(words: str, sentence: str) -> str:
    """What the sentence tells that does not stand in the words beside it."""
    head = head_of(sentence)
    if not words.startswith(head):
        return sentence
    rest = sentence[len(head) :].lstrip(":. ")
    return f"{rest[:1].upper()}{rest[1:]}"
