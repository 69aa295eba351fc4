"""The homeowner's door: a private link becomes a cookie for one paper, and what every page behind it has in common."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from quoting.models import PrivateLink
from quoting.services.accounts import TooManyTries, count_attempt, refuse_beyond
from quoting.services.links import find_link
from quoting.views.accounts import network_address

P = ParamSpec("P")
Page = Callable[Concatenate[HttpRequest, PrivateLink, P], HttpResponse]

COOKIE = "__Secure-your-paper" if settings.PRODUCTION else "your-paper"
"""Holds the key of the link, signed, for the addresses of one paper only."""


def kept_by_nobody(response: HttpResponse) -> HttpResponse:
    """No cache keeps it, no search engine lists it, and other sites don't learn its address."""
    response["Cache-Control"] = "no-store"
    response["Referrer-Policy"] = "same-origin"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response


def nothing_here(request: HttpRequest, status: int = 404, why: str = "") -> HttpResponse:
    """The one page for a link that opens nothing, whatever the reason."""
    return kept_by_nobody(render(request, "homeowner/nothing.html", {"why": why}, status=status))


@login_not_required
@require_safe
def private_link(request: HttpRequest, token: str) -> HttpResponse:
    """Swap the link for a cookie that only goes with this paper's addresses, and lead to a clean one. Writes nothing
    but the count of links that open nothing.
    """
    address = network_address(request)
    try:
        refuse_beyond("link", address)
        link = find_link(token)
        if link is None:
            count_attempt("link", address)
            return nothing_here(request)
    except TooManyTries as tries:
        return nothing_here(request, status=429, why=str(tries))
    return with_cookie(HttpResponseRedirect(reverse("your-paper", args=[link.paper.number])), link)


def with_cookie(response: HttpResponse, link: PrivateLink) -> HttpResponse:
    """The response with the cookie that opens this link's paper."""
    response.set_signed_cookie(
        COOKIE,
        str(link.pk),
        salt=link.paper.number,
        path=reverse("your-paper", args=[link.paper.number]),
        max_age=max(int((link.expires_at - timezone.now()).total_seconds()), 0),
        httponly=True,
        secure=settings.PRODUCTION,
        samesite="Lax",
    )
    return kept_by_nobody(response)


def link_of(request: HttpRequest, number: str) -> PrivateLink | None:
    """The link that this browser was let in with, if it still opens this paper."""
    key = request.get_signed_cookie(COOKIE, default=None, salt=number)
    if key is None or not key.isdigit():
        return None
    standing = PrivateLink.objects.filter(pk=int(key), revoked_at=None, expires_at__gt=timezone.now())
    return (
        standing.filter(paper__number=number)
        .select_related("paper__proposal", "paper__change_order", "paper__job__property__customer")
        .defer("paper__pdf")
        .first()
    )


def behind_the_door(page: Page[P]) -> Callable[..., HttpResponse]:
    """Open a page to whoever came by this paper's private link, and to nobody else."""

    @wraps(page)
    def guarded(request: HttpRequest, number: str, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        link = link_of(request, number)
        if link is None:
            return nothing_here(request)
        return kept_by_nobody(page(request, link, *args, **kwargs))

    return login_not_required(guarded)
