import pytest

from quoting.views.measured import called_out


@pytest.mark.parametrize(
    ("measures", "words"),
    [
        ({"shape": "rectangle", "length": "24' 3\"", "width": "4' 2\""}, "24' 3\" × 4' 2\""),
        ({"shape": "circle", "diameter": "6 ft", "count": 4}, "4 × (Ø 6 ft)"),
        (
            {"shape": "quadrilateral", "a": "6'", "b": "5'", "c": "6'", "d": "5'", "p": "8'"},
            "a 6', b 5', c 6', d 5', p 8'",
        ),
        ({"shape": "offsets", "spacing": "4'", "offsets": ["0 ft", "2' 1\""]}, "2 at 4': 0 ft, 2' 1\""),
        ({"shape": "polygon", "points": [["0 ft", "0 ft"], ["3 ft", "0 ft"]]}, "2 corners: (0 ft, 0 ft), (3 ft, 0 ft)"),
        (
            {"shape": "steps", "count": 3, "width": "5'", "tread": "12 in", "riser": "7 in"},
            "3 × 5', tread 12 in, riser 7 in",
        ),
        ({"shape": "measured", "area": "240 ft²", "edge": "64 ft"}, "240 ft², edge 64 ft"),
        ({"shape": "sector", "radius": "9'", "angle": "90"}, "radius 9', angle 90"),
        ({"shape": "banana"}, ""),
    ],
)
def test_measures_are_said_as_they_were_called(measures, words):
    assert called_out(measures) == words
