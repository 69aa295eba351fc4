"""The table by hand as the crew reads it: figures with their units, both languages from one source."""

from quoting.core.scope import Units
from quoting.core.weather_limits import STARTING_LIMITS, Work
from quoting.documents.by_hand import by_hand
from quoting.documents.crew_words import Pair


def test_a_day_of_colour_and_sealer_has_a_list_for_each_and_one_table():
    told = by_hand(STARTING_LIMITS, [Work.COLOUR, Work.SEAL], Units.US)
    assert [work for work, _rows in told.works] == [Pair("Colour", "Color"), Pair("Seal", "Sellar")]
    rows = {row.reading.en: (row.waits, row.wets) for row in told.works[0][1]}
    assert (rows["Air"], rows["Slab"], rows["Hours until rain"]) == (
        ("≤\u00a050\u00a0°F, >\u00a090\u00a0°F", ""), ("<\u00a050\u00a0°F", ">\u00a090\u00a0°F"),
        ("<\u00a08\u00a0h", ""),
    )  # fmt: skip
    assert (told.margin, told.head[0], len(told.rows)) == ("5\u00a0°F", "40\u00a0%", 8)


def test_a_day_of_washing_has_a_list_and_no_table():
    told = by_hand(STARTING_LIMITS, [Work.WASH], Units.US)
    assert [(row.reading.en, row.waits, row.wets) for row in told.works[0][1]] == [
        ("Air", "≤\u00a032\u00a0°F", ""), ("Lowest air until it is set", "≤\u00a032\u00a0°F", ""),
        ("Slab", "", ">\u00a090\u00a0°F"), ("Wind", ">\u00a020\u00a0mph", ""),
        ("Hours until rain", "<\u00a02\u00a0h", ""),
    ]  # fmt: skip
    assert (told.rows, told.margin) == ((), "")


def test_a_day_without_work_has_none():
    assert by_hand(STARTING_LIMITS, [], Units.US) is None


def test_sand_has_a_list_and_no_table():
    told = by_hand(STARTING_LIMITS, [Work.SAND], Units.METRIC)
    assert (len(told.works), told.rows, told.margin) == (1, (), "")
