from decimal import Decimal

import pytest

from quoting.core.shapes import Rectangle, format_area
from quoting.forms.parts import PartForm, initial_of, split_call
from quoting.forms.shapes import SHAPES
from quoting.models import Part


def filled(shape: str, units: str = "us", preview: bool = False, **typed: str) -> PartForm:
    data = {"shape_key": shape, "kind": "part", "version": "1", **typed}
    return PartForm(data, units=units, preview=preview)


# The published offsets are the pool deck of the mock; every other area is worked by hand in the comment.
MEASURED = [
    # 32 × 14.5 = 464
    ("rectangle", {"length": "32 ft", "width": "14' 6\""}, "464.00 ft²"),
    # a 3-4-5 triangle: 3 × 4 ÷ 2 = 6
    ("triangle", {"a": "3'", "b": "4'", "c": "5'"}, "6.00 ft²"),
    # two 3-4-5 triangles on one diagonal
    ("quadrilateral", {"a": "3'", "b": "4'", "c": "3'", "d": "4'", "p": "5'", "q": "5'"}, "12.00 ft²"),
    # (20 + 14) ÷ 2 × 8.5 = 144.5
    ("trapezoid", {"a": "20'", "b": "14'", "height": "8' 6\""}, "144.50 ft²"),
    # 6² × π ÷ 4 = 28.274
    ("circle", {"diameter": "6'"}, "28.27 ft²"),
    # 18 × 11 × π ÷ 4 = 155.509
    ("ellipse", {"length": "18'", "width": "11'"}, "155.51 ft²"),
    # 9.5² × π ÷ 4 = 70.882
    ("sector", {"radius": "9' 6\"", "angle": "90°"}, "70.88 ft²"),
    # a trapezoid on its side: (14.5 + 18) ÷ 2 × 32 = 520
    ("polygon", {"points": "0, 0\n32', 0\n32', 14' 6\"\n0, 18'"}, "520.00 ft²"),
    # 4 ÷ 3 × (0 + 4 × (4 + 4) + 2 × 6 + 0) = 58.667
    ("offsets", {"spacing": "4'", "offsets": "0, 4', 6', 4', 0"}, "58.67 ft²"),
    # 3 × 5 × (1 + 7 ÷ 12) = 23.75
    ("steps", {"count": "3", "width": "5'", "tread": "12", "riser": "7"}, "23.75 ft²"),
    ("measured", {"area": "240"}, "240.00 ft²"),
]


def test_every_shape_is_held_to_a_figure():
    assert [shape for shape, _, _ in MEASURED] == list(SHAPES)


@pytest.mark.parametrize(("shape", "typed", "area"), MEASURED)
def test_a_blank_for_each_measure_gives_the_shape(shape, typed, area):
    form = filled(shape, **typed)
    assert form.is_valid(), form.errors
    assert format_area(form.shape.area(), "us") == area


@pytest.mark.parametrize("shape", SHAPES)
def test_the_call_that_each_shape_shows_as_its_example_can_be_read(shape):
    form = filled(shape, called=SHAPES[shape].example)
    assert form.is_valid(), form.errors


@pytest.mark.parametrize(("shape", "typed", "area"), MEASURED)
def test_what_was_kept_comes_back_as_it_was_called_and_is_the_same_shape(shape, typed, area):
    kept = filled(shape, **typed)
    assert kept.is_valid()
    again = filled(shape, **{k: v for k, v in initial_of(Part(**kept.facts)).items() if v and k != "kind"})
    assert again.is_valid(), again.errors
    assert again.facts == kept.facts


def test_measures_are_kept_as_the_tape_was_called():
    form = filled("quadrilateral", called="6' 2\", 5' 8\", 6' 4\", 5' 6 1/2\", 8' 5\"")
    assert form.is_valid()
    assert form.facts["measures"] == {
        "shape": "quadrilateral",
        "a": "6' 2\"",
        "b": "5' 8\"",
        "c": "6' 4\"",
        "d": "5' 6 1/2\"",
        "p": "8' 5\"",
    }


@pytest.mark.parametrize(
    ("typed", "metres"),
    [("12' 6\"", "3.81"), ("12 ft 6 in", "3.81"), ("3.81 m", "3.81"), ("12.5", "3.81"), ("12′ 6″", "3.81")],
)
def test_a_length_may_be_written_in_every_way_and_a_bare_number_is_feet(typed, metres):
    form = filled("rectangle", length=typed, width="1 m")
    assert form.is_valid()
    assert form.shape == Rectangle(length=Decimal(metres), width=Decimal(1))


def test_in_a_metric_firm_a_bare_number_is_metres_and_a_bare_riser_centimetres():
    assert filled("rectangle", "metric", length="4", width="2.5").facts == {}
    form = filled("rectangle", "metric", length="4", width="2.5")
    assert form.is_valid()
    assert form.facts["measures"] == {"shape": "rectangle", "length": "4 m", "width": "2.5 m"}
    steps = filled("steps", "metric", count="3", width="1.5", tread="30", riser="17")
    assert steps.is_valid()
    assert steps.facts["measures"]["riser"] == "17 cm"


@pytest.mark.parametrize(
    "call", ["32' × 14' 6\"", "32' x 14' 6\"", "32'x14'6\"", "32 by 14.5", "32'; 14' 6\"", "32', 14' 6\","]
)
def test_one_line_may_be_parted_in_every_usual_way(call):
    form = filled("rectangle", called=call)
    assert form.is_valid(), form.errors
    assert format_area(form.shape.area(), "us") == "464.00 ft²"


def test_a_line_with_too_few_readings_says_which_are_wanted():
    form = filled("quadrilateral", called="6' 2\", 5' 8\"")
    assert form.errors == {"called": ["5 to 6 readings are wanted (a, b, c, d, p, q); this line has 2."]}


def test_a_fault_in_the_line_names_the_measure():
    form = filled("rectangle", called="32', 14' 14\"")
    assert form.errors["called"][0].startswith("Width: “14' 14\"”")


def test_an_empty_blank_is_a_fault_beside_it_but_not_while_typing():
    assert filled("rectangle", length="32'").errors == {"width": ["Width is missing."]}
    typing = filled("rectangle", preview=True, length="32'")
    assert typing.is_valid()
    assert typing.shape is None


@pytest.mark.parametrize(
    "typed", ["0", "-3 ft", "NaN", "1e5", "٣ ft", "9**9**9", "12' 14\"", "11 km", "5 gal", "x" * 61]
)
def test_absurd_input_gets_a_sentence_beside_its_blank(typed):
    form = filled("rectangle", length="32'", width=typed)
    assert list(form.errors) == ["width"]
    assert form["width"].value() == typed


def test_sides_that_cannot_close_are_said_once_for_the_form():
    form = filled("triangle", a="3'", b="4'", c="9'")
    assert list(form.errors) == ["__all__"]
    assert "can't close" in form.non_field_errors()[0]


def test_an_outline_that_crosses_itself_is_said_beside_the_corners():
    form = filled("polygon", points="0,0\n4',4'\n4',0\n0,4'")
    assert "crosses itself" in form.errors["points"][0]


def test_a_corner_with_one_figure_is_named():
    assert filled("polygon", points="0,0\n4'").errors == {
        "points": ["Corner 2 has one figure; it needs two: along, then out."]
    }


def test_145_ft_wide_is_asked_about_with_what_was_probably_meant():
    form = filled("rectangle", length="32'", width="145")
    assert form.errors == {"width": ["145 ft is very long. Did you mean 14′ 5″?"]}
    assert form.asks


def test_what_was_asked_about_passes_once_it_is_said_to_be_right():
    asked = filled("rectangle", length="32'", width="145")
    sure = filled("rectangle", length="32'", width="145", sure=asked.fingerprint)
    assert sure.is_valid()
    changed = filled("rectangle", length="32'", width="155", sure=asked.fingerprint)
    assert not changed.is_valid()


def test_a_riser_of_seven_feet_is_asked_about():
    form = filled("steps", count="3", width="5'", tread="12", riser="7 ft")
    assert form.errors == {"riser": ["7 ft is not a usual riser: most are 5 to 8 in high. Is it right?"]}


def test_parts_that_are_alike_are_counted():
    form = filled("circle", diameter="2'", alike="4")
    assert form.is_valid()
    assert form.facts["measures"] == {"shape": "circle", "diameter": "2'", "count": 4}
    assert filled("circle", diameter="2'", alike="0").errors == {"alike": ["Write a whole number from 1 to 999."]}


def test_what_is_taken_out_may_say_where_it_lies_but_then_wholly():
    form = filled("circle", diameter="6'", kind="deduct", at_x="25'", at_y="7'")
    assert form.is_valid()
    assert (form.facts["kind"], form.facts["at_x"], form.facts["at_y"]) == ("deduct", "25'", "7'")
    half = filled("circle", diameter="6'", kind="deduct", at_x="25'")
    assert half.errors == {"at_y": ["Give both figures, or neither."]}


def test_an_unknown_shape_is_refused_beside_the_choice():
    form = filled("banana", length="3'", width="4'")
    assert list(form.errors) == ["shape_key"]


def test_a_line_is_split_where_a_voice_would_pause():
    assert split_call("6' 2\", 5 ft 8 in ; 3 m") == ["6' 2\"", "5 ft 8 in", "3 m"]
