"""The homeowner's page of a hand-over sheet: when to use the slab again, care, and the sign-off."""

from __future__ import annotations

import json

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from quoting.forms.hand_over import SignOffForm
from quoting.models import HandOver, Paper, PrivateLink
from quoting.services.accounts import TooManyTries, count_attempt
from quoting.services.hand_over import SignedAlready, sign_by_link
from quoting.views.homeowner_door import behind_the_door


def sheet_page(
    request: HttpRequest, link: PrivateLink, form: SignOffForm | None = None, status: int = 200
) -> HttpResponse:
    """The sheet to whoever came by its private link."""
    context = {
        "paper": link.paper,
        "facts": json.loads(link.paper.facts),
        "row": HandOver.objects.get(paper=link.paper_id),
        "form": form or SignOffForm(),
    }
    return render(request, "homeowner/hand_over.html", context, status=status)


@behind_the_door
@require_POST
def your_sign_off(request: HttpRequest, link: PrivateLink) -> HttpResponse:
    """The homeowner signs the hand-over with a name."""
    if link.paper.kind != Paper.Kind.HAND_OVER:
        return redirect("your-paper", number=link.paper.number)
    form = SignOffForm(request.POST)
    if not form.is_valid():
        return sheet_page(request, link, form, status=422)
    try:
        count_attempt("yes", str(link.pk))
        sign_by_link(link=link, name=form.cleaned_data["name"])
    except TooManyTries as tries:
        form.add_error(None, str(tries))
        return sheet_page(request, link, form, status=429)
    except SignedAlready as already:
        messages.error(request, str(already))
    else:
        messages.success(request, "Thank you. The hand-over is signed.")
    return redirect("your-paper", number=link.paper.number)
