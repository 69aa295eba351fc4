"""Looking an offer over and signing it: the homeowner's two steps, each on its own page. Without a log-in."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from quoting.documents.agreed import Agreed, DoesNotAddUp, NotOffered, Offered
from quoting.documents.change_orders import offered_on
from quoting.documents.consent import consent_text, intent_text
from quoting.documents.contexts import drawn, sum_text
from quoting.documents.freeze import sha256_of
from quoting.documents.signature import SignatureRefused
from quoting.documents.stretches import PaymentStretch, draw_payments
from quoting.forms.acceptance import ChoiceForm, ConsentForm, SignForm
from quoting.models import PrivateLink, Proposal
from quoting.services import acceptance as acts
from quoting.services.accounts import TooManyTries, count_attempt
from quoting.views.accounts import network_address
from quoting.views.homeowner import address_of, offer_context, state_of, turned_back, with_choice
from quoting.views.homeowner_door import behind_the_door

State = Proposal.State
WIDE_PX, NARROW_PX = 520, 350


@behind_the_door
@require_http_methods(["GET", "HEAD", "POST"])
def your_review(request: HttpRequest, link: PrivateLink) -> HttpResponse:
    """Step one. A POST from the offer notes when, and leads on to the page that can be read again."""
    offered = offered_on(link.paper)
    form = ChoiceForm(request.POST if request.method == "POST" else request.GET, offered=offered)
    if not form.is_valid():
        return redirect("your-paper", number=link.paper.number)
    if "again" in request.POST:
        return HttpResponseRedirect(with_choice("your-paper", link, form.option, form.add_ons))
    if request.method == "POST":
        try:
            acts.review_offer(
                link=link, option=form.option, add_ons=form.add_ons, pdf_sha256=request.POST.get("pdf", "")
            )
        except (acts.Changed, acts.Closed, NotOffered, DoesNotAddUp) as fault:
            return turned_back(request, link, fault)
        return HttpResponseRedirect(with_choice("your-review", link, form.option, form.add_ons))
    if state_of(link.paper) != State.ISSUED:
        return redirect("your-paper", number=link.paper.number)
    consent = ConsentForm(has_pages=link.paper.pages)
    return _review_page(request, link, offered, form.option, form.add_ons, consent)


@behind_the_door
@require_POST
def your_consent(request: HttpRequest, link: PrivateLink) -> HttpResponse:
    """The end of step one: consent given and the paper opened, signed into what step two takes on."""
    offered = offered_on(link.paper)
    form = ChoiceForm(request.POST, offered=offered)
    if not form.is_valid():
        return redirect("your-paper", number=link.paper.number)
    consent = ConsentForm(request.POST, has_pages=link.paper.pages)
    if not consent.is_valid():
        return _review_page(request, link, offered, form.option, form.add_ons, consent, status=422)
    try:
        pdf = request.POST.get("pdf", "")
        agreed = acts.review_offer(link=link, option=form.option, add_ons=form.add_ons, pdf_sha256=pdf)
    except (acts.Changed, acts.Closed, NotOffered, DoesNotAddUp) as fault:
        return turned_back(request, link, fault)
    review = acts.Review(
        link=link.pk,
        pdf_sha256=pdf,
        option=agreed.option,
        add_ons=agreed.add_ons,
        total=f"{agreed.total:f}",
        consent_sha256=sha256_of(acts.consent_given(offered, consent.cleaned_data["pages"])),
        pages=consent.cleaned_data["pages"],
    )
    return HttpResponseRedirect(f"{address_of('your-sign', link)}?{urlencode({'review': review.signed()})}")


@behind_the_door
@require_http_methods(["GET", "HEAD", "POST"])
def your_sign(request: HttpRequest, link: PrivateLink) -> HttpResponse:
    """Step two, on its own page: the name, and the yes."""
    text = (request.POST if request.method == "POST" else request.GET).get("review", "")
    if request.method != "POST":
        if state_of(link.paper) != State.ISSUED:
            return redirect("your-paper", number=link.paper.number)
        return _sign_page(request, link, text, SignForm())
    form = SignForm(request.POST)
    if not form.is_valid():
        return _sign_page(request, link, text, form, status=422)
    try:
        count_attempt("yes", str(link.pk))
        acts.accept_offer(
            link=link,
            review=text,
            pdf_sha256=request.POST.get("pdf", ""),
            typed_name=form.cleaned_data["name"],
            signature=form.cleaned_data["signature"],
            address=network_address(request),
            user_agent=request.headers.get("User-Agent", ""),
        )
    except SignatureRefused as refused:
        form.add_error(None, str(refused))
        return _sign_page(request, link, text, form, status=422)
    except TooManyTries as tries:
        form.add_error(None, str(tries))
        return _sign_page(request, link, text, form, status=429)
    except (acts.NotReviewed, acts.Changed, acts.Closed, acts.LinkGone, NotOffered, DoesNotAddUp) as fault:
        return turned_back(request, link, fault)
    return redirect("your-paper", number=link.paper.number)


def _review_page(
    request: HttpRequest,
    link: PrivateLink,
    offered: Offered,
    option: int,
    add_ons: list[int],
    consent: ConsentForm,
    status: int = 200,
) -> HttpResponse:
    try:
        agreed = offered.agree(option, add_ons)
        cancel = offered.cancel_until(agreed.total, timezone.localdate())
    except (NotOffered, DoesNotAddUp) as fault:
        return turned_back(request, link, fault)
    context = offer_context(link, offered) | {
        "agreed": agreed,
        "choice": offered.choice(option),
        "form": consent,
        "areas": offered.areas(agreed),
        "consent": consent_text(offered.facts),
        "cancel_day": cancel[0] if cancel else None,
        "cancel_words": cancel[1] if cancel else "",
        "change": with_choice("your-paper", link, option, add_ons),
        "payments": _payments(agreed, WIDE_PX, "paid") if agreed.payments else None,
        "payments_narrow": _payments(agreed, NARROW_PX, "paid-narrow") if agreed.payments else None,
    }
    return render(request, "homeowner/review.html", context, status=status)


def _sign_page(request: HttpRequest, link: PrivateLink, text: str, form: SignForm, status: int = 200) -> HttpResponse:
    offered = offered_on(link.paper)
    try:
        seen = acts.read_review(text, link)
        agreed = offered.agree(seen.option, seen.add_ons)
    except (acts.NotReviewed, NotOffered, DoesNotAddUp) as fault:
        return turned_back(request, link, fault)
    context = offer_context(link, offered) | {
        "agreed": agreed,
        "review": text,
        "form": form,
        "intent": intent_text(offered.facts, agreed),
        "back": with_choice("your-review", link, seen.option, list(seen.add_ons)),
    }
    return render(request, "homeowner/sign.html", context, status=status)


def _payments(agreed: Agreed, width: int, prefix: str) -> dict[str, Any]:
    stretches = [
        PaymentStretch(
            words=f"{each.name}, {each.trigger}" if each.trigger and width == WIDE_PX else each.name,
            amount=each.amount,
            figure=sum_text(each.amount, agreed.currency),
        )
        for each in agreed.payments
    ]
    return drawn(draw_payments(stretches, width_px=width, prefix=prefix))
