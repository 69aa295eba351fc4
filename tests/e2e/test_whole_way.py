"""The whole way on two telephones: the owner finds, advises and offers; the homeowner reads, asks, ticks and signs."""

import email
import email.policy
import re
import time
from email.message import EmailMessage
from pathlib import Path

from playwright.sync_api import Page, expect

from quoting.services.demo_photos import demo_photo
from tests.e2e.conftest import Site, Visit
from tests.e2e.test_homeowner import looked_at, pages_in
from tests.e2e.test_main_job import add_area, blank, draft_option, follow, issue, keep, press, tape
from tests.reading_pdf import text_of

ADA = "ada.penhallow@example.com"
PATIENCE = 30  # seconds, for a mail on a busy machine

FOUND = {
    "film": {"look": "worn"},
    "tape": {"result": "clean"},
    "scratch": {"result": "line"},
    "solvent-drop": {"result": "tacky"},
    "water-drop": {"result": "soaks", "seconds": "8"},
    "wet-colour": {"result": "pale"},
    "slip": {"result": "slips"},
}
"""What the owner finds on the patio."""


def mails_to(folder: Path, address: str) -> list[EmailMessage]:
    """The mails that were sent there; the sender writes each run of them into a file, a line of hyphens after each."""
    found = []
    for path in sorted((folder / "mail").glob("*")):
        for content in re.split(rb"^-{79}\r?\n", path.read_bytes(), flags=re.M):
            message = email.message_from_bytes(content.lstrip(), policy=email.policy.default)
            if isinstance(message, EmailMessage) and address in str(message["To"]):
                found.append(message)
    return found


def wait_for_mail(folder: Path, words: str) -> EmailMessage:
    """The mail to Ada that says this, as soon as it was sent."""
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until:
        for message in mails_to(folder, ADA):
            body = message.get_body(("plain",))
            if body is not None and words in body.get_content():
                return message
        time.sleep(0.2)
    raise AssertionError(f"No mail to {ADA} says “{words}”")


def open_folder(page: Page) -> str:
    page.goto("/folders/new/")
    page.evaluate("document.querySelectorAll('#main details').forEach(each => { each.open = true; })")
    blank(page, "Who rang").fill("Ada Penhallow")
    blank(page, "E-mail").fill(ADA)
    blank(page, "Street and number").fill("12 Sumac Way")
    blank(page, "Town").fill("Larkmere")
    blank(page, "What they asked").fill("Can it look like stone again?")
    press(page, "Open the folder")
    found = re.search(r"/folders/(\d{4})/", page.url)
    assert found is not None
    return found[1]


def note_findings(page: Page, number: str) -> str:
    """Each test by its short form; gives the address of the area's findings."""
    page.goto(f"/folders/{number}/")
    area = page.locator("a[href*='/areas/']").evaluate_all("links => links.map(each => each.getAttribute('href'))")
    found = next(each for each in area if re.fullmatch(rf"/folders/{number}/areas/\d+/", each)) + "found/"
    for kind, answers in FOUND.items():
        page.goto(f"{found}{kind}/")
        for name, answer in answers.items():
            choice = page.locator(f"#main input[name='{name}'][value='{answer}']")
            if choice.count():
                choice.check()
            else:
                page.locator(f"#main input[name='{name}']").fill(answer)
        page.locator("#main .test-form button[type=submit]").last.click()
        page.wait_for_load_state()
    return found


def send_photo(page: Page, number: str) -> None:
    page.goto(f"/folders/{number}/photos/")
    picture = {"name": "patio.jpg", "mimeType": "image/jpeg", "buffer": demo_photo("half-wet")}
    page.locator("#main input[type=file]").set_input_files(picture)
    blank(page, "Note").fill("Half hosed.")
    press(page, "Send them")
    expect(page.locator(".album li")).to_have_count(1)


def approve_sample(page: Page, number: str) -> None:
    page.goto(f"/folders/{number}/colours/tones/new/")
    blank(page, "Goes").fill("Base, in the recesses")
    blank(page, "Colour").fill("graphite")
    blank(page, "Strength").fill("6")
    press(page, "Keep the tone")
    page.goto(f"/folders/{number}/colours/samples/new/")
    press(page, "Keep the sample")
    page.goto(f"/folders/{number}/colours/")
    page.locator("#main a[href$='/approve/']").click()
    blank(page, "Who approved it").fill("Ada Penhallow")
    press(page, "They approved it")
    expect(page.locator(".done")).to_contain_text("is approved")


def sign(page: Page) -> None:
    """Both steps with a drawn signature."""
    page.get_by_role("button", name="Look it over").click()
    page.get_by_label("How many pages does the paper have?").fill(pages_in(page))
    page.get_by_label("I agree to get papers about this work electronically.").check()
    page.get_by_role("button", name="Go on to sign").click()
    expect(page.locator("canvas")).to_be_visible()
    sheet = page.locator("canvas").bounding_box()
    assert sheet is not None
    page.mouse.move(sheet["x"] + 20, sheet["y"] + 40)
    page.mouse.down()
    page.mouse.move(sheet["x"] + 160, sheet["y"] + 60, steps=8)
    page.mouse.up()
    page.get_by_label("Your name, as you sign it").fill("Ada Penhallow")
    page.get_by_role("button", name=re.compile("I accept, for")).click()
    expect(page.get_by_role("heading", name="What was agreed")).to_be_visible()


def test_from_the_first_finding_to_the_evidence_of_the_yes(visit: Visit, site: Site) -> None:
    owner = visit("owner", width=390)
    number = open_folder(owner)
    add_area(owner, number, "Patio", "stamped concrete", "sound old film")
    tape(owner, "rectangle", "20' × 15'")
    found = note_findings(owner, number)
    send_photo(owner, number)
    owner.goto(found)
    expect(owner.locator("section[aria-labelledby='advice']")).to_contain_text("Recolour and seal")
    looked_at(owner)
    approve_sample(owner, number)

    owner.goto(f"/folders/{number}/options/new/")
    draft_option(owner, "Recolour and seal", ["Patio"])
    blank(owner, "This is the one we advise").check()
    keep(owner)
    follow(owner, "Add an extra to it")
    draft_option(owner, "Grit in the last coat", ["Patio"], "Add the extra")
    issue(owner, number)
    paper = f"{number}-A"
    follow(owner, "Send it")
    press(owner, "Send it")

    letter = wait_for_mail(site.folder, "/p/")
    assert [part.get_filename() for part in letter.iter_attachments()] == [f"proposal-{paper}.pdf"]
    body = letter.get_body(("plain",))
    assert body is not None
    way_in = re.search(r"/p/[\w-]{43}/", body.get_content())
    assert way_in is not None

    ada = visit(width=390)
    ada.goto(way_in[0])
    expect(ada.get_by_text("Half hosed.").first).to_be_visible()
    ada.get_by_label("Your question").fill("Does the grit show?")
    ada.get_by_role("button", name="Send the question").click()
    expect(ada.get_by_text("Your question is with us.")).to_be_visible()
    owner.goto(f"/folders/{number}/questions/")
    follow(owner, "Answer")
    owner.locator("#main textarea").fill("Hardly: it is clear.")
    owner.locator("#main form button[type=submit]").last.click()
    wait_for_mail(site.folder, "Hardly: it is clear.")

    ada.goto(f"/your/{paper}/")
    expect(ada.get_by_text("Hardly: it is clear.")).to_be_visible()
    before = ada.locator(".ticket .total b").inner_text()
    ada.locator("#extras input[type=checkbox]").first.check()
    expect(ada.locator(".ticket .total b")).not_to_have_text(before)
    agreed = ada.locator(".ticket .total b").inner_text()
    looked_at(ada)
    sign(ada)
    looked_at(ada)
    figure = re.search(r"[\d,]+\.\d\d", agreed)
    assert figure is not None
    expect(ada.locator("#main")).to_contain_text(figure[0])
    wait_for_mail(site.folder, figure[0])

    evidence = owner.request.get(f"/papers/{paper}/evidence.pdf").body()
    words = text_of(evidence)
    for said in ("Ada Penhallow", paper, figure[0]):
        assert said in words
