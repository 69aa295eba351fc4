"""A homeowner who has the paper but not the mail asks for his private link: it goes to the address that the firm has."""

from __future__ import annotations

from django.db import transaction

from quoting.documents.letters import first_words
from quoting.models import Message, Paper
from quoting.services.outbox import write_message


def request_link(*, number: str) -> None:
    """Mail a fresh link to the paper's customer, if there is such a paper and an address; nothing tells which."""
    papers = Paper.objects.filter(number=number).select_related("job__property__customer").defer("pdf", "facts")
    paper = papers.first()
    if paper is None or not paper.job.property.customer.email:
        return
    place = paper.job.property
    subject, words = first_words("fresh_link", number=number, place=place.street, customer=place.customer.name)
    with transaction.atomic():
        write_message(
            kind=Message.Kind.ANSWER, to=place.customer.email, subject=subject, words=words, paper=paper, with_link=True
        )
