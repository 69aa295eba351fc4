"""Where the code on a paper leads: a page that mails the private link to the address that the firm has."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from quoting.services.accounts import TooManyTries, count_attempt
from quoting.services.link_requests import mail_way_in
from quoting.views.accounts import network_address
from quoting.views.homeowner_door import kept_by_nobody, link_of


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def ask_link(request: HttpRequest, number: str) -> HttpResponse:
    """Says the same for every number; a phone that came by the link before goes straight to its page."""
    if request.method != "POST":
        if link_of(request, number):
            return kept_by_nobody(redirect("your-paper", number=number))
        return kept_by_nobody(render(request, "homeowner/ask_link.html", {"number": number}))
    try:
        count_attempt("ask link", network_address(request))
    except TooManyTries as tries:
        context = {"number": number, "why": str(tries)}
        return kept_by_nobody(render(request, "homeowner/ask_link.html", context, status=429))
    mail_way_in(number)
    return kept_by_nobody(render(request, "homeowner/ask_link.html", {"number": number, "asked": True}))
