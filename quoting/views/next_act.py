"""The one act that moves a folder on, told at its top: from the first area to the proposal in the mail."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from django.urls import reverse

from quoting.models import Job, Message, Proposal


class NextAct(NamedTuple):
    """The word on the button, where it leads, and why it is next."""

    act: str
    url: str
    why: str


def next_act(job: Job, found: Mapping[str, Any]) -> NextAct | None:
    """What comes next, by what the folder's page has read already: `areas`, `table`, `draft`, `offer`, `mails`.

    None once the offer is with the homeowner: then the desk says who waits for whom.
    """
    offer: Proposal | None = found["offer"]
    if found["draft"]:
        return NextAct("Go on with the proposal", _page("proposal-draft", job), "A draft is begun and not issued yet.")
    if offer is not None and offer.paper is not None:
        sent = any(mail.paper_id == offer.paper_id and mail.kind == Message.Kind.PROPOSAL for mail in found["mails"])
        if offer.state != Proposal.State.ISSUED or sent:
            return None
        url = reverse("paper-send", args=[offer.paper.number])
        return NextAct(f"Send {offer.paper.number}", url, "It is issued, and not mailed yet.")
    if not found["areas"]:
        return NextAct("Add the first area", _page("area-add", job), "Name the first stretch of one surface.")
    blank = next((each for each in found["areas"] if not each.net), None)
    if blank is not None:
        if blank.parts:
            url = reverse("area", args=[job.number, blank.row.pk])
            return NextAct(f"Mend {blank.row.name}", url, "What was measured of it makes no area yet.")
        url = reverse("part-add", args=[job.number, blank.row.pk])
        return NextAct(f"Measure {blank.row.name}", url, "Nothing of it is measured yet.")
    if not found["table"].sides:
        return NextAct("Draft an option", _page("option-add", job), "Everything is measured: choose the work.")
    return NextAct("Draft the proposal", _page("proposal-draft", job), "An option is drafted, nothing is offered yet.")


def _page(name: str, job: Job) -> str:
    return reverse(name, args=[job.number])
