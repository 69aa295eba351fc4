"""What is said before a proposal is issued: one remark each, with the place where it is mended."""

from __future__ import annotations

from dataclasses import dataclass

from quoting.models import Area, Option


@dataclass(frozen=True, slots=True)
class Point:
    """One thing to mend or to know; `stops` when nothing can be issued before it is mended.

    `area` or `option` says where it is mended; `firm` that it is on the page of the firm; `page` names another page:
    `rules` of the firm, `terms` of the draft, `photos`, `colours` and `place` of the folder, `found` and `advice` of
    the area.
    """

    sentence: str
    stops: bool
    area: Area | None = None
    option: Option | None = None
    firm: bool = False
    page: str = ""
