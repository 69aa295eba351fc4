"""The firm's accent on the screen: a small style sheet that replaces the look's own oxide, light and dark."""

from __future__ import annotations

from quoting.documents.accent import contrast, readable_accent

OWN = "#8a2b17"
"""The look's own oxide; a firm that keeps it needs no sheet."""

OWN_SHOWN = {"light": OWN, "dark": "#ec9373"}
"""The same as look.css shows it in the two schemes."""

GROUNDS = {"light": ("#fdfdfc", "#f2f3f1"), "dark": ("#15181a", "#212629")}
"""Paper and shade of the two schemes, as look.css has them: words in the accent stand on both, and on its wash."""

WASH_SHARE = {"light": 8, "dark": 14}
"""Per cent of the accent in the wash of a changed line."""

INKS = ("#ffffff", "#16191b")


def accent_sheet(colour: str) -> str:
    """The style sheet for this accent, readable at 4.5 : 1 on paper, shade and wash in both schemes.

    Raises NotAColour for what isn't #rrggbb.
    """
    if colour.lower() == OWN:
        return "/* The look’s own oxide. */\n"
    light, dark = (_tokens(colour, scheme) for scheme in ("light", "dark"))
    return f":root {{ {light} }}\n@media (prefers-color-scheme: dark) {{ :root {{ {dark} }} }}\n"


def screen_accent(colour: str, scheme: str = "light") -> str:
    """The shade of the accent that can be read on every ground of a scheme."""
    if colour.lower() == OWN:
        return OWN_SHOWN[scheme]
    paper, shade = GROUNDS[scheme]
    readable = readable_accent(colour, shade)
    return readable_accent(readable_accent(readable, paper), _wash(readable, scheme))


def _wash(colour: str, scheme: str) -> str:
    share = WASH_SHARE[scheme]
    grounds = bytes.fromhex(GROUNDS[scheme][0][1:])
    mixed = (
        (accent * share + ground * (100 - share)) // 100 for accent, ground in zip(_bytes(colour), grounds, strict=True)
    )
    return "#" + bytes(mixed).hex()


def _bytes(colour: str) -> bytes:
    return bytes.fromhex(colour[1:])


def _tokens(colour: str, scheme: str) -> str:
    shown = screen_accent(colour, scheme)
    on = max(INKS, key=lambda ink: contrast(ink, shown))
    return f"--oxide: {shown}; --on-oxide: {on}; --wash: {_wash(shown, scheme)};"
