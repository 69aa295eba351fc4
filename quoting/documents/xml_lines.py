"""Writing XML in the order in which it is said: plain lines, and lines that hold others."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from decimal import Decimal

from quoting.core.rounding import round_money

AGGREGATE = "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2"
BASIC = "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"
NOT_IN_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Characters that XML 1.0 can't hold."""

for prefix, name in (("ubl", "Invoice"), ("cn", "CreditNote")):
    ET.register_namespace(prefix, f"urn:oasis:names:specification:ubl:schema:xsd:{name}-2")
ET.register_namespace("cac", AGGREGATE)
ET.register_namespace("cbc", BASIC)


class Lines:
    """An element of UBL under which lines are written: basic ones with words, aggregate ones with more lines."""

    def __init__(self, namespace: str, tag: str, currency: str, *, inside: ET.Element | None = None) -> None:
        self.currency = currency
        name = f"{{{namespace}}}{tag}"
        self.element = ET.Element(name) if inside is None else ET.SubElement(inside, name)

    def into(self, tag: str) -> Lines:
        """A new line that holds others."""
        return Lines(AGGREGATE, tag, self.currency, inside=self.element)

    def say(self, tag: str, words: str, **attributes: str) -> None:
        """A plain line; none where there is nothing to say."""
        said = " ".join(NOT_IN_XML.sub("", words).split())
        if said:
            clean = {name: " ".join(NOT_IN_XML.sub("", value).split()) for name, value in attributes.items()}
            ET.SubElement(self.element, f"{{{BASIC}}}{tag}", clean).text = said

    def money(self, tag: str, amount: Decimal) -> None:
        """A sum with the currency's decimals, and its code beside it."""
        self.say(tag, f"{round_money(amount, self.currency):f}", currencyID=self.currency)

    def bytes(self) -> bytes:
        """The whole file in UTF-8, indented."""
        ET.indent(self.element)
        text = ET.tostring(self.element, encoding="unicode")
        return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()
