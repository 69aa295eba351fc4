"""The firm's accent colour, made readable.

A firm brings whatever colour it has on its van. On paper and on the screen that colour carries words, so it is darkened
(or, on a dark ground, lightened) until its contrast reaches what WCAG 2.2, success criterion 1.4.3, asks of text.
"""

import re

NEEDED_CONTRAST = 4.5
"""Contrast of text to its ground, as a ratio; WCAG 2.2, 1.4.3 (AA)."""

WHITE = "#ffffff"

_LONG = re.compile(r"#[0-9a-f]{6}", re.ASCII)
_SHORT = re.compile(r"#[0-9a-f]{3}", re.ASCII)


class NotAColour(ValueError):
    """What was given is not a colour written as # and six hexadecimal digits."""

    def __init__(self, text: str) -> None:
        self.sentence = f"“{text[:20]}” is not a colour: write # and six digits or letters from a to f, as #8a2b17."
        super().__init__(self.sentence)


def contrast(one: str, other: str) -> float:
    """The contrast ratio of two colours, 1 to 21, by WCAG 2.2's definition of relative luminance."""
    darker, lighter = sorted((_luminance(_channels(one)), _luminance(_channels(other))))
    return (lighter + 0.05) / (darker + 0.05)


def readable_accent(colour: str, ground: str = WHITE) -> str:
    """The nearest shade of `colour` that can be read as text on `ground`, as lower-case `#rrggbb`.

    A colour that is readable already comes back as it is. Otherwise it is mixed with black (on a light ground) or
    with white (on a dark one) in steps of 1/255 until the contrast is at least 4.5 : 1; hue is kept, black or white
    always end the search. Raises NotAColour for anything but `#rrggbb` or `#rgb`.
    """
    channels = _channels(colour)
    ends = ("#000000", WHITE)
    end = _channels(max(ends, key=lambda candidate: contrast(candidate, ground)))
    for step in range(256):
        mixed = tuple(
            (here * (255 - step) + there * step + 127) // 255 for here, there in zip(channels, end, strict=True)
        )
        candidate = "#" + "".join(f"{channel:02x}" for channel in mixed)
        if contrast(candidate, ground) >= NEEDED_CONTRAST:
            return candidate
    return "#" + "".join(f"{channel:02x}" for channel in end)


def _channels(colour: str) -> tuple[int, ...]:
    """Red, green and blue of `#rrggbb` or `#rgb`, each 0 to 255."""
    text = colour.strip().lower()
    if _SHORT.fullmatch(text):
        text = "#" + "".join(digit * 2 for digit in text[1:])
    if not _LONG.fullmatch(text):
        raise NotAColour(colour)
    return tuple(bytes.fromhex(text[1:]))


def _luminance(channels: tuple[int, ...]) -> float:
    """Relative luminance, 0 to 1 (WCAG 2.2, “relative luminance”)."""
    red, green, blue = (
        (c / 255 / 12.92) if c / 255 <= 0.04045 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
