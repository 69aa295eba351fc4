"""The desk: what waits for whom today, each line with the one act that moves it on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import formats, timezone
from django.views.decorators.http import require_safe

from customers.models import Customer
from quoting.models import Edition, Job, Paper, Proposal, Role, User
from quoting.views.access import jobs_for, may_see_money
from quoting.views.mast import the_firm

MOST_FOLDERS = 200
"""The newest that are looked at; older ones stand in the list of folders, by state."""

SHOWN = 12
"""Lines of one group; the rest is one leap away."""

SOON = 5
"""Days before an offer runs out from which the desk says so."""

PATIENCE = 3
"""Days after which an offer without an answer is worth a call. Common practice, no published source."""

LONGEST_LINE = 12
"""Days up to which the waiting is drawn to scale."""

DAY_PX = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One folder on the desk: what waits, for how many days, and the act."""

    job: Job
    whose: str
    words: str
    days: int
    act: str
    url: str
    offer: Proposal | None = None
    since: str = ""
    over: bool = False
    soon: bool = False

    @property
    def drawn(self) -> int:
        """Length of the dimension line in px; 0 for a wait that needs none."""
        return min(self.days, LONGEST_LINE) * DAY_PX if self.days > 1 else 0

    @property
    def state(self) -> str:
        """The state of the offer as it is today: one that ran out reads so before anybody closes it."""
        return Proposal.State.EXPIRED if self.over else self.offer.state if self.offer else ""


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
    jobs = jobs_for(request.user).wanting_something().with_progress().with_place().with_offer()[:MOST_FOLDERS]
    lines = [line_of(job, today) for job in jobs]
    people = list(User.objects.filter(is_active=True).only("name", "email", "role"))
    groups = _groups(lines, request.user, people)
    yours = next((len(group.lines) for group in groups if group.key == "you"), 0)
    context = {
        "today": today,
        "groups": groups,
        "yours": yours,
        "others": len(lines) - yours,
        "out": [line for line in lines if line.state == Proposal.State.ISSUED],
        "soon": sum(line.soon for line in lines),
        "over": sum(line.over for line in lines),
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
    return render(request, "desk.html", {"today": today, "groups": groups, "crew": True})


def line_of(job: Job, today: date) -> Line:
    """What waits in this folder. Reads the annotations of `with_progress` and the proposals of `with_offer`."""
    if job.draft:
        days = (today - timezone.localdate(job.draft.created_at)).days
        return _owners(job, days, "Proposal drafted, not issued yet.", "Finish and issue", "proposal-draft", job.draft)
    offer = job.offer
    if offer is not None and offer.paper is not None:
        return _offered(job, offer, offer.paper, today)
    days = (today - timezone.localdate(job.opened_at)).days
    if job.has_options:  # type: ignore[attr-defined]
        return _owners(job, days, "Options are drafted, nothing is offered yet.", "Make the proposal", "proposal-draft")
    if job.is_measured:  # type: ignore[attr-defined]
        return _owners(job, days, "Measured. No option is drafted yet.", "Draft an option", "option-add")
    wanted = f" Wanted by: {job.wanted_by}" if job.wanted_by else ""
    words = ("Areas named, nothing measured yet." if job.has_areas else "Opened, nothing measured yet.") + wanted  # type: ignore[attr-defined]
    return _owners(job, days, words, "Measure", "folder" if job.has_areas else "area-add")  # type: ignore[attr-defined]


def _owners(job: Job, days: int, words: str, act: str, page: str, offer: Proposal | None = None) -> Line:
    url = reverse(page, args=[job.number]) + ("#measured" if page == "folder" else "")
    return Line(job=job, whose=Role.OWNER, words=words, days=days, since=_since(days), act=act, url=url, offer=offer)


def _offered(job: Job, offer: Proposal, paper: Paper, today: date) -> Line:
    """A line for an offer that is out, ran out or was accepted."""
    waited = (today - timezone.localdate(paper.issued_at)).days
    folder = reverse("folder", args=[job.number])
    if offer.state == Proposal.State.ACCEPTED:
        words = "Accepted; the crew may open it."
        return Line(job=job, whose=Role.CREW, words=words, days=0, act="Open the folder", url=folder, offer=offer)
    until = paper.valid_until
    left = (until - today).days if until else None
    if offer.state == Proposal.State.EXPIRED or (left is not None and left < 0):
        over = max(-left, 0) if left is not None else 0
        return Line(
            job=job,
            whose=Role.OFFICE,
            words=f"No answer until {_day(until)}, when it ran out." if until else "It ran out without an answer.",
            days=over,
            since=f"{_days(over)} over",
            act="Offer it anew",
            url=reverse("paper", args=[paper.number]),
            offer=offer,
            over=True,
        )
    soon = left is not None and left <= SOON
    act, url = _call(job) if soon or waited >= PATIENCE else ("Open the folder", folder)
    words = f"With them, no answer yet.{_valid(left, until)}"
    since = _since(waited)
    return Line(
        job=job, whose=Role.OFFICE, words=words, days=waited, since=since, act=act, url=url, offer=offer, soon=soon
    )


def _valid(left: int | None, until: date | None) -> str:
    if left is None:
        return ""
    if left == 0:
        return " Valid until today."
    if left == 1:
        return " Valid until tomorrow."
    more = f", {_days(left)} more" if left <= SOON else ""
    return f" Valid until {_day(until)}{more}."


def _call(job: Job) -> tuple[str, str]:
    """How the customer is asked: by telephone, else by mail, else from the folder."""
    customer = job.property.customer
    digits = "".join(letter for letter in customer.phone if letter.isascii() and (letter.isdigit() or letter == "+"))
    if digits:
        return "Ring them", f"tel:{digits}"
    if customer.email:
        return "Write to them", f"mailto:{customer.email}"
    return "Open the folder", reverse("folder", args=[job.number])


def _since(days: int) -> str:
    return _days(days) if days > 0 else "today"


def _days(days: int) -> str:
    return f"{days}\u00a0{'day' if days == 1 else 'days'}"


def _day(value: date | None) -> str:
    return formats.date_format(value, "j\u00a0F") if value else ""


def _groups(lines: Iterable[Line], reader: Any, people: list[User]) -> list[Group]:
    """The lines by whom they wait for: the reader first. Where nobody has a role, its lines are the owner's."""
    roles = {person.role for person in people}
    by_role: dict[str, list[Line]] = {Role.OWNER: [], Role.OFFICE: [], Role.CREW: []}
    for line in sorted(lines, key=lambda line: (not line.over, not line.soon, -line.days)):
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
