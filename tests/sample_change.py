"""An accepted job to change: the demo's folder, its recolouring agreed with grit, and changes made to it."""

from __future__ import annotations

from typing import Any

from quoting.documents.change_orders import offered_on
from quoting.documents.freeze import sha256_of
from quoting.models import Acceptance, ChangeOrder, Edition, Job, Paper, PrivateLink, User
from quoting.services import acceptance as acts
from quoting.services.change_orders import add_work, draft_change
from quoting.services.change_papers import issue_change
from tests.sample_answer import accept, issued_paper, link_to

ASKED = ChangeOrder.Reason.ASKED


def agreed_job(**offer: Any) -> Job:
    """Folder 0417: option 2, recolour and seal on deck and steps, with grit; 1,995.00 and tax 45.44."""
    paper = issued_paper(**offer)
    accept(link_to(paper))
    return Job.objects.with_place().get(pk=paper.job_id)


def ines() -> User:
    return User.objects.get(email="ines@example.com")


def drafted(job: Job, title: str = "The front walk too", **facts: Any) -> ChangeOrder:
    """A draft that changes nothing yet."""
    return draft_change(job=job, by=ines(), title=title, reason=facts.pop("reason", ASKED), **facts)


def with_walk(
    row: ChangeOrder, system: str = "clean-sand-seal", areas: tuple[str, ...] = ("Front walk",)
) -> ChangeOrder:
    """The draft with the walk, cleaned, sanded and sealed."""
    found = Edition.objects.get(state="published").systems.get(key=system)
    add_work(row=row, version=row.version, system=found, areas=list(row.job.areas.filter(name__in=areas)), count=3)
    return ChangeOrder.objects.get(pk=row.pk)


def issued(row: ChangeOrder) -> Paper:
    return issue_change(row=row, version=row.version, by=ines())


def reviewed_change(link: PrivateLink) -> str:
    """The first step, made now."""
    paper = Paper.objects.get(pk=link.paper_id)
    agreed = acts.review_offer(link=link, option=1, add_ons=[], pdf_sha256=paper.pdf_sha256)
    return acts.Review(
        link=link.pk,
        pdf_sha256=paper.pdf_sha256,
        option=1,
        add_ons=(),
        total=f"{agreed.total:f}",
        consent_sha256=sha256_of(acts.consent_given(offered_on(paper), paper.pages)),
        pages=paper.pages,
    ).signed()


def yes(paper: Paper) -> Acceptance:
    """Both steps, by Priya Wexley."""
    link = link_to(paper)
    return accept(link, review=reviewed_change(link))
