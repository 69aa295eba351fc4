"""The page for the second of two people who changed the same thing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from quoting.forms.hands import differing


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
    """Both versions side by side, and the choice; nothing has been written. `theirs` is the row as it is now, by field.

    The status is 409: the row was changed after the form was opened.
    """
    context = {
        "title": title,
        "rows": differing(form, theirs),
        "posted": request.POST,
        "version": version,
        "back_url": back_url,
        "action": action,
    }
    return render(request, "two_hands.html", context, status=409)
