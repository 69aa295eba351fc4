"""The desk: what waits for whom today, each line with the one act that moves it on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from customers.models import Customer
from quoting.models import Edition, Proposal, Role, User
from quoting.services.booking import to_book
from quoting.services.recall import due_now
from quoting.views.access import jobs_for, may_see_money
from quoting.views.desk_lines import Line, follow_up_days, line_of, with_letters
from quoting.views.desk_money import money_lines
from quoting.views.desk_visits import crew_days, untold_holds
from quoting.views.found import waiting_tests
from quoting.views.mast import the_firm
from quoting.views.visit_acts import asides_for_office

MOST_FOLDERS = 200
"""The newest that are looked at; older ones stand in the list of folders, by state."""

SHOWN = 12
"""Lines of one group; the rest is one leap away."""


@dataclass(frozen=True, slots=True)
class Group:
    """Lines that wait for the same people."""

    key: str
    title: str
    who: str
    lines: tuple[Line, ...]

    @property
    def shown(self) -> tuple[Line, ...]:
        return self.lines[:SHOWN]

    @property
    def more(self) -> int:
        return max(len(self.lines) - SHOWN, 0)


@require_safe
def desk(request: HttpRequest) -> HttpResponse:
    """The first page after signing in. The crew sees the folders that it may open, and no money."""
    today = timezone.localdate()
    if not may_see_money(request.user):
        return _crew_desk(request, today)
    jobs = with_letters(jobs_for(request.user).wanting_something().with_progress().with_place().with_offer())
    days = follow_up_days(the_firm(request))
    lines = [line_of(job, today, days) for job in jobs[:MOST_FOLDERS]]
    people = list(User.objects.filter(is_active=True).only("name", "email", "role"))
    groups = _groups(lines, request.user, people)
    yours = next((len(group.lines) for group in groups if group.key == "you"), 0)
    context = {
        "today": today,
        "groups": groups,
        "yours": yours,
        "others": len(lines) - yours,
        "out": [line for line in lines if line.state == Proposal.State.ISSUED],
        "tests_waiting": waiting_tests(jobs_for(request.user)),
        "recalls": list(due_now(today)),
        "money": money_lines(jobs_for(request.user), today),
        "asked": sum(line.asked for line in lines),
        "soon": sum(line.soon for line in lines),
        "over": sum(line.over for line in lines),
    }
    context |= {
        "crew_days": crew_days(jobs_for(request.user), today),
        "untold_holds": untold_holds(jobs_for(request.user)),
        "asides": asides_for_office(jobs_for(request.user)),
        "to_book": to_book(jobs_for(request.user)),
    }
    return render(request, "desk.html", context if lines else context | _first_steps(request))


def _crew_desk(request: HttpRequest, today: date) -> HttpResponse:
    jobs = jobs_for(request.user).with_place().with_offer().prefetch_related("areas")[:MOST_FOLDERS]
    lines = [
        Line(
            job=job,
            whose="you",
            words=", ".join(area.name for area in job.areas.all()),
            days=0,
            act="Open the folder",
            url=reverse("folder", args=[job.number]),
            offer=job.standing,
        )
        for job in jobs
    ]
    lines.sort(key=lambda line: line.state != Proposal.State.ACCEPTED)
    groups = [Group("you", "Your folders", "Accepted ones first", tuple(lines))] if lines else []
    context = {"today": today, "groups": groups, "crew": True, "crew_days": crew_days(jobs_for(request.user), today)}
    return render(request, "desk.html", context)


def _groups(lines: Iterable[Line], reader: Any, people: list[User]) -> list[Group]:
    """The lines by whom they wait for: the reader first. Where nobody has a role, its lines are the owner's."""
    roles = {person.role for person in people}
    by_role: dict[str, list[Line]] = {Role.OWNER: [], Role.OFFICE: [], Role.CREW: []}
    for line in sorted(lines, key=lambda line: (not line.first, not line.over, not line.soon, -line.days)):
        by_role[line.whose if line.whose == Role.CREW or line.whose in roles else reader.role].append(line)
    titles = {Role.OWNER: "The owner", Role.OFFICE: "The office", Role.CREW: "The crew"}
    groups = []
    for role in sorted(by_role, key=lambda role: (role != reader.role, list(titles).index(Role(role)))):
        yours = role == reader.role
        names = [reader] if yours else [person for person in people if person.role == role]
        who = ", ".join(person.get_short_name() for person in names[:4])
        if yours:
            who = f"{who}, {reader.get_role_display()}"
        if by_role[role]:
            groups.append(
                Group("you" if yours else role, "You" if yours else titles[Role(role)], who, tuple(by_role[role]))
            )
    return groups


def _first_steps(request: HttpRequest) -> dict[str, Any]:
    """What is there already, for a desk on which nothing waits."""
    return {
        "has_firm": the_firm(request).pk is not None,
        "has_prices": Edition.objects.exists(),
        "has_people": Customer.objects.exists(),
    }
