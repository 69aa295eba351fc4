"""All that stands on a change order, as plain strings, and what it comes to when it is reckoned again from them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from quoting.core.change_orders import ChangeFault, Stages, agreed_price, change_of, outright, parts_of, shared_between
from quoting.core.contracts import Agreed, ContractSum, PaidWith, added, taken_off
from quoting.core.material_workings import BoughtPack, MaterialFigure
from quoting.core.units import NumberFault, parse_number
from quoting.core.workings import Workings
from quoting.documents import agreed as offers
from quoting.documents.agreed import Choice, DoesNotAddUp, NotOffered, Offered
from quoting.documents.billed import bill_from, figures_of
from quoting.documents.change_payments import payment_facts
from quoting.documents.contexts import Facts, lines_of, listed, sum_text
from quoting.documents.invoices import BillStamp, head_facts, signed_text, tax_line
from quoting.models import ChangeOrder, Firm, Job, Paper, PaperScope

MINUS = "\u2212"


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedChange:
    """A change with its figures, and its `parts`: taken out, added, agreed outright.

    `worked` stands by stage: before, kept, base, after (see `core.change_orders.Stages`), and alone, the added work as
    a job of its own. `paid_with` and `place` are those of `core.contracts.Change`. `stays` names the steps whose
    figures taking an area out leaves.
    """

    contract: ContractSum
    change: Agreed
    parts: tuple[Agreed, Agreed, Agreed]
    days: int
    worked: Mapping[str, Workings]
    all_out: bool
    stays: tuple[str, ...]
    edition: str
    paid_with: PaidWith = PaidWith.LAST
    place: int = 1

    @property
    def later(self) -> Agreed | None:
        """What the added work would come to by itself, later; None where it can't be done by itself."""
        return agreed_price(self.worked["alone"].price) if "alone" in self.worked else None

    @property
    def added_now(self) -> Agreed | None:
        """What the added work comes to when it is done now, apart from what is taken out or agreed outright."""
        if "after" not in self.worked:
            return None
        return taken_off(agreed_price(self.worked["after"].price), _price(self.worked, "base") or Agreed())


def change_facts(*, firm: Firm, job: Job, row: ChangeOrder, of: WorkedChange, stamp: BillStamp) -> Facts:
    """The facts of one change order. Reads the added work of the row with its areas and systems; prefetch them."""
    currency, now = of.contract.currency, of.contract.now
    days = of.contract.days_now
    return {
        **head_facts(firm, job, "Change order", stamp, currency),
        "kind": "change-order",
        "title": row.title,
        "reason": row.get_reason_display(),
        "why": lines_of(row.why),
        "prices": f"{row.get_prices_display()}, edition {of.edition}",
        "contract": of.contract.paper,
        "stands_on": stands_on(of.contract),
        "added": [
            {"system": each.system.name, "areas": listed(area.name for area in each.areas.all())}
            for each in row.added.all()
        ],
        "out": [*row.out_areas, *_steps_out(row)],
        "all_out": "yes" if of.all_out else "",
        "outright": {"name": row.amount_for or row.title, "amount": f"{row.amount:f}"},
        "lines": [
            {"area": words, "amount": signed_text(part.price, currency)}
            for words, part in zip(_part_words(row, of), of.parts, strict=True)
            if part.price or part.tax
        ],
        "price": signed_text(of.change.price, currency),
        "taxes": [tax_line(tax, currency) for tax in of.change.taxes],
        "total": signed_text(of.change.total, currency),
        "sums": [{"words": words, "amount": signed_text(amount, currency)} for words, amount in _sums(of, stamp)],
        **payment_facts(
            of.contract, of.change, number=stamp.number, title=row.title, paid_with=of.paid_with, place=of.place
        ),
        "days_more": str(of.days),
        "days": _days_words(days, of.days),
        "later": later_facts(of),
        "cautions": lines_of(firm.cautions),
        "valid_until": "",
        "work_dates": "",
        "figures": figures_of(of.change, currency),
        "now": figures_of(now, currency),
    }


def later_facts(of: WorkedChange) -> Facts:
    """Today's price of the added work, that of coming back later, and why they differ; nothing where it can't be."""
    later, now = of.later, of.added_now
    if later is None or now is None:
        return {}
    currency = of.contract.currency
    return {
        "now": signed_text(now.price, currency),
        "later": signed_text(later.price, currency),
        "difference": signed_text(later.price - now.price, currency),
        "why": list(_why(of, currency)),
    }


def stands_on(contract: ContractSum) -> str:
    """By what papers the contract stands: a change is made on these, and on no others."""
    off = (f"without tax by {each.by}" for each in contract.taxes_off)
    return ", ".join([contract.paper, *(change.number for change in contract.changes), *off])


def pack_changes(before: Workings | None, after: Workings | None) -> list[Facts]:
    """Packs to load before and after, where they differ: material, pack, both counts and the difference. No prices."""
    had, has = _packs(before), _packs(after)
    return [
        {
            "material": name,
            "size": size,
            "before": str(had.get((name, size), 0)),
            "after": str(has.get((name, size), 0)),
            "difference": f"{has.get((name, size), 0) - had.get((name, size), 0):+d}".replace("-", MINUS),
        }
        for name, size in {**had, **has}
        if had.get((name, size), 0) != has.get((name, size), 0)
    ]


class OfferedChange(Offered):
    """An issued change order as the one thing that can be said yes to on it. Reads its scopes once."""

    def __init__(self, paper: Paper) -> None:
        super().__init__(paper)
        self.rows = {row.role: row for row in PaperScope.objects.filter(paper=paper).order_by("position")}
        shown = PaperScope(paper=paper, name=self.facts["title"])
        self.choices = (Choice(place=1, scope=shown, facts={}, extras=()),)

    @property
    def change(self) -> Agreed:
        """The change, reckoned again from the frozen scopes. Raises DoesNotAddUp where the paper says another."""
        return self.reckoned[0]

    @property
    def reckoned(self) -> tuple[Agreed, tuple[Agreed, ...]]:
        """The change and those of its parts that come to something. Raises DoesNotAddUp."""
        facts = self.facts
        try:
            now, said = bill_from(facts["now"]), facts["outright"]
            prices = {role: agreed_price(self.figure(row)) for role, row in self.rows.items()}
            taxes = (prices.get("after") or now).taxes
            stages = Stages(
                **{name: prices.get(name) for name in ("before", "kept", "base", "after")},
                all_out=facts["all_out"] == "yes",
            )
            sum_said = outright(said["name"], parse_number(said["amount"]), taxes, facts["currency"])
            change = change_of(stages, now, sum_said)
            parts = tuple(part for part in parts_of(stages, now, sum_said) if part.price or part.tax)
            said_lines = [signed_text(part.price, facts["currency"]) for part in parts]
        except (ChangeFault, NumberFault, KeyError, TypeError) as fault:
            raise DoesNotAddUp(self.paper.number) from fault
        if (figures_of(change, facts["currency"]), said_lines) != (
            facts["figures"],
            [line["amount"] for line in facts["lines"]],
        ):
            raise DoesNotAddUp(self.paper.number)
        return change, parts

    def agree(self, option: int, add_ons: Iterable[int]) -> offers.Agreed:
        """The change with its sums. Raises NotOffered, or DoesNotAddUp."""
        if option != 1 or list(add_ons):
            raise NotOffered
        (change, parts), currency = self.reckoned, self.facts["currency"]
        return offers.Agreed(
            paper=self.paper.number,
            currency=currency,
            option=1,
            add_ons=(),
            lines=tuple((line["area"], part.price) for line, part in zip(self.facts["lines"], parts, strict=True)),
            taxes=tuple((tax_line(tax, currency)["words"], tax.amount) for tax in change.taxes),
            price=change.price,
            total=change.total,
            payments=(),
        )

    def areas(self, agreed: offers.Agreed) -> list[Mapping[str, Any]]:
        """A change tells its areas by name only."""
        return []

    def cancel_until(self, total: Decimal, signed_on: date) -> tuple[date, str] | None:
        """The period of the contract is told with the contract; a change has none of its own."""
        return None


def offered_on(paper: Paper) -> Offered:
    """What can be said yes to on this paper: a proposal's choices, or a change."""
    return OfferedChange(paper) if paper.kind == Paper.Kind.CHANGE else Offered(paper)


def _part_words(row: ChangeOrder, of: WorkedChange) -> tuple[str, str, str]:
    """What the parts are called: taken out, added, outright."""
    out = "all that was agreed" if of.all_out else listed([*row.out_areas, *_steps_out(row)])
    work = listed(f"{each.system.name} on {listed(area.name for area in each.areas.all())}" for each in row.added.all())
    return f"Taken out: {out}", f"Added: {work}", row.amount_for or "A sum agreed outright"


def _steps_out(row: ChangeOrder) -> list[str]:
    return [key.partition(":")[2] for key in row.out_steps]


def _sums(of: WorkedChange, stamp: BillStamp) -> list[tuple[str, Decimal]]:
    """Original, each change before, the sum before, this change, the sum after it; tax included."""
    contract = of.contract
    rows = [(f"Contract {contract.paper}, as accepted", contract.original.total)]
    rows += [(f"Change {change.number}: {change.title}", change.of.total) for change in contract.changes]
    rows += [(f"Tax taken off: {each.by}", each.of.total) for each in contract.taxes_off]
    after = added([contract.now, of.change]).total
    return [
        *rows,
        ("Contract sum before this change", contract.now.total),
        (f"This change, {stamp.number}", of.change.total),
        ("Contract sum after it", after),
    ]


def _days_words(days: int | None, more: int) -> Facts:
    """The days before, more or fewer, and after, as they are read."""
    said = (
        f"{abs(more)} day{'' if abs(more) == 1 else 's'} {'more' if more > 0 else 'fewer'}" if more else "no more days"
    )
    if days is None:
        return {"before": "", "change": said, "after": ""}
    return {"before": str(days), "change": said, "after": str(max(days + more, 0))}


def _why(of: WorkedChange, currency: str) -> Iterable[str]:
    """Why now and later differ, in words with figures that a customer may read: no cost among them."""
    base, after, alone = of.worked.get("base"), of.worked["after"], of.worked["alone"]
    shared = shared_between(base, after, alone)
    bought = {each.material: each for each in base.materials} if base else {}
    done = {each.material: each for each in after.materials}
    for each in alone.materials:
        if any(each.name == packs.name for packs in shared.packs):
            together, before = _shown(done.get(each.material)), _shown(bought.get(each.material))
            told = f"what is bought for the rest, {together}, is enough" if together == before else (
                f"with the rest it is {together} instead of {before}"
            )  # fmt: skip
            yield f"Packs: {each.name} alone takes {_shown(each)}; done now, {told}."
    if shared.visits_now != shared.visits_alone:
        alone_words = f"{shared.visits_alone} day{'' if shared.visits_alone == 1 else 's'}"
        yield f"Visits: alone it takes {alone_words} with travel; done now it adds {shared.visits_now or 'none'}."
    if shared.setups:
        yield f"Set-up: once, not a second time, for {listed(name.lower() for name in shared.setups)}."
    if shared.raised:
        yield f"Alone, our least price for a job applies; it raises the price by {sum_text(shared.raised, currency)}."


def _shown(figure: MaterialFigure | None) -> str:
    bought: Iterable[BoughtPack] = figure.bought if figure else ()
    return " and ".join(f"{each.count} × {each.pack.size.text}" for each in bought if each.count) or "no pack"


def _packs(workings: Workings | None) -> dict[tuple[str, str], int]:
    if workings is None:
        return {}
    return {
        (material.name, each.pack.size.text): each.count
        for material in workings.materials
        for each in material.bought
        if each.count
    }


def _price(worked: Mapping[str, Workings], stage: str) -> Agreed | None:
    return agreed_price(worked[stage].price) if stage in worked else None
