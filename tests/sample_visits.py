"""A job that is agreed and whose days are laid: wash, colour and seal of a deck and a walk; made without printing."""

from __future__ import annotations

import json
from copy import deepcopy
from datetime import date
from typing import Any

from quoting.core.scope_file import read_scope, write_scope
from quoting.core.work_out import work_out
from quoting.core.workings_file import workings_data
from quoting.documents.freeze import canonical_json, sha256_of
from quoting.models import Job, PaperScope, User, Visit
from quoting.services.visits import plan_visits
from tests.factories import FirmFactory, JobFactory, OwnerFactory, PaperFactory, ProposalFactory
from tests.sample_contract import accept_paper
from tests.sample_scopes import pool_deck

THURSDAY = date(2026, 7, 16)


def three_steps() -> dict[str, Any]:
    """The pool deck (32 ft × 14' 6", less a circle of 6 ft; 435.73 ft² net) washed, coloured, and sealed in two coats;
    24 hours to dry after washing, 2 after the colour, 24 after sealing."""
    data = deepcopy(pool_deck())
    data["areas"].append({
        "name": "Front walk", "surface": "concrete pavers", "texture": "1",
        "parts": [{"shape": "rectangle", "length": "24 ft", "width": "4 ft"}],
    })  # fmt: skip
    data["materials"]["base-tone"]["scoop"] = "2 oz"
    data["materials"]["sealer"] = {
        "name": "Solvent acrylic, 24 % solids", "solids": "0.24",
        "packs": [{"size": "5 gal", "price": "180.00"}, {"size": "1 gal", "price": "42.00"}],
    }  # fmt: skip
    wash = {
        "step": "Wash",
        "areas": ["Pool deck", "Front walk"],
        "labour": {"rate": "300 ft**2/hour"},
        "hold": "24 hours",
    }
    colour = data["work"][0] | {"hold": "2 hours"}
    seal = {
        "step": "Seal, two coats", "areas": ["Pool deck"], "labour": {"rate": "250 ft**2/hour"}, "hold": "24 hours",
        "materials": [{
            "material": "sealer", "waste": "0.05", "use": {"by": "coverage", "coverage": "200 ft**2/gal", "coats": 2},
        }],
    }  # fmt: skip
    data["work"] = [wash, colour, seal]
    return data


def agreed_job(*, number: str = "0417", by: User | None = None, **place: object) -> Job:
    """A folder with an accepted proposal over `three_steps`, and no days yet."""
    by = by or OwnerFactory()
    FirmFactory(id=1)
    job = JobFactory(number=number, opened_by=by, **place)
    scope = read_scope(json.dumps(three_steps()))
    text, workings = write_scope(scope), canonical_json(workings_data(work_out(scope)))
    told = canonical_json({
        "number": f"{number}-A", "currency": "USD", "shown": "1", "rules": [], "at_home": "", "special_order": "0",
        "options": [{"name": "Recolour"}], "extras": [], "valid_until": "30 June 2026",
        "payment_terms": [{"name": "All", "trigger": "at the end", "share": "", "amount": "", "done": "1"}],
    })  # fmt: skip
    paper = PaperFactory(job=job, issued_by=by, number=f"{number}-A", facts=told, facts_sha256=sha256_of(told))
    PaperScope.objects.create(
        paper=paper, position=0, role="option", name="Recolour", edition="2026-1", scope=text,
        scope_sha256=sha256_of(text), workings=workings, workings_sha256=sha256_of(workings),
    )  # fmt: skip
    ProposalFactory(job=job, state="accepted", paper=paper)
    accept_paper(paper)
    return Job.objects.with_place().get(pk=job.pk)


def planned_job(**more: Any) -> Job:
    """The same with its days laid from Thursday 16 July 2026 on, by two people, in the usual day of 8 to 16."""
    job = agreed_job(**more)
    plan_visits(job=job, by=job.opened_by, first_day=THURSDAY, crew=2)
    return job


def visit_of(job: Job, number: int = 1) -> Visit:
    return Visit.objects.select_related("job__property__customer").get(job=job, number=number)
