"""Price lists: a CSV file of materials is read into a draft, a report first, then all of it or nothing.

What the file doesn't name stays as it is. The same file twice is one import.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone
from moneyed import Money

from customers.csv_cells import LARGEST_FILE
from quoting.models import Edition, Material, Pack, PriceList
from quoting.services.editions import EditionFrozen, changing
from quoting.services.price_list_file import Fault, Line, Report, pack_of, read_materials
from quoting.services.pricebook import PriceBook, read_book


class PriceListFaults(Exception):
    """A file of materials can't be taken over; `faults` says why, with the lines."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__(" ".join(fault.sentence for fault in faults))


class TakenAlready(Exception):
    """The same file was taken over before; nothing has happened a second time."""

    def __init__(self, price_list: PriceList) -> None:
        super().__init__(f"{price_list.name} was taken over before. Nothing has happened a second time.")


def keep_price_list(*, edition: Edition, name: str, content: bytes) -> PriceList:
    """Keep a file beside a draft until it is taken over; one that waits is replaced.

    Raises EditionFrozen, PriceListFaults when the file is too large, or TakenAlready.
    """
    if not edition.is_drafted:
        raise EditionFrozen(edition)
    if len(content) > LARGEST_FILE:
        raise PriceListFaults([Fault(0, "", "The file is larger than 10 MB.")])
    sha256 = hashlib.sha256(content).hexdigest()
    with transaction.atomic():
        if taken := edition.price_lists.filter(sha256=sha256, taken_at__isnull=False).first():
            raise TakenAlready(taken)
        edition.price_lists.filter(taken_at=None).exclude(sha256=sha256).delete()
        kept, _ = PriceList.objects.update_or_create(
            edition=edition, sha256=sha256, defaults={"name": name[:120] or "materials.csv", "content": content}
        )
    return kept


def take_price_list(*, price_list: PriceList, version: int, currency: str) -> Report:
    """Write everything that a kept file says into its draft, or nothing.

    Raises EditionFrozen, ChangedMeanwhile, PriceListFaults, or TakenAlready.
    """
    with changing(price_list.edition, version) as edition:
        held = PriceList.objects.get(pk=price_list.pk)
        if held.taken_at:
            raise TakenAlready(held)
        book = read_book(edition)
        report = read_materials(bytes(held.content), book)
        if report.faults:
            raise PriceListFaults(report.faults)
        _write(report.lines, book, currency)
        held.content, held.taken_at = b"", timezone.now()
        held.save(update_fields=["content", "taken_at"])
    return report


def _write(lines: Sequence[Line], book: PriceBook, currency: str) -> None:
    materials = dict(book.materials)
    new: list[Material] = []
    packs: list[Pack] = []
    dearer: list[Pack] = []
    for line in lines:
        words = {"name": line.name, "group": line.group, "kept_in": line.kept_in}
        material = materials.get(line.key)
        if material is None:
            position = min(len(materials), 32_000)
            material = Material(edition=book.edition, key=line.key, kind=line.kind, position=position, **words)
            materials[line.key] = material
            new.append(material)
        elif material.pk and words != {name: getattr(material, name) for name in words}:
            for name, value in words.items():
                setattr(material, name, value)
            material.save(update_fields=list(words))
        pack = pack_of(material, line) if material.pk else None
        if pack is None:
            packs.append(Pack(material=material, size=line.size, unit=line.unit, price=Money(line.price, currency)))
        elif pack.price.amount != line.price:
            pack.price = Money(line.price, pack.price.currency)
            dearer.append(pack)
    Material.objects.bulk_create(new, batch_size=500)
    Pack.objects.bulk_create(packs, batch_size=500)
    Pack.objects.bulk_update(dearer, ["price"], batch_size=200)
