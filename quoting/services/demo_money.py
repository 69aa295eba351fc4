"""Money in the demo's folders: bills, payments with their receipts, a credit note, a certificate of exemption."""

from __future__ import annotations

import io
from datetime import timedelta
from decimal import Decimal

from django.utils import timezone
from PIL import Image, ImageDraw, ImageFont

from quoting.core.books import from_minor
from quoting.models import Invoice, Job, Payment
from quoting.services.books import balances_of
from quoting.services.certificates import add_certificate
from quoting.services.credit_notes import credit_invoice, left_of
from quoting.services.demo_scene import Scene
from quoting.services.firm import current_firm
from quoting.services.invoices import draft_invoice, issue_invoice, keep_invoice
from quoting.services.payments import enter_payment
from quoting.services.receipts import issue_receipt


def bill(scene: Scene) -> None:
    """The folder's bill of that number in its order, over what is agreed next; it goes out by mail."""
    job = scene.job
    if Invoice.objects.filter(job=job).bills().count() >= scene.act["bill"]:
        return
    draft = draft_invoice(job=job, by=scene.office)
    if "done" in scene.act:
        draft = keep_invoice(invoice=draft, version=draft.version, done=Decimal(scene.act["done"]))
    scene.printing("a bill")
    issue_invoice(invoice=draft, version=draft.version, by=scene.office, mail_to=job.property.customer.email)


def pay(scene: Scene) -> None:
    """Money that comes in: the sum that is said, or all that is due; with a receipt where it is asked for."""
    job, once = scene.job, f"demo-{scene.number}-{scene.act['pay']}"
    payment = Payment.objects.filter(once=once).first()
    if payment is None:
        due = from_minor(balances_of(job).due.amount, current_firm().currency)
        payment = enter_payment(
            job=job,
            on=timezone.localdate(),
            method=scene.act["method"],
            amount=Decimal(scene.act.get("amount", due)),
            reference=scene.act.get("reference", ""),
            by=scene.office,
            once=once,
        )
    if scene.act.get("receipt"):
        scene.printing("a receipt")
        issue_receipt(payment=payment, by=scene.office, mail_to=job.property.customer.email)


def credit(scene: Scene) -> None:
    """A bill is taken back in whole."""
    job = scene.job
    row = _bill_of(job, scene.act["of"])
    left = left_of(row)
    if not left:
        return
    scene.printing("a credit note")
    credit_invoice(
        invoice=row,
        amount=left,
        left=left,
        reason=scene.words,
        by=scene.office,
        mail_to=job.property.customer.email,
    )


def certify(scene: Scene) -> None:
    """A certificate by which the customer pays no tax."""
    customer = scene.job.property.customer
    if customer.certificates.exists():
        return
    today = timezone.localdate()
    add_certificate(
        customer=customer,
        by=scene.office,
        content=_certificate(customer.name, scene.act["certificate"]),
        kind=scene.act["kind"],
        number=scene.act["certificate"],
        region=scene.row["place"].get("region", ""),
        valid_from=today - timedelta(days=200),
        valid_until=today + timedelta(days=530),
    )


def _bill_of(job: Job, place: int) -> Invoice:
    """The bill of that number in the folder's order."""
    return Invoice.objects.filter(job=job).bills().order_by("pk")[place - 1]


def _certificate(name: str, number: str) -> bytes:
    """A page as if it had been photographed: who is exempt, under which number."""
    page = Image.new("RGB", (620, 400), (250, 248, 242))
    draw = ImageDraw.Draw(page)
    lines = ("CERTIFICATE OF EXEMPTION", "", name, f"No. {number}", "", "Sales and use tax", "Invented, for the demo")
    for place, line in enumerate(lines):
        size = 34 if place == 0 else 24
        draw.text((44, 44 + place * 46), line, fill=(40, 38, 34), font=ImageFont.load_default(size))
    draw.rectangle((12, 12, 607, 387), outline=(120, 110, 90), width=3)
    written = io.BytesIO()
    page.save(written, "PNG", optimize=True)
    return written.getvalue()
