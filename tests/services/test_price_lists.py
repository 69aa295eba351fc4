"""A CSV file of materials: written, read strictly, taken over whole or not at all, once."""

import csv
import io
from decimal import Decimal

import pytest

from quoting.models import ChangedMeanwhile, Edition, Material, Pack, PriceList
from quoting.services.editions import EditionFrozen, copy_edition
from quoting.services.price_list_file import COLUMNS, Change, Fault, read_materials, write_materials
from quoting.services.price_lists import PriceListFaults, TakenAlready, keep_price_list, take_price_list
from quoting.services.pricebook import read_book
from quoting.services.starter_edition import create_starter_edition
from tests.factories import EditionFactory, MaterialFactory, PackFactory

pytestmark = pytest.mark.django_db
HEAD = "material,name,group,kind,kept in,pack,unit,price\n"
LINE = "acrylic,Acrylic,sealers,liquid,locker,5,gal,239.00\n"


@pytest.fixture
def draft() -> Edition:
    """One sealer in two packs: 1 gal at 56.50 and 5 gal at 239.00."""
    sealer = MaterialFactory(edition=EditionFactory(), key="acrylic", name="Acrylic", kept_in="locker")
    PackFactory(material=sealer, size=Decimal(1), price=Decimal("56.50"))
    PackFactory(material=sealer)
    return sealer.edition


def read(draft: Edition, text: str | bytes):
    return read_materials(text if isinstance(text, bytes) else text.encode(), read_book(draft))


def faults_of(draft: Edition, text: str | bytes) -> list[Fault]:
    return read(draft, text).faults


def take(draft: Edition, text: str, version: int = 1):
    kept = keep_price_list(edition=draft, name="prices.csv", content=text.encode())
    return take_price_list(price_list=kept, version=version, currency="USD")


def test_a_line_a_pack_is_written(draft):
    assert "".join(write_materials(read_book(draft))).splitlines() == [
        HEAD.strip(),
        "acrylic,Acrylic,sealers,liquid,locker,1,gal,56.50",
        "acrylic,Acrylic,sealers,liquid,locker,5,gal,239.00",
    ]


@pytest.mark.parametrize("name", ['=HYPERLINK("x")', "+1", "-1", "@SUM(A1)"])
def test_what_a_spreadsheet_would_run_is_written_as_words_and_read_back_as_it_was(draft, name):
    Material.objects.update(name=name)
    text = "".join(write_materials(read_book(draft)))
    assert next(csv.DictReader(io.StringIO(text)))["name"] == f"'{name}"
    assert read(draft, text).changes == []


def test_what_was_written_changes_nothing_when_it_is_read():
    draft = create_starter_edition()
    report = read(draft, "".join(write_materials(read_book(draft))))
    assert (report.faults, report.changes, len(report.lines)) == ([], [], Pack.objects.count())


def test_a_report_tells_what_would_change_and_writes_nothing(draft):
    report = read(draft, HEAD + LINE.replace("239", "245") + "grit,Grit,sealers,dry,shelf 4,1,lb,18\n")
    assert report.changes == [
        Change("Acrylic", "5 gal", "239.00", "245.00"),
        Change("Grit", "material", "", "new"),
        Change("Grit", "1 lb", "", "18.00"),
    ]
    assert list(Pack.objects.values_list("price", flat=True)) == [Decimal("56.50"), Decimal("239.00")]


def test_a_list_is_taken_over_and_the_rest_stays(draft):
    take(draft, HEAD + "acrylic,Acrylic new,sealers,liquid,shelf 9,5,gal,245\ngrit,Grit,sealers,dry,shelf 4,1,lb,18\n")
    book = read_book(draft)
    assert [(row.key, row.name, row.kept_in) for row in book.materials.values()] == [
        ("acrylic", "Acrylic new", "shelf 9"),
        ("grit", "Grit", "shelf 4"),
    ]
    packs = [(pack.size_text, pack.price.amount) for row in book.materials.values() for pack in row.packs.all()]
    assert packs == [("1 gal", Decimal("56.50")), ("5 gal", Decimal(245)), ("1 lb", Decimal(18))]


def test_a_new_material_with_several_packs_is_one_material(draft):
    take(draft, HEAD + "grit,Grit,sealers,dry,,1,lb,18\ngrit,Grit,sealers,dry,,50,lb,400\n")
    assert [pack.size_text for pack in draft.materials.get(key="grit").packs.all()] == ["1 lb", "50 lb"]


def test_the_same_file_twice_is_one_import(draft):
    text = HEAD + LINE.replace("239", "245")
    take(draft, text)
    draft.materials.get().packs.update(price=Decimal(300))
    with pytest.raises(TakenAlready, match="was taken over before"):
        keep_price_list(edition=draft, name="again.csv", content=text.encode())
    assert Pack.objects.last().price.amount == 300


def test_a_kept_list_is_taken_over_once(draft):
    kept = keep_price_list(edition=draft, name="prices.csv", content=(HEAD + LINE).encode())
    take_price_list(price_list=kept, version=1, currency="USD")
    with pytest.raises(TakenAlready):
        take_price_list(price_list=kept, version=2, currency="USD")
    assert bytes(PriceList.objects.get().content) == b""


def test_a_list_that_waits_is_replaced_by_the_next(draft):
    keep_price_list(edition=draft, name="one.csv", content=b"1")
    keep_price_list(edition=draft, name="two.csv", content=b"2")
    assert list(PriceList.objects.values_list("name", flat=True)) == ["two.csv"]


def test_nothing_is_written_when_one_line_is_wrong(draft):
    with pytest.raises(PriceListFaults):
        take(draft, HEAD + LINE.replace("239.00", "245") + "grit,Grit,sealers,dry,,1,gal,18\n")
    assert Pack.objects.last().price.amount == 239
    assert not draft.materials.filter(key="grit").exists()


def test_nothing_is_written_when_the_draft_changed_meanwhile(draft):
    with pytest.raises(ChangedMeanwhile):
        take(draft, HEAD + LINE.replace("239.00", "245"), version=7)
    assert Pack.objects.last().price.amount == 239


def test_a_published_edition_takes_no_list():
    first = create_starter_edition()
    Edition.objects.filter(pk=first.pk).update(state="published")
    with pytest.raises(EditionFrozen):
        keep_price_list(edition=Edition.objects.get(), name="x.csv", content=b"x")
    assert keep_price_list(edition=copy_edition(edition=first, name="next"), name="x.csv", content=b"x").pk


@pytest.mark.parametrize(
    ("line", "column", "sentence"),
    [
        ("Acrylic 1,Acrylic,sealers,liquid,,5,gal,1", "material", "The key has small letters, digits and hyphens only"),
        ("a,,sealers,liquid,,5,gal,1", "name", "It is empty."),
        (f"a,{'x' * 121},sealers,liquid,,5,gal,1", "name", "It is longer than 120 characters."),
        ('a,"two\nlines",sealers,liquid,,5,gal,1', "name", "It holds a character that can’t be printed"),
        ("a,A,paints,liquid,,5,gal,1", "group", "“paints” is none of powders, sealers, cleaners, sundries."),
        ("a,A,sealers,gas,,5,gal,1", "kind", "“gas” is none of liquid, dry, count."),
        (
            "a,A,sealers,liquid,,5,lb,1",
            "unit",
            "“lb” is none of fl oz, pt, qt, gal, mL, L, which a liquid material has.",
        ),
        ("a,A,sealers,liquid,,0,gal,1", "pack", "It must be more than 0."),
        ("a,A,sealers,liquid,,1e3,gal,1", "pack", "“1e3” is not a plain number"),
        ("a,A,sealers,liquid,,5,gal,-1", "price", "It can’t be less than 0."),
        ("a,A,sealers,liquid,,5,gal,1.005", "price", "At most 2 digits after the point."),
        ("a,A,sealers,liquid,,5,gal,NaN", "price", "“NaN” is not a plain number"),
        ("a,A,sealers,liquid,,5,gal,999999999", "price", "It can’t be more than 99,999,999."),
    ],
)
def test_a_fault_is_named_with_its_line_and_column(draft, line, column, sentence):
    (fault,) = faults_of(draft, HEAD + line + "\n")
    assert (fault.line, fault.column) == (3 if "\n" in line else 2, column)
    assert fault.sentence.startswith(sentence)


def test_a_line_needs_all_its_cells(draft):
    assert faults_of(draft, HEAD + "a,A\n") == [Fault(2, "", "It has 2 cells instead of 8.")]


def test_the_first_line_must_be_the_columns(draft):
    assert faults_of(draft, "name,price\n")[0].line == 1
    assert faults_of(draft, "")[0].sentence.startswith(f"The first line must read: {','.join(COLUMNS)}")


def test_a_byte_order_mark_and_blank_lines_are_no_fault(draft):
    assert read(draft, b"\xef\xbb\xbf" + (HEAD + "\n" + LINE).encode()).faults == []


def test_a_file_in_another_encoding_is_named_with_the_line(draft):
    fault = Fault(2, "", "The file is not in UTF-8. Save it as “CSV UTF-8”.")
    assert faults_of(draft, HEAD.encode() + "a,Böschung".encode("latin-1")) == [fault]


def test_a_file_that_is_no_text_is_refused(draft):
    assert faults_of(draft, b"PK\0\0") == [
        Fault(0, "", "The file holds a character with the code 0: it is not a text file.")
    ]


def test_an_open_quote_is_refused(draft):
    (fault,) = faults_of(draft, HEAD + 'a,"A,sealers\n')
    assert fault.sentence.startswith("This is not a CSV file")


def test_the_same_pack_twice_is_refused(draft):
    assert faults_of(draft, HEAD + LINE + LINE.replace(",5,", ",5.0,")) == [
        Fault(3, "pack", "This pack is on line 2 already.")
    ]


def test_one_material_has_one_description(draft):
    text = HEAD + LINE + "acrylic,Other,sealers,liquid,locker,1,gal,60\n"
    assert faults_of(draft, text) == [Fault(3, "material", "acrylic is described otherwise on line 2.")]


def test_the_kind_of_a_known_material_is_not_changed_by_a_list(draft):
    text = HEAD + "acrylic,Acrylic,sealers,dry,locker,5,lb,60\n"
    assert faults_of(draft, text) == [
        Fault(2, "kind", "Acrylic is liquid in this draft. Change it on its own page, with its packs.")
    ]


def test_more_than_twenty_thousand_lines_are_refused(draft):
    lines = "".join(f"m{n},M,sealers,liquid,,5,gal,1\n" for n in range(20_001))
    assert faults_of(draft, HEAD + lines) == [Fault(20_002, "", "The file has more than 20,000 lines.")]


def test_more_than_ten_megabytes_are_refused(draft):
    with pytest.raises(PriceListFaults, match="The file is larger than 10 MB"):
        keep_price_list(edition=draft, name="x.csv", content=b"x" * (10 * 1024 * 1024 + 1))
    assert faults_of(draft, b"x" * (10 * 1024 * 1024 + 1)) == [Fault(0, "", "The file is larger than 10 MB.")]


def test_faults_stop_at_fifty(draft):
    assert len(faults_of(draft, HEAD + "a\n" * 80)) == 50
