"""The page for the second of two people who changed the same thing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from quoting.forms.hands import differing

Row = tuple[str, str, str, str]
"""Label, what both had, what is kept now, what was typed."""


def two_hands(
    request: HttpRequest,
    form: forms.Form,
    theirs: Mapping[str, Any],
    *,
    version: int,
    title: str,
    back_url: str,
    action: str = "",
) -> HttpResponse:
    """Both versions side by side. `theirs` is the row as it is now, by field."""
    rows = differing(form, theirs)
    return show_hands(request, rows, version=version, title=title, back_url=back_url, action=action)


def show_hands(
    request: HttpRequest,
    rows: Iterable[Row],
    *,
    version: int,
    title: str,
    back_url: str,
    posted: Mapping[str, Any] | None = None,
    action: str = "",
) -> HttpResponse:
    """What differs side by side, and the choice; nothing has been written.

    The status is 409: the row was changed after the form was opened. What was `posted` is posted again with the choice.
    """
    context = {
        "title": title,
        "rows": list(rows),
        "posted": request.POST if posted is None else posted,
        "version": version,
        "back_url": back_url,
        "action": action,
    }
    return render(request, "two_hands.html", context, status=409)
