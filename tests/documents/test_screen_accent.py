import re

import pytest

from quoting.documents.accent import NEEDED_CONTRAST, NotAColour, contrast
from quoting.documents.screen_accent import GROUNDS, accent_sheet, screen_accent

COLOURS = ["#ffee00", "#00ff88", "#1144cc", "#ffffff", "#000000", "#888888", "#ff0000"]


def tokens(colour: str) -> list[dict[str, str]]:
    """The tokens of the light and of the dark scheme."""
    blocks = re.findall(r":root \{ ([^}]*) \}", accent_sheet(colour))
    return [dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", block)) for block in blocks]


@pytest.mark.parametrize("colour", COLOURS)
def test_every_accent_can_be_read_wherever_it_carries_words(colour):
    for scheme, found in zip(GROUNDS, tokens(colour), strict=True):
        grounds = [*GROUNDS[scheme], found["wash"], found["on-oxide"]]
        assert [ground for ground in grounds if contrast(found["oxide"], ground) < NEEDED_CONTRAST] == []


def test_an_accent_that_can_be_read_is_left_as_it_is():
    assert tokens("#1144cc")[0]["oxide"] == "#1144cc"


def test_the_look_keeps_its_own_oxide():
    assert accent_sheet("#8A2B17") == "/* The look’s own oxide. */\n"
    assert (screen_accent("#8A2B17"), screen_accent("#8A2B17", "dark")) == ("#8a2b17", "#ec9373")


def test_what_is_no_colour_gets_no_sheet():
    with pytest.raises(NotAColour):
        accent_sheet("red; } body { display: none")
