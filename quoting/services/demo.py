"""The demo: an invented firm with its people, its price book and a few folders, made once and never changed again."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone
from moneyed import Money

from quoting.models import Firm, Job, Paper, RegionRule, Role, User
from quoting.services.accounts import add_person
from quoting.services.demo_clock import clock_set, moment
from quoting.services.demo_logo import draw_logo
from quoting.services.demo_rows import read_demo
from quoting.services.demo_schedule import perform, schedule
from quoting.services.firm import (
    MONEY_FIELDS,
    TaxLine,
    TermLine,
    keep_payment_terms,
    keep_tax_rules,
    set_up_firm,
)
from quoting.services.gear import begin_gear
from quoting.services.region_rules import load_rules, switch_rule

Row = Mapping[str, Any]
Say = Callable[[str], None]

DEMO_JOB = "0417"
"""The folder whose proposal the demo prints."""

BEGUN = timedelta(days=1100)
"""How long before today the firm was set up here."""

LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
"""Of passwords that are read off a screen: nothing that looks like something else."""


class NotTheDemo(Exception):
    """The database belongs to somebody, and the demo would mix with it."""

    def __init__(self) -> None:
        super().__init__(
            "This database is in use already, and not by the demo. Name an empty folder in DATA_DIR, or an empty "
            "database in DATABASE_URL, and run the demo there."
        )


def new_password() -> str:
    """Four times five letters and figures, by chance: 20 of 31 signs, some 99 bits."""
    return "-".join("".join(secrets.choice(LETTERS) for _ in range(5)) for _ in range(4))


def demo_people() -> list[Row]:
    """Name, e-mail address and role of each who signs in, the owner first."""
    people: list[Row] = read_demo("firm")["person"]
    return people


def need_demo() -> None:
    """Raise NotTheDemo where people or a firm are kept that the demo did not make."""
    owner = demo_people()[0]["email"]
    somebody = User.objects.exists() or Firm.objects.exists()
    if somebody and not User.objects.filter(email=owner).exists():
        raise NotTheDemo


def make_demo(*, passwords: Mapping[str, str], say: Say) -> Paper:
    """Make of the demo what is not there yet, and give the demo job's proposal.

    `passwords` are by e-mail address, used for those who can't sign in yet; `say` is told what takes a moment. Once the
    last folder is there nothing is done any more, whatever has been changed since. Printing needs a moment, so do not
    call this inside a transaction. Raises NotTheDemo, or what issuing raises.
    """
    need_demo()
    today = timezone.localdate()
    acts = schedule(today)
    if not Job.objects.filter(number=acts[-1].row["number"]).exists():
        with clock_set(moment(today - BEGUN, "8:00")):
            people = _people(passwords)
            if not Firm.objects.exists():
                say("Setting up the firm")
                _set_up(read_demo("firm"), people[Role.OWNER])
        for act in acts:
            perform(act, people=people, say=say, today=today)
    return Paper.objects.filter(job__number=DEMO_JOB).order_by("revision").defer("facts")[0]


def _people(passwords: Mapping[str, str]) -> dict[str, User]:
    """Everybody by the role that they began with."""
    found = {}
    for row in demo_people():
        person = User.objects.filter(email=row["email"]).first()
        found[row["role"]] = person or add_person(**row, password=passwords[row["email"]])
    return found


def _set_up(data: Row, owner: User) -> None:
    rows = dict(data["firm"])
    for name in MONEY_FIELDS:
        rows[name] = Money(rows[name], "USD")
    for name in ("overhead", "profit"):
        rows[name] = Decimal(rows[name])
    facts = {name: value.strip() if isinstance(value, str) else value for name, value in rows.items()}
    with transaction.atomic():
        firm = set_up_firm(by=owner, logo=draw_logo(rows["accent"]), **facts)
        taxes = [TaxLine(**(row | {"rate": Decimal(row["rate"])})) for row in data["tax"]]
        keep_tax_rules(by=owner, version=firm.version, rules=taxes)
        terms = [TermLine(**(row | {"share": Decimal(row["share"])})) for row in data["term"]]
        keep_payment_terms(version=firm.version + 1, terms=terms)
        for region in data["rules"]["regions"]:
            load_rules(region=region, by=owner)
        for rule in RegionRule.objects.filter(key__in=data["rules"]["on"]):
            switch_rule(rule=rule, version=rule.version, on=True, by=owner)
        begin_gear(by=owner)
