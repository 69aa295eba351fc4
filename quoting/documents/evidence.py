"""The evidence sheet of a yes: everything by which it can be proved, on paper, for the office."""

from __future__ import annotations

import base64
import json
from collections.abc import Mapping
from datetime import UTC
from typing import Any

from django.template.loader import render_to_string

from quoting.core.units import parse_number
from quoting.documents.contexts import Facts, day_text, sum_text
from quoting.documents.render import render_pdf
from quoting.models import Acceptance, Answer, Firm, Paper

SIGNATURE = "signature.png"


def evidence_facts(acceptance: Acceptance, firm: Firm) -> Facts:
    """All that is kept, as plain strings. Expects the acceptance with its paper, job, property and customer."""
    paper = acceptance.paper
    figures: dict[str, Any] = json.loads(acceptance.figures)
    cancelled = Answer.objects.filter(paper=paper, kind=Answer.Kind.CANCELLED).first()
    return {
        "number": paper.number,
        "what": paper.get_kind_display().capitalize(),
        "cancelled": "yes" if cancelled else "",
        "place": paper.job.property.street,
        "customer": paper.job.property.customer.name,
        "name": acceptance.typed_name,
        "currency": figures["currency"],
        "lines": [
            {"name": each["name"], "amount": _sum(each.get("price") or each.get("amount"), figures["currency"])}
            for each in [*figures["lines"], *figures["taxes"]]
        ],
        "total": sum_text(acceptance.total.amount, figures["currency"]),
        "payments": [
            {"name": each["name"], "trigger": each["trigger"], "amount": _sum(each["amount"], figures["currency"])}
            for each in figures["payments"]
        ],
        "times": [
            {"what": what, "at": when.astimezone(UTC).isoformat(timespec="seconds") if when else "not noted"}
            for what, when in (
                ("Mail with the link sent", acceptance.sent_at),
                ("Page opened", acceptance.opened_at),
                ("Looked over (step 1)", acceptance.reviewed_at),
                ("Confirmed (step 2)", acceptance.confirmed_at),
                *([("May be cancelled until", acceptance.cancel_until)] if acceptance.cancel_until else []),
                *([("Taken back by the customer", cancelled.at)] if cancelled else []),
            )
        ],
        "kept": [
            {"what": what, "is": said}
            for what, said in (
                (
                    "Paper",
                    f"{paper.number}, revision {paper.revision}, {paper.pages} pages, {day_text(paper.issued_at)}",
                ),
                ("SHA-256 of the PDF", acceptance.pdf_sha256),
                *_chosen(paper, figures),
                ("Network address", acceptance.address or "not known"),
                ("Browser", acceptance.user_agent or "not said"),
                ("Mails", ", ".join(acceptance.message_ids) or "none"),
                ("SHA-256 of the consent", acceptance.consent_sha256),
                ("SHA-256 of the words signed", acceptance.intent_sha256),
                ("Salt", acceptance.salt),
                ("Seal", acceptance.seal),
            )
        ],
        "intent": acceptance.intent_text,
        "consent": [line for line in acceptance.consent_text.splitlines() if line],
        "signature": base64.b64encode(bytes(acceptance.signature)).decode("ascii") if acceptance.signature else "",
        "firm": firm.name,
    }


def evidence_pdf(acceptance: Acceptance, firm: Firm) -> bytes:
    """The sheet as a PDF, dated by the yes itself, so that it comes out the same. Raises a PaperNotPrinted."""
    facts = evidence_facts(acceptance, firm)
    foot = {
        "firm": firm.name,
        "telephone": firm.phone,
        "paper": f"Evidence for {facts['number']}",
        "where": facts["place"],
        "date": day_text(acceptance.confirmed_at),
    }
    return render_pdf(
        render_to_string("documents/evidence.html", {"facts": facts, "foot": foot}),
        document_date=acceptance.confirmed_at,
        images={SIGNATURE: base64.b64decode(facts["signature"])} if facts["signature"] else {},
        paper="a4" if firm.paper_size == Firm.PaperSize.A4 else "letter",
        accent=firm.accent,
    )


def _chosen(paper: Paper, figures: Mapping[str, Any]) -> list[tuple[str, str]]:
    """What was chosen of a proposal; of a change, what it is, the sums of the contract, and how it is paid."""
    if paper.kind != Paper.Kind.CHANGE:
        extras = ", ".join(figures["add_ons"]) or "none"
        return [("Option, extras", f"option {figures['option']}; extras {extras}")]
    facts = json.loads(paper.facts)
    told = [("Change", facts["title"]), ("To contract", facts["contract"])]
    told += [(row["words"], row["amount"]) for row in facts["sums"][-3:]]
    if facts.get("paid_words"):
        told.append(("How it is paid", facts["paid_words"]))
    return told


def _sum(text: str, currency: str) -> str:
    return sum_text(parse_number(text), currency)
