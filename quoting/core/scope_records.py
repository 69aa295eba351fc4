"""The kinds of value in a scope file that hold others: lists, objects by field table, objects told apart by a word."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

from quoting.core.scope import Part
from quoting.core.scope_kinds import Kind
from quoting.core.scope_reading import BAD, MOST_FAULTS, Reading, inside, shown, what_it_is


class FileObject(dict[str, Any]):
    """An object of a JSON file, with the keys that stood in it more than once."""

    repeated: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Items:
    """A list of `least` to `most` values of one kind."""

    kind: Kind
    most: int
    least: int = 0

    def read(self, value: Any, place: str, reading: Reading) -> Any:
        """A tuple of the values."""
        if not isinstance(value, list):
            return reading.fault(place, f"must be a list, not {what_it_is(value)}.", structural=True)
        if len(value) < self.least:
            wanted = "at least one" if self.least == 1 else f"at least {self.least}"
            return reading.fault(place, f"must hold {wanted}, and holds {len(value)}.", structural=True)
        if len(value) > self.most:
            sentence = f"holds {len(value)}; at most {self.most} are read."
            return reading.fault(place, sentence, structural=True)
        found = tuple(self.kind.read(each, f"{place}[{i}]", reading) for i, each in enumerate(value))
        return BAD if BAD in found else found

    def write(self, value: Any, places: int) -> Any:
        """A list."""
        return [self.kind.write(each, places) for each in value]

    def schema(self) -> dict[str, Any]:
        """An array."""
        least = {"minItems": self.least} if self.least else {}
        return {"type": "array", "items": self.kind.schema(), "maxItems": self.most, **least}


@dataclass(frozen=True, slots=True)
class Field:
    """One key of an object: its kind, what it means, and its value where it is left out.

    `needed` keys must be there. `unset` is then of no account; otherwise a key that is left out takes it.
    """

    kind: Kind
    says: str
    needed: bool = False
    unset: Any = None


@dataclass(frozen=True, slots=True)
class Record:
    """An object with these fields and no others, which becomes a value of `type` by keyword."""

    type: Callable[..., Any]
    fields: Mapping[str, Field]
    says: str
    constants: Mapping[str, Any] = field(default_factory=dict)
    before: Callable[[dict[str, Any], Reading], None] | None = None
    """Called with the raw object before its fields are read: sets what an `oz` is."""

    def read(self, value: Any, place: str, reading: Reading) -> Any:
        """The value, noted in `reading.built`."""
        if not isinstance(value, dict):
            return reading.fault(place, f"must be an object, not {what_it_is(value)}.", structural=True)
        good = self.check_keys(value, place, reading)
        if self.before is not None:
            self.before(value, reading)
        found = {}
        for key, each in self.fields.items():
            if key in value:
                found[key] = each.kind.read(value[key], inside(place, key), reading)
            elif each.needed:
                found[key] = reading.fault(inside(place, key), "is missing.", structural=True)
            else:
                found[key] = each.unset
        for key, wanted in self.constants.items():
            if key not in value or value[key] != wanted or isinstance(value[key], bool | float):
                given = what_it_is(value[key]) if key in value else "missing"
                good = False
                reading.fault(inside(place, key), f"must be {wanted!r}, and is {given}.", structural=True)
        if not good or any(each is BAD for each in found.values()):
            return BAD
        built = self.type(**found)
        reading.built.append((place, built))
        return built

    def check_keys(self, value: dict[str, Any], place: str, reading: Reading) -> bool:
        """Whether all keys are known and stand once; faults are noted."""
        known = [*self.constants, *self.fields]
        before = reading.count
        unknown = [key for key in value if key not in known]
        for key in unknown[:MOST_FAULTS]:
            near = get_close_matches(key[:64], known, n=1)
            hint = f"did you mean “{near[0]}”?" if near else f"known are {', '.join(known)}."
            reading.fault(inside(place, key), f"is not a key of this file; {hint}", structural=True)
        reading.unsaid += len(unknown[MOST_FAULTS:])
        for key in getattr(value, "repeated", ()):
            reading.fault(inside(place, key), "stands more than once.")
        return reading.count == before

    def write(self, value: Any, places: int) -> Any:
        """An object with all that is there, defaults too: a frozen file outlives them. Empty lists are left out."""
        written = dict(self.constants)
        for key, each in self.fields.items():
            part = value.size(key) if isinstance(value, Part) else None
            if part is None:
                part = getattr(value, key, None)
            if part is not None and not (part in ("", ()) and part == each.unset):
                written[key] = each.kind.write(part, places)
        return written

    def schema(self) -> dict[str, Any]:
        """An object without additional properties."""
        properties: dict[str, Any] = {key: {"const": value} for key, value in self.constants.items()}
        for key, each in self.fields.items():
            properties[key] = {"description": each.says, **each.kind.schema()}
        needed = [*self.constants, *(key for key, each in self.fields.items() if each.needed)]
        return {
            "description": self.says,
            "type": "object",
            "properties": properties,
            "required": needed,
            "additionalProperties": False,
        }


@dataclass(frozen=True, slots=True)
class Tagged:
    """An object of one of several records, told apart by the word under `tag`."""

    tag: str
    records: Mapping[str, Record]

    def read(self, value: Any, place: str, reading: Reading) -> Any:
        """The value of the record that the word names."""
        if not isinstance(value, dict):
            return reading.fault(place, f"must be an object, not {what_it_is(value)}.", structural=True)
        word = value.get(self.tag)
        if not isinstance(word, str) or word not in self.records:
            given = what_it_is(word) if self.tag in value else "missing"
            options = ", ".join(self.records)
            sentence = f"must be one of {options}, and is {given}."
            if isinstance(word, str) and (near := get_close_matches(word[:64], self.records, n=1)):
                sentence = f"must be one of {options}; did you mean “{near[0]}”, not “{shown(word)}”?"
            return reading.fault(inside(place, self.tag), sentence, structural=True)
        return self.records[word].read(value, place, reading)

    def write(self, value: Any, places: int) -> Any:
        """The object of the record that the value belongs to."""
        if isinstance(value, Part):
            return self.records[value.shape].write(value, places)
        record = next(record for record in self.records.values() if record.type is type(value))
        return record.write(value, places)

    def schema(self) -> dict[str, Any]:
        """One of the records."""
        return {"oneOf": [record.schema() for record in self.records.values()]}


@dataclass(frozen=True, slots=True)
class Keyed:
    """An object whose keys are names and whose values are one record, which takes the name as its `key`."""

    record: Record
    most: int

    def read(self, value: Any, place: str, reading: Reading) -> Any:
        """A tuple of the values, in the order of their keys."""
        if not isinstance(value, dict):
            return reading.fault(place, f"must be an object, not {what_it_is(value)}.", structural=True)
        found: list[Any] = []
        for key in getattr(value, "repeated", ()):
            found.append(reading.fault(inside(place, key), "stands more than once."))
        if len(value) > self.most:
            sentence = f"holds {len(value)}; at most {self.most} are read."
            return reading.fault(place, sentence, structural=True)
        for key in sorted(value):
            if not 1 <= len(key) <= 64 or not key.isprintable() or not key.strip():
                found.append(
                    reading.fault(inside(place, key), "is no name for a material: 1 to 64 printable characters.")
                )
            record = Record(
                _with_key(self.record.type, key), self.record.fields, self.record.says, {}, self.record.before
            )
            found.append(record.read(value[key], inside(place, key), reading))
        return BAD if BAD in found else tuple(found)

    def write(self, value: Any, places: int) -> Any:
        """An object by key."""
        return {each.key: self.record.write(each, places) for each in value}

    def schema(self) -> dict[str, Any]:
        """An object of any keys."""
        return {"type": "object", "maxProperties": self.most, "additionalProperties": self.record.schema()}


def _with_key(type_: Callable[..., Any], key: str) -> Callable[..., Any]:
    return lambda **values: type_(key=key, **values)


@dataclass(frozen=True, slots=True)
class Either:
    """A number, which `wrap` turns into the value, or an object of the record."""

    number: Kind
    record: Record
    wrap: Callable[[Any], Any]
    unwrap: Callable[[Any], Any]
    """The number of a value, or None where the value is to be written as an object."""

    def read(self, value: Any, place: str, reading: Reading) -> Any:
        """The value."""
        if isinstance(value, dict):
            return self.record.read(value, place, reading)
        number = self.number.read(value, place, reading)
        return BAD if number is BAD else self.wrap(number)

    def write(self, value: Any, places: int) -> Any:
        """A number, or else an object."""
        number = self.unwrap(value)
        return self.record.write(value, places) if number is None else self.number.write(number, places)

    def schema(self) -> dict[str, Any]:
        """Either of the two."""
        return {"anyOf": [self.number.schema(), self.record.schema()]}
