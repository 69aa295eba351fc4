"""Whether what a proposal shows and splits is still what it was: its photographs, and its payments by its own terms."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

from quoting.core.payments import TermsFault
from quoting.core.region_rules import RuleFault
from quoting.core.units import parse_number
from quoting.documents.contexts import sum_text
from quoting.documents.freeze import sha256_of
from quoting.documents.proposal_found import pictures_of
from quoting.documents.proposal_rules import payments_by
from quoting.models import Paper, PaperImage


def offer_faults(paper: Paper) -> Iterator[str]:
    """The faults of one proposal, each as a sentence; facts that can't be read are somebody else's fault to name."""
    yield from shown_faults(paper)
    try:
        facts = json.loads(paper.facts)
        pictures_of(facts)
    except (ValueError, KeyError, TypeError, AttributeError):
        return
    yield from _payment_faults(paper, facts)


def shown_faults(paper: Paper) -> Iterator[str]:
    """Each photograph that a proposal or a hand-over sheet shows and that is not kept any more."""
    try:
        shown = pictures_of(json.loads(paper.facts))
    except (ValueError, KeyError, TypeError, AttributeError):
        return
    have = set(PaperImage.objects.filter(sha256__in=shown).values_list("sha256", flat=True)) if shown else set()
    for sha256 in shown:
        if sha256 not in have:
            yield f"{paper.number}: photographs: {sha256[:12]} … is missing"


def picture_faults() -> Iterator[str]:
    """Each kept photograph whose bytes are not those that its hash names. One is in memory at a time."""
    for pk in PaperImage.objects.order_by("pk").values_list("pk", flat=True).iterator(chunk_size=500):
        image = PaperImage.objects.get(pk=pk)
        if sha256_of(bytes(image.content)) != image.sha256:
            yield f"photograph {image.sha256[:12]} …: its bytes do not have the SHA-256 that was kept"


def _payment_faults(paper: Paper, facts: Mapping[str, Any]) -> Iterator[str]:
    """The payments that stand on the paper against its total split again by the terms and rules that it keeps."""
    rows = facts.get("payment_rows")
    if not rows or "payment_terms" not in facts:
        return
    try:
        for column, option in enumerate(facts["options"]):
            total = parse_number(option["total"].replace(",", ""))
            again = [sum_text(each.amount, facts["currency"]) for each in payments_by(facts, total)]
            if again != [row["cells"][column] for row in rows]:
                yield f"{paper.number}: facts: the payments of {option['name']} are not those of its terms"
    except (KeyError, IndexError, TypeError, ValueError, TermsFault, RuleFault):
        yield f"{paper.number}: facts: its payments can't be reckoned again"
