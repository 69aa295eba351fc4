from decimal import Decimal

import pytest

from quoting.documents.measured import measure_area, measures_hash, plan_areas
from quoting.models import Area, Part

RECTANGLE = {"shape": "rectangle", "length": "32 ft", "width": "14' 6\""}
PLANTER = {"shape": "circle", "diameter": "6 ft"}


def deck(**facts) -> Area:
    return Area(name="Pool deck", surface="stamped", texture=Decimal("1.12"), **facts)


def test_the_net_area_is_a_long_hand_sum():
    measured = measure_area(deck(), [Part(measures=RECTANGLE), Part(measures=PLANTER, kind="deduct", name="planter")])
    # 32 × 14.5 = 464; 9π = 28.2743; 464 − 28.2743 = 435.7257; × 1.12 = 488.0127
    assert measured.lines("us") == [
        ("", "464.00", "32′ 0″ × 14′ 6″"),
        ("−", "28.27", "planter, Ø 6′ 0″, π ÷ 4 × Ø²"),
        ("=", "435.73", "ft² net"),
    ]
    assert measured.effective_lines("us") == [
        ("", "435.73", "ft² net"),
        ("×", "1.12", "texture"),
        ("=", "488.01", "ft² true surface"),
    ]


def test_in_metres_the_same():
    measured = measure_area(
        deck(), [Part(measures={"shape": "rectangle", "length": "4 m", "width": "2.5 m"})], "metric"
    )
    assert measured.lines("metric")[-1] == ("=", "10.00", "m² net")


def test_a_part_before_an_area_that_is_all_taken_out_still_has_its_own_figure():
    measured = measure_area(deck(), [Part(measures=PLANTER, kind="deduct")])
    assert measured.figures is None
    assert measured.fault == "Measure at least one part."
    assert measured.parts[0].working("us") == "Ø 6′ 0″, π ÷ 4 × Ø² = 28.27 ft²"


@pytest.mark.parametrize(
    "measures",
    [
        {},
        {"shape": "banana"},
        {"shape": "circle"},
        {"shape": "circle", "diameter": "6 gal"},
        RECTANGLE | {"colour": "red"},
    ],
)
def test_measures_that_can_not_be_read_give_a_sentence_and_leave_the_others_alone(measures):
    measured = measure_area(deck(), [Part(name="odd", measures=measures), Part(measures=RECTANGLE)])
    assert measured.fault.startswith("odd: ")
    assert measured.figures is None
    assert [bool(part.core) for part in measured.parts] == [False, True]
    assert [len(area.parts) for area in plan_areas([measured])] == [1]


def test_the_fingerprint_knows_shapes_and_what_is_taken_out_but_not_order_or_name():
    one, two = Part(measures=RECTANGLE, name="a"), Part(measures=PLANTER)
    assert measures_hash([one, two]) == measures_hash([Part(measures=PLANTER, name="b"), Part(measures=RECTANGLE)])
    assert measures_hash([one, two]) != measures_hash([one, Part(measures=PLANTER, kind="deduct")])
    assert measures_hash([one]) != measures_hash([one, one])


def test_a_diagonal_that_does_not_close_is_marked_in_the_plan():
    landing = {"shape": "quadrilateral", "a": "6' 2\"", "b": "5' 8\"", "c": "6' 4\"", "d": "5' 6 1/2\"", "p": "8' 5\""}
    open_part, closed = Part(measures=landing | {"q": "8' 9 1/2\""}), Part(measures=landing | {"q": "8' 4 1/2\""})
    (area,) = plan_areas([measure_area(deck(), [open_part, closed])], part=closed, mark="b")
    assert [part.mark for part in area.parts] == ["q", "b"]
