"""One factory for each model; nothing happens behind the scenes. Other rooms append theirs under their noun."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import factory
from factory.django import DjangoModelFactory

from customers.models import Customer, PeopleList, Property
from quoting.models import (
    Area,
    BookEntry,
    Firm,
    Invoice,
    Job,
    Message,
    Option,
    OptionCharge,
    OptionGroup,
    OptionStep,
    OptionUse,
    Paper,
    Part,
    Payment,
    Proposal,
    Question,
    Role,
    Series,
    User,
)
from tests.book_factories import (
    ChargeFactory,
    CoverageFactory,
    EditionFactory,
    LabourTaskFactory,
    MaterialFactory,
    PackFactory,
    PriceListFactory,
    RestorationSystemFactory,
    StepMaterialFactory,
    SystemStepFactory,
    UnitPriceFactory,
)

__all__ = [
    "ChargeFactory",
    "CoverageFactory",
    "EditionFactory",
    "LabourTaskFactory",
    "MaterialFactory",
    "PackFactory",
    "PriceListFactory",
    "RestorationSystemFactory",
    "StepMaterialFactory",
    "SystemStepFactory",
    "UnitPriceFactory",
]  # the price book's factories are asked for here too


# accounts


class UserFactory(DjangoModelFactory):
    """Someone of the office, with the password `a long enough password`."""

    class Meta:
        model = User
        skip_postgeneration_save = True

    email = factory.Sequence(lambda n: f"person{n}@example.com")
    name = factory.Sequence(lambda n: f"Person {n}")
    role = Role.OFFICE
    password = factory.django.Password("a long enough password")


class OwnerFactory(UserFactory):
    name = "Ines Ferrow"
    role = Role.OWNER


class CrewFactory(UserFactory):
    name = "Mateo Ruiz"
    role = Role.CREW


# firm


class FirmFactory(DjangoModelFactory):
    """The one firm, in feet and dollars."""

    class Meta:
        model = Firm
        django_get_or_create = ("id",)

    id = 1
    name = "Ferrow & Daughter"
    street = "2 Kiln Lane"
    town = "Larkmere"
    hourly_cost = Decimal("39.00")


# customers


class CustomerFactory(DjangoModelFactory):
    class Meta:
        model = Customer

    name = "Priya and Tom Wexley"
    email = "priya.wexley@example.com"
    phone = "555-0142"


class PeopleListFactory(DjangoModelFactory):
    """A file of one person that waits to be taken over."""

    class Meta:
        model = PeopleList

    name = "contacts.csv"
    sha256 = factory.Sequence(lambda number: f"{number:064x}")
    content = b"name\nTom Lusk\n"
    columns = factory.LazyFunction(lambda: ["name"])
    kept_at = datetime(2026, 6, 1, 17, 0, tzinfo=UTC)


class PropertyFactory(DjangoModelFactory):
    class Meta:
        model = Property

    customer = factory.SubFactory(CustomerFactory)
    street = "18 Alder Row"
    town = "Larkmere"


# jobs


class SeriesFactory(DjangoModelFactory):
    class Meta:
        model = Series

    name = "folder"


class JobFactory(DjangoModelFactory):
    """A folder in which nothing has been measured."""

    class Meta:
        model = Job

    number = factory.Sequence(lambda n: f"{n + 1:04d}")
    property = factory.SubFactory(PropertyFactory)
    opened_by = factory.SubFactory(UserFactory)


class AreaFactory(DjangoModelFactory):
    """An area without parts; the first one of its folder unless a position is given."""

    class Meta:
        model = Area

    job = factory.SubFactory(JobFactory)
    name = factory.Sequence(lambda n: f"Deck {n}")
    surface = "stamped"


class AgreedAreaFactory(AreaFactory):
    """Agreed with the customer, on measures that are not its own."""

    agreed_on = date(2026, 6, 1)
    agreed_with = "Mrs Wexley"
    agreed_net = "464.00 ft²"
    agreed_measures = "0" * 64


class PartFactory(DjangoModelFactory):
    """A rectangle of 32 ft by 14 ft 6 in: 464 ft²."""

    class Meta:
        model = Part

    area = factory.SubFactory(AreaFactory)
    measures = factory.LazyFunction(lambda: {"shape": "rectangle", "length": "32 ft", "width": "14' 6\""})


class DeductFactory(PartFactory):
    """A round planter of 6 ft, to be taken out: 9π = 28.27 ft²."""

    kind = Part.Kind.DEDUCT
    name = "planter"
    measures = factory.LazyFunction(lambda: {"shape": "circle", "diameter": "6 ft"})


# desk: offers as they stand


class PaperFactory(DjangoModelFactory):
    """The first proposal of its folder, issued on 1 June 2026 and valid until the end of the month."""

    class Meta:
        model = Paper

    kind = Paper.Kind.PROPOSAL
    job = factory.SubFactory(JobFactory)
    revision = 1
    number = factory.LazyAttribute(lambda paper: f"{paper.job.number}-{chr(64 + paper.revision)}")
    issued_at = datetime(2026, 6, 1, 16, 0, tzinfo=UTC)
    issued_by = factory.LazyAttribute(lambda paper: paper.job.opened_by)
    valid_until = date(2026, 6, 30)
    facts = "{}"
    facts_sha256 = "0" * 64
    pdf = b"%PDF"
    pdf_sha256 = "0" * 64
    pages = 1


class ProposalFactory(DjangoModelFactory):
    """An offer that is being drafted."""

    class Meta:
        model = Proposal

    job = factory.SubFactory(JobFactory)


class IssuedProposalFactory(ProposalFactory):
    """An offer that the homeowner holds."""

    state = Proposal.State.ISSUED
    paper = factory.SubFactory(PaperFactory, job=factory.SelfAttribute("..job"))


# options


class OptionFactory(DjangoModelFactory):
    """An option without a system."""

    class Meta:
        model = Option

    job = factory.SubFactory(JobFactory)
    edition = factory.SubFactory(EditionFactory)
    name = factory.Sequence(lambda n: f"Option {n}")


class AddOnFactory(OptionFactory):
    """An extra to an option of the same folder and edition."""

    kind = Option.Kind.ADD_ON
    with_option = factory.SubFactory(OptionFactory)
    job = factory.SelfAttribute("with_option.job")
    edition = factory.SelfAttribute("with_option.edition")


class OptionGroupFactory(DjangoModelFactory):
    """A system of the option's edition, on no area and without steps unless they are given."""

    class Meta:
        model = OptionGroup
        skip_postgeneration_save = True

    option = factory.SubFactory(OptionFactory)
    system = factory.SubFactory(RestorationSystemFactory, edition=factory.SelfAttribute("..option.edition"))

    @factory.post_generation
    def areas(self, create: bool, given: list[Area] | None, **kwargs: object) -> None:
        self.areas.set(given or [])  # type: ignore[attr-defined]


class OptionStepFactory(DjangoModelFactory):
    """A step that is on, all by the book."""

    class Meta:
        model = OptionStep

    group = factory.SubFactory(OptionGroupFactory)
    step = factory.SubFactory(SystemStepFactory, system=factory.SelfAttribute("..group.system"))


class OptionUseFactory(DjangoModelFactory):
    """A use in which nothing differs from the book."""

    class Meta:
        model = OptionUse

    option_step = factory.SubFactory(OptionStepFactory)
    step_material = factory.SubFactory(StepMaterialFactory, step=factory.SelfAttribute("..option_step.step"))


class OptionChargeFactory(DjangoModelFactory):
    """A charge of its own: 95.00 for the job."""

    class Meta:
        model = OptionCharge

    option = factory.SubFactory(OptionFactory)
    name = "Saw hire"
    amount = Decimal("95.00")


# outbox


class MessageFactory(DjangoModelFactory):
    """A proposal's mail that waits and is due, written on 1 June 2026."""

    class Meta:
        model = Message

    paper = factory.SubFactory(PaperFactory)
    job = factory.SelfAttribute("paper.job")
    kind = Message.Kind.PROPOSAL
    to = "priya.wexley@example.com"
    subject = "Proposal"
    text = "Dear Priya and Tom Wexley"
    message_id = factory.Sequence(lambda n: f"<mail-{n}@example.com>")
    written_at = datetime(2026, 6, 1, 17, 0, tzinfo=UTC)
    due_at = factory.SelfAttribute("written_at")


class QuestionFactory(DjangoModelFactory):
    """Asked on 1 June 2026 and not answered."""

    class Meta:
        model = Question

    paper = factory.SubFactory(PaperFactory)
    job = factory.SelfAttribute("paper.job")
    asked = "Is the brown darker when it is wet?"
    asked_at = datetime(2026, 6, 1, 18, 0, tzinfo=UTC)


# money


class InvoiceFactory(DjangoModelFactory):
    """A draft of a progress bill over 100.00."""

    class Meta:
        model = Invoice

    job = factory.SubFactory(JobFactory)
    kind = Invoice.Kind.PROGRESS
    amount = Decimal("100.00")
    drafted_by = factory.LazyAttribute(lambda invoice: invoice.job.opened_by)


class PaymentFactory(DjangoModelFactory):
    """A check over 100.00 that came in on 12 June 2026; the books know nothing of it."""

    class Meta:
        model = Payment

    job = factory.SubFactory(JobFactory)
    on = date(2026, 6, 12)
    method = Payment.Method.CHECK
    amount = 10_000
    currency = "USD"
    entered_by = factory.LazyAttribute(lambda payment: payment.job.opened_by)
    entered_at = datetime(2026, 6, 12, 16, 0, tzinfo=UTC)
    once = factory.Sequence(lambda n: f"{n:032x}")


class BookEntryFactory(DjangoModelFactory):
    """An entry that says that 100.00 was agreed; no event of the trail tells of it."""

    class Meta:
        model = BookEntry

    position = factory.Sequence(lambda n: n + 1)
    kind = "agreed"
    amount = 10_000
    currency = "USD"
    on = date(2026, 6, 12)
    at = datetime(2026, 6, 12, 16, 0, tzinfo=UTC)
    job = factory.SubFactory(JobFactory)
