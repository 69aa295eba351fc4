"""What a rule of advice is made of."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from quoting.core.conditions import Always, Condition, Not
from quoting.core.finding_kinds import PRACTICE_SOURCE, Standing

ALWAYS = Always()
NEVER = Not(of=ALWAYS)


class Approach(StrEnum):
    """What can be done for a slab, from the least to the most, and to leave it."""

    RESEAL = "reseal"
    RE_WET = "re-wet"
    RECOLOUR = "recolour"
    SAND_AND_SEAL = "sand-and-seal"
    PENETRATE = "penetrate"
    ABRADE = "abrade"
    STRIP = "strip"
    DECLINE = "decline"

    @property
    def words(self) -> str:
        """As a page says it."""
        return {
            Approach.RESEAL: "wash and reseal",
            Approach.RE_WET: "re-wet the film with solvent",
            Approach.RECOLOUR: "recolour and seal",
            Approach.SAND_AND_SEAL: "sand the joints and seal",
            Approach.PENETRATE: "seal with something that soaks in",
            Approach.ABRADE: "abrade and recoat",
            Approach.STRIP: "strip and restore",
            Approach.DECLINE: "decline, or refer it to somebody else",
        }[self]


class Says(StrEnum):
    """What a rule says when it holds."""

    SUITS = "suits"
    RULES_OUT = "rules-out"
    TEST_FIRST = "test-first"
    EXCLUDE = "exclude"
    CAUTION = "caution"
    ALLOW = "allow"
    CONTRADICTION = "contradiction"


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """What to allow for: a share of the price between `low` and `high`, or a `unit_price` to be quoted, or both."""

    low: Decimal | None = None
    high: Decimal | None = None
    unit_price: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule: when it holds, what it says of which approaches, why, and what stands behind it.

    `tests` are the kinds of finding that a TEST_FIRST rule asks for. While it is not known if a rule holds, its
    approaches wait for a test, if `waits` may hold: never, where nobody can find out, such as what an owner before did.
    """

    id: str
    says: Says
    when: Condition
    sentence: str
    approaches: tuple[Approach, ...] = ()
    tests: tuple[str, ...] = ()
    waits: Condition = ALWAYS
    allowance: Allowance | None = None
    standing: Standing = Standing.PRACTICE
    source: str = PRACTICE_SOURCE
