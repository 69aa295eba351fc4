"""The end of a job: the draft, the sheet with what it keeps of the slab, the sign-off."""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal

import pytest
from django.utils import timezone

from quoting.core.recall import Exposure, Seal
from quoting.core.scope_file import read_scope
from quoting.core.work_out import work_out
from quoting.core.workings import Workings
from quoting.documents.proposal_found import photos_of
from quoting.documents.slab_record import on_slab, reading_words
from quoting.models import ChangedMeanwhile, Entry, Event, HandOver, Message, Paper, PaperImage, Series, SlabRecord
from quoting.services import hand_over as acts
from quoting.services.agreed_work import NothingAgreed
from quoting.services.customers import erase_customer, export_customer
from quoting.services.links import make_link
from quoting.services.photos import add_photo
from quoting.services.recall_rules import keep_lives
from quoting.services.verify import Counted, verify_all
from tests.factories import JobFactory, OwnerFactory
from tests.frozen_rows import triggers_lifted
from tests.reading_pdf import text_of
from tests.sample_contract import accepted_job, sealed_areas
from tests.views.test_photos import jpeg

pytestmark = pytest.mark.django_db

DONE = date(2026, 6, 10)


def drafted(**more: object) -> HandOver:
    """A draft of the agreed deck and walk, the last coat on 10 June 2026."""
    job = accepted_job(**more)
    row = acts.begin_hand_over(job=job, by=job.opened_by)
    HandOver.objects.filter(pk=row.pk).update(finished_on=DONE)
    return HandOver.objects.get(pk=row.pk)


def issued(row: HandOver) -> Paper:
    return acts.issue_hand_over(row=row, version=row.version, by=row.begun_by)


def used(**data: str | int) -> Entry:
    return Entry(kind=Entry.Kind.USED, data=data, made_at=timezone.now())


def test_nothing_is_handed_over_where_nothing_is_agreed():
    with pytest.raises(NothingAgreed):
        acts.begin_hand_over(job=JobFactory(), by=OwnerFactory())


def test_the_draft_names_every_area_that_gets_something():
    row = drafted()
    assert [(each["area"], each["seal"], each["coats_before"]) for each in row.slabs] == [
        ("Pool deck", "acrylic", None), ("Front walk", "paver", None),
    ]  # fmt: skip


def test_beginning_twice_is_one_draft():
    row = drafted()
    assert acts.begin_hand_over(job=row.job, by=row.begun_by).pk == row.pk


def test_a_kept_draft_goes_on_the_sheet():
    row = drafted()
    acts.keep_hand_over(row=row, version=1, walked=["dry"], note="Touch up the planter.", park_hours=96)
    row.refresh_from_db()
    facts = json.loads(issued(row).facts)
    assert facts["note"] == ["Touch up the planter."]
    assert [point["seen"] for point in facts["points"]] == ["yes", *[""] * 9]
    # 24 h after 10 June is the 11th, 72 h the 13th, 96 h the 14th, a week the 17th.
    assert [(each["day"], each["words"].split(",")[0]) for each in facts["when"]] == [
        ("Thursday 11\u00a0June", "Walk on it"),
        ("Saturday 13\u00a0June", "Put furniture back"),
        ("Sunday 14\u00a0June", "Park on it"),
        ("Wednesday 17\u00a0June", "Mats"),
    ]  # fmt: skip


def test_two_hands_on_a_draft():
    row = drafted()
    acts.keep_hand_over(row=row, version=1, note="first")
    with pytest.raises(ChangedMeanwhile):
        acts.keep_hand_over(row=row, version=1, note="second")
    with pytest.raises(ChangedMeanwhile):
        acts.issue_hand_over(row=row, version=1, by=row.begun_by)
    assert not Paper.objects.filter(kind="hand-over").exists()


def test_the_sheet_is_numbered_frozen_and_found_whole():
    row = drafted()
    paper = issued(row)
    assert (paper.number, paper.kind, paper.revision) == ("H-0001", "hand-over", 1)
    assert Event.objects.filter(kind="hand-over issued", paper=paper).count() == 1
    assert not [fault for fault in verify_all(Counted()) if "H-0001" in fault or fault.startswith("hand-over")]


def test_a_missing_sheet_is_told_by_verify():
    issued(drafted())
    Series.objects.filter(name="hand-over").update(last=2)
    assert "hand-over 2: is missing: 2 were counted" in list(verify_all(Counted()))


def test_a_sheet_is_issued_once():
    row = drafted()
    paper = issued(row)
    with pytest.raises(acts.SheetOut) as out:
        issued(row)
    assert out.value.paper.pk == paper.pk
    with pytest.raises(acts.SheetOut):
        acts.keep_hand_over(row=row, version=2, note="too late")


def test_no_money_stands_on_the_sheet():
    paper = issued(drafted())
    assert not [word for word in ("USD", "975", "price", "deposit") if word in paper.facts]


def test_what_is_on_each_area_is_kept_with_the_property():
    row = drafted(data=sealed_areas())
    slabs = [dict(row.slabs[0], exposures=["pool"], coats_before=2), row.slabs[1]]
    HandOver.objects.filter(pk=row.pk).update(slabs=slabs)
    issued(row)
    deck, walk = SlabRecord.objects.filter(property=row.job.property_id).order_by("id")
    # Acrylic at a pool: every season, 12 months after June 2026. Common practice, no published source.
    assert (deck.area, deck.system, deck.due_first, deck.due_last) == (
        "Pool deck", "Recolour", date(2027, 6, 1), date(2027, 6, 1)
    )  # fmt: skip
    assert deck.recipe == [
        "Base tone powder, slate: 6 oz/gal of water, 150 ft²/gal", "Sealer: 250 ft²/gal, then 300 ft²/gal"
    ]  # fmt: skip
    assert (deck.coats, deck.coats_now, deck.film) == (2, 4, "2.9\u00a0mil dry, as planned")
    # Paver sealer: 24 to 36 months. Common practice, no published source.
    assert (walk.area, walk.due_first, walk.due_last) == ("Front walk", date(2028, 6, 1), date(2029, 6, 1))
    assert walk.coats_now is None


def test_what_is_only_coloured_is_not_called_for_sealing_again():
    row = drafted()
    facts = json.loads(issued(row).facts)
    assert [(each["again"], each["coats"]) for each in facts["slabs"]] == [
        ("", "no new one, earlier ones not known"), ("", "no new one, earlier ones not known"),
    ]  # fmt: skip
    assert set(SlabRecord.objects.values_list("due_first", "coats")) == {(None, 0)}


def test_the_next_job_there_begins_with_what_we_left():
    row = drafted()
    slabs = [dict(row.slabs[0], seal="imprinted", exposures=["pool"], coats_before=2), row.slabs[1]]
    HandOver.objects.filter(pk=row.pk).update(slabs=slabs)
    issued(row)
    owner = row.begun_by
    again = accepted_job(number="0418", by=owner, property=row.job.property)
    told = acts.begin_hand_over(job=again, by=owner).slabs[0]
    assert told == {"area": "Pool deck", "seal": "imprinted", "exposures": ["pool"], "coats_before": 2}


def test_only_the_last_record_of_an_area_stands():
    row = drafted()
    issued(row)
    old = SlabRecord.objects.get(area="Pool deck")
    later = JobFactory(property=row.job.property)
    new = SlabRecord.objects.get(pk=old.pk)
    new.pk, new.job = None, later
    new.save(force_insert=True)
    assert set(SlabRecord.objects.standing().filter(area="Pool deck")) == {new}


def test_a_sheet_is_signed_once():
    row = drafted()
    paper = issued(row)
    link, _address = make_link(paper, row.begun_by)
    acts.sign_by_link(link=link, name="Priya Wexley")
    row.refresh_from_db()
    assert (row.signed_name, row.signed_how, row.signed_on) == ("Priya Wexley", "page", timezone.localdate())
    with pytest.raises(acts.SignedAlready):
        acts.sign_hand_over(row=row, name="Somebody", on=DONE, how="sheet", by=row.begun_by)
    told = Event.objects.get(kind="hand-over signed")
    assert "Wexley" not in told.data
    assert told.paper_id == paper.pk


def test_the_mail_brings_the_sheet_and_the_link_once():
    row = drafted()
    paper = issued(row)
    subject, words = acts.draft_hand_over_mail(paper=paper, facts=json.loads(paper.facts), by=row.begun_by)
    assert "H-0001" in words
    assert "{link}" in words
    for _again in range(2):
        acts.send_hand_over(
            paper=paper, to="priya@example.com", subject=subject, words=words, by=row.begun_by, once="0" * 32
        )
    mail = Message.objects.get(kind="hand-over")
    assert (mail.attach_paper, mail.with_link) == (True, True)


def test_an_erased_person_leaves_no_free_words_and_an_export_tells_all():
    row = drafted()
    acts.keep_hand_over(row=row, version=1, note="Her dog is called Bo.")
    row.refresh_from_db()
    issued(row)
    customer = row.job.property.customer
    told = export_customer(customer)["properties"][0]["folders"][0]["handed_over"]
    assert told["note"] == "Her dog is called Bo."
    assert [each["area"] for each in told["slab"]] == ["Pool deck", "Front walk"]
    erase_customer(by=row.begun_by, customer=customer, version=customer.version)
    assert HandOver.objects.get().note == ""


# what lies on the slab


@pytest.fixture
def sealed() -> Workings:
    return work_out(read_scope(json.dumps(sealed_areas())))


def test_the_film_is_planned_where_nothing_was_written_down(sealed):
    deck = on_slab(sealed, [])[0]
    # 1604.17 / 250 = 6.417 mil wet, 1604.17 / 300 = 5.347; a quarter of 11.764 stays: 2.9 mil.
    assert (deck.coats, deck.film) == (2, "2.9\u00a0mil dry, as planned")
    assert deck.recipe[1] == "Sealer: 250 ft²/gal, then 300 ft²/gal"


def test_the_lots_of_batches_stand_in_the_slabs_record(sealed):
    place = next(at for at, step in enumerate(sealed.steps) if any(use.batches for use in step.materials))
    powder = next(use for use in sealed.steps[place].materials if use.batches)
    told = {"place": place, "material": powder.material, "dimension": "MASS", "magnitude": "0.283", "called": "10 oz"}
    entries = [used(**told, batch=1, lot="K-4"), used(**told, batch=2, lot="K-5"), used(**told, batch=2, lot="K-6")]
    deck = on_slab(sealed, entries)[0]
    assert deck.lots == (f"{powder.name}, lot K-4", f"{powder.name}, lot K-6")


def test_the_film_is_reckoned_from_what_was_used(sealed):
    area = sealed.areas[0].effective
    # Half a millimetre over the true surface, put on in two coats: × 25 % = 0.125 mm = 4.92 mil.
    half = {"place": 1, "area": "Pool deck", "material": "sealer", "dimension": "VOLUME", "lot": "4471"}
    entries = [used(**half, magnitude=f"{area * Decimal('0.00025'):f}", coat=coat) for coat in (1, 2)]
    deck = on_slab(sealed, entries)[0]
    assert deck.film == "4.9\u00a0mil dry, reckoned from what was used"
    assert deck.lots == ("Sealer, lot 4471",)


def test_readings_are_told_with_their_verdict():
    data = {"units": "us", "air": "71", "slab": "68", "humidity": "50", "word": "go"}
    at = timezone.now().replace(year=2026, month=6, day=10, hour=16)
    assert reading_words([Entry(kind="reading", data=data, made_at=at)]) == [
        "10\u00a0June\u00a02026: air 71\u00a0°F, slab 68\u00a0°F, humidity 50\u00a0%: go"
    ]


def test_the_sheet_keeps_its_photographs_as_they_were_printed():
    row = drafted()
    for of, colour in (("before", "red"), ("after", "green")):
        add_photo(job=row.job, by=row.begun_by, content=jpeg(colour), of=of)
    paper = issued(row)
    shown = {photo["sha256"] for photo in photos_of(json.loads(paper.facts))}
    assert (len(shown), set(PaperImage.objects.values_list("sha256", flat=True))) == (2, shown)
    assert "The whole property" in text_of(bytes(paper.pdf))


def test_the_months_follow_the_firms_own_years_and_a_sheet_that_is_out_keeps_its_own():
    row = drafted(data=sealed_areas())
    years = {None: (Decimal(1), Decimal("1.5"), Decimal(2))} | dict.fromkeys(Exposure)
    keep_lives(by=row.begun_by, version=0, seal=Seal.ACRYLIC, years=years, source="")
    issued(row)
    found = SlabRecord.objects.get(job=row.job, area="Pool deck")
    # 12, 18 and 24 months after June 2026.
    wanted = [date(2027, 6, 1), date(2027, 12, 1), date(2028, 6, 1)]
    assert [found.due_first, found.due_likely, found.due_last] == wanted
    keep_lives(by=row.begun_by, version=1, seal=Seal.ACRYLIC, years={**years, None: (Decimal(9),) * 3}, source="")
    found.refresh_from_db()
    assert found.due_first == wanted[0]


def test_the_film_is_kept_as_a_figure_too():
    issued(drafted(data=sealed_areas()))
    row = SlabRecord.objects.get(area="Front walk")
    # 1604.17 mil·ft²/gal ÷ 250 and ÷ 300 at 25 % solids: 1.604 + 1.337 = 2.941 mil, 74.7 µm on a texture of 1.
    assert (row.film_depth * 1_000_000).quantize(Decimal("0.1")) == Decimal("74.7")
    assert (row.is_stripped, row.film) == (False, "2.9\u00a0mil dry, as planned")


def test_stripping_leaves_no_coat_from_before():
    data = sealed_areas()
    data["work"].insert(0, {"step": "Strip, two passes", "areas": ["Pool deck"], "labour": {"hours": "3 hours"}})
    row = drafted(data=data)
    assert {each["area"]: each["coats_before"] for each in row.slabs} == {"Pool deck": 0, "Front walk": None}
    issued(row)
    assert SlabRecord.objects.get(area="Pool deck").is_stripped


def test_a_photograph_of_a_sheet_that_is_gone_is_found():
    row = drafted()
    add_photo(job=row.job, by=row.begun_by, content=jpeg("green"), of="after")
    issued(row)
    assert [fault for fault in verify_all(Counted()) if fault.startswith("H-0001")] == []
    with triggers_lifted():
        PaperImage.objects.all().delete()
    (fault,) = [fault for fault in verify_all(Counted()) if fault.startswith("H-0001")]
    assert fault.startswith("H-0001: photographs: ")
