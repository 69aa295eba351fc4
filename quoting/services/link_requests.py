"""A homeowner who holds the paper asks for his private link: it goes to the address that the firm has."""

from __future__ import annotations

from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from quoting.documents.letters import first_words
from quoting.models import Job, Message, Paper, lock_row
from quoting.services.outbox import write_message

A_WHILE = timedelta(minutes=10)
"""Asked again within this, the mail that is on its way is enough."""


def mail_way_in(number: str) -> None:
    """Mail a fresh private link, if there is such a paper and an address; whoever asks isn't told whether there is."""
    papers = Paper.objects.filter(number=number).select_related("job__property__customer").defer("pdf", "facts")
    paper = papers.first()
    if paper is None or not paper.job.property.customer.email:
        return
    place = paper.job.property
    subject, words = first_words(
        "way_in", number=number, paper_name=paper.get_kind_display(), customer=place.customer.name, place=place.street
    )
    with transaction.atomic():
        lock_row(Job, paper.job_id)
        lately = Message.objects.filter(paper=paper, kind=Message.Kind.WAY_IN, written_at__gt=timezone.now() - A_WHILE)
        if not lately.exists():
            write_message(
                kind=Message.Kind.WAY_IN,
                to=place.customer.email,
                subject=subject,
                words=words,
                paper=paper,
                with_link=True,
            )
