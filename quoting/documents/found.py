"""What was found, frozen for a paper: tests in words, what is not known, photographs with their hashes, tones, sample.

Everything is text, whole numbers or dataclasses of those, so that `dataclasses.asdict` of it goes into canonical JSON.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.advice import advise
from quoting.core.finding_kinds import Group
from quoting.core.findings import KINDS
from quoting.core.trade_units import from_unit, to_unit
from quoting.core.units import format_number
from quoting.documents.area_letters import told_letters
from quoting.documents.contexts import day_text, listed
from quoting.documents.findings import Cell, slab_of, table_of_tests
from quoting.documents.freeze import sha256_of
from quoting.documents.photo_files import read_file
from quoting.models import Area, Finding, Job, Photo, Sample, Tone
from quoting.models.photos import OF_WORK


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceOnPaper:
    """What a test showed on one area: `words` as it was noted, `sentence` as it reads."""

    letter: str
    words: str
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TestOnPaper:
    """One test that was done; `places` has a single one without a letter where it holds for the whole property."""

    __test__ = False  # no test of ours, whatever it is called

    name: str
    places: tuple[PlaceOnPaper, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoOnPaper:
    """A photograph: `name` and `size` find its file, `sha256` is that file's."""

    number: int
    name: str
    size: str
    sha256: str
    letter: str
    note: str
    alt: str
    is_cover: bool
    of: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneOnPaper:
    """A tone chosen: its place on the stones, its colour and its recipe in words."""

    role: str
    colour: str
    recipe: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleOnPaper:
    """A sample on the slab; who approved it and when, empty where nobody did. `photo` is its number, 0 for none."""

    letter: str
    area: str
    made_on: str
    recipe: str
    approved_by: str
    approved_on: str
    photo: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundOnPaper:
    """The sections “What we saw” and “Your wish and the colours”. `areas` are letters and names."""

    areas: tuple[tuple[str, str], ...]
    tests: tuple[TestOnPaper, ...]
    not_known: tuple[str, ...]
    photos: tuple[PhotoOnPaper, ...]
    tones: tuple[ToneOnPaper, ...]
    samples: tuple[SampleOnPaper, ...]

    @property
    def approved(self) -> SampleOnPaper | None:
        """The sample that was approved last."""
        return next((each for each in reversed(self.samples) if each.approved_on), None)


def found_for_paper(job: Job) -> FoundOnPaper:
    """All of it as it is now. Reads the print files of the photographs; not to be called inside a transaction."""
    areas = list(job.areas.all())
    rows = list(Finding.objects.filter(job=job))
    seen = Photo.objects.filter(job=job, on_paper=True).exclude(of__in=OF_WORK).select_related("area")
    photos = _photos(list(seen))
    numbers = {photo.name: photo.number for photo in photos}
    samples = Sample.objects.filter(job=job).select_related("area", "photo")
    return FoundOnPaper(
        areas=tuple((area.letter, area.name) for area in areas),
        tests=_tests(areas, rows),
        not_known=_not_known(areas, rows),
        photos=photos,
        tones=tuple(
            ToneOnPaper(role=tone.role, colour=tone.colour, recipe=tone_words(tone))
            for tone in Tone.objects.filter(job=job).select_related("material")
        ),
        samples=tuple(_sample(each, numbers) for each in samples),
    )


def grams_a_gallon(strength: Decimal) -> str:
    """Ounces a gallon as whole grams a gallon: 6 → 170 g."""
    return f"{format_number(to_unit(from_unit(strength, 'oz/gal'), 'g/gal'), 0)} g"


def strength_words(tone: Tone) -> tuple[str, str]:
    """How strong a tone is mixed, and of how much water: `6 oz (170 g)`, `a gallon`; or `45 g`, `a litre`."""
    figure = f"{tone.strength.normalize():f}"
    if tone.units == "metric":
        return f"{figure} g", "a litre"
    return f"{figure} oz ({grams_a_gallon(tone.strength)})", "a gallon"


def tone_words(tone: Tone) -> str:
    """A recipe in one sentence: Base tone, graphite: 6 oz (170 g) a gallon of water, strained twice."""
    what = tone.material.name if tone.material else tone.colour
    strong, water = strength_words(tone)
    noted = f"{tone.note[:1].lower()}{tone.note[1:]}" if tone.note[1:2].islower() else tone.note
    note = f", {noted}" if noted else ""
    return f"{what}: {strong} {water} of water{note}"


def recipe_of(tones: Iterable[Tone]) -> str:
    """The tones as they are now, one a line, in the order in which they go on; the text that a sample keeps."""
    return "\n".join(f"{number}. {tone.role}: {tone_words(tone)}" for number, tone in enumerate(tones, 1))


def _tests(areas: Sequence[Area], rows: Sequence[Finding]) -> tuple[TestOnPaper, ...]:
    """Tests and what was seen on the slab; what is round it is for the crew, and is left off."""
    tests = []
    for row in table_of_tests(areas, rows):
        if KINDS[row.kind].group is Group.ROUND:
            continue
        cells = [("", row.whole)] if row.whole else [(a.letter, c) for a, c in zip(areas, row.cells, strict=True)]
        if places := tuple(_place(letter, cell) for letter, cell in cells if not cell.off and cell.sentence):
            tests.append(TestOnPaper(name=row.name, places=places))
    return tuple(tests)


def _place(letter: str, cell: Cell) -> PlaceOnPaper:
    return PlaceOnPaper(letter=letter, words=cell.words, sentence=cell.sentence)


def _not_known(areas: Sequence[Area], rows: Sequence[Finding]) -> tuple[str, ...]:
    """What was not tested, by the areas where it was not, then each reading that does not decide, with its areas, and
    what nobody knows of the old sealer: Not tested on C: solvent drop and tape.
    """
    where: dict[tuple[str, str], list[str]] = {}
    for area in areas:
        for unknown in advise(slab_of(area, rows)).unknown:
            group = KINDS[unknown.kind].group
            if group is Group.TEST or unknown.kind == "surface-history":
                name, _, left_out = unknown.sentence.rstrip(".").rpartition(f": not {group.done}")
                said = (f"Not {group.done}", name) if name and not left_out else ("", unknown.sentence.rstrip("."))
                where.setdefault(said, []).append(area.letter)
    found: dict[str, list[str]] = {}
    for (done, words), letters in where.items():
        on = "" if len(letters) == len(areas) else f" on {listed(told_letters(letters))}"
        if done:
            found.setdefault(f"{done}{on}", []).append(f"{words[:1].lower()}{words[1:]}")
        else:
            found[f"{words},{on}" if on else words] = []
    return tuple(f"{head}: {listed(names)}." if names else f"{head}." for head, names in found.items())


def _photos(rows: Sequence[Photo]) -> tuple[PhotoOnPaper, ...]:
    return tuple(
        PhotoOnPaper(
            number=number,
            name=row.name,
            size="print",
            sha256=sha256_of(read_file(row.name, "print")),
            letter=row.area.letter if row.area else "",
            note=row.note,
            alt=alt_of(row),
            is_cover=row.is_cover,
            of=row.of,
        )
        for number, row in enumerate(rows, 1)
    )


def alt_of(row: Photo) -> str:
    """What the photograph shows, for who doesn't see it."""
    where = f" on area {row.area.letter}, {row.area.name}" if row.area else ""
    return row.note or f"Photograph of {Photo.Of(row.of).label}{where}"


def _sample(row: Sample, numbers: dict[str, int]) -> SampleOnPaper:
    return SampleOnPaper(
        letter=row.area.letter,
        area=row.area.name,
        made_on=day_text(row.made_on),
        recipe=row.recipe,
        approved_by=row.approved_by,
        approved_on=day_text(row.approved_on) if row.approved_on else "",
        photo=numbers.get(row.photo.name, 0) if row.photo else 0,
    )
