"""Photographs are frozen with the paper, small in the PDF, and verify knows each of them."""

import json
from decimal import Decimal

import pytest

from quoting.documents.freeze import canonical_json, sha256_of
from quoting.documents.photo_files import drop_files
from quoting.models import Paper, PaperImage, Photo, User
from quoting.services.demo_photos import KINDS, demo_photo
from quoting.services.issue import NotReady, issue_proposal, print_facts
from quoting.services.photos import add_photo
from quoting.services.proposals import revise
from quoting.services.samples import add_sample, keep_tone
from quoting.services.verify import Counted, verify_all
from tests.factories import OwnerFactory
from tests.frozen_rows import triggers_lifted
from tests.reading_pdf import bookmarks_of, pages_of, text_of, ua_faults
from tests.sample_offer import ready_draft

pytestmark = pytest.mark.django_db


@pytest.fixture
def ines() -> User:
    return OwnerFactory()


@pytest.fixture
def draft(ines):
    """A draft whose folder has four photographs, one of them the cover and of a sample."""
    draft = ready_draft(ines)
    deck = draft.job.areas.get(name="Pool deck")
    for kind in KINDS:
        taken = add_photo(job=draft.job, by=ines, content=demo_photo(kind), area=deck, note=f"The deck, {kind}.")
    keep_tone(
        job=draft.job, role="Base, in the recesses", colour="graphite", material=None, strength=Decimal(5), note=""
    )
    add_sample(job=draft.job, by=ines, area=deck, photo=taken.photo)
    Photo.objects.filter(pk=taken.photo.pk).update(is_cover=True)
    return draft


@pytest.fixture
def paper(draft, ines) -> Paper:
    return issue_proposal(proposal=draft, version=draft.version, by=ines)


def faults() -> list[str]:
    return list(verify_all(Counted()))


def test_a_paper_with_four_photographs_stays_under_a_megabyte(paper):
    pdf = bytes(paper.pdf)
    assert len(pdf) < 1_000_000
    assert len(pages_of(pdf)) == paper.pages
    assert ua_faults(pdf) == []


def test_what_we_saw_and_the_colours_are_read_back(paper):
    pdf = bytes(paper.pdf)
    text = text_of(pdf).replace("\n", " ")
    heads = [words for level, words in bookmarks_of(pdf) if level == 1]
    assert heads[:4] == ["In short", "What we saw", "Your wish, and the colours", "Two ways to do it"]
    assert "graphite 5 oz (142 g) a gallon of water" in text
    assert [f"The deck, {kind}." in text for kind in KINDS[:3]] == [True] * 3
    assert "The sample on A, Pool deck" in text


def test_its_photographs_are_kept_by_their_hashes_and_print_it_again(paper):
    images = {image.sha256: bytes(image.content) for image in PaperImage.objects.all()}
    assert len(images) == 5
    assert all(sha256_of(content) == sha256 for sha256, content in images.items())
    drop_files(Photo.objects.values_list("name", flat=True))
    assert sha256_of(print_facts(json.loads(paper.facts), paper.issued_at, images)) == paper.pdf_sha256


def test_a_revision_keeps_no_photograph_twice(paper, ines):
    again = revise(proposal=paper.proposal, by=ines)
    issue_proposal(proposal=again, version=again.version, by=ines)
    assert PaperImage.objects.count() == 5
    assert faults() == []


def test_a_photograph_without_its_file_stops_the_issue(draft, ines):
    drop_files(Photo.objects.values_list("name", flat=True)[:1])
    with pytest.raises(NotReady, match="is missing or damaged"):
        issue_proposal(proposal=draft, version=draft.version, by=ines)
    assert Paper.objects.count() == 0


def test_a_changed_photograph_is_named(paper):
    image = PaperImage.objects.first()
    with triggers_lifted():
        PaperImage.objects.filter(pk=image.pk).update(content=b"\xff\xd8\xff another \xff\xd9")
    assert faults() == [f"photograph {image.sha256[:12]} …: its bytes do not have the SHA-256 that was kept"]


def test_a_photograph_that_is_gone_is_named(paper):
    image = PaperImage.objects.first()
    with triggers_lifted():
        image.delete()
    assert faults() == [f"0417-A: photographs: {image.sha256[:12]} … is missing"]


def test_payments_that_are_not_those_of_the_terms_are_named(paper):
    facts = json.loads(paper.facts)
    facts["payment_terms"][0]["share"] = "0.3"
    with triggers_lifted():
        Paper.objects.update(facts=canonical_json(facts), facts_sha256=sha256_of(canonical_json(facts)))
    assert "0417-A: facts: the payments of Wash and reseal are not those of its terms" in faults()
