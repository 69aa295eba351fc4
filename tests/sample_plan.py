"""The invented plan that the plan's tests draw: a pool deck, three steps, a front walk with its landing."""

from decimal import Decimal

from quoting.core.shapes import Circle, Offsets, Quadrilateral, Rectangle, Steps
from quoting.documents.plan import PlanArea, PlanPart

SQUARE_FOOT = Decimal("0.09290304")


def tape(feet: int, inches: str = "0") -> Decimal:
    """Feet and inches in metres: an inch is 0.0254 m exactly."""
    return (feet * 12 + Decimal(inches)) * Decimal("0.0254")


def deck() -> PlanArea:
    heights = (
        tape(0),
        tape(2, "1"),
        tape(3, "5"),
        tape(4, "2"),
        tape(4, "5"),
        tape(4, "2"),
        tape(3, "5"),
        tape(2, "1"),
    )
    parts = (
        PlanPart(name="Deck", shape=Rectangle(length=tape(32), width=tape(14, "6"))),
        PlanPart(name="Curve", place="above", shape=Offsets(spacing=tape(4), offsets=(*heights, tape(0)))),
        PlanPart(name="planter", kind="deduct", shape=Circle(diameter=tape(6)), x=tape(25), y=tape(7)),
    )
    return PlanArea(
        letter="A", name="Pool deck", surface="stamped concrete", parts=parts, net=Decimal("532.39") * SQUARE_FOOT
    )


def steps() -> PlanArea:
    part = PlanPart(name="Steps", shape=Steps(count=3, width=tape(5), tread=tape(1), riser=tape(0, "7")))
    return PlanArea(letter="B", name="Steps", surface="steps", parts=(part,), net=Decimal("23.75") * SQUARE_FOOT)


def walk(*, q: str = "4.5", mark: str = "") -> PlanArea:
    sides = {"a": tape(6, "2"), "b": tape(5, "8"), "c": tape(6, "4"), "d": tape(5, "6.5"), "p": tape(8, "5")}
    parts = (
        PlanPart(name="Walk", shape=Rectangle(length=tape(24, "3"), width=tape(4, "2"))),
        PlanPart(name="Landing", shape=Quadrilateral(**sides, q=tape(8, q)), mark=mark),
    )
    return PlanArea(
        letter="C", name="Front walk", surface="concrete pavers", parts=parts, net=Decimal("136.06") * SQUARE_FOOT
    )


def whole() -> tuple[PlanArea, ...]:
    return deck(), steps(), walk()
