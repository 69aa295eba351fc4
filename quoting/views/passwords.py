"""The way to a new password: Django's own views, with mail through the outbox, and the owner's button for a person."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import (
    INTERNAL_RESET_SESSION_TOKEN,
    PasswordResetConfirmView,
    PasswordResetView,
)
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from quoting.forms.passwords import ChosenPasswordForm, LostPasswordForm
from quoting.models import User
from quoting.services.accounts import TooManyTries, count_attempt
from quoting.services.passwords import MayNotSignIn, ask_password_link, send_password_link, set_password_by_link
from quoting.views.access import owner_only
from quoting.views.accounts import network_address
from quoting.views.homeowner_door import kept_by_nobody

SAID = "If somebody of the firm signs in with this address, a link is on its way there now."


class _Asked(PasswordResetView):
    """Asks for the address, and says the same whether somebody has it or not."""

    form_class = LostPasswordForm
    template_name = "accounts/lost_password.html"

    def form_valid(self, form: Any) -> HttpResponse:
        email = form.cleaned_data["email"].lower()
        try:
            count_attempt("ask password", network_address(self.request))
            count_attempt("ask password for", email)
        except TooManyTries as tries:
            form.add_error(None, str(tries))
            return self.render_to_response(self.get_context_data(form=form), status=429)
        ask_password_link(email)
        return render(self.request, self.template_name, {"asked": SAID})


class _Chosen(PasswordResetConfirmView):
    """Takes the token out of the address into the session, asks for a new password, and lets nobody in by itself."""

    form_class = ChosenPasswordForm
    template_name = "accounts/new_password.html"

    def get_user(self, uidb64: str) -> User | None:
        person = super().get_user(uidb64)
        return person if person is not None and person.is_active else None

    def form_valid(self, form: Any) -> HttpResponse:
        del self.request.session[INTERNAL_RESET_SESSION_TOKEN]
        logout(self.request)
        set_password_by_link(person=self.user, password=form.cleaned_data["new_password1"])
        messages.success(self.request, "Your password is set, and you are signed out everywhere. Sign in with it now.")
        return redirect("sign-in")


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def lost_password(request: HttpRequest) -> HttpResponse:
    """Asks for the address that the link is to go to; the same answer for every address."""
    return kept_by_nobody(_Asked.as_view()(request))


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def new_password(request: HttpRequest, uidb64: str, token: str) -> HttpResponse:
    """Where the mailed link leads: a new password, twice. A link that is old, used or guessed says so and no more."""
    return kept_by_nobody(_Chosen.as_view()(request, uidb64=uidb64, token=token))


@owner_only
@require_POST
def person_link(request: HttpRequest, pk: int) -> HttpResponse:
    """Mail one of the firm's people the link to a new password."""
    person = get_object_or_404(User, pk=pk)
    try:
        send_password_link(person=person, by=request.user)  # type: ignore[arg-type]
    except MayNotSignIn as fault:
        messages.error(request, str(fault))
    else:
        messages.success(request, f"A link to a new password is on its way to {person.email}.")
    return redirect("edit-person", pk=pk)
