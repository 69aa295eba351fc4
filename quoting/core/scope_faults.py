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
    """A scope can't be read or worked out. `faults` holds its faults, in the order in which they were found.

    Of a file with a great many, the last one says how many more there are: `unsaid`.
    """

    def __init__(self, faults: Sequence[Fault], unsaid: int = 0) -> None:
        more = [Fault("file", f"has {unsaid:,} more fault{'s' * (unsaid > 1)}; mend these first.")] if unsaid else []
        self.faults = (*faults, *more)
        super().__init__("\n".join(map(str, self.faults)))
