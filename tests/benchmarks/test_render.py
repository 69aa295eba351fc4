"""What printing costs, as ratios of one run: milliseconds mean nothing on a shared machine.

The gates are those the press was built for. Printed with `manage.py test tests/benchmarks -s`.
"""

import subprocess
import sys
import threading
import time
from collections.abc import Callable

import pytest

from quoting.documents.press_client import PROJECT, Press
from quoting.documents.press_order import Order
from quoting.documents.render import FONT_FILES, OPTIONS, STYLE_SHEET, Composer, Fetcher, _font_bytes, _font_faces
from tests.reading_pdf import pages_of
from tests.sample_paper import DATE, reference_paper

HTML, IMAGES = reference_paper()
ORDER = Order(html=HTML, images=IMAGES, document_date=DATE)
ROUNDS = 7


def seconds(act: Callable[[], object]) -> float:
    """How long one call takes."""
    started = time.perf_counter()
    act()
    return time.perf_counter() - started


def best(*acts: Callable[[], object], rounds: int = ROUNDS) -> list[float]:
    """The shortest time of each act; they take turns, so that a busy moment of the machine hits all of them."""
    for act in acts:
        act()
    times = [[seconds(act) for act in acts] for _ in range(rounds)]
    return [min(column) for column in zip(*times, strict=True)]


def told(name: str, ratio: float, gate: str) -> float:
    """Print one ratio and hand it on."""
    print(f"\n{name}: {ratio:.2f} ({gate})")
    return ratio


@pytest.fixture(scope="module")
def composer() -> Composer:
    return Composer()


@pytest.fixture(scope="module")
def press():
    own = Press()
    yield own
    own.close()


def naive() -> bytes:
    """The same HTML as a first attempt would set it: fonts and style sheet read anew, column widths guessed, no sampling."""
    import weasyprint  # the thing that is measured
    from weasyprint.text.fonts import FontConfiguration

    known = {address: _font_bytes(path) for address, (_, _, path) in FONT_FILES.items()}
    fetcher = Fetcher(known | {f"image:{name}": data for name, data in IMAGES.items()})
    fonts = FontConfiguration()
    rules = _font_faces() + STYLE_SHEET.read_text(encoding="utf-8").replace("table-layout: fixed; ", "")
    sheet = weasyprint.CSS(string=rules, font_config=fonts, url_fetcher=fetcher)
    return weasyprint.HTML(string=HTML, url_fetcher=fetcher).write_pdf(font_config=fonts, stylesheets=[sheet])


def set_with(composer: Composer, **options: object) -> bytes:
    """The tuned way with other options."""
    fetcher = Fetcher({f"image:{name}": data for name, data in IMAGES.items()})
    html = composer._weasyprint.HTML(string=HTML, url_fetcher=fetcher)
    return html.write_pdf(font_config=composer._fonts, stylesheets=[composer._sheet], **options)


def test_the_paper_is_the_one_that_the_gates_are_for(composer):
    assert (len(pages_of(composer.set_paper(ORDER))), HTML.count("stretch "), len(IMAGES)) == (4, 39, 4)


def test_tuned_against_naive(composer):
    tuned, untuned = best(lambda: composer.set_paper(ORDER), naive)
    assert told("tuned warm ÷ naive warm", tuned / untuned, "at most 0.70") <= 0.70


def test_a_forked_limited_child_against_a_plain_call(composer, press):
    plain, forked = best(lambda: composer.set_paper(ORDER), lambda: press.print_paper(ORDER))
    assert told("forked, limited child ÷ tuned warm", forked / plain, "at most 1.25") <= 1.25


def test_warm_against_cold(composer):
    program = (
        "from quoting.documents.render import Composer; from quoting.documents.press_order import Order;"
        "from tests.sample_paper import *; html, images = reference_paper();"
        "import time; started = time.perf_counter();"
        "Composer().set_paper(Order(html=html, images=images, document_date=DATE)); print(time.perf_counter() - started)"
    )
    cold = min(
        float(subprocess.run([sys.executable, "-c", program], cwd=PROJECT, capture_output=True, text=True).stdout)
        for _ in range(3)
    )
    (warm,) = best(lambda: composer.set_paper(ORDER))
    assert told("tuned warm ÷ cold", warm / cold, "at most 0.45") <= 0.45


def test_tagged_against_plain(composer):
    tagged, plain = best(lambda: set_with(composer, **OPTIONS), lambda: set_with(composer, dpi=OPTIONS["dpi"]))
    assert told("tagged ÷ plain", tagged / plain, "at most 1.15") <= 1.15


def test_two_processes_against_one(press):
    def papers(count: int) -> None:
        for _ in range(count):
            press.print_paper(ORDER)

    def side_by_side() -> None:
        threads = [threading.Thread(target=papers, args=(4,)) for _ in range(2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

    one, two = best(lambda: papers(8), side_by_side, rounds=4)
    assert told("two processes ÷ one", one / two, "at least 1.60") >= 1.60
