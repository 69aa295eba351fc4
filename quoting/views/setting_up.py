"""What a page does that needs the firm before there is one."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from quoting.services.firm import FirmNotSetUp
from quoting.views.access import may_see_money

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponse]


def needs_firm(view: View[P]) -> View[P]:
    """Lead to the firm's page, which says what to do first, when the firm is not set up; the crew goes to the desk."""

    @wraps(view)
    def led(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        try:
            return view(request, *args, **kwargs)
        except FirmNotSetUp as fault:
            messages.info(request, str(fault))
            return redirect("firm" if may_see_money(request.user) else "desk")

    return led
