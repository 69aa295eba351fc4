"""Lists and objects in a scope file."""

from dataclasses import dataclass
from typing import Any

from quoting.core.scope_kinds import Text, Whole
from quoting.core.scope_reading import BAD, Reading
from quoting.core.scope_records import Either, Field, FileObject, Items, Keyed, Record, Tagged


@dataclass(frozen=True)
class Box:
    """Something to read."""

    name: str
    count: int = 1
    key: str = ""


FIELDS = {"name": Field(Text(), "Its name.", needed=True), "count": Field(Whole(1), "How many.", unset=1)}
BOX = Record(Box, FIELDS, "A box.")


def read(kind: Any, value: Any) -> tuple[Any, list[str]]:
    reading = Reading()
    return kind.read(value, "", reading), [str(fault) for fault in reading.faults]


def test_an_object_becomes_a_value() -> None:
    assert read(BOX, {"name": "a", "count": 2}) == (Box("a", 2), [])
    assert read(BOX, {"name": "a"}) == (Box("a", 1), [])


def test_all_faults_of_an_object_are_noted() -> None:
    found, faults = read(BOX, {"count": 0, "nmae": "a"})
    assert found is BAD
    assert faults == [
        "nmae: is not a key of this file; did you mean “name”?",
        "name: is missing.",
        "count: must be from 1 to 999,999,999, not 0.",
    ]


def test_a_key_like_no_other_is_answered_with_all_of_them() -> None:
    assert read(BOX, {"name": "a", "zzz": 1})[1] == ["zzz: is not a key of this file; known are name, count."]


def test_a_key_that_stood_twice_is_noted() -> None:
    twice = FileObject(name="a")
    twice.repeated = ("name",)
    assert read(BOX, twice) == (BAD, ["name: stands more than once."])


def test_lists_have_bounds_and_places() -> None:
    kind = Items(BOX, most=2, least=1)
    assert read(kind, [{"name": "a"}]) == ((Box("a"),), [])
    assert read(kind, [])[1] == ["file: must hold at least one, and holds 0."]
    assert read(kind, [{}] * 3)[1] == ["file: holds 3; at most 2 are read."]
    assert read(kind, [{"name": "a"}, {}])[1] == ["[1].name: is missing."]


def test_keyed_values_take_their_key() -> None:
    kind = Keyed(BOX, most=2)
    assert read(kind, {"b": {"name": "B"}, "a": {"name": "A"}}) == ((Box("A", 1, "a"), Box("B", 1, "b")), [])
    assert read(kind, {"": {"name": "A"}})[0] is BAD
    assert kind.write((Box("A", 1, "a"),), 2) == {"a": {"name": "A", "count": 1}}


def test_a_word_tells_records_apart() -> None:
    kind = Tagged("kind", {"box": Record(Box, FIELDS, "A box.", {"kind": "box"})})
    assert read(kind, {"kind": "box", "name": "a"}) == (Box("a"), [])
    assert read(kind, {"kind": "bxo"})[1] == ["kind: must be one of box; did you mean “box”, not “bxo”?"]
    assert read(kind, {})[1] == ["kind: must be one of box, and is missing."]
    assert kind.write(Box("a"), 2) == {"kind": "box", "name": "a", "count": 1}


def test_either_a_number_or_an_object() -> None:
    kind = Either(
        Whole(0),
        BOX,
        wrap=lambda count: Box("plain", count),
        unwrap=lambda box: box.count if box.name == "plain" else None,
    )
    assert read(kind, 3) == (Box("plain", 3), [])
    assert read(kind, {"name": "a"}) == (Box("a"), [])
    assert [kind.write(box, 2) for box in (Box("plain", 3), Box("a"))] == [3, {"name": "a", "count": 1}]


def test_the_schema_says_what_is_needed_and_allows_nothing_else() -> None:
    schema = BOX.schema()
    assert (schema["required"], schema["additionalProperties"]) == (["name"], False)
    assert schema["properties"]["name"]["description"] == "Its name."
