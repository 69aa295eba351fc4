"""What was typed is not lost when a session ran out in the middle of a form.

Nothing is kept for a stranger: what he posted comes back to him, sealed, as a hidden field of the sign-in page. Once he
has proved who he is, a page shows it and asks whether to send it; only his own hand on that page sends it.
"""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core import signing
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.csrf import csrf_failure as bare_csrf_failure
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from quoting.forms.accounts import SignInForm

SALT = "typed"
LONGEST = 200_000
"""Characters of a sealed form that still travel; a longer one is lost, and the sign-in page says so."""

A_DAY = 24 * 60 * 60
TYPED = "typed"
"""Key of the session, and name of the hidden field: the sealed form."""


def seal(request: HttpRequest) -> str:
    """Address and fields of a form, sealed; '' where there is nothing to keep, or what must not travel."""
    fields = [(name, values) for name, values in request.POST.lists() if name != "csrfmiddlewaretoken"]
    if not fields or any("password" in name or name in ("old", "new", "again", "code") for name, _ in fields):
        return ""
    sealed = signing.dumps([request.get_full_path(), fields], salt=SALT, compress=True)
    return sealed if len(sealed) <= LONGEST else ""


def unseal(sealed: str) -> tuple[str, QueryDict] | None:
    """The address and the fields again; None for what we did not seal within a day."""
    try:
        path, fields = signing.loads(sealed, salt=SALT, max_age=A_DAY)
    except signing.BadSignature:
        return None
    posted = QueryDict(mutable=True)
    for name, values in fields:
        posted.setlist(name, values)
    return path, posted


def door_with(request: HttpRequest) -> HttpResponse | None:
    """The sign-in page with what was posted in its keeping; None where nothing can be kept."""
    sealed = seal(request)
    if not sealed:
        return None
    context = {"form": SignInForm(), "next": reverse("desk"), "typed": sealed, "door": reverse("sign-in")}
    return render(request, "accounts/sign_in.html", context, status=401)


@never_cache
@require_safe
def typed(request: HttpRequest) -> HttpResponse:
    """What was typed before the session ran out, and the button that sends it."""
    opened = unseal(request.session.get(TYPED, ""))
    if opened is None:
        messages.info(request, "Nothing that was typed waits to be sent.")
        return redirect("desk")
    return show_typed(request, *opened)


def show_typed(request: HttpRequest, path: str, posted: QueryDict, status: int = 200) -> HttpResponse:
    """The fields as hidden ones of a form that goes where they were meant to go, and what stands in them to read."""
    unread = ("initial-", "had", "version", "kind", "shape_key", "sure")
    told = [
        value
        for name, values in posted.lists()
        if not name.startswith(unread) and "-initial-" not in name and "_FORMS" not in name
        for value in values
        if value.strip() and not value.isdigit()
    ]
    context: dict[str, Any] = {"path": path, "posted": posted, "told": told}
    return render(request, "accounts/typed.html", context, status=status)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form of ours that bears the seal of an earlier session is shown again: one signed in anew in another window.

    Only where the browser says that the form stood on a page of ours; anything else is refused as ever.
    """
    ours = request.headers.get("Origin") == f"{request.scheme}://{request.get_host()}"
    opened = unseal(seal(request)) if ours and request.user.is_authenticated else None
    if opened is None:
        return bare_csrf_failure(request, reason, template_name="403_csrf.html")
    return show_typed(request, *opened, status=403)
