"""Where a tax holds: everywhere, in a region, or in towns and postcodes of a region."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Protocol


class Located(Protocol):
    """A place of work, or the firm's own address; what is not known is empty."""

    @property
    def region(self) -> str: ...

    @property
    def town(self) -> str: ...

    @property
    def postcode(self) -> str: ...


class Placed(Protocol):
    """A rule that holds at some places: a region, and towns or postcodes by commas or lines; empty is everywhere."""

    @property
    def region(self) -> str: ...

    @property
    def places(self) -> str: ...


def places_in(text: str) -> tuple[str, ...]:
    """The towns and postcodes of a list by commas, semicolons or lines, as they were typed."""
    return tuple(" ".join(each.split()) for each in re.split(r"[,;\r\n]", text) if each.strip())


def holds_at(rule: Placed, place: Located) -> bool | None:
    """Whether a rule holds at a place, capitals or not; None where the place does not say enough to tell.

    What has a digit in it is a postcode or its beginning (02740 holds at 02740-1234 too); all else is a town.
    """
    region = _bare(rule.region)
    if region and not _bare(place.region):
        return None
    if region and region != _bare(place.region):
        return False
    listed = places_in(rule.places)
    if not listed:
        return True
    postcodes = [_code(each) for each in listed if _is_code(each)]
    towns = [_bare(each) for each in listed if not _is_code(each)]
    postcode, town = _code(place.postcode), _bare(place.town)
    if town in towns or (postcode and any(postcode.startswith(each) for each in postcodes)):
        return True
    return None if (towns and not town) or (postcodes and not postcode) else False


def differ_by_place(rules: Iterable[Placed]) -> bool:
    """Whether any of the rules holds at some places only."""
    return any(_bare(rule.region) or places_in(rule.places) for rule in rules)


def _is_code(text: str) -> bool:
    return any(sign.isdigit() for sign in text)


def _bare(text: str) -> str:
    return " ".join(text.split()).casefold()


def _code(text: str) -> str:
    return "".join(text.split()).casefold()
