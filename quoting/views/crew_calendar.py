"""The crew's calendar: the feed at its private address, and the page that makes or takes back the address."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from quoting.documents.asides import day_pair
from quoting.models import CalendarKey
from quoting.services.crew_calendar import calendar_of, make_key, person_of, take_back_key, visits_to_show
from quoting.views.mast import the_firm


@login_not_required
@require_safe
def crew_calendar(request: HttpRequest, secret: str) -> HttpResponse:
    """The feed. The address is the key, as a calendar program can’t sign in; one taken back is like an unknown one."""
    if person_of(secret) is None:
        raise Http404
    now = timezone.now()
    told = calendar_of(visits_to_show(now), the_firm(request).name or "Visits", now)
    response = HttpResponse(told, content_type="text/calendar; charset=utf-8")
    response["Cache-Control"] = "private, no-store"
    response["Referrer-Policy"] = "no-referrer"
    return response


@require_http_methods(["GET", "HEAD", "POST"])
def calendar_address(request: HttpRequest) -> HttpResponse:
    """Make an address, which is shown once, or take it back."""
    address = ""
    if request.method == "POST":
        if request.POST.get("do") == "take-back":
            take_back_key(person=request.user)
            return redirect("calendar-address")
        secret = make_key(person=request.user)
        address = settings.SITE_ADDRESS.rstrip("/") + reverse("crew-calendar", args=[secret])
    key = CalendarKey.objects.filter(person=request.user, taken_back_at=None).first()
    made_on = day_pair(timezone.localdate(key.made_at)) if key else None
    response = render(request, "crew/calendar.html", {"key": key, "address": address, "made_on": made_on})
    response["Cache-Control"] = "private, no-store"
    return response
