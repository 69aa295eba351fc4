"""An issued proposal as the homeowner holds it: the demo's paper, a private link, and a first step that was made."""

from __future__ import annotations

from typing import Any

from quoting.documents.agreed import Offered
from quoting.documents.freeze import sha256_of
from quoting.models import Acceptance, Paper, PrivateLink, Proposal, RegionRule, User
from quoting.services import acceptance as acts
from quoting.services.issue import issue_proposal
from quoting.services.links import make_link
from quoting.services.proposals import revise
from tests.factories import FirmFactory, OwnerFactory
from tests.sample_offer import ready_draft

FULL, GRIT, WALK = 2, 1, 2
"""On the paper: the advised option, and the two extras that go with it."""


def issued_paper(*, cooling_off: bool = False) -> Paper:
    """The demo's paper, 0417-A; with `cooling_off` three business days in which a yes may be cancelled."""
    ines = OwnerFactory(email="ines@example.com")
    draft = ready_draft(ines)
    if cooling_off:
        RegionRule.objects.create(
            firm=FirmFactory(),
            key="cooling-off",
            region="United States",
            kind=RegionRule.Kind.CANCELLATION,
            name="Cooling-off",
            figures={"days": "3", "calendar": "sales"},
            text="You may cancel within three business days.",
            source="16 CFR 429.1",
            on=True,
        )
    return issue_proposal(proposal=draft, version=draft.version, by=ines)


def revised(paper: Paper) -> Paper:
    """The next revision of it, issued."""
    by = User.objects.get(email="ines@example.com")
    draft = revise(proposal=Proposal.objects.get(paper=paper), by=by)
    return issue_proposal(proposal=draft, version=draft.version, by=by)


def link_to(paper: Paper) -> PrivateLink:
    link, _address = make_link(paper, None)
    return link


def reviewed(link: PrivateLink, option: int = FULL, add_ons: tuple[int, ...] = (GRIT,), **more: Any) -> str:
    """The first step, made now: the choice looked over and consent given."""
    paper = Paper.objects.get(pk=link.paper_id)
    agreed = acts.review_offer(link=link, option=option, add_ons=list(add_ons), pdf_sha256=paper.pdf_sha256)
    told = {
        "link": link.pk,
        "pdf_sha256": paper.pdf_sha256,
        "option": option,
        "add_ons": add_ons,
        "total": f"{agreed.total:f}",
        "consent_sha256": sha256_of(acts.consent_given(Offered(paper), paper.pages)),
        "pages": paper.pages,
    }
    return acts.Review(**(told | more)).signed()


def accept(link: PrivateLink, **more: Any) -> Acceptance:
    """Both steps, by Priya Wexley."""
    paper = Paper.objects.get(pk=link.paper_id)
    asked = {"pdf_sha256": paper.pdf_sha256, "typed_name": "Priya Wexley", "address": "192.0.2.7"}
    asked["review"] = more.pop("review", None) or reviewed(link)
    link.refresh_from_db()
    return acts.accept_offer(link=link, **(asked | more))
