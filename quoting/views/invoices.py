"""Bills: the draft of a job's next one, issuing it once, an issued one with its acts, taking one back."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.core.books import from_minor
from quoting.documents.billed import bill_of
from quoting.documents.press_order import PaperNotPrinted
from quoting.documents.story import tell
from quoting.forms.hands import untouched
from quoting.forms.invoices import BillForm, CreditForm, IssueBillForm, MailForm
from quoting.forms.letters import new_act
from quoting.models import ChangedMeanwhile, Invoice, Paper
from quoting.services import credit_notes, invoices
from quoting.services.billing import billing_of, fault_of
from quoting.services.books import balances_of
from quoting.services.contracts import NoContract
from quoting.services.lapsed_exemptions import lapsed_words
from quoting.services.late_interest import NoInterest, interest_on_bill
from quoting.services.money_papers import StillMoving, mail_paper
from quoting.views.access import find_job, office_only
from quoting.views.books import state_of
from quoting.views.exemptions import offered_for
from quoting.views.hands import two_hands
from quoting.views.mails import mails_of
from quoting.views.papers import pdf_response

FIELDS = ("kind", "amount", "event", "done", "due_on", "words")
REFUSED = (
    NoContract, invoices.NothingToBill, invoices.CantBill, invoices.NoDraft, StillMoving, PaperNotPrinted,
)  # fmt: skip


@office_only
@require_POST
def bill_begin(request: HttpRequest, number: str) -> HttpResponse:
    """Draft the next bill of a job, or go on with the draft that is there."""
    job = find_job(request.user, number)
    try:
        invoices.draft_invoice(job=job, by=request.user)  # type: ignore[arg-type]
    except (NoContract, invoices.NothingToBill) as refused:
        messages.error(request, str(refused))
        return redirect("job-money", number=number)
    return redirect("bill-draft", number=number)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def bill_draft(request: HttpRequest, number: str) -> HttpResponse:
    """The draft: what it is for, its sum and day; beside it what it would say line by line."""
    job = find_job(request.user, number)
    draft = Invoice.objects.filter(job=job, state=Invoice.State.DRAFTED).first()
    if draft is None:
        return redirect("job-money", number=number)
    try:
        billing = billing_of(job)
    except NoContract as refused:
        messages.error(request, str(refused))
        return redirect("job-money", number=number)
    form = BillForm(request.POST or None, initial=_values(draft), follows_work=billing.follows_work)
    if form.is_valid():
        if fault := fault_of(billing, form.cleaned_data["kind"], form.cleaned_data["amount"]):
            form.add_error("amount", fault)
        else:
            return _keep_draft(request, form, draft)
    said, why = None, ""
    try:
        said = invoices.work_out_bill(draft)[1]
    except invoices.CantBill as cant:
        why = str(cant)
    context = {"job": job, "draft": draft, "form": form, "billing": billing, "said": said, "why": why}
    context |= {"exemptions": offered_for(job), "lapsed": lapsed_words(job)}
    return render(request, "money/draft.html", context, status=422 if form.is_bound else 200)


def _keep_draft(request: HttpRequest, form: BillForm, draft: Invoice) -> HttpResponse:
    number = draft.job.number
    try:
        try:
            invoices.keep_invoice(invoice=draft, version=form.cleaned_data["version"] or 0, **form.facts)
        except ChangedMeanwhile:
            draft.refresh_from_db()
            if not untouched(form, _shown(form, draft)):
                raise
            invoices.keep_invoice(invoice=draft, version=draft.version, **form.facts)
    except ChangedMeanwhile:
        draft.refresh_from_db()
        title = f"The draft of folder {number} was changed by somebody else"
        back = reverse("bill-draft", args=[number])
        return two_hands(request, form, _shown(form, draft), version=draft.version, title=title, back_url=back)
    except invoices.BilledAlready as already:
        return _already(request, already)
    except invoices.NoDraft as gone:
        messages.error(request, str(gone))
        return redirect("job-money", number=number)
    messages.success(request, "The draft is kept.")
    return redirect("bill-draft", number=number)


@office_only
@require_safe
def bill_preview(request: HttpRequest, number: str) -> HttpResponse:
    """The draft as a PDF, marked as a draft."""
    draft = get_object_or_404(Invoice, job=find_job(request.user, number), state=Invoice.State.DRAFTED)
    try:
        pdf = invoices.preview_invoice(invoice=draft)
    except REFUSED as refused:
        messages.error(request, str(refused))
        return redirect("bill-draft", number=number)
    return pdf_response(pdf, f"draft-of-invoice-{number}.pdf")


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def bill_issue(request: HttpRequest, number: str) -> HttpResponse:
    """Asks once, then issues the bill, and mails it where an address is given."""
    job = find_job(request.user, number)
    draft = Invoice.objects.filter(job=job, state=Invoice.State.DRAFTED).first()
    if request.method != "POST":
        if draft is None:
            return redirect("job-money", number=number)
        try:
            billing, said = invoices.work_out_bill(draft)
        except (NoContract, invoices.CantBill) as refused:
            messages.error(request, str(refused))
            return redirect("bill-draft", number=number)
        form = IssueBillForm(initial={"version": draft.version, "to": job.property.customer.email})
        context = {"job": job, "draft": draft, "said": said, "form": form, "currency": billing.contract.currency}
        context["lapsed"] = lapsed_words(job)
        return render(request, "money/issue.html", context)
    form = IssueBillForm(request.POST)
    pk = request.POST.get("draft", "")
    found = (
        Invoice.objects.filter(job=job, pk=int(pk)).first() if pk.isascii() and pk.isdigit() and len(pk) < 18 else None
    )
    if found is None:
        messages.error(request, str(invoices.NoDraft()))
        return redirect("job-money", number=number)
    if not form.is_valid():
        context = {"job": job, "draft": found, "said": None, "form": form}
        return render(request, "money/issue.html", context, status=422)
    try:
        paper = invoices.issue_invoice(
            invoice=found, version=form.cleaned_data["version"], by=request.user, mail_to=form.cleaned_data["to"]  # type: ignore[arg-type]
        )  # fmt: skip
    except invoices.BilledAlready as already:
        return _already(request, already)
    except ChangedMeanwhile:
        messages.error(request, "The draft was changed while you read it. Look at it again; nothing was issued.")
        return redirect("bill-draft", number=number)
    except REFUSED as refused:
        messages.error(request, str(refused))
        return redirect("bill-draft", number=number)
    words = f" and waits to be mailed to {form.cleaned_data['to']}" if form.cleaned_data["to"] else ""
    messages.success(request, f"{paper.number} is issued{words}.")
    return redirect("bill", number=paper.number)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def bill_discard(request: HttpRequest, number: str) -> HttpResponse:
    """Asks once, then throws the draft away."""
    job = find_job(request.user, number)
    draft = get_object_or_404(Invoice, job=job, state=Invoice.State.DRAFTED)
    if request.method != "POST":
        return render(request, "money/discard.html", {"job": job, "draft": draft})
    version = request.POST.get("version", "")
    try:
        invoices.discard_invoice(invoice=draft, version=int(version) if version.isdigit() and len(version) < 10 else 0)
    except ChangedMeanwhile:
        messages.error(request, "The draft was changed meanwhile. Look at it again; it is still there.")
        return redirect("bill-draft", number=number)
    except invoices.BilledAlready as already:
        return _already(request, already)
    messages.success(request, "The draft is thrown away. It never had a number.")
    return redirect("job-money", number=number)


@office_only
@require_safe
def bill(request: HttpRequest, number: str) -> HttpResponse:
    """An issued bill or credit note: what it says, what is due on it, its acts, its mail and its trail."""
    found = _issued(number)
    paper: Paper = found.paper  # type: ignore[assignment]
    events = paper.events.select_related("actor", "paper").defer("paper__pdf", "paper__facts")
    sums = balances_of(found.job).invoice(number)
    facts = json.loads(Paper.objects.values_list("facts", flat=True).get(pk=paper.pk))
    currency = facts["currency"]
    is_bill = found.kind != Invoice.Kind.CREDIT
    context: dict[str, Any] = {
        "invoice": found,
        "paper": paper,
        "job": found.job,
        "facts": facts,
        "is_bill": is_bill,
        "state": state_of(found, sums.due, timezone.localdate()),
        "due": from_minor(sums.due, currency),
        "paid": from_minor(sums.paid, currency),
        "credited": from_minor(sums.credited, currency),
        "may_credit": is_bill and sums.billed + sums.credited > 0,
        "interest": _interest(found),
        "notes": Invoice.objects.with_paper().issued().filter(credits=found).order_by("pk") if is_bill else (),
        "trail": tell(events),
        "currency": currency,
        **mails_of(paper=paper),
    }
    return render(request, "money/bill.html", context)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def bill_credit(request: HttpRequest, number: str) -> HttpResponse:
    """How much of a bill is taken back, and why; asked once, then a credit note is issued."""
    found = _issued(number)
    if found.kind == Invoice.Kind.CREDIT or (left := credit_notes.left_of(found)) <= 0:
        messages.error(request, "Nothing of it is left to credit.")
        return redirect("bill", number=number)
    first = {"amount": credit_notes.usual_credit(found), "left": left, "to": found.job.property.customer.email}
    form = CreditForm(request.POST or None, initial=first)
    if form.is_valid():
        typed = form.cleaned_data
        try:
            paper = credit_notes.credit_invoice(
                invoice=found, amount=typed["amount"], left=typed["left"], reason=typed["reason"],
                by=request.user, mail_to=typed["to"],  # type: ignore[arg-type]
            )  # fmt: skip
        except credit_notes.CantCredit as cant:
            form.add_error("amount", str(cant))
        except (credit_notes.CreditedMeanwhile, NoContract, StillMoving, PaperNotPrinted) as refused:
            messages.error(request, str(refused))
            return redirect("bill", number=number)
        else:
            messages.success(request, f"{paper.number} is issued. {number} itself stays as it was.")
            return redirect("bill", number=paper.number)
    context = {"invoice": found, "job": found.job, "number": number, "form": form, "left": left, "said": bill_of(found)}
    return render(request, "money/credit.html", context, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def bill_send(request: HttpRequest, number: str) -> HttpResponse:
    """Mail an issued bill, a credit note or a receipt; a second click sends nothing more."""
    paper = get_object_or_404(
        Paper.objects.select_related("job__property__customer").defer("pdf"),
        number=number,
        kind__in=[Paper.Kind.INVOICE, Paper.Kind.CREDIT_NOTE, Paper.Kind.RECEIPT],
    )
    form = MailForm(request.POST or None, initial={"to": paper.job.property.customer.email, "once": new_act()})
    if form.is_valid():
        with transaction.atomic():
            mail_paper(paper=paper, to=form.cleaned_data["to"], by=request.user, once=form.cleaned_data["once"])  # type: ignore[arg-type]
        messages.success(request, f"{number} waits to be mailed to {form.cleaned_data['to']}.")
        return redirect("paper", number=number)
    context = {"paper": paper, "job": paper.job, "form": form}
    return render(request, "money/send.html", context, status=422 if form.is_bound else 200)


def _interest(found: Invoice) -> Decimal:
    """The interest on a bill that may be billed; nothing while the firm asks for none."""
    try:
        return interest_on_bill(found, timezone.localdate()).total
    except NoInterest:
        return Decimal(0)


def _issued(number: str) -> Invoice:
    found = Invoice.objects.with_paper().issued().select_related("credits__paper").defer(
        "credits__paper__pdf", "credits__paper__facts"
    )  # fmt: skip
    return get_object_or_404(found, paper__number=number)


def _values(draft: Invoice) -> dict[str, Any]:
    return {name: getattr(draft, name) for name in (*FIELDS, "version")}


def _shown(form: BillForm, draft: Invoice) -> dict[str, Any]:
    """The draft's values as its form shows them."""
    return {name: form.fields[name].prepare_value(getattr(draft, name)) for name in FIELDS}


def _already(request: HttpRequest, already: invoices.BilledAlready) -> HttpResponse:
    messages.success(request, str(already))
    return redirect("bill", number=already.paper.number)
