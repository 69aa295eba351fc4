"""Reading and writing scope files: what anyone may have written, and what comes back from a frozen one."""

import json
from decimal import Decimal
from typing import Any

import pytest

from quoting.core.scope import Discount
from quoting.core.scope_file import ScopeFaults, read_scope, scope_data, scope_from_data, write_scope
from tests.sample_scopes import everything, pool_deck


def faults(data: Any) -> list[str]:
    """What is wrong with the data, one line a fault."""
    with pytest.raises(ScopeFaults) as caught:
        scope_from_data(data)
    return [str(fault) for fault in caught.value.faults]


def faults_of_text(text: str | bytes) -> list[str]:
    with pytest.raises(ScopeFaults) as caught:
        read_scope(text)
    return [str(fault) for fault in caught.value.faults]


@pytest.mark.parametrize("data", [pool_deck(), everything()], ids=["pool deck", "everything"])
def test_a_written_scope_reads_back_equal_and_writes_the_same_bytes(data: dict[str, Any]) -> None:
    scope = scope_from_data(data)
    text = write_scope(scope)
    assert read_scope(text) == scope
    assert write_scope(read_scope(text.encode())) == text


def test_the_canonical_text_has_sorted_keys_and_no_blanks() -> None:
    text = write_scope(scope_from_data(everything()))
    again = json.dumps(json.loads(text), sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    assert text == again


def test_the_frozen_file_shows_how_the_tape_was_called() -> None:
    data = scope_data(scope_from_data(pool_deck()))
    assert data["areas"][0]["parts"] == [{"shape": "rectangle", "length": "32 ft", "width": "14' 6\"", "count": 1}]


def test_the_frozen_file_spells_out_every_default() -> None:
    minimal = {
        "format": 1,
        "currency": "USD",
        "units": "us",
        "areas": [{"name": "A", "parts": [{"shape": "circle", "diameter": "6 ft"}]}],
        "crew": {"hourly_cost": "39"},
        "pricing": {"profit": {"margin": "0.3"}},
    }
    assert json.loads(write_scope(scope_from_data(minimal))) == {
        "format": 1,
        "currency": "USD",
        "units": "us",
        "areas": [{"name": "A", "texture": "1", "parts": [{"shape": "circle", "diameter": "6 ft", "count": 1}]}],
        "crew": {"size": 1, "hourly_cost": "39.00"},
        "pricing": {
            "overhead": "0",
            "profit": {"margin": "0.3"},
            "minimum": "0.00",
            "round_to": "0.00",
            "discount": "0",
        },
    }


def test_equal_scopes_are_written_the_same_however_their_numbers_were() -> None:
    one, other = pool_deck(), pool_deck()
    other["pricing"] |= {"overhead": "0.1500", "minimum": 650}
    other["materials"]["base-tone"]["packs"][0]["price"] = "21.5"
    other["work"][0]["labour"]["passes"] = "1"
    assert write_scope(scope_from_data(one)) == write_scope(scope_from_data(other))


def test_materials_stand_in_the_order_of_their_keys() -> None:
    data = everything()
    data["materials"] = dict(reversed(data["materials"].items()))
    assert scope_from_data(data) == scope_from_data(everything())


def test_a_discount_is_a_rate_or_an_amount() -> None:
    data = pool_deck()
    data["pricing"]["discount"] = "0.05"
    assert scope_from_data(data).pricing.discount == Discount(rate=Decimal("0.05"))
    data["pricing"]["discount"] = {"amount": "100.00"}
    assert scope_from_data(data).pricing.discount == Discount(amount=Decimal("100.00"))


def test_every_fault_is_reported_with_its_place() -> None:
    data = pool_deck()
    data["areas"][0]["parts"][0]["length"] = "32 gal"
    data["areas"][0]["texture"] = "0.9"
    data["work"][0]["areas"] = ["Pool dekc"]
    data["work"][0]["materials"][0]["material"] = "basetone"
    data["materials"]["base-tone"]["packs"][1]["size"] = "1 gal"
    data["pricing"]["profit"] = {"margin": "0.3", "markup": "0.4"}
    assert [line.partition(":")[0] for line in faults(data)] == [
        "areas[0].texture",
        "areas[0].parts[0].length",
        "materials.base-tone.packs[1].size",
        "work[0].materials[0].material",
        "work[0].areas[0]",
        "pricing.profit",
    ]


def test_an_unknown_key_is_refused_by_name_with_the_nearest_one() -> None:
    data = pool_deck()
    data["pricing"]["overheads"] = "0.15"
    assert faults(data) == ["pricing.overheads: is not a key of this file; did you mean “overhead”?"]


@pytest.mark.parametrize(
    ("path", "value", "line"),
    [
        ("work/0/step", "x" * 201, "work[0].step: is 201 characters long; at most 200 are read."),
        ("work/0/step", "a\nb", "work[0].step: holds the character U+000A, which can't be printed."),
        ("work/0/step", "\ud800", "work[0].step: holds the character U+D800, which can't be printed."),
        ("work/0/step", " ", "work[0].step: must not be blank."),
        ("areas/0/parts", [], "areas[0].parts: must hold at least one, and holds 0."),
        ("areas/0/parts/0/shape", "rectangel", "areas[0].parts[0].shape: must be one of"),
        ("areas/0/parts/0/width", "NaN ft", "areas[0].parts[0].width: “NaN ft” is not a plain number"),
        ("areas/0/parts/0/width", "-3 ft", "areas[0].parts[0].width: “-3 ft” is negative"),
        ("areas/0/parts/0/width", "0 ft", "areas[0].parts[0].width: “0 ft” must be more than zero."),
        ("areas/0/parts/0/width", "11 km", "areas[0].parts[0].width: “km” is not a unit"),
        ("areas/0/parts/0/width", "40000 ft", "areas[0].parts[0].width: “40000 ft” is longer than 10 km."),
        ("areas/0/parts/0/width", "3", "areas[0].parts[0].width: “3”"),
        ("areas/0/parts/0/width", 3, "areas[0].parts[0].width: must be a length with its unit, as a text"),
        ("areas/0/deducts/0/diameter", "60 ft", "areas[0]: Nothing is left"),
        ("work/0/labour/rate", "0 ft**2/hour", "work[0].labour.rate: “0 ft**2/hour” must be more than zero."),
        ("work/0/labour/passes", 0, "work[0].labour.passes: must be from 1 to 100, not 0."),
        ("work/0/labour/passes", True, "work[0].labour.passes: must be a whole number, not true."),
        ("work/0/labour/length", "3 ft", "work[0].labour.length: belongs to a rate by length"),
        ("work/0/labour/hours", "3 hour", "work[0].labour: must have either “rate” or “hours”."),
        ("work/0/materials/0/waste", "1e3", "work[0].materials[0].waste: must be a number such as “0.05”"),
        ("work/0/materials/0/waste", 0.05, "work[0].materials[0].waste: must be a text such as “0.05”, not 0.05"),
        ("work/0/materials/0/use/batch_step", "6 gal", "work[0].materials[0].use.batch_step: “6 gal” is more than"),
        ("currency", "XYZ", "currency: “XYZ” is not a currency code"),
        ("charges/0/amount", "95.005", "charges[0].amount: 95.005 is finer than the currency's 2 decimals."),
        ("pricing/profit/margin", "1", "pricing.profit.margin: must be less than 1, not 1."),
        ("format", 2, "format: must be 1, and is the bare number 2."),
        ("crew", None, "crew: must be an object, not null."),
    ],
)
def test_what_can_not_be_is_refused_in_its_place(path: str, value: Any, line: str) -> None:
    data = pool_deck()
    *way, last = [int(step) if step.isdigit() else step for step in path.split("/")]
    inner: Any = data
    for step in way:
        inner = inner[step]
    inner[last] = value
    found = faults(data)
    assert [fault[: len(line)] for fault in found] == [line]


def test_a_bare_oz_is_what_the_packs_say() -> None:
    data = pool_deck()
    data["materials"]["tint"] = {
        "name": "Tint",
        "packs": [{"size": "1 gal", "price": "9"}, {"size": "32 oz", "price": "4"}],
    }
    sizes = [pack.size.magnitude for pack in scope_from_data(data).materials[1].packs]
    assert sizes[0] == 4 * sizes[1]  # 128 fl oz a gallon
    data["materials"]["tint"]["packs"][0]["size"] = "2 lb"
    sizes = [pack.size.magnitude for pack in scope_from_data(data).materials[1].packs]
    assert sizes[0] == sizes[1]  # 16 oz a pound


def test_keys_that_stand_twice_are_refused() -> None:
    text = json.dumps(pool_deck()).replace('"texture": "1.12"', '"texture": "1.12", "texture": "1.2"')
    assert faults_of_text(text) == ["areas[0].texture: stands more than once."]


@pytest.mark.parametrize(
    ("written", "line"),
    [
        ("0.05", "must be a text such as “0.05”, not 0.05"),
        ("NaN", "must be a text such as “0.05”, not NaN"),
        ("-Infinity", "must be a text such as “0.05”, not -Infinity"),
        ("1e999999", "must be a text such as “0.05”, not 1e999999"),
        ("9" * 5000, "must be a text such as “0.05”, not 9999"),
    ],
)
def test_bare_numbers_that_are_not_whole_are_refused(written: str, line: str) -> None:
    text = json.dumps(pool_deck()).replace('"waste": "0.05"', f'"waste": {written}')
    assert faults_of_text(text)[0].startswith(f"work[0].materials[0].waste: {line}")


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("", "file: is empty."),
        ("[]", "file: must be an object, not a list."),
        ("{", "file: is not JSON: expecting property name enclosed in double quotes, at line 1, column 2."),
        (b"\xff\xfe", "file: is not UTF-8 text: the byte at 1 can't be read."),
        ("{}\0", "file: holds a NUL character, at 3."),
        ("[" * 100_000, "file: nests objects and lists more than 32 deep."),
        ('{"a":' * 100_000, "file: nests objects and lists more than 32 deep."),
        (" " * 5_000_001, "file: is larger than 5 MB."),
        ("é" * 2_500_001, "file: is larger than 5 MB."),
    ],
    ids=["empty", "list", "open", "latin", "nul", "lists", "objects", "large", "large in bytes"],
)
def test_what_is_no_scope_file_is_named(text: str | bytes, line: str) -> None:
    assert faults_of_text(text)[0] == line


def test_a_byte_order_mark_is_read_over() -> None:
    text = json.dumps(pool_deck())
    assert read_scope("\ufeff" + text) == read_scope(text)


def test_brackets_inside_texts_do_not_nest() -> None:
    data = pool_deck()
    data["title"] = "[" * 100 + '\\"' + "{" * 50
    assert read_scope(json.dumps(data)).title == data["title"]


def test_too_many_areas_and_steps_are_refused() -> None:
    data = pool_deck()
    data["areas"] = [data["areas"][0] | {"name": f"A{i}"} for i in range(501)]
    data["work"] = data["work"] * 201
    assert [line for line in faults(data) if "at most" in line] == [
        "areas: holds 501; at most 500 are read.",
        "work: holds 201; at most 200 are read.",
    ]
