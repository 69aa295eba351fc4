"""A folder that was measured and priced, to issue proposals from: the pool deck, the steps and the front walk."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from quoting.documents.measured import measure_area, measures_hash, net_shown
from quoting.models import Area, Edition, Firm, Job, Option, OptionStep, PaymentTerm, Proposal, TaxRule, User
from quoting.services.options import add_option
from quoting.services.proposals import draft_proposal
from quoting.services.starter_edition import create_starter_edition
from quoting.services.starting_words import STARTING_WORDS
from tests.factories import AreaFactory, FirmFactory, JobFactory, OwnerFactory, PartFactory

EDGE = ["0 ft", "2' 1\"", "3' 5\"", "4' 2\"", "4' 5\"", "4' 2\"", "3' 5\"", "2' 1\"", "0 ft"]
SHAPES = {
    "Pool deck": [
        ("part", {"shape": "rectangle", "length": "32 ft", "width": "14' 6\""}, ""),
        ("part", {"shape": "offsets", "spacing": "4 ft", "offsets": EDGE}, "garden side"),
        ("deduct", {"shape": "circle", "diameter": "6 ft"}, "planter"),
    ],
    "Steps": [("part", {"shape": "steps", "count": 3, "width": "5 ft", "tread": "12 in", "riser": "7 in"}, "")],
    "Front walk": [("part", {"shape": "rectangle", "length": "24' 3\"", "width": "4' 2\""}, "")],
}
SURFACES = {"Pool deck": "stamped", "Steps": "steps", "Front walk": "concrete-pavers"}


def the_firm(**more: object) -> Firm:
    """The demo's firm with its terms, a tax on the materials' share and the starting words."""
    facts = STARTING_WORDS | {
        "tagline": "Colour and sealer on stamped concrete and pavers, restored",
        "street": "3 Kiln Lane",
        "town": "Larkmere",
        "phone": "555-0142",
        "email": "office@ferrow.example.com",
        "licence": "Licence 00-4417",
        "insurance": "insured, certificate on request",
        "minimum": Decimal("650.00"),
        "round_to": Decimal("5.00"),
    }
    firm = FirmFactory(**(facts | more))
    TaxRule.objects.create(firm=firm, name="Sales tax", rate=Decimal("0.0625"), on="materials")
    terms = [
        ("Deposit", "on acceptance", "0.25"),
        ("Progress", "when the colour is on", "0.5"),
        ("Rest", "at hand-over", "0.25"),
    ]
    for position, (name, trigger, share) in enumerate(terms):
        PaymentTerm.objects.create(firm=firm, position=position, name=name, trigger=trigger, share=Decimal(share))
    return firm


def published_edition(name: str = "2026-1") -> Edition:
    """The starter edition, published; its rates are taken as those of deep texture and of steps, with no factor."""
    edition = create_starter_edition(name=name)
    edition.tasks.update(textured=1, awkward=1)
    Edition.objects.filter(pk=edition.pk).update(state=Edition.State.PUBLISHED)
    return Edition.objects.get(pk=edition.pk)


def measured_job(names: list[str] | None = None, *, agreed: bool = True, **more: object) -> Job:
    """A folder with these areas measured and, unless said otherwise, agreed with the customer."""
    job = JobFactory(**({"number": "0417"} | more))
    for position, name in enumerate(names or list(SHAPES)):
        area = AreaFactory(job=job, name=name, position=position, surface=SURFACES.get(name, "stamped"))
        if area.surface == "stamped":
            Area.objects.filter(pk=area.pk).update(texture=Decimal("1.12"))
            area.refresh_from_db()
        shapes = SHAPES.get(name, SHAPES["Front walk"])
        for place, (kind, measures, part_name) in enumerate(shapes):
            side = "above" if measures["shape"] == "offsets" else "right"
            PartFactory(area=area, position=place, kind=kind, measures=measures, name=part_name, place=side)
        if agreed:
            agree(area)
    return job


def agree(area: Area) -> None:
    """The customer agreed to what is measured now."""
    figures = measure_area(area).figures
    assert figures is not None
    area.agreed_on, area.agreed_with = date(2026, 6, 1), "Mrs Wexley"
    area.agreed_net, area.agreed_measures = net_shown(figures.net, "us"), measures_hash(area.parts.all())
    area.save()


def offer_option(
    job: Job, by: User, system: str, areas: list[str], *, with_option: Option | None = None, **more: object
) -> Option:
    """An option, or an add-on to one, of this system of the published edition on these areas."""
    edition = with_option.edition if with_option else Edition.objects.get(state="published")
    option = add_option(
        job=job,
        by=by,
        system=edition.systems.get(key=system),
        areas=list(job.areas.filter(name__in=areas)),
        with_option=with_option,
        name=str(more.pop("name", "")),
    )
    OptionStep.objects.filter(group__option=option, step__measure="length").update(length="18 ft")
    OptionStep.objects.filter(group__option=option, step__measure="count").update(count=3)
    # The curved side leaves the deck's edge unknown: as measured with the wheel.
    OptionStep.objects.filter(group__option=option, step__measure="edge").update(length="112 ft")
    if more:
        Option.objects.filter(pk=option.pk).update(**more)
    return Option.objects.get(pk=option.pk)


def ready_draft(by: User | None = None) -> Proposal:
    """A draft of two options and two extras, with nothing missing: the demo's job. By the edition that is published
    already, if one is."""
    by = by or OwnerFactory()
    the_firm()
    if not Edition.objects.filter(state=Edition.State.PUBLISHED).exists():
        published_edition()
    job = measured_job()
    offer_option(job, by, "wash-and-reseal", ["Pool deck", "Steps"])
    full = offer_option(job, by, "recolour-and-seal", ["Pool deck", "Steps"], advised=True)
    offer_option(job, by, "grit-last-coat", ["Pool deck", "Steps"], with_option=full)
    offer_option(job, by, "clean-sand-seal", ["Front walk"], with_option=full, name="Front walk")
    draft = draft_proposal(job=job, by=by)
    Proposal.objects.filter(pk=draft.pk).update(
        in_short="Your deck looked like stone and can again. The sealer on it still holds, so it need not come off: we "
        "wash, bring back a dark tone in the recesses and a lighter one on the faces, and seal twice."
    )
    return Proposal.objects.get(pk=draft.pk)
