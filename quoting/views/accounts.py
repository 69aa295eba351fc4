"""The door, the second proof, your own account, and the people of the firm."""

from __future__ import annotations

from base64 import b32encode
from io import BytesIO
from typing import Any

import django_otp
import segno
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import authenticate, login, logout, update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe
from django_otp.util import random_hex

from quoting.forms.accounts import CodeForm, EditPersonForm, NewPasswordForm, PersonForm, SignInForm
from quoting.models import User
from quoting.services import accounts
from quoting.services.passwords import last_link, send_password_link
from quoting.views.access import may_see_money, owner_only
from quoting.views.sessions import PROOF, owes_proof
from quoting.views.typed import TYPED, unseal

OFFERED = "offered_secret"
"""Key of the session: the secret of the phone that is being set up, hexadecimal."""

NOT_RIGHT = "E-mail and password don’t belong together, or this person may not sign in. Mind capitals; try once more."


def where_next(request: HttpRequest) -> str:
    """The page that was asked for, if it is one of ours; else the desk."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    return wanted if ours else settings.LOGIN_REDIRECT_URL


def network_address(request: HttpRequest) -> str:
    """Who is at the other end; behind a web server of ours, whom that server names last."""
    named = request.headers.get("X-Forwarded-For", "") if settings.BEHIND_PROXY else ""
    return named.rsplit(",", 1)[-1].strip() or request.META.get("REMOTE_ADDR", "")


@login_not_required
@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """E-mail and password; the same answer whether the address is unknown, the password wrong or the account closed."""
    if request.user.is_authenticated:
        return redirect(where_next(request))
    form = SignInForm(request.POST or None)
    status = 200
    if form.is_valid():
        email, address = form.cleaned_data["email"].lower(), network_address(request)
        try:
            accounts.count_attempt("address", address)
            accounts.count_attempt("account", email)
            accounts.count_attempt("account and address", email, address)
        except accounts.TooManyTries as error:
            form.add_error(None, str(error))
            status = 429
        else:
            user = authenticate(request, username=email, password=form.cleaned_data["password"])
            if user is not None:
                return let_in(request, user, email, address)
            form.add_error(None, NOT_RIGHT)
    typed = request.POST.get(TYPED, "")
    context = {"form": form, "next": where_next(request), "typed": typed if unseal(typed) else ""}
    return render(request, "accounts/sign_in.html", context, status=status)


def let_in(request: HttpRequest, user: Any, email: str, address: str) -> HttpResponse:
    """Begin the session of somebody whose password was right, and ask for the second proof where it is owed."""
    onward = where_next(request)
    accounts.forget_attempts("account", email)
    accounts.forget_attempts("account and address", email, address)
    login(request, user)
    typed = request.POST.get(TYPED, "")
    if unseal(typed):
        request.session[TYPED], onward = typed, reverse("typed")
    owed = accounts.has_second_factor(user) or (settings.REQUIRE_SECOND_FACTOR and may_see_money(user))
    if not owed:
        return redirect(onward)
    request.session[PROOF] = True
    request.session["onward"] = onward
    return redirect("second-factor")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def second_factor(request: HttpRequest) -> HttpResponse:
    """The code from the phone, or a spare one; somebody without a phone is led to set one up."""
    if not owes_proof(request):
        return redirect(settings.LOGIN_REDIRECT_URL)
    if not accounts.has_second_factor(request.user):
        return redirect("second-factor-set-up")
    form = CodeForm(request.POST or None)
    status = 200
    if form.is_valid():
        try:
            accounts.count_attempt("code", str(request.user.pk))
        except accounts.TooManyTries as error:
            form.add_error(None, str(error))
            status = 429
        else:
            device = django_otp.match_token(request.user, form.cleaned_data["code"])
            if device is not None:
                accounts.forget_attempts("code", str(request.user.pk))
                onward = request.session.pop("onward", settings.LOGIN_REDIRECT_URL)
                request.session.cycle_key()
                django_otp.login(request, device)
                return redirect(onward)
            form.add_error("code", "This code isn’t right or was used already. Wait for the next one and type that.")
    return render(request, "accounts/second_factor.html", {"form": form}, status=status)


def may_set_up(request: HttpRequest) -> bool:
    """A phone may be set up by who has none, or who has just proved himself with the one he has."""
    return request.user.is_verified() or not accounts.has_second_factor(request.user)


def offered_secret(request: HttpRequest) -> str:
    """The secret that this session sets up; kept only here until a code from it was typed: a GET writes no row."""
    secret: str = request.session.setdefault(OFFERED, random_hex(20))
    return secret


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def second_factor_set_up(request: HttpRequest) -> HttpResponse:
    """Show the secret as a picture and as letters, and take it once a code from it was typed."""
    if not may_set_up(request):
        return redirect("second-factor")
    form = CodeForm(request.POST or None)
    form.fields["code"].help_text = "The six digits that your phone shows now."
    if form.is_valid():
        taken = accounts.confirm_device(
            user=request.user, secret=offered_secret(request), code=form.cleaned_data["code"]
        )
        if taken is not None:
            device, codes = taken
            onward = request.session.pop("onward", settings.LOGIN_REDIRECT_URL)
            del request.session[OFFERED]
            request.session[PROOF] = True
            request.session.cycle_key()
            django_otp.login(request, device)
            return render(request, "accounts/spare_codes.html", {"codes": codes, "onward": onward})
        form.add_error(
            "code", "This code doesn’t come from the picture. Check the clock of the phone, then type the next one."
        )
    device = accounts.offered_device(request.user, offered_secret(request))
    letters = b32encode(device.bin_key).decode().rstrip("=")
    groups = " ".join(letters[at : at + 4] for at in range(0, len(letters), 4))
    return render(request, "accounts/second_factor_set_up.html", {"form": form, "letters": groups})


@never_cache
@require_safe
def second_factor_picture(request: HttpRequest) -> HttpResponse:
    """The secret that is being set up, as a QR picture (SVG); nothing once it is in use."""
    if not may_set_up(request):
        raise Http404
    device = accounts.offered_device(request.user, offered_secret(request))
    picture = BytesIO()
    segno.make(device.config_url, error="m").save(
        picture, kind="svg", scale=5, border=4, dark="#000", light="#fff", svgclass=None, lineclass=None
    )
    return HttpResponse(picture.getvalue(), content_type="image/svg+xml")


@login_not_required
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End this session."""
    logout(request)
    messages.success(request, "You are signed out.")
    return redirect("sign-in")


@require_safe
def account(request: HttpRequest) -> HttpResponse:
    """Your own account: what you are here, your password, your phone, your sessions."""
    return render(request, "accounts/account.html", {"has_factor": accounts.has_second_factor(request.user)})


@require_http_methods(["GET", "HEAD", "POST"])
def sign_out_everywhere(request: HttpRequest) -> HttpResponse:
    """End this person's sessions on every machine, this one included; asks once."""
    if request.method != "POST":
        return render(request, "accounts/sign_out_everywhere.html")
    ended = accounts.end_sessions(request.user)
    logout(request)
    messages.success(request, f"You are signed out everywhere: {ended} session{'' if ended == 1 else 's'} ended.")
    return redirect("sign-in")


@never_cache
@sensitive_post_parameters("old", "new", "again")
@require_http_methods(["GET", "HEAD", "POST"])
def change_password(request: HttpRequest) -> HttpResponse:
    """Change your own password; your other sessions end."""
    form = NewPasswordForm(request.user, request.POST or None)
    try:
        if request.method == "POST":
            accounts.count_attempt("code", "password", str(request.user.pk))
        valid = form.is_valid()
    except accounts.TooManyTries as error:
        messages.error(request, str(error))
        return redirect("account")
    if not valid:
        return render(request, "accounts/change_password.html", {"form": form})
    new = form.cleaned_data["new"]
    accounts.change_password(user=request.user, password=new, keep_session=request.session.session_key)
    update_session_auth_hash(request, request.user)
    messages.success(request, "Your password is changed. Your other sessions have ended.")
    return redirect("account")


@owner_only
@require_safe
def firm_people(request: HttpRequest) -> HttpResponse:
    """Everybody of the firm who may sign in, and who once could."""
    people = User.objects.order_by("-is_active", "name", "pk")
    return render(request, "accounts/people.html", {"people": people})


@owner_only
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def add_person(request: HttpRequest) -> HttpResponse:
    """Let somebody in."""
    form = PersonForm(request.POST or None)
    if not form.is_valid():
        return render(request, "accounts/person.html", {"form": form})
    person = accounts.add_person(**form.cleaned_data)
    told = f"{person.name} may sign in as {person.get_role_display()}."
    if not person.has_usable_password():
        send_password_link(person=person, by=request.user)  # type: ignore[arg-type]
        told += f" The link to set a password is on its way to {person.email}."
    messages.success(request, told)
    return redirect("firm-people")


@owner_only
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def edit_person(request: HttpRequest, pk: int) -> HttpResponse:
    """Change somebody's name, address, role or access."""
    person = get_object_or_404(User, pk=pk)
    name = person.name
    form = EditPersonForm(request.POST or None, instance=person)
    if form.is_valid():
        try:
            accounts.edit_person(person=person, **form.cleaned_data)
        except accounts.LastOwner as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{form.cleaned_data['name']}: kept.")
            return redirect("firm-people")
    context = {"form": form, "person": person, "name": name, "link_mail": last_link(person)}
    return render(request, "accounts/person.html", context)
