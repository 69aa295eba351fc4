"""Change orders from draft to yes: worked out with what is agreed, numbered once, on the contract that stands."""

import json
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from threading import Barrier

import pytest
from django.db import connection

from quoting.core.change_orders import visits_in
from quoting.core.work_out import work_out
from quoting.documents.agreed import DoesNotAddUp
from quoting.documents.change_orders import OfferedChange, pack_changes
from quoting.models import (
    Acceptance,
    BookEntry,
    ChangedMeanwhile,
    ChangeOrder,
    Event,
    Job,
    Paper,
    PaperScope,
    Proposal,
    TaxRule,
)
from quoting.services import acceptance as acts
from quoting.services.change_orders import (
    NotDrafted,
    NotStanding,
    WrongWork,
    add_work,
    discard_change,
    keep_change,
    remove_work,
    withdraw_change,
)
from quoting.services.change_papers import IssuedAlready, issue_change
from quoting.services.change_scope import NotWorkable, agreed_scope, step_keys, work_out_change
from quoting.services.contracts import NoContract, contract_of, estimated_cost
from quoting.services.links import make_link
from quoting.services.verify import Counted, verify_all
from tests.factories import AreaFactory
from tests.frozen_rows import triggers_lifted
from tests.sample_answer import issued_paper, link_to
from tests.sample_change import agreed_job, drafted, ines, issued, reviewed_change, with_walk, yes

pytestmark = pytest.mark.django_db(transaction=True)
State = ChangeOrder.State


@pytest.fixture
def job() -> Job:
    return agreed_job()


def again(row: ChangeOrder) -> ChangeOrder:
    return ChangeOrder.objects.get(pk=row.pk)


def totals(job: Job) -> tuple[Decimal, Decimal, Decimal, int | None]:
    """Original, changes and now, tax included, and the days now."""
    contract = contract_of(job)
    assert contract is not None
    return contract.original.total, contract.changed.total, contract.now.total, contract.days_now


def test_the_walk_now_and_later(job):
    """Agreed 1,995.00 with tax 45.44. With the walk the same scope is 2,330.00 and 53.67: 335.00 and 8.23 more, tax
    included 343.23. Alone the least price, 650.00. No visit more: 3 of the 4 are shared."""
    of = work_out_change(with_walk(drafted(job)))
    assert (of.change.price, of.change.tax, of.change.total) == (Decimal("335.00"), Decimal("8.23"), Decimal("343.23"))
    assert (of.later.price, of.days, of.all_out) == (Decimal("650.00"), 0, False)
    assert totals(job) == (Decimal("2040.44"), Decimal("0"), Decimal("2040.44"), 4)


def test_a_yes_enters_the_contract_the_books_and_the_trail(job):
    paper = issued(with_walk(drafted(job)))
    acceptance = yes(paper)
    assert (paper.number, acceptance.total.amount, acceptance.deposit.amount) == ("0417-C1", Decimal("343.23"), 0)
    assert totals(job) == (Decimal("2040.44"), Decimal("343.23"), Decimal("2383.67"), 4)
    assert ("changed", 34323) in BookEntry.objects.filter(job=job).values_list("kind", "amount")
    told = list(Event.objects.filter(paper=paper).order_by("position").values_list("kind", flat=True))
    assert told == ["change-order issued", "change-order opened", "change-order accepted"]
    assert list(verify_all(Counted())) == []


def test_the_next_change_is_made_on_the_work_as_it_stands(job):
    yes(issued(with_walk(drafted(job))))
    scope = agreed_scope(job).scope
    assert scope is not None
    assert [area.name for area in scope.areas] == ["Pool deck", "Steps", "Front walk"]
    second = drafted(job, "No walk after all", out_areas=["Front walk"])
    # Taken out at what it was agreed at: 335.00 and its tax.
    assert work_out_change(second).change.total == Decimal("-343.23")
    yes(issued(second))
    assert (totals(job)[2], Paper.objects.filter(kind="change-order").count()) == (Decimal("2040.44"), 2)
    # What the walk was reckoned to cost comes on top, and goes again: the work's cost with it less that without it.
    walk = work_out(scope).price.of.cost - work_out(agreed_scope(job).original).price.of.cost
    assert estimated_cost(job)[-2:] == [("change 0417-C1", walk), ("change 0417-C2", -walk)]
    assert list(verify_all(Counted())) == []


def test_a_step_taken_out_is_a_deduction(job):
    scope = agreed_scope(job).scope
    assert scope is not None
    grit = next(key for key, _words in step_keys(scope) if "rit" in key)
    of = work_out_change(drafted(job, "No grit", out_steps=[grit]))
    # Grit was 1,995.00 − 1,930.00 = 65.00 and 45.44 − 43.52 = 1.92 of tax.
    assert (of.change.price, of.change.tax) == (Decimal("-65.00"), Decimal("-1.92"))


def test_the_whole_job_taken_out_takes_off_all_of_it(job):
    row = drafted(job, "Not this year", out_areas=["Pool deck", "Steps"])
    of = work_out_change(row)
    assert (of.change.total, of.days, of.all_out) == (Decimal("-2040.44"), -4, True)
    yes(issued(row))
    assert totals(job)[2:] == (Decimal("0.00"), 0)
    assert agreed_scope(job).scope is None
    with pytest.raises(NotWorkable, match="nothing is left to take out"):
        work_out_change(drafted(job, "Again", out_areas=["Steps"]))
    assert list(verify_all(Counted())) == []


def test_more_than_there_is_can_not_be_deducted(job):
    row = drafted(job, "A rebate", amount=Decimal("-1995.01"), amount_for="Rebate")
    with pytest.raises(NotWorkable, match=r"takes off 1995\.01 before tax; only 1995\.00 is agreed"):
        issued(row)
    assert (again(row).state, Paper.objects.filter(kind="change-order").count()) == (State.DRAFTED, 0)


def test_a_sum_and_days_outright(job):
    """The only tax is on materials, so a sum outright bears none."""
    row = drafted(job, "Rain", reason="weather", amount=Decimal("120.00"), amount_for="A second wash", days=2)
    yes(issued(row))
    assert totals(job) == (Decimal("2040.44"), Decimal("120.00"), Decimal("2160.44"), 6)


def test_nothing_changed_is_nothing_to_issue(job):
    with pytest.raises(NotWorkable, match="Say what changes"):
        issued(drafted(job))


def test_a_tax_changed_meanwhile_reaches_added_work_only_at_todays_prices(job):
    TaxRule.objects.update(rate=Decimal("0.08"))
    as_agreed = work_out_change(with_walk(drafted(job)))
    today = work_out_change(with_walk(drafted(job, prices="today")))
    assert [(tax.rate, tax.amount) for tax in as_agreed.change.taxes] == [(Decimal("0.0625"), Decimal("8.23"))]
    assert [tax.rate for tax in today.change.taxes] == [Decimal("0.08")]
    # The materials’ share is the same; 131.56 × 0.08 = 10.5248, but for the cent that each whole tax is rounded to.
    assert abs(today.change.tax - Decimal("10.52")) <= Decimal("0.01")


def test_an_area_that_is_not_measured_is_named(job):
    drive = AreaFactory(job=job, name="Drive", position=9)
    with pytest.raises(NotWorkable, match="Drive has not been measured yet"):
        work_out_change(with_walk(drafted(job), areas=(drive.name,)))


def test_what_a_step_lacks_is_said_with_its_name(job):
    """The deck's curved side leaves its edge unknown."""
    row = with_walk(drafted(job), system="wash-and-reseal", areas=("Pool deck",))
    with pytest.raises(NotWorkable, match="Mask edges: the edge of “Pool deck” is not known"):
        work_out_change(row)


def test_another_folders_area_is_refused(job):
    row = drafted(job)
    with pytest.raises(WrongWork):
        add_work(row=row, version=1, system=with_walk(drafted(job)).added.get().system, areas=[AreaFactory()])


def test_packs_before_and_after(job):
    of = work_out_change(with_walk(drafted(job)))
    changes = pack_changes(of.worked["before"], of.worked["after"])
    assert all(int(each["after"]) > int(each["before"]) for each in changes if each["before"] == "0")
    assert all("price" not in each for each in changes)
    assert "Masonry cleaner, mild" not in {each["material"] for each in changes}  # what is bought anyway is enough


def test_two_editors(job):
    row = drafted(job)
    keep_change(row=row, version=1, title="Walk")
    with pytest.raises(ChangedMeanwhile):
        keep_change(row=row, version=1, title="Steps")
    with pytest.raises(ChangedMeanwhile):
        discard_change(row=row, version=1)
    assert again(row).title == "Walk"


def test_work_is_taken_off_and_a_draft_thrown_away(job):
    row = with_walk(drafted(job))
    remove_work(row=row, version=row.version, pk=row.added.get().pk)
    row = again(row)
    assert not row.added.exists()
    discard_change(row=row, version=row.version)
    assert not ChangeOrder.objects.exists()


def test_an_issued_one_never_changes(job):
    row = with_walk(drafted(job))
    issued(row)
    row = again(row)
    for act in (keep_change, discard_change):
        with pytest.raises(NotDrafted):
            act(row=row, version=row.version)
    with pytest.raises(IssuedAlready):
        issue_change(row=row, version=row.version, by=ines())


def test_what_was_made_on_another_contract_is_superseded(job):
    first, second = issued(with_walk(drafted(job))), issued(drafted(job, "Rain", days=1))
    link = link_to(second)
    review = reviewed_change(link)
    yes(first)
    assert ChangeOrder.objects.get(paper=second).state == State.SUPERSEDED
    link.refresh_from_db()
    with pytest.raises(acts.Closed, match="superseded"):
        acts.accept_offer(link=link, review=review, pdf_sha256=second.pdf_sha256, typed_name="Priya Wexley")
    assert totals(job)[1] == Decimal("343.23")
    assert list(verify_all(Counted())) == []


def test_a_contract_that_changed_meanwhile_is_read_again(job):
    paper = issued(with_walk(drafted(job)))
    other = issued(drafted(job, "Rain", days=1))
    with triggers_lifted():  # as if nobody had superseded it
        yes(other)
        ChangeOrder.objects.filter(paper=paper).update(state=State.ISSUED)
    with pytest.raises(acts.Changed):
        reviewed_change(link_to(paper))


def test_accepted_twice_is_one_yes(job):
    paper = issued(with_walk(drafted(job)))
    assert yes(paper) == yes_again(paper)
    assert (Acceptance.objects.filter(paper=paper).count(), totals(job)[1]) == (1, Decimal("343.23"))


def yes_again(paper: Paper) -> Acceptance:
    link, _address = make_link(paper, None)
    return acts.accept_offer(link=link, review="", pdf_sha256=paper.pdf_sha256, typed_name="Priya Wexley")


def test_a_no_leaves_the_contract(job):
    paper = issued(with_walk(drafted(job)))
    acts.decline_offer(link=link_to(paper), reason="price", words="Too dear")
    assert (ChangeOrder.objects.get(paper=paper).state, totals(job)[1]) == (State.DECLINED, Decimal("0"))
    assert list(verify_all(Counted())) == []


def test_taken_back(job):
    row = with_walk(drafted(job))
    paper = issued(row)
    row = again(row)
    withdraw_change(row=row, version=row.version, by=ines(), because="Wrong area")
    with pytest.raises(acts.Closed):
        yes(paper)
    with pytest.raises(NotStanding):
        withdraw_change(row=again(row), version=again(row).version, by=ines())


def test_a_yes_to_the_proposal_that_is_taken_back_takes_the_changes_with_it():
    job = agreed_job(cooling_off=True)
    first, second = issued(with_walk(drafted(job))), issued(drafted(job, "Rain", days=1))
    yes(first)
    standing = issued(drafted(job, "Sun", days=-1))
    proposal = Proposal.objects.get(job=job)
    acts.cancel_acceptance(link=link_to(proposal.paper))
    assert contract_of(job) is None
    assert {each.paper.number: each.state for each in ChangeOrder.objects.select_related("paper")} == {
        first.number: State.ACCEPTED,
        second.number: State.SUPERSEDED,
        standing.number: State.SUPERSEDED,
    }


def test_a_changed_scope_is_found_and_nothing_is_accepted_on_it(job):
    paper = issued(with_walk(drafted(job)))
    with triggers_lifted():
        after = PaperScope.objects.get(paper=paper, role="after")
        text = after.scope.replace("39", "38")
        assert text != after.scope
        PaperScope.objects.filter(pk=after.pk).update(scope=text)
    with pytest.raises(DoesNotAddUp):
        OfferedChange(paper).change  # noqa: B018 (reading it reckons it)
    assert any(
        "0417-C1: facts: the change is not that of its frozen scopes" in fault for fault in verify_all(Counted())
    )


def test_two_are_issued_at_once_with_two_numbers(job):
    rows = [with_walk(drafted(job)), drafted(job, "Rain", days=1)]
    gate = Barrier(2)

    def go(row: ChangeOrder) -> str:
        try:
            gate.wait()
            return issued(row).number
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        numbers = sorted(pool.map(go, rows))
    assert numbers == ["0417-C1", "0417-C2"]
    assert list(verify_all(Counted())) == []


def test_two_changes_accepted_at_once_make_one_contract(job):
    papers = [issued(with_walk(drafted(job))), issued(drafted(job, "Rain", days=1))]
    links = [link_to(paper) for paper in papers]
    reviews = [reviewed_change(link) for link in links]
    gate = Barrier(2)

    def go(place: int) -> str:
        link, paper = links[place], papers[place]
        link.refresh_from_db()
        try:
            gate.wait()
            acts.accept_offer(link=link, review=reviews[place], pdf_sha256=paper.pdf_sha256, typed_name="Priya Wexley")
            return "accepted"
        except (acts.Closed, acts.Changed):
            return "refused"
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        assert sorted(pool.map(go, range(2))) == ["accepted", "refused"]
    assert sorted(ChangeOrder.objects.values_list("state", flat=True)) == [State.ACCEPTED, State.SUPERSEDED]
    assert list(verify_all(Counted())) == []


def test_days_are_the_visits_of_the_work(job):
    scope = agreed_scope(job).scope
    assert scope is not None
    assert len(visits_in(scope.work)) == 4


def test_no_personal_data_in_the_trail(job):
    yes(issued(with_walk(drafted(job, why="Mrs Wexley asked"))))
    told = " ".join(Event.objects.filter(kind__startswith="change-order").values_list("data", flat=True))
    assert "Wexley" not in told
    assert json.loads(Event.objects.filter(kind="change-order drafted").values_list("data", flat=True)[0]) == {
        "reason": "asked"
    }


def test_a_proposal_that_nobody_accepted_has_no_changes():
    with pytest.raises(NoContract):
        drafted(Job.objects.get(pk=issued_paper().job_id))
