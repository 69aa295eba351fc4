"""What every page knows: the firm, the role of who reads it, and the words of the mast."""

from __future__ import annotations

from typing import Any, NamedTuple

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse
from django.utils.functional import SimpleLazyObject

from quoting.models import Firm
from quoting.views.access import may_see_money

# The words of the mast and the names of their addresses. Who may open a page is decided in access.py.
FOR_ALL = (("Desk", "desk"), ("Folders", "folders"))
WITH_MONEY = (
    *FOR_ALL,
    ("Proposals", "proposals"),
    ("Money", "money"),
    ("People", "people"),
    ("Prices", "prices"),
    ("Firm", "firm"),
)


class MastWord(NamedTuple):
    """A word of the mast: where it leads, and whether the page is below it."""

    word: str
    url: str
    here: bool


def the_firm(request: HttpRequest) -> Firm:
    """The firm, read once a request; an unsaved one without a name before the firm is set up."""
    if not hasattr(request, "_firm"):
        request._firm = Firm.objects.defer("logo").first() or Firm()  # type: ignore[attr-defined]
    return request._firm  # type: ignore[attr-defined, no-any-return]


def mast_words(request: HttpRequest) -> list[MastWord]:
    """The mast for this reader: the crew sees the desk and the folders only."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return []
    words = []
    for word, name in WITH_MONEY if may_see_money(user) else FOR_ALL:
        try:
            url = reverse(name)
        except NoReverseMatch:
            continue
        here = request.path == url or (len(url) > 1 and request.path.startswith(url))
        words.append(MastWord(word, url, here))
    return words


def firm_and_role(request: HttpRequest) -> dict[str, Any]:
    """`firm`, `role`, `sees_money`, `mast` for the templates; the firm costs one query, and only where it is shown."""
    user = getattr(request, "user", None)
    return {
        "firm": SimpleLazyObject(lambda: the_firm(request)),
        "role": getattr(user, "role", ""),
        "sees_money": user is not None and may_see_money(user),
        "mast": mast_words(request),
    }
