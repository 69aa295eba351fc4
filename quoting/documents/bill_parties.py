"""Who bills whom, and where the work is, in pieces that a machine reads: kept with each bill beside its words."""

from __future__ import annotations

from quoting.documents.contexts import Facts, lines_of
from quoting.models import Firm, Job


def parties_of(firm: Firm, job: Job) -> Facts:
    """The firm, the customer and the place of the work, piece by piece. Customers are taken to live in the firm's
    country: the service has no other place to say so."""
    place = job.property
    where = {
        "street": place.street,
        "town": place.town,
        "region": place.region,
        "postcode": place.postcode,
        "country": firm.country,
    }
    customer = place.customer
    post = lines_of(customer.post_address)
    return {
        "seller": {
            "name": firm.name,
            "street": firm.street,
            "town": firm.town,
            "region": firm.region,
            "postcode": firm.postcode,
            "country": firm.country,
            "registration": firm.registration or firm.licence,
            "phone": firm.phone,
            "email": firm.email,
        },
        "buyer": {"name": customer.name, "lines": post, "country": firm.country} if post else
        {"name": customer.name, "lines": [], **where},
        "place": where,
    }  # fmt: skip
