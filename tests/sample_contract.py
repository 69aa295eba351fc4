"""A job whose proposal was accepted, without printing: two areas, two taxes, three payments; made in milliseconds."""

from __future__ import annotations

import json
from copy import deepcopy
from datetime import UTC, datetime
from typing import Any

from moneyed import Money

from quoting.core.scope_file import read_scope, write_scope
from quoting.core.work_out import work_out
from quoting.core.workings_file import workings_data
from quoting.documents.agreed import Offered
from quoting.documents.freeze import canonical_json, sha256_of
from quoting.models import Acceptance, Job, Paper, PaperScope, Proposal, User
from quoting.services.firm import THE_FIRM
from quoting.services.seals import seal_of
from tests.factories import FirmFactory, JobFactory, OwnerFactory, PaperFactory, ProposalFactory
from tests.sample_scopes import pool_deck

TERMS = (
    ("Deposit", "on acceptance", "0.25", ""),
    ("Progress", "when the colour is on", "0.5", "0.8"),
    ("Rest", "at hand-over", "", "1"),
)
NOW = datetime(2026, 6, 1, 16, 0, tzinfo=UTC)


def two_areas() -> dict[str, Any]:
    """The pool deck and a front walk, taxed on the materials' share and on the whole price."""
    data = deepcopy(pool_deck())
    walk = {"name": "Front walk", "surface": "concrete pavers", "texture": "1", "parts": [
        {"shape": "rectangle", "length": "24' 3\"", "width": "4' 2\""}]}  # fmt: skip
    data["areas"].append(walk)
    data["work"][0]["areas"] = ["Pool deck", "Front walk"]
    data["pricing"]["tax"] = [
        {"name": "State", "rate": "0.0625", "on": "materials"},
        {"name": "City", "rate": "0.01375", "on": "price"},
    ]
    return data


def sealed_areas() -> dict[str, Any]:
    """The same two areas, sealed twice at 250 and 300 ft²/gal with 25 % solids; four hours of work."""
    data = two_areas()
    data["materials"]["sealer"] = {
        "name": "Sealer", "packs": [{"size": "5 gal", "price": "228.00"}], "solids": "0.25", "charge": "packs",
    }  # fmt: skip
    use = {"by": "coverage", "rates": ["250 ft**2/gal", "300 ft**2/gal"]}
    data["work"].append(
        {
            "step": "Seal", "areas": ["Pool deck", "Front walk"], "labour": {"hours": "4 hours"},
            "materials": [{"material": "sealer", "waste": "0", "use": use}],
        }
    )  # fmt: skip
    return data


def accepted_job(
    *, number: str = "0417", by: User | None = None, rules: tuple[dict[str, Any], ...] = (), terms: Any = TERMS,
    data: dict[str, Any] | None = None, **place: object,
) -> Job:  # fmt: skip
    """A folder with an accepted proposal over `two_areas` (975.00 and its taxes), or over other data."""
    by = by or OwnerFactory()
    FirmFactory(id=THE_FIRM)
    job = JobFactory(number=number, opened_by=by, **place)
    scope = read_scope(json.dumps(data or two_areas()))
    text, workings = write_scope(scope), canonical_json(workings_data(work_out(scope)))
    facts = {
        "number": f"{number}-A", "currency": "USD", "shown": "1", "rules": list(rules), "at_home": "",
        "special_order": "0",
        "options": [{"name": "Recolour"}], "extras": [], "valid_until": "30 June 2026",
        "payment_terms": [
            {"name": name, "trigger": trigger, "share": share, "amount": "", "done": done}
            for name, trigger, share, done in terms
        ],
    }  # fmt: skip
    told = canonical_json(facts)
    paper = PaperFactory(job=job, issued_by=by, facts=told, facts_sha256=sha256_of(told))
    PaperScope.objects.create(
        paper=paper, position=0, role="option", name="Recolour", edition="2026-1", scope=text,
        scope_sha256=sha256_of(text), workings=workings, workings_sha256=sha256_of(workings),
    )  # fmt: skip
    ProposalFactory(job=job, state=Proposal.State.ACCEPTED, paper=paper)
    accept_paper(paper)
    return Job.objects.with_place().get(pk=job.pk)


def accept_paper(paper: Paper) -> Acceptance:
    """The yes to option 1, as it is kept."""
    agreed = Offered(paper).agree(1, [])
    row = Acceptance(
        paper=paper, pdf_sha256=paper.pdf_sha256, option=1, add_ons=[], total=Money(agreed.total, "USD"),
        deposit=Money(agreed.deposit, "USD"), figures=canonical_json(agreed.figures), consent_text="c",
        consent_sha256=sha256_of("c"), intent_text="i", intent_sha256=sha256_of("i"), typed_name="Mrs Wexley",
        reviewed_at=NOW, confirmed_at=NOW, salt="0" * 64,
    )  # fmt: skip
    row.seal = seal_of(row)
    row.save(force_insert=True)
    return row
