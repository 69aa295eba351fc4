"""A letter that the papers' fonts lack is named on the page before anything is issued: never a box, never a crash."""

import pytest
from django.contrib.messages import get_messages
from django.test import Client

from customers.models import Customer, Property
from quoting.models import Paper
from tests.factories import OwnerFactory
from tests.sample_offer import ready_draft
from tests.sample_visits import planned_job

pytestmark = pytest.mark.django_db

NO_LETTER = "The paper's fonts have no letter for “{}” ({}). Write it in another way."


@pytest.mark.parametrize(("name", "letter", "code"), [
    ("王小明", "王", "U+738B"), ("דנה לוי", "י", "U+05D9"), ("Ana 🙂", "🙂", "U+1F642"),
])  # fmt: skip
def test_a_proposal_names_the_letter_that_it_can_not_print(name, letter, code):
    ines = OwnerFactory()
    draft = ready_draft(ines)
    Customer.objects.update(name=name)
    client = Client()
    client.force_login(ines)
    answer = client.get(f"/folders/{draft.job.number}/proposal/preview.pdf")
    assert (answer.status_code, [str(each) for each in get_messages(answer.wsgi_request)]) == (
        302, [NO_LETTER.format(letter, code)],
    )  # fmt: skip
    assert not Paper.objects.exists()


@pytest.mark.parametrize("sheet", ["pick-list", "mix-sheet"])
def test_a_crew_sheet_leads_back_and_names_the_letter(sheet):
    job = planned_job()
    Property.objects.update(street="1 王 Row")
    client = Client()
    client.force_login(job.opened_by)
    answer = client.get(f"/folders/{job.number}/visits/{sheet}.pdf")
    assert (answer.status_code, answer["Location"]) == (302, f"/folders/{job.number}/visits/")
    assert [str(each) for each in get_messages(answer.wsgi_request)] == [NO_LETTER.format("王", "U+738B")]
