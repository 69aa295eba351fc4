"""Verify proves an answer, and fails when any field of it is dropped or changed."""

import pytest
from django.utils import timezone

from quoting.models import Acceptance, Answer, Event, PrivateLink
from quoting.services import acceptance as acts
from quoting.services.verify_answers import answer_faults
from tests.frozen_rows import triggers_lifted
from tests.sample_answer import accept, issued_paper, link_to

pytestmark = pytest.mark.django_db(transaction=True)

CHANGES = {
    "pdf_sha256": "0" * 64,
    "option": 1,
    "add_ons": [],
    "total": "1.00",
    "deposit": "1.00",
    "figures": "{}",
    "consent_text": "",
    "consent_sha256": "0" * 64,
    "intent_text": "",
    "intent_sha256": "0" * 64,
    "typed_name": "Tom Wexley",
    "signature": b"another",
    "sent_at": timezone.now(),
    "opened_at": None,
    "reviewed_at": timezone.now(),
    "confirmed_at": timezone.now(),
    "cancel_until": timezone.now(),
    "address": None,
    "user_agent": "another",
    "message_ids": [],
    "salt": "",
    "seal": "0" * 64,
}


@pytest.fixture
def link() -> PrivateLink:
    return link_to(issued_paper())


def test_an_untouched_answer_has_no_faults(link):
    accept(link)
    assert list(answer_faults()) == []


def test_any_changed_field_is_found(link):
    got = accept(link)
    columns = {field.name for field in got._meta.concrete_fields} - {
        "id",
        "paper",
        "total_currency",
        "deposit_currency",
    }
    assert columns == set(CHANGES)
    kept = Acceptance.objects.filter(pk=got.pk).values(*CHANGES).get()
    for name, value in CHANGES.items():
        with triggers_lifted():
            Acceptance.objects.filter(pk=got.pk).update(**{name: value})
        found = list(answer_faults())
        with triggers_lifted():
            Acceptance.objects.filter(pk=got.pk).update(**{name: kept[name]})
        assert any(fault.startswith("0417-A: acceptance") for fault in found), name
    assert list(answer_faults()) == []


def test_a_dropped_answer_is_missed(link):
    got = accept(link)
    with triggers_lifted():
        Acceptance.objects.filter(pk=got.pk).delete()
    assert list(answer_faults()) == ["0417-A: proposal accepted: the answer that the trail tells of is missing"]


def test_a_seal_made_anew_is_not_what_the_trail_was_told(link):
    got = accept(link)
    got.typed_name = "Tom Wexley"
    with triggers_lifted():
        Acceptance.objects.filter(pk=got.pk).update(typed_name=got.typed_name, seal=acts.seal_of(got))
    assert "0417-A: acceptance: seal: is not what the trail was told" in list(answer_faults())


def test_a_changed_no_is_found(link):
    answer = acts.decline_offer(link=link, reason="price", words="")
    assert list(answer_faults()) == []
    with triggers_lifted():
        Answer.objects.filter(pk=answer.pk).update(reason="later")
    assert list(answer_faults()) == [
        "0417-A: declined: is not what the trail was told",
        "0417-A: proposal declined: the answer that the trail tells of is missing",
    ]


def test_the_trail_holds_no_name(link):
    accept(link)
    assert not Event.objects.filter(data__contains="Wexley").exists()
