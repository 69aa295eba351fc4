"""The one place that says who may see what.

Owner and office see everything of the firm. The crew sees the folders whose proposal was issued or accepted, and in
them what is done and with what; never a price or a cost, in any format.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from quoting.models import Job, Proposal, Role, User
from quoting.models.jobs import JobQuerySet

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponse]

MONEY_ROLES = frozenset({Role.OWNER, Role.OFFICE})


def may_see_money(user: User | AnonymousUser) -> bool:
    """Whether prices, costs and margins may be shown to this person."""
    return isinstance(user, User) and user.is_active and user.role in MONEY_ROLES


def only_for(*roles: Role) -> Callable[[View[P]], View[P]]:
    """Let only these roles into a page; anyone else who is signed in gets the 403 page."""

    def decorate(view: View[P]) -> View[P]:
        @wraps(view)
        def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
            if getattr(request.user, "role", None) not in roles:
                raise PermissionDenied
            return view(request, *args, **kwargs)

        return guarded

    return decorate


office_only = only_for(Role.OWNER, Role.OFFICE)
owner_only = only_for(Role.OWNER)


def jobs_for(user: User | AnonymousUser) -> JobQuerySet:
    """The folders that this person may open."""
    if may_see_money(user):
        return Job.objects.all()
    if isinstance(user, User) and user.role == Role.CREW:
        standing = [Proposal.State.ISSUED, Proposal.State.ACCEPTED]
        return Job.objects.filter(pk__in=Proposal.objects.filter(state__in=standing).values("job_id"))
    return Job.objects.none()


def find_job(user: User | AnonymousUser, number: str) -> Job:
    """The folder with this number, or 404: a folder that a person may not see does not exist for him."""
    return get_object_or_404(jobs_for(user).with_place(), number=number)
