"""One act of the demo with all that it needs: whose folder it is about, what is said of it, who there is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from quoting.models import Job, Paper, Role, User

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A folder's row with the act's own row; `today` is the day on which the demo is made, whatever its clock says."""

    row: Row
    act: Row
    people: Mapping[str, User]
    say: Callable[[str], None]
    today: date

    @property
    def number(self) -> str:
        """Of the folder."""
        number: str = self.row["number"]
        return number

    @property
    def job(self) -> Job:
        """The folder, read anew."""
        return Job.objects.with_place().get(number=self.number)

    @property
    def office(self) -> User:
        """Who answers the telephone, bills and writes."""
        return self.people[Role.OFFICE]

    @property
    def owner(self) -> User:
        """Who measures, prices and issues."""
        return self.people[Role.OWNER]

    @property
    def crew(self) -> User:
        """Who does the work."""
        return self.people[Role.CREW]

    @property
    def words(self) -> str:
        """What the act says, on one line."""
        return " ".join(self.act["words"].split())

    def paper(self, kind: str = Paper.Kind.PROPOSAL, revision: int | None = None) -> Paper:
        """A paper of the folder; without a revision the last that the demo gives it."""
        last = revision or len(self.row.get("revision", ()))
        return Paper.objects.get(job__number=self.number, kind=kind, revision=last)

    def printing(self, what: str) -> None:
        """Say what is printed, and for which street."""
        self.say(f"Printing {what} for {self.row['place']['street']}")
