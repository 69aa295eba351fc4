from dataclasses import asdict

import pytest

from quoting.core.findings import KINDS
from quoting.documents.findings import said, slab_of, table_of_tests
from quoting.documents.found import found_for_paper, grams_a_gallon, tone_words
from quoting.documents.freeze import canonical_json, sha256_of
from quoting.documents.photo_files import read_file
from quoting.models import Finding
from quoting.services.demo_photos import demo_photo
from quoting.services.photos import add_photo
from tests.factories import AreaFactory, JobFactory, OwnerFactory
from tests.found_factories import FindingFactory, SampleFactory, ToneFactory, WaitingFindingFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("kind", "answers", "words"),
    [
        ("water-drop", {"result": "soaks", "seconds": "8"}, "Water soaks in, 8\u00a0s"),
        ("tape", {"result": "clean"}, "Tape takes nothing off"),
        ("crack", {"width": "1/8", "length": "18", "level": "no"}, "1/8\u00a0in, 18\u00a0ft: cosmetic"),
        ("crack", {"width": "1/8"}, "1/8\u00a0in"),
        (
            "crack",
            {"width": "1/8", "length": "18", "level": "no", "moving": "no"},
            "1/8\u00a0in, 18\u00a0ft, it does not move: cosmetic",
        ),
        ("rinse-ph", {"rinse": "7.5", "fresh": "7"}, "pH 7.5 on the slab, pH 7 in fresh water: neutral"),
        (
            "spalls",
            {"result": "few", "across": "1", "count": "1"},
            "The surface has broken out in a few small places, the largest 1\u00a0in, 1\u00a0place",
        ),
        (
            "surface-history",
            {"age": "old", "sealed": "others", "sealer": "solvent-acrylic"},
            "Somebody else sealed it, slab more than 10 years old, a solvent-based acrylic",
        ),
        (
            "plastic-sheet",
            {"result": "nothing", "waited": "16", "sheets": "2"},
            "Nothing showed under the sheet, after 16\u00a0hours, 2\u00a0sheets",
        ),
        (
            "slip",
            {"result": "slips", "slope": "yes", "frail": "no"},
            "Wet, the surface is slippery, a slope, a ramp or steps",
        ),
        (
            "test-patch",
            {"result": "holds", "waited": "6"},
            "The patch was pulled before 24 hours were over, so it proves nothing yet, after 6\u00a0hours",
        ),
    ],
)
def test_a_finding_is_said_in_a_few_words(kind, answers, words):
    assert said(KINDS[kind], answers) == words


def test_every_test_stands_in_the_table_tested_or_not():
    job = JobFactory()
    one, two = AreaFactory(job=job, surface="stamped"), AreaFactory(job=job, surface="concrete-pavers", position=1)
    FindingFactory(area=one)
    table = {row.name: [cell.words for cell in row.cells] for row in table_of_tests([one, two], Finding.objects.all())}
    assert table["Tape"] == ["Tape takes nothing off", "not tested"]
    assert table["Joint sand"] == ["not for it", "not tested"]
    assert "Pool" not in table


def test_an_area_s_own_reading_goes_before_the_property_s():
    job = JobFactory()
    one, two = AreaFactory(job=job), AreaFactory(job=job, position=1)
    FindingFactory(job=job, area=None, kind="salt-pool", answers={"result": "none"})
    FindingFactory(area=two, kind="salt-pool", answers={"result": "salt"})
    rows = list(Finding.objects.all())
    assert [[each.answers for each in slab_of(area, rows).findings] for area in (one, two)] == [
        [{"result": "none"}],
        [{"result": "salt"}],
    ]


def test_a_crack_of_the_whole_property_is_never_forgotten_for_an_area_with_one():
    job = JobFactory()
    area = AreaFactory(job=job)
    FindingFactory(job=job, area=None, kind="crack", answers={"width": "1/2", "level": "no"})
    FindingFactory(area=area, kind="crack", answers={"width": "1/8", "level": "no"})
    assert len(slab_of(area, list(Finding.objects.all())).findings) == 2


def test_a_test_that_waits_says_nothing_yet():
    row = WaitingFindingFactory()
    assert slab_of(row.area, [row]).findings == ()


def test_six_ounces_are_170_grams():
    # 6 × 28.349523125 g (NIST SP 811, B.8) = 170.1
    assert grams_a_gallon(ToneFactory.build(job=None).strength) == "170 g"


def test_a_paper_gets_plain_values_and_the_hash_of_each_picture():
    area = AreaFactory(name="Pool deck")
    FindingFactory(area=area)
    photo = add_photo(job=area.job, by=OwnerFactory(), content=demo_photo("dry"), area=area, note="Dry").photo
    left_off = add_photo(job=area.job, by=OwnerFactory(), content=demo_photo("crack"), area=area).photo
    type(left_off).objects.filter(pk=left_off.pk).update(on_paper=False)
    ToneFactory(job=area.job)
    SampleFactory(area=area, photo=photo)
    found = found_for_paper(area.job)
    assert found.areas == (("A", "Pool deck"),)
    assert [(test.name, [asdict(place) for place in test.places]) for test in found.tests] == [
        (
            "Tape",
            [
                {
                    "letter": "A",
                    "words": "Tape takes nothing off",
                    "sentence": "Tape takes nothing off: what is on the slab holds.",
                }
            ],
        )
    ]
    assert found.not_known[1] == "Not noted: age and sealer."
    (shown,) = found.photos
    assert (shown.number, shown.letter, shown.note) == (1, "A", "Dry")
    assert shown.sha256 == sha256_of(read_file(photo.name, "print"))
    assert [tone.recipe for tone in found.tones] == ["Graphite: 6 oz (170 g) a gallon of water"]
    assert (found.samples[0].photo, found.approved) == (1, None)
    assert canonical_json(asdict(found))


@pytest.mark.parametrize(
    ("note", "told"),
    [
        ("", "Graphite: 6 oz (170 g) a gallon of water"),
        (
            "Strained twice; misted lightly.",
            "Graphite: 6 oz (170 g) a gallon of water, strained twice; misted lightly.",
        ),
        ("WD first.", "Graphite: 6 oz (170 g) a gallon of water, WD first."),
    ],
)
def test_a_recipe_with_its_note_is_one_sentence(note, told):
    assert tone_words(ToneFactory(note=note)) == told
