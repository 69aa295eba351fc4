"""Rows and facts about rows; one file a noun."""

from quoting.models.acceptance import Acceptance, Answer, PrivateLink, Question
from quoting.models.accounts import Attempts, Role, User
from quoting.models.advice import AdviceChoice
from quoting.models.books import BookEntry
from quoting.models.certificates import Certificate, Exemption
from quoting.models.change_orders import AddedWork, ChangeOrder
from quoting.models.costs import CostSheet, ExtraCost, Observed
from quoting.models.findings import Finding
from quoting.models.firm import Firm, PaymentTerm, TaxRule
from quoting.models.gear import GearItem
from quoting.models.hand_over import HandOver, SlabRecord
from quoting.models.invoices import Invoice
from quoting.models.jobs import Area, Job, Part, Series
from quoting.models.locking import ChangedMeanwhile, Versioned, lock_row
from quoting.models.options import Option, OptionCharge, OptionGroup, OptionStep, OptionUse
from quoting.models.outbox import Message
from quoting.models.papers import Paper, PaperImage, PaperScope
from quoting.models.payments import Payment, Receipt
from quoting.models.photos import Photo
from quoting.models.pricebook import Coverage, Edition, Material, MissingCoverage, Pack, PriceList
from quoting.models.proposals import Allowance, LostReason, Proposal, ProposalOption, ProposalPayment
from quoting.models.rates import Charge, LabourTask, UnitPrice
from quoting.models.recall_rules import RecallRules
from quoting.models.region_rules import RegionRule
from quoting.models.samples import Sample, Tone
from quoting.models.statements import Statement
from quoting.models.stock import Booked, Lot
from quoting.models.surfaces import Condition, Surface
from quoting.models.systems import RestorationSystem, StepMaterial, SystemStep
from quoting.models.trail import Event
from quoting.models.visits import CHECKS, READINGS, CalendarKey, CrewRules, DayPlan, Entry, Hold, Visit, VisitStep

__all__ = [
    "CHECKS",
    "READINGS",
    "Acceptance",
    "AddedWork",
    "AdviceChoice",
    "Allowance",
    "Answer",
    "Area",
    "Attempts",
    "BookEntry",
    "Booked",
    "CalendarKey",
    "Certificate",
    "ChangeOrder",
    "ChangedMeanwhile",
    "Charge",
    "Condition",
    "CostSheet",
    "Coverage",
    "CrewRules",
    "DayPlan",
    "Edition",
    "Entry",
    "Event",
    "Exemption",
    "ExtraCost",
    "Finding",
    "Firm",
    "GearItem",
    "HandOver",
    "Hold",
    "Invoice",
    "Job",
    "LabourTask",
    "LostReason",
    "Lot",
    "Material",
    "Message",
    "MissingCoverage",
    "Observed",
    "Option",
    "OptionCharge",
    "OptionGroup",
    "OptionStep",
    "OptionUse",
    "Pack",
    "Paper",
    "PaperImage",
    "PaperScope",
    "Part",
    "Payment",
    "PaymentTerm",
    "Photo",
    "PriceList",
    "PrivateLink",
    "Proposal",
    "ProposalOption",
    "ProposalPayment",
    "Question",
    "RecallRules",
    "Receipt",
    "RegionRule",
    "RestorationSystem",
    "Role",
    "Sample",
    "Series",
    "SlabRecord",
    "Statement",
    "StepMaterial",
    "Surface",
    "SystemStep",
    "TaxRule",
    "Tone",
    "UnitPrice",
    "User",
    "Versioned",
    "Visit",
    "VisitStep",
    "lock_row",
]
