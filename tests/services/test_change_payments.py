"""With which payment a change is due, from draft to schedule; and that its papers and mails speak of the change."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest

from quoting.documents.consent import consent_text
from quoting.documents.evidence import evidence_facts, evidence_pdf
from quoting.models import Firm, Job, Message
from quoting.services.billing import billing_of
from quoting.services.questions import answer_question, ask_question
from tests.reading_pdf import text_of
from tests.sample_answer import link_to
from tests.sample_change import agreed_job, drafted, ines, issued, with_walk, yes

pytestmark = pytest.mark.django_db
D = Decimal
WALK = D("343.23")
"""The walk cleaned, sanded and sealed: 335.00 and its tax, as tests/services/test_change_orders.py reckons it."""


@pytest.fixture
def job() -> Job:
    return agreed_job()


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ("last", "It is paid with the last payment, “{last}”, due {when}."),
        ("next", "It is paid with the next payment, “{second}”, due {then}."),
        ("spread", "It is paid with the payments from “{second}” on, in proportion."),
        ("own", "It is paid by itself, when this change is done."),
    ],
)
def test_the_paper_says_it_and_the_schedule_follows_it(job, how, words):
    before = billing_of(job).parts
    paper = issued(with_walk(drafted(job, paid_with=how)))
    facts = json.loads(paper.facts)
    last, second = before[-1], before[1]
    told = words.format(last=last.name, when=last.trigger, second=second.name, then=second.trigger)
    assert (facts["paid_with"], facts["paid_words"]) == (how, told)
    assert " ".join(told.split()) in " ".join(text_of(bytes(paper.pdf)).split())
    yes(paper)
    billing = billing_of(job)
    grown = {part.name: part.amount - part.agreed for part in billing.parts if part.amount != part.agreed}
    wanted = {"last": {last.name: WALK}, "next": {second.name: WALK}, "own": {"The front walk too": WALK}}
    assert grown == wanted[how] if how in wanted else sum(grown.values()) == WALK and before[0].name not in grown
    assert [part["after"] for part in facts["payments"]] == [f"{part.amount:,}" for part in billing.parts]
    assert sum(part.amount for part in billing.parts) == billing.contract.now.total


def test_what_the_homeowner_agrees_to_speaks_of_the_change(job):
    facts = json.loads(issued(with_walk(drafted(job))).facts)
    text = consent_text(facts)
    assert ("this change order, its acceptance" in text, "sign change orders" in text, "proposal" in text) == (
        True, True, False,
    )  # fmt: skip
    assert "this proposal, its acceptance" in consent_text(facts | {"kind": "proposal"})


def test_the_mails_about_a_change_speak_of_the_change(job):
    paper = issued(with_walk(drafted(job)))
    question = ask_question(link=link_to(paper), asked="And the step?")
    answer_question(question=question, answer="It is done too.", by=ines())
    yes(paper)
    mails = Message.objects.filter(paper=paper)
    assert {"acceptance", "answer", "notice"} <= set(mails.values_list("kind", flat=True))
    assert [mail.subject for mail in mails if "proposal" in f"{mail.subject} {mail.text}".lower()] == []
    copy = mails.get(kind="acceptance")
    assert ("You accepted change order 0417-C1" in copy.text, "The contract sum is then 2,383.67" in copy.text) == (
        True, True,
    )  # fmt: skip


def test_the_evidence_of_a_change_tells_the_change_and_not_an_option(job):
    acceptance = yes(issued(with_walk(drafted(job))))
    facts = evidence_facts(acceptance, Firm.objects.get())
    kept = {each["what"]: each["is"] for each in facts["kept"]}
    assert (facts["what"], kept["Change"], kept["Contract sum after it"], "Option, extras" in kept) == (
        "Change order", "The front walk too", "2,383.67", False,
    )  # fmt: skip
    text = text_of(evidence_pdf(acceptance, Firm.objects.get()))
    assert ("Change order" in text, "roposal" in text) == (True, False)
