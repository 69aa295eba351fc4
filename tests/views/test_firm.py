"""The firm's pages as owner, office and crew meet them."""

import io
from decimal import Decimal

import pytest
from PIL import Image
from pytest_django.asserts import assertContains, assertRedirects

from quoting.models import Firm, PaymentTerm, Role, TaxRule
from tests.factories import CrewFactory, FirmFactory, OwnerFactory, UserFactory
from tests.services.test_firm import issue_a_paper

pytestmark = pytest.mark.django_db

PAGES = ["", "name/", "look/", "logo/", "pricing/", "tax/", "payments/", "words/"]
PRICING = {
    "version": "1", "crew_size": "2", "hourly_cost": "39.00", "overhead": "15", "profit_kind": "margin",
    "profit": "30", "minimum": "0.00", "round_to": "0.00",
}  # fmt: skip
OPENED_PRICING = {f"initial-{name}": value for name, value in PRICING.items() if name != "version"}
TAX = {"tax-TOTAL_FORMS": "1", "tax-INITIAL_FORMS": "0", "version": "1", "had": ""}
STATE = {"tax-0-name": "State tax", "tax-0-rate": "6.25", "tax-0-on": "materials", "tax-0-active": "on"}


@pytest.fixture
def owner(client):
    ines = OwnerFactory()
    client.force_login(ines)
    return client


@pytest.fixture
def firm():
    return FirmFactory()


def terms(*rows: tuple[str, str], **more: str) -> dict[str, str]:
    """What the page of payment terms sends."""
    sent = {"term-TOTAL_FORMS": str(len(rows)), "term-INITIAL_FORMS": "0", "version": "1", "had": ""}
    for at, (name, share) in enumerate(rows):
        sent |= {f"term-{at}-name": name, f"term-{at}-trigger": "then", f"term-{at}-share": share}
        sent |= {f"term-{at}-ORDER": str(at + 1)}
    return sent | more


def logo(size=(40, 20), kind="PNG") -> io.BytesIO:
    written = io.BytesIO()
    Image.new("RGB", size, "#8a2b17").save(written, kind)
    written.seek(0)
    written.name = "logo.whatever"
    return written


def faults(response) -> dict[str, list[str]]:
    return dict(response.context["form"].errors)


# who may


@pytest.mark.parametrize("page", PAGES)
def test_the_crew_sees_nothing_of_the_firm(client, firm, page):
    client.force_login(CrewFactory())
    assert client.get(f"/firm/{page}").status_code == 403


def test_the_office_reads_and_does_not_edit(client, firm):
    client.force_login(UserFactory())
    page = client.get("/firm/")
    assertContains(page, "2 Kiln Lane")
    assert b"/firm/pricing/" not in page.content
    assert {client.get(f"/firm/{page}").status_code for page in PAGES[1:]} == {403}
    assert {client.post(f"/firm/{page}", {}).status_code for page in PAGES[1:]} == {403}


@pytest.mark.parametrize("rows", [1, 3])
def test_the_page_asks_as_often_whatever_it_shows(owner, firm, rows, django_assert_num_queries):
    for at in range(rows):
        TaxRule.objects.create(firm=firm, name=f"Tax {at}", rate=Decimal("0.01"))
        PaymentTerm.objects.create(firm=firm, name=f"Part {at}", trigger="then", share=Decimal("0.2"))
    with django_assert_num_queries(5):  # session, user, firm, taxes, payments
        owner.get("/firm/")


# set up for the first time


def test_before_there_is_a_firm_the_owner_is_told_where_to_begin(owner):
    assertContains(owner.get("/firm/"), "Write down the name")
    assertRedirects(owner.get("/firm/tax/"), "/firm/")


def test_the_office_is_told_that_the_owner_begins(client):
    client.force_login(UserFactory())
    assertContains(client.get("/firm/"), "The owner begins")


def test_the_first_name_sets_the_firm_up_and_leads_to_its_prices(owner):
    assertRedirects(owner.post("/firm/name/", {"name": "Ferrow & Daughter", "version": "1"}), "/firm/pricing/")
    assert Firm.objects.values_list("name", flat=True).get() == "Ferrow & Daughter"


# name


def test_a_name_is_needed_and_what_was_typed_is_kept(owner, firm):
    page = owner.post("/firm/name/", {"name": "", "town": "Larkmere", "email": "no", "version": "1"})
    assert page.status_code == 422
    assert faults(page).keys() == {"name", "email"}
    assertContains(page, 'value="Larkmere"', status_code=422)


def test_two_who_changed_the_name_see_what_differs_and_nothing_is_overwritten(owner, firm):
    Firm.objects.update(name="Ferrow and Daughter", version=2)
    mine = {"name": "Ferrow", "initial-name": "Ferrow & Daughter", "version": "1"}
    mine |= {"street": "2 Kiln Lane", "initial-street": "2 Kiln Lane", "town": "Larkmere", "initial-town": "Larkmere"}
    mine |= {"country": "US", "initial-country": "US"}
    page = owner.post("/firm/name/", mine)
    assert page.status_code == 409
    assert page.context["rows"] == [("Name", "Ferrow & Daughter", "Ferrow and Daughter", "Ferrow")]
    assert Firm.objects.get().name == "Ferrow and Daughter"


def test_somebody_elses_change_of_other_words_is_no_matter(owner, firm):
    Firm.objects.update(weather_rule="No rain.", version=2)
    assertRedirects(owner.post("/firm/pricing/", PRICING | OPENED_PRICING | {"profit": "35"}), "/firm/")
    now = Firm.objects.get()
    assert (now.profit, now.weather_rule, now.version) == (Decimal("0.35"), "No rain.", 3)


# look


def test_the_currency_can_not_be_changed_once_a_paper_was_issued(owner, firm):
    issue_a_paper()
    sent = {"accent": "#1144cc", "paper_size": "a4", "units": "us", "currency": "CAD", "version": "1"}
    owner.post("/firm/look/", sent)
    now = Firm.objects.get()
    assert (now.currency, now.accent, now.paper_size) == ("USD", "#1144cc", "a4")
    assertContains(owner.get("/firm/look/"), "so it stays")


@pytest.mark.parametrize("colour", ["red", "#12", "#gggggg", "8a2b17", "#abc", "#8a2b1;"])
def test_what_is_no_colour_is_refused_beside_its_field(owner, firm, colour):
    page = owner.post("/firm/look/", {"accent": colour, "paper_size": "a4", "units": "us", "currency": "USD"})
    assert faults(page).keys() == {"accent"}


def test_the_accent_is_a_style_sheet_of_the_sites_own_that_is_sent_once(client, firm):
    Firm.objects.update(accent="#1144cc")
    first = client.get("/firm/accent.css")
    assert first["Content-Type"] == "text/css; charset=utf-8"
    assert b"--oxide: #1144cc" in first.content
    again = client.get("/firm/accent.css", headers={"if-none-match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    Firm.objects.update(accent="#117711")
    assert client.get("/firm/accent.css", headers={"if-none-match": first["ETag"]}).status_code == 200


def test_before_there_is_a_firm_the_look_wears_its_own_colour(client):
    assert client.get("/firm/accent.css").status_code == 200


# logo


def test_a_logo_is_kept_as_a_png_whatever_it_came_as(owner, firm):
    sent = {"version": "1", "logo": logo((2400, 600), "JPEG"), "logo_words": "A kiln between two pines"}
    assertRedirects(owner.post("/firm/logo/", sent), "/firm/")
    answer = owner.get("/firm/logo.png")
    assert answer["Content-Type"] == "image/png"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert Image.open(io.BytesIO(answer.content)).size == (1200, 300)
    assertContains(owner.get("/firm/"), 'alt="A kiln between two pines"')


def test_a_logo_needs_words_for_those_who_can_not_see_it(owner, firm):
    page = owner.post("/firm/logo/", {"version": "1", "logo": logo()})
    assert page.context["logo_form"].errors.keys() == {"logo_words"}
    assert owner.get("/firm/logo.png").status_code == 404


def test_what_is_no_picture_is_refused_beside_its_field(owner, firm):
    sent = {"version": "1", "logo": io.BytesIO(b"<svg onload='x'/>"), "logo_words": "x"}
    sent["logo"].name = "logo.png"
    page = owner.post("/firm/logo/", sent)
    assert page.context["logo_form"].errors["logo"] == [
        "This is not a PNG or JPEG picture. Save the logo as one of the two."
    ]


def test_a_logo_can_be_taken_away(owner, firm):
    owner.post("/firm/logo/", {"version": "1", "logo": logo(), "logo_words": "A kiln"})
    owner.post("/firm/logo/", {"version": "2", "remove": "on", "logo_words": "A kiln"})
    assert Firm.objects.values_list("logo", "logo_words").get() == (None, "")


def test_a_logo_sent_after_somebody_elses_change_is_not_taken_unseen(owner, firm):
    Firm.objects.update(version=2)
    page = owner.post("/firm/logo/", {"version": "1", "logo": logo(), "logo_words": "A kiln"})
    assert page.status_code == 422
    assert Firm.objects.get().logo is None
    assertContains(page, 'name="version" value="2"', status_code=422)


# pricing


def test_margin_and_markup_are_told_as_each_other(owner, firm):
    page = owner.post("/firm/pricing/", PRICING | {"look": "1"}, headers={"hx-request": "true"})
    assertContains(page, "markup of 42.86\u00a0%")  # 30 ÷ 70
    page = owner.post(
        "/firm/pricing/", PRICING | {"look": "1", "profit_kind": "markup"}, headers={"hx-request": "true"}
    )
    assertContains(page, "margin of 23.08\u00a0%")  # 30 ÷ 130
    assert Firm.objects.get().version == 1


def test_looking_works_without_script_too_and_keeps_nothing(owner, firm):
    page = owner.post("/firm/pricing/", PRICING | {"look": "1", "profit": "50"})
    assertContains(page, "markup of 100.00\u00a0%")
    assertContains(page, 'name="profit" value="50"')
    assert Firm.objects.get().profit == Decimal("0.30")


def test_a_margin_that_must_be_a_markup_is_asked_about(owner, firm):
    page = owner.post("/firm/pricing/", PRICING | {"profit": "120"})
    assert faults(page)["profit"] == [
        "A margin of 120 % is hardly right: it is a share of the price. Did you mean a markup, a share of the cost?"
    ]


@pytest.mark.parametrize("typed", ["1e3", "NaN", "１２", "--1", "9" * 40, "1,5", "\0"])
def test_what_is_no_number_is_refused_beside_its_field(owner, firm, typed):
    page = owner.post("/firm/pricing/", PRICING | {"hourly_cost": typed})
    assert faults(page).keys() == {"hourly_cost"}


# tax


def test_a_tax_is_kept_with_its_date_and_source(owner, firm):
    more = {"tax-0-as_of": "2026-05-01", "tax-0-source": "State leaflet 12"}
    assertRedirects(owner.post("/firm/tax/", TAX | STATE | more), "/firm/")
    assert [(rule.name, rule.rate, rule.on, rule.source) for rule in TaxRule.objects.all()] == [
        ("State tax", Decimal("0.0625"), "materials", "State leaflet 12")
    ]
    assertContains(owner.get("/firm/"), "have it checked by your adviser")


def test_two_taxes_of_one_name_are_refused(owner, firm):
    twice = STATE | {name.replace("-0-", "-1-"): value for name, value in STATE.items()}
    page = owner.post("/firm/tax/", TAX | twice | {"tax-TOTAL_FORMS": "2"})
    assertContains(page, "Two taxes of one region have the same name", status_code=422)


def test_a_tax_of_one_name_may_have_a_rate_for_each_region(owner, firm):
    kent = STATE | {"tax-0-region": "Kent", "tax-0-places": "Ashby;02740 \n"}
    other = {name.replace("-0-", "-1-"): value for name, value in STATE.items()} | {"tax-1-region": "Bristol"}
    assertRedirects(owner.post("/firm/tax/", TAX | kent | other | {"tax-TOTAL_FORMS": "2"}), "/firm/")
    assert list(TaxRule.objects.values_list("name", "region", "places")) == [
        ("State tax", "Kent", "Ashby, 02740"),
        ("State tax", "Bristol", ""),
    ]
    assertContains(owner.get("/firm/"), "<td>Kent: Ashby, 02740</td>", html=True)


@pytest.mark.parametrize("region", ["", "kent"])
def test_one_name_twice_where_both_taxes_may_hold_is_refused(owner, firm, region):
    kent = STATE | {"tax-0-region": "Kent"}
    other = {name.replace("-0-", "-1-"): value for name, value in STATE.items()} | {"tax-1-region": region}
    page = owner.post("/firm/tax/", TAX | kent | other | {"tax-TOTAL_FORMS": "2"})
    assertContains(page, "Two taxes of one region have the same name", status_code=422)


def test_a_tax_is_struck_out(owner, firm):
    TaxRule.objects.create(firm=firm, name="State tax", rate=Decimal("0.0625"), on="materials")
    sent = TAX | STATE | {"tax-INITIAL_FORMS": "1", "tax-0-DELETE": "on"}
    owner.post("/firm/tax/", sent)
    assert not TaxRule.objects.exists()


def test_two_who_changed_the_taxes_see_what_differs(owner, firm):
    TaxRule.objects.create(firm=firm, name="Town tax", rate=Decimal("0.01"))
    Firm.objects.update(version=2)
    page = owner.post("/firm/tax/", TAX | STATE)
    assert page.status_code == 409
    assert page.context["rows"] == [
        (
            "Row 1",
            "",
            "Town tax: 1 % on the whole price, no date, no source",
            "State tax: 6.25 % on the materials’ share, no date, no source",
        )
    ]
    assert [rule.name for rule in TaxRule.objects.all()] == ["Town tax"]


# payments


def test_the_last_payment_may_stay_empty_and_takes_what_is_left(owner, firm):
    assertRedirects(owner.post("/firm/payments/", terms(("Deposit", "30"), ("Balance", ""))), "/firm/")
    assert list(PaymentTerm.objects.values_list("name", "share")) == [
        ("Deposit", Decimal("0.30")),
        ("Balance", Decimal("0.70")),
    ]


def test_shares_that_do_not_come_to_the_whole_are_refused(owner, firm):
    page = owner.post("/firm/payments/", terms(("Deposit", "30"), ("Balance", "60")))
    # 30 + 60 = 90
    assert page.context["formset"].non_form_errors() == [
        "The shares come to 90 %, not 100 %. Leave “Balance” empty, and it takes the 70 % that are left."
    ]


def test_payments_stand_in_the_order_that_was_typed(owner, firm):
    sent = terms(("Deposit", "30"), ("Balance", ""), ("Colour on", "30")) | {"term-1-ORDER": "9"}
    owner.post("/firm/payments/", sent)
    assert list(PaymentTerm.objects.values_list("name", flat=True)) == ["Deposit", "Colour on", "Balance"]


def test_a_payment_plan_is_tried_on_a_sample_and_not_kept(owner, firm):
    sent = terms(("Deposit", "30"), ("Balance", ""), look="1", sample="1000.01")
    page = owner.post("/firm/payments/", sent, headers={"hx-request": "true"})
    # 1,000.01 × 0.30 = 300.003 → 300.00; the rest 700.01
    assertContains(page, "300.00")
    assertContains(page, "700.01")
    assert not PaymentTerm.objects.exists()


def test_at_least_one_payment(owner, firm):
    page = owner.post("/firm/payments/", terms())
    assertContains(page, "There must be at least one payment.", status_code=422)


# words


def test_starting_texts_fill_only_what_is_empty_and_are_dated(owner, firm):
    Firm.objects.update(weather_rule="Ours.")
    page = owner.get("/firm/words/?start=1")
    assertContains(page, "Ours.")
    assertContains(page, "Starting text of 1 June 2026, have it checked by your adviser")
    assert Firm.objects.get().notice == ""


def test_words_are_kept(owner, firm):
    hours = {"walk_hours": "24", "park_hours": "96", "furniture_hours": "72", "mats_hours": "168"}
    owner.post("/firm/words/", {"valid_days": "45", "expectations": "Repairs show.", "version": "1", **hours})
    now = Firm.objects.get()
    assert (now.valid_days, now.expectations, now.park_hours) == (45, "Repairs show.", 96)


def test_the_office_is_not_the_owner(client, firm):
    office = UserFactory(role=Role.OFFICE)
    client.force_login(office)
    assert client.post("/firm/words/", {"valid_days": "45"}).status_code == 403
