"""Whether all that was issued or written down is still what it was: bytes, facts, scopes, numbers, states, trail."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from quoting.core.scope_faults import ScopeFaults
from quoting.core.scope_file import read_scope, write_scope
from quoting.core.units import parse_number
from quoting.core.work_out import work_out
from quoting.core.workings_file import workings_data
from quoting.documents.contexts import sum_text
from quoting.documents.freeze import canonical_json, count_pages, sha256_of
from quoting.documents.numbering import change_number, paper_number
from quoting.models import Entry, Event, Job, Paper, PaperScope, Proposal, Series
from quoting.services.certificates import certificate_faults
from quoting.services.issue import told_of
from quoting.services.trail import walk_chain
from quoting.services.verify_answers import answer_faults
from quoting.services.verify_books import MONEY_PAPERS, book_faults_of_all
from quoting.services.verify_changes import change_faults, change_state_faults
from quoting.services.verify_costs import extra_cost_faults
from quoting.services.verify_hand_over import hand_over_faults
from quoting.services.verify_offers import offer_faults, picture_faults, shown_faults
from quoting.services.verify_work import work_faults

SHOWN = 60


@dataclass(slots=True)
class Counted:
    """How much was looked at."""

    papers: int = 0
    scopes: int = 0
    proposals: int = 0
    events: int = 0
    entries: int = 0


def verify_all(counted: Counted) -> Iterator[str]:
    """Each fault as one sentence that names paper and place. One paper is in memory at a time."""
    for pk in Paper.objects.order_by("pk").values_list("pk", flat=True).iterator(chunk_size=500):
        paper = Paper.objects.select_related("job").get(pk=pk)
        counted.papers += 1
        yield from _paper_faults(paper, counted)
    yield from picture_faults()
    yield from _revision_faults()
    yield from _state_faults(counted)
    yield from change_state_faults()
    yield from answer_faults()
    yield from book_faults_of_all()
    counted.entries = Entry.objects.count()
    yield from work_faults()
    yield from extra_cost_faults()
    yield from hand_over_faults()
    yield from certificate_faults()
    yield from walk_chain()
    yield from _trail_end_faults(counted)


def _paper_faults(paper: Paper, counted: Counted) -> Iterator[str]:
    name = paper.number
    if sha256_of(bytes(paper.pdf)) != paper.pdf_sha256:
        yield f"{name}: pdf: its bytes do not have the SHA-256 that was kept"
    elif count_pages(bytes(paper.pdf)) != paper.pages:
        yield f"{name}: pages: the PDF has {count_pages(bytes(paper.pdf))}, not {paper.pages}"
    if sha256_of(paper.facts) != paper.facts_sha256:
        yield f"{name}: facts: the text does not have the SHA-256 that was kept"
    if paper.kind in MONEY_PAPERS or paper.kind == Paper.Kind.HAND_OVER:
        yield from _trail_faults(paper, [])
        yield from shown_faults(paper)
        return
    if paper.number != _number_of(paper):
        yield f"{name}: number: revision {paper.revision} of folder {paper.job.number} has another number"
    scopes = []
    prices: dict[tuple[str, str], dict[str, Any]] = {}
    for each in PaperScope.objects.filter(paper=paper).order_by("position").iterator(chunk_size=1):
        counted.scopes += 1
        yield from _scope_faults(paper, each)
        prices[each.role, each.name] = _price(each)
        each.scope = each.workings = ""
        scopes.append(each)
    yield from _trail_faults(paper, scopes)
    if paper.kind == Paper.Kind.CHANGE:
        yield from change_faults(paper)
        return
    yield from _figure_faults(paper, prices)
    yield from offer_faults(paper)


def _number_of(paper: Paper) -> str:
    """The number that a proposal or a change order of this folder and place in its series has."""
    numbered = change_number if paper.kind == Paper.Kind.CHANGE else paper_number
    return numbered(paper.job.number, paper.revision)


def _scope_faults(paper: Paper, row: PaperScope) -> Iterator[str]:
    place = f"{paper.number}: scope {row.position} ({row.role}, {row.name})"
    if sha256_of(row.workings) != row.workings_sha256:
        yield f"{place}: workings: the text does not have the SHA-256 that was kept"
    if sha256_of(row.scope) != row.scope_sha256:
        yield f"{place}: scope: the text does not have the SHA-256 that was kept"
    try:
        scope = read_scope(row.scope)
        workings = canonical_json(workings_data(work_out(scope)))
    except ScopeFaults as faults:
        yield f"{place}: scope: can't be read or worked out: {str(faults)[:200]}"
        return
    if write_scope(scope) != row.scope:
        yield f"{place}: scope: reads back to another text"
    if workings != row.workings:
        yield f"{place}: workings: working the scope out again gives other figures"


def _price(row: PaperScope) -> dict[str, Any]:
    try:
        price: dict[str, Any] = json.loads(row.workings)["price"]
    except (ValueError, KeyError, TypeError):
        return {}
    return price


def _trail_faults(paper: Paper, scopes: list[PaperScope]) -> Iterator[str]:
    """Each field of the paper against what the trail kept when it was issued."""
    event = Event.objects.filter(paper=paper, kind__endswith=" issued").first()
    if event is None:
        yield f"{paper.number}: the trail does not tell that it was issued"
        return
    told = _data_of(event)
    now = told_of(paper, [])
    for field in now:
        if field != "scopes" and told.get(field) != now[field]:
            yield f"{paper.number}: {field}: is {_shown(now[field])}, was issued as {_shown(told.get(field))}"
    if event.job_id != paper.job_id or event.actor_id != paper.issued_by_id:
        yield f"{paper.number}: job or issued_by: the trail tells of another"
    kept = {row["position"]: row for row in told.get("scopes", [])}
    have: dict[int, dict[str, Any]] = {row["position"]: row for row in _told_scopes(paper, scopes)}
    for position in sorted(kept.keys() | have.keys()):
        yield from _told_scope_faults(paper, position, kept.get(position), have.get(position))


def _told_scopes(paper: Paper, scopes: list[PaperScope]) -> list[dict[str, Any]]:
    found: Any = told_of(paper, scopes)["scopes"]
    return list(found)


def _told_scope_faults(
    paper: Paper, position: int, kept: dict[str, Any] | None, have: dict[str, Any] | None
) -> Iterator[str]:
    if kept is None or have is None:
        yield f"{paper.number}: scope {position}: {'was added since' if kept is None else 'is missing'}"
        return
    for field, value in kept.items():
        if have[field] != value:
            yield (
                f"{paper.number}: scope {position}: {field}: is {_shown(have[field])}, was issued as {_shown(value)}"
            )


def _figure_faults(paper: Paper, prices: dict[tuple[str, str], dict[str, Any]]) -> Iterator[str]:
    """The prices that stand on the paper against those of the workings kept with it."""
    try:
        facts = json.loads(paper.facts)
        said = {each["name"]: (each["price"], each["total"]) for each in facts["options"]}
        currency = facts["currency"]
    except (ValueError, KeyError, TypeError):
        yield f"{paper.number}: facts: can't be read"
        return
    if facts.get("number") != paper.number:
        yield f"{paper.number}: facts: they are those of {_shown(facts.get('number'))}"
    for (role, name), price in prices.items():
        if role != "option":
            continue
        try:
            worked = tuple(sum_text(parse_number(price[key]), currency) for key in ("price", "total"))
        except (KeyError, ValueError):
            worked = ()
        if said.get(name) != worked:
            yield f"{paper.number}: facts: the price of {name} is not that of its workings"


def _revision_faults() -> Iterator[str]:
    """Every folder's revisions, from 1 to its counter, without a gap."""
    jobs = Job.objects.order_by("pk").values_list("pk", "number", "last_revision")
    for pk, number, last in jobs.iterator(chunk_size=500):
        papers = Paper.objects.filter(job=pk, kind=Paper.Kind.PROPOSAL)
        found = set(papers.values_list("revision", flat=True))
        for revision in sorted(set(range(1, last + 1)) - found):
            yield f"{paper_number(number, revision)}: is missing: the folder counts {last}"
        for revision in sorted(found - set(range(1, last + 1))):
            yield f"{paper_number(number, revision)}: revision {revision} is beyond what the folder counts, {last}"


def _state_faults(counted: Counted) -> Iterator[str]:
    """Each proposal's state against the last thing that the trail tells of its paper."""
    states = {f"proposal {state}": state for state in Proposal.State.values}
    rows = Proposal.objects.exclude(paper=None).order_by("pk").values("state", "paper__number", "paper")
    for proposal in rows.iterator(chunk_size=500):
        counted.proposals += 1
        events = Event.objects.filter(paper=proposal["paper"], kind__in=states).order_by("-position")
        kind = events.values_list("kind", flat=True).first()
        if kind is not None and states[kind] != proposal["state"]:
            yield f"{proposal['paper__number']}: state: is {proposal['state']}, the trail tells {states[kind]}"
    for number in Paper.objects.filter(kind=Paper.Kind.PROPOSAL, proposal=None).values_list("number", flat=True):
        yield f"{number}: state: no proposal belongs to it"


def _trail_end_faults(counted: Counted) -> Iterator[str]:
    """The last event against the trail's counter: one that was cut off at the end leaves no broken link."""
    counted.events = Event.objects.count()
    last = Event.objects.order_by("-position").values_list("position", flat=True).first() or 0
    counter = Series.objects.filter(name="trail").values_list("last", flat=True).first() or 0
    if last != counter:
        yield f"trail: the last event is {last}, but {counter} were counted"


def _data_of(event: Event) -> dict[str, Any]:
    try:
        data = json.loads(event.data)
    except ValueError:
        return {}
    return data if isinstance(data, dict) else {}


def _shown(value: object) -> str:
    text = str(value)
    return text if len(text) <= SHOWN else f"{text[:SHOWN]} …"
