"""What can be wrong with a scope: faults, each with its place, and the error that carries all of them."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a scope: where (`areas[0].parts[1].length`) and the sentence to show."""

    place: str
    sentence: str
    structural: bool = False

    def __str__(self) -> str:
        return f"{self.place}: {self.sentence}"


class ScopeFaults(ValueError):
    """A scope can't be read or worked out. `faults` holds every fault, in the order of the file."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(map(str, self.faults)))
