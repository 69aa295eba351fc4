"""The sheet of an option as one form: every figure that may differ from the price book, with its reason.

An empty blank means the book's figure. What the sheet was opened with travels along in `had`, so that two who are at
the same option lose nothing: see `merge`.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any, NamedTuple

from django import forms
from django.http import QueryDict
from moneyed import Money

from quoting.forms.figures import AmountField, PercentField, plain
from quoting.forms.option_blanks import Blank, blanks_of, clean_step, step_texts
from quoting.forms.options import name_field
from quoting.models import Charge, Material, Option, OptionCharge

WORDS = ("mends", "does_not_mend", "life", "look", "slip")
TICK = "on"
NEW_CHARGE = ("new_name", "new_category", "new_amount", "new_per", "new_share", "new_reason")


class SheetForm(forms.Form):
    """Everything on the sheet. When it is valid, `facts` is what the sheet of the services takes.

    Expects an option from `with_everything`; `materials` are those of its edition, with packs and coverages. `preview`
    is for figures while they are typed: a reason that is still to come is no fault.
    """

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)
    had = forms.CharField(max_length=400_000, required=False, widget=forms.HiddenInput, strip=False)
    name = name_field()
    advised = forms.BooleanField(label="This is the one we advise", required=False)
    mends = forms.CharField(label="Mends", max_length=300, required=False, widget=forms.Textarea(attrs={"rows": 2}))
    does_not_mend = forms.CharField(
        label="Does not mend", max_length=300, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    life = forms.CharField(label="Seal again after", max_length=120, required=False)
    look = forms.CharField(label="Looks", max_length=200, required=False)
    slip = forms.CharField(label="When wet", max_length=200, required=False)
    discount = AmountField(label="Discount", required=False)
    discount_reason = forms.CharField(label="Why the discount", max_length=200, required=False)
    new_name = forms.CharField(label="A charge of its own", max_length=120, required=False)
    new_category = forms.ChoiceField(label="Sort", choices=Charge.Category, required=False)
    new_amount = AmountField(label="Amount", required=False)
    new_per = forms.ChoiceField(
        label="For",
        choices=[each for each in Charge.Per.choices if each[0] != Charge.Per.SHARE],
        initial=Charge.Per.JOB,
        required=False,
    )
    new_share = PercentField(label="Or so much of direct cost, %", required=False)
    new_reason = forms.CharField(label="Why the charge", max_length=200, required=False)

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        option: Option,
        materials: Iterable[Material],
        units: str = "us",
        currency: str = "USD",
        preview: bool = False,
    ) -> None:
        texts = sheet_texts(option)
        super().__init__(data, initial=texts | {"version": option.version, "had": json.dumps(texts)})
        self.option, self.currency, self.preview = option, currency, preview
        self.facts: dict[str, Any] = {}
        self.blanks: dict[str, Blank] = {}
        materials = list(materials)
        self.steps = [step for group in option.groups.all() for step in group.steps.all()]
        if option.kind == Option.Kind.ADD_ON:
            for name in ("advised", "discount", "discount_reason"):
                del self.fields[name]
        for step in self.steps:
            for blank in blanks_of(step, materials, units):
                self.fields[blank.name] = blank.field
                self.blanks[blank.name] = blank
        for charge in option.charges.all():
            self.fields[f"c{charge.pk}_on"] = forms.BooleanField(label=charge.name, required=False)
            if charge.charge_id is None:
                self.fields[f"c{charge.pk}_gone"] = forms.BooleanField(label=f"Remove {charge.name}", required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        steps: dict[int, Any] = {}
        uses: dict[tuple[int, int], Any] = {}
        for step in self.steps:
            facts, of_uses, unexplained = clean_step(step, data)
            if unexplained and not self.preview:
                where = f"s{step.pk}_reason"
                self.add_error(where, f"Say why it differs from the book: {', '.join(unexplained)}.")
            steps[step.pk] = facts
            uses |= {(step.pk, key): use for key, use in of_uses.items()}
        option = {name: data.get(name, "") for name in ("name", *WORDS)}
        if "discount" in self.fields:
            option |= {
                "advised": bool(data.get("advised")),
                "discount": Money(data.get("discount") or Decimal(0), self.currency),
                "discount_reason": data.get("discount_reason", ""),
            }
            if option["discount"].amount and not option["discount_reason"] and not self.preview:
                self._miss("discount_reason", "Say why there is a discount.")
        charges, dropped = {}, set()
        for charge in self.option.charges.all():
            charges[charge.pk] = {"on": bool(data.get(f"c{charge.pk}_on"))}
            if data.get(f"c{charge.pk}_gone"):
                dropped.add(charge.pk)
        self.facts = {
            "option": option,
            "steps": steps,
            "uses": uses,
            "charges": charges,
            "added": self._new_charge(data),
            "dropped": frozenset(dropped),
        }
        return data

    def _new_charge(self, data: Mapping[str, Any]) -> Sequence[dict[str, Any]]:
        name, amount, share, reason = (data.get(f"new_{each}") for each in ("name", "amount", "share", "reason"))
        if not name and amount is None and share is None:
            return ()
        if not self.preview:
            if not name:
                self._miss("new_name", "Say what the charge is for.")
            if (amount is None) == (share is None):
                self._miss("new_amount", "Say how much it is: an amount, or per cent of direct cost.")
            if not reason:
                self._miss("new_reason", "Say why, since the price book does not know it.")
        if (amount is None) == (share is None) or share == 0:
            return ()
        return (
            {
                "name": name or "charge",
                "category": data.get("new_category") or "other",
                "amount": Money(amount or 0, self.currency),
                "per": Charge.Per.SHARE if share is not None else data.get("new_per") or "job",
                "share": share,
                "reason": reason or "",
                "on": True,
            },
        )

    def _miss(self, name: str, sentence: str) -> None:
        if name not in self.errors:
            self.add_error(name, sentence)

    @property
    def step_faults(self) -> dict[int, list[str]]:
        """What is to mend, by the key of the option step that it is about."""
        found: dict[int, list[str]] = {}
        for name, messages in self.errors.items():
            if blank := self.blanks.get(name):
                found.setdefault(blank.step, []).extend(f"{blank.short}: {message}" for message in messages)
        return found


def sheet_texts(option: Option) -> dict[str, str]:
    """Every blank of the sheet as its text, as the option stands: what a form of it opens with."""
    texts = {name: str(getattr(option, name)) for name in ("name", *WORDS)}
    if option.kind == Option.Kind.OPTION:
        texts |= {
            "advised": TICK if option.advised else "",
            "discount": f"{option.discount.amount:.2f}" if option.discount.amount else "",
            "discount_reason": option.discount_reason,
        }
    for group in option.groups.all():
        for step in group.steps.all():
            texts |= step_texts(step)
    for charge in option.charges.all():
        texts[f"c{charge.pk}_on"] = TICK if charge.on else ""
        if charge.charge_id is None:
            texts[f"c{charge.pk}_gone"] = ""
    return texts


class Clash(NamedTuple):
    """A blank that both changed: its name, what both had, what they made of it, what is typed here."""

    name: str
    had: str
    theirs: str
    yours: str


GONE = "taken away"


class Merged(NamedTuple):
    """Two hands on one sheet: what to go on with, and where they differ."""

    data: QueryDict
    clashes: tuple[Clash, ...]


def merge(posted: QueryDict, option: Option) -> Merged:
    """What was typed here, on top of what others have kept since; `option` is as it stands now.

    A blank that was not touched here takes theirs. Where both changed it, what was typed here stands in `data`, and the
    two are named in `clashes`, to be decided by a person.
    """
    theirs = sheet_texts(option)
    had = read_had(posted.get("had", ""))
    data = posted.copy()
    clashes = []
    for name, first in had.items():
        yours = posted.get(name, "")
        now = theirs.get(name, GONE)
        touched = not _same(yours, first)
        if touched and not _same(now, first) and not _same(now, yours):
            clashes.append(Clash(name, first, now, yours))
        if not touched and name in theirs:
            _put(data, name, now)
    for name, now in theirs.items():
        if name not in had:
            _put(data, name, now)
    if any(charge.charge_id is None and _is_new(charge, posted) for charge in option.charges.all()):
        for name in NEW_CHARGE:
            data.pop(name, None)  # the same charge was kept by the first of two clicks
    data["version"] = str(option.version)
    data["had"] = json.dumps(theirs)
    return Merged(data, tuple(clashes))


def read_had(text: str) -> dict[str, str]:
    """What the sheet was opened with; nothing where it can't be read."""
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        return {}
    if not isinstance(found, dict):
        return {}
    return {name: value for name, value in found.items() if isinstance(value, str)}


def _same(one: str, other: str) -> bool:
    return " ".join(one.split()) == " ".join(other.split())


def _put(data: QueryDict, name: str, value: str) -> None:
    if value or not name.endswith(("_on", "_gone", "advised")):
        data[name] = value
    else:
        data.pop(name, None)  # a box that is not ticked is not sent


def _is_new(charge: OptionCharge, posted: Mapping[str, Any]) -> bool:
    return charge.name == posted.get("new_name", "").strip() and plain(charge.amount.amount) == plain_or_text(
        posted.get("new_amount", "")
    )


def plain_or_text(text: str) -> str:
    """A typed figure without zeros at its end; other text as it is."""
    text = text.strip().replace(",", "")
    return text.rstrip("0").rstrip(".") if "." in text else text
