"""The terms of a draft: payments, allowances, unit prices, dates, and what region rules ask. One page, kept at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from quoting.forms.figures import plain
from quoting.forms.firm_rows import OpenedWith
from quoting.forms.proposal_terms import (
    HOME,
    MOST_ROWS,
    AllowanceFormSet,
    PaymentForm,
    PaymentFormSet,
    TermsForm,
    terms_values,
)
from quoting.models import ChangedMeanwhile, Firm, Job, Option, Proposal, UnitPrice
from quoting.services.firm import THE_FIRM
from quoting.services.proposal_terms import (
    FACTS,
    AllowanceLine,
    PaymentLine,
    allowance_line,
    firms_lines,
    keep_terms,
    payment_line,
    unit_prices,
)
from quoting.services.proposals import NotDrafted
from quoting.views.access import find_job, office_only


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def proposal_terms(request: HttpRequest, number: str) -> HttpResponse:
    """Show and keep them; the firm's terms stand there where the draft has none of its own."""
    job = find_job(request.user, number)
    draft = Proposal.objects.being_drafted().filter(job=job).first()
    if draft is None:
        return redirect("proposal-draft", number=number)
    prices = _prices(draft)
    payments, allowances = _payments(draft), [allowance_line(row) for row in draft.allowances.all()]
    sent, moves = moved(request.POST)
    form = TermsForm(sent or None, initial=terms_values(draft, prices), prices=prices)
    paid = PaymentFormSet(sent or None, initial=[asdict(line) for line in payments], prefix="payment")
    allowed = AllowanceFormSet(sent or None, initial=[asdict(line) for line in allowances], prefix="allowance")
    had = told(payments, allowances, {name: getattr(draft, name) for name in FACTS})
    opened = OpenedWith(sent or None, initial={"version": draft.version, "had": "\n".join(had)})
    if (
        request.method == "POST"
        and not moves
        and all([form.is_valid(), paid.is_valid(), allowed.is_valid(), opened.is_valid()])
    ):
        return _keep(request, job, draft, opened, form, _payment_lines(paid), _allowance_lines(allowed), had)
    context = {"job": job, "draft": draft, "form": form, "paid": paid, "allowed": allowed, "opened": opened}
    context |= {"moves": moves, "payment_rows": rows_to_move(paid)}
    return render(request, "proposals/terms.html", context, status=422 if form.is_bound and not moves else 200)


def moved(sent: QueryDict) -> tuple[QueryDict, bool]:
    """What was sent, with the two payments changed about that a button names (“1-0”), and whether one did.

    Nothing is kept by it: the page shows the new order, and all that was typed.
    """
    one, _, other = sent.get("move", "").partition("-")
    if not (one.isdecimal() and other.isdecimal() and max(int(one), int(other)) < MOST_ROWS):
        return sent, False
    changed = sent.copy()
    pair = (int(one), int(other))
    if all(sent.get(f"payment-{at}-name", "").strip() for at in pair):
        for name in (*PaymentForm.base_fields, "DELETE"):
            for to, of in (pair, reversed(pair)):
                changed.setlist(f"payment-{to}-{name}", sent.getlist(f"payment-{of}-{name}"))
    return changed, True


def rows_to_move(paid: Any) -> list[tuple[Any, int | None, int | None]]:
    """Each payment with the places above and below it to which it can go; one more is typed in the row after the last,
    and goes up from there.
    """
    rows = list(paid)
    used = [at for at, row in enumerate(rows) if not row.empty_permitted or row["name"].value()]
    last = max(used, default=-1)
    return [(row, at - 1 if 0 < at <= last + 1 else None, at + 1 if at < last else None) for at, row in enumerate(rows)]


def _keep(
    request: HttpRequest,
    job: Job,
    draft: Proposal,
    opened: OpenedWith,
    form: TermsForm,
    payments: list[PaymentLine],
    allowances: list[AllowanceLine],
    now: list[str],
) -> HttpResponse:
    """Keep what was typed; the page of two hands when somebody else changed these terms meanwhile."""
    had = opened.cleaned_data["had"].replace("\r\n", "\n").splitlines()
    version = opened.cleaned_data["version"] if now != had else draft.version
    facts = form.facts
    try:
        keep_terms(proposal=draft, version=version, payments=payments, allowances=allowances, **facts)
    except ChangedMeanwhile:
        return _two_hands(request, job, draft, had, now, told(payments, allowances, facts))
    except NotDrafted as fault:
        messages.error(request, str(fault))
    else:
        messages.success(request, "Kept.")
    return redirect("proposal-draft", number=job.number)


def _two_hands(
    request: HttpRequest, job: Job, draft: Proposal, had: list[str], theirs: list[str], yours: list[str]
) -> HttpResponse:
    most = range(max(len(had), len(theirs), len(yours)))
    rows = [(f"Line {at + 1}", *(each[at] if at < len(each) else "" for each in (had, theirs, yours))) for at in most]
    context = {
        "title": "Terms of the draft: changed by somebody else",
        "rows": [row for row in rows if len(set(row[1:])) > 1],
        "posted": request.POST,
        "version": Proposal.objects.values_list("version", flat=True).get(pk=draft.pk),
        "back_url": reverse("proposal-terms", args=[job.number]),
    }
    return render(request, "two_hands.html", context, status=409)


def told(payments: Sequence[PaymentLine], allowances: Sequence[AllowanceLine], facts: dict[str, Any]) -> list[str]:
    """All terms, one a line."""
    return [*map(told_payment, payments), *map(told_allowance, allowances), *told_facts(facts)]


def _payment_lines(paid: Any) -> list[PaymentLine]:
    return [PaymentLine(**facts) for facts in paid.facts]


def _allowance_lines(allowed: Any) -> list[AllowanceLine]:
    return [AllowanceLine(**facts) for facts in allowed.facts]


def told_payment(line: PaymentLine) -> str:
    """A payment in one line, for the page of two hands."""
    asked = (
        f"{plain(line.share * 100)} %" if line.share is not None else f"{line.amount}" if line.amount else "the rest"
    )
    done = "" if line.done is None else f", {plain(line.done * 100)} % done"
    return f"{line.name}: {asked} {line.trigger}{done}"


def told_allowance(line: AllowanceLine) -> str:
    """An allowance in one line, for the page of two hands."""
    return f"{line.name}: {line.included}; {line.further or 'more by a change'} {line.price or ''}".strip()


def told_facts(facts: dict[str, Any]) -> list[str]:
    """The draft's other facts, one a line, for the page of two hands."""
    return [
        f"When: {facts['work_dates'] or 'not said'}",
        f"Signed: {dict(HOME)[{True: 'yes', False: 'no', None: ''}[facts['at_home']]]}",
        f"Special orders: {facts['special_order']:.2f}",
        f"Left off: {', '.join(facts['left_off']) or 'nothing'}",
    ]


def _payments(draft: Proposal) -> list[PaymentLine]:
    own = [payment_line(row) for row in draft.payments.all()]
    firm = None if own else Firm.objects.filter(pk=THE_FIRM).first()
    return firms_lines(firm) if firm else own


def _prices(draft: Proposal) -> list[UnitPrice]:
    """The unit prices of the edition that the advised option is priced with, as they go on the paper."""
    offered = Option.objects.filter(proposals=draft, kind=Option.Kind.OPTION).order_by("-advised", "position", "pk")
    edition = offered.values_list("edition_id", flat=True).first()
    return unit_prices(edition) if edition else []
