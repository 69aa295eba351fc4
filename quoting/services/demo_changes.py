"""Changes to what is agreed in the demo's folders: made ready, issued and mailed, some with a yes."""

from __future__ import annotations

from decimal import Decimal

from quoting.models import Area, ChangeOrder, Paper, RestorationSystem
from quoting.services.change_orders import add_work, draft_change
from quoting.services.change_papers import issue_change
from quoting.services.demo_answers import accept_paper
from quoting.services.demo_scene import Scene
from quoting.services.options import published_edition


def change(scene: Scene) -> None:
    """A change order that adds a system on areas, or a sum; issued and mailed."""
    job, said = scene.job, scene.act
    row = ChangeOrder.objects.filter(job=job, title=said["change"]).first()
    if row is None:
        row = draft_change(
            job=job,
            by=scene.owner,
            title=said["change"],
            reason=said.get("reason", ChangeOrder.Reason.ASKED),
            why=scene.words,
            amount=Decimal(said.get("amount", 0)),
            amount_for=said.get("amount_for", ""),
        )
    if "system" in said and not row.added.exists():
        add_work(
            row=row,
            version=row.version,
            system=RestorationSystem.objects.get(edition=published_edition(), key=said["system"]),
            areas=list(Area.objects.filter(job=job, name__in=said["areas"])),
            length=said.get("length", ""),
        )
        row.refresh_from_db()
    if row.paper is None:
        scene.printing("a change order")
        issue_change(row=row, version=row.version, by=scene.owner, mail_to=job.property.customer.email)


def accept_change(scene: Scene) -> None:
    """A yes to the folder's change order of that number."""
    accept_paper(scene.paper(Paper.Kind.CHANGE, scene.act["change"]), scene.act["by"])
