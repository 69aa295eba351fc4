"""What reading a scope file notes: faults, their places, and the words for a wrong value."""

from quoting.core.scope_reading import BAD, MOST_FAULTS, Reading, inside, shown, what_it_is


def test_places_and_values_read_as_one_short_line() -> None:
    assert inside("", "areas") == "areas"
    assert inside("materials", "base-tone") == "materials.base-tone"
    assert inside("materials", "a b\n") == "materials[“a b�”]"
    assert shown("x" * 50) == "x" * 40 + "…"
    assert [what_it_is(value) for value in (None, True, 5, "a", [], {})] == [
        "null",
        "true",
        "the bare number 5",
        "the text “a”",
        "a list",
        "an object",
    ]


def test_a_hundred_faults_are_said_and_all_are_counted() -> None:
    reading = Reading()
    assert all(reading.fault("title", f"is wrong, {number}.") is BAD for number in range(MOST_FAULTS + 2))
    assert (len(reading.faults), reading.unsaid, reading.count) == (100, 2, 102)
