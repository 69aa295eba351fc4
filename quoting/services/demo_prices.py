"""The demo's price book: an edition of some years ago, and the one of today."""

from __future__ import annotations

from decimal import Decimal

from django.db import transaction
from moneyed import Money

from quoting.core.rounding import ceil_to
from quoting.models import Edition, Pack
from quoting.services.demo_scene import Scene
from quoting.services.editions import keep_rows, publish_edition
from quoting.services.firm import current_firm
from quoting.services.starter_edition import create_starter_edition

STEP = Decimal("0.50")
"""What prices of packs go up to."""


def publish(scene: Scene) -> None:
    """Publish the starter edition, `at` this share of its prices of packs."""
    if Edition.objects.exclude(published_at=None).count() >= scene.act["edition"]:
        return
    scene.say("Writing the price book")
    share, currency = Decimal(scene.act.get("at", 1)), current_firm().currency
    with transaction.atomic():
        edition = create_starter_edition(currency=currency)
        if share != 1:
            packs = list(Pack.objects.filter(material__edition=edition))
            for pack in packs:
                pack.price = Money(ceil_to(pack.price.amount * share, STEP), currency)
            keep_rows(edition=edition, version=edition.version, rows=packs)
            edition.refresh_from_db()
        publish_edition(edition=edition, version=edition.version)
