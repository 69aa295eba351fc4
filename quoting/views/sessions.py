"""How long a session lasts, and the second proof that owner and office give: the same rules for every page."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.signals import user_logged_in
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse

from quoting.models import Role, User
from quoting.views.access import may_see_money
from quoting.views.typed import door_with

BEGAN, SEEN, PROOF = "began", "seen", "second_proof"
"""Keys of the session: when it began and was last used (seconds since the epoch), whether a second proof is owed."""

SEEN_STEP = 300
"""Seconds between two notes of when a session was last used, so that reading pages hardly ever writes."""

WITHOUT_PROOF = frozenset(
    {"second-factor", "second-factor-set-up", "second-factor-picture", "sign-in", "sign-out", "new-password"}
)
"""Names of the pages that open before the second proof is given."""


def begin_session(sender: object, request: HttpRequest, user: User, **kwargs: Any) -> None:
    """Note when somebody signed in, by whatever door."""
    now = int(time.time())
    request.session[BEGAN] = request.session[SEEN] = now


user_logged_in.connect(begin_session, dispatch_uid="begin_session")


def why_over(request: HttpRequest, now: int) -> str:
    """The sentence that says why this session is over; '' while it lasts."""
    session = request.session
    began, seen = session.get(BEGAN, 0), session.get(SEEN, 0)
    if request.user.role == Role.CREW:  # type: ignore[union-attr]
        return "A week has passed. Please sign in again." if now - began > settings.SESSION_CREW_SECONDS else ""
    if now - began > settings.SESSION_LONGEST_SECONDS:
        return "Half a day has passed. Please sign in again."
    if now - seen > settings.SESSION_IDLE_SECONDS:
        return "An hour has passed without a page. Please sign in again."
    return ""


def owes_proof(request: HttpRequest) -> bool:
    """Whether the second proof is still to be given in this session."""
    user = request.user
    owed = request.session.get(PROOF) or (settings.REQUIRE_SECOND_FACTOR and may_see_money(user))
    return bool(owed) and not user.is_verified()  # type: ignore[union-attr]


class SessionRules:
    """Ends what has lasted too long, asks for the second proof, and keeps at the door what was typed."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        door = reverse("sign-in")
        if response.status_code != 302 or not response["Location"].startswith(f"{door}?"):
            return response
        if request.headers.get("HX-Request"):
            # The page that asked stays as it is, with all that was typed on it, and says what happened.
            return HttpResponse("Signed out.", status=401)
        return (door_with(request) if request.method == "POST" else None) or response

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponse], args: Any, kwargs: Any
    ) -> HttpResponseBase | None:
        if not request.user.is_authenticated:
            return None
        now = int(time.time())
        if why := why_over(request, now):
            logout(request)
            messages.info(request, why)
            if not getattr(view, "login_required", True):
                return None
            return redirect_to_login(request.get_full_path(), reverse("sign-in"))
        if now - request.session.get(SEEN, 0) > SEEN_STEP:
            request.session[SEEN] = now
        name = request.resolver_match.url_name if request.resolver_match else None
        if name not in WITHOUT_PROOF and owes_proof(request):
            return redirect("second-factor")
        return None
