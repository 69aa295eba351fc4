"""The crew's words: each in both languages, and every key that a page, a paper or the core asks for is there."""

import re
import tomllib

import pytest

from quoting.core.coverage_guard import DO_KEYS, Judged
from quoting.core.mix_sheet import BOX_RULE, MIX_ORDER
from quoting.core.weather import REASON_KEYS, Word
from quoting.core.weather_limits import Work
from quoting.documents.crew_words import FILE, NoSuchWords, Pair, crew_words, named, say
from quoting.models import READINGS, Hold
from tests import house

TEMPLATES = [
    *sorted((house.ROOT / "templates" / "crew").glob("*.html")),
    *(house.ROOT / "templates" / "findings" / f"{name}.html" for name in ("colours", "_samples")),
    *(house.ROOT / "templates" / "documents" / f"{name}.html" for name in ("pick_list", "mix_sheet")),
]
ASKED = re.compile(r'(?:both|inline|told) "([\w.-]+)"|"([\w.-]+)"\|(?:en|es)\b')


def test_every_word_is_there_in_both_languages() -> None:
    tables = tomllib.loads(FILE.read_text(encoding="utf-8"))
    wrong = [
        f"{table}.{key}" for table, rows in tables.items() for key, pair in rows.items()
        if len(pair) != 2 or not all(isinstance(word, str) and word.strip() for word in pair)
    ]  # fmt: skip
    assert wrong == []


def test_no_sentence_was_left_in_english() -> None:
    same = {key for key, pair in crew_words().items() if pair.en == pair.es}
    assert {key for key in same if len(crew_words()[key].en.split()) > 1} == set()


def test_both_languages_ask_for_the_same_figures() -> None:
    figures = re.compile(r"\{(\w+)\}")
    wrong = [
        key for key, pair in crew_words().items() if set(figures.findall(pair.en)) != set(figures.findall(pair.es))
    ]
    assert wrong == []


def test_what_the_core_says_has_words() -> None:
    wanted = [f"reason.{key}" for key in REASON_KEYS]
    wanted += [f"guard.{key}" for key in (*DO_KEYS, *Judged)]
    wanted += [f"mix.{key}" for key in (*MIX_ORDER, BOX_RULE)]
    wanted += [f"readings.{word.value.replace('-', '_')}" for word in Word]
    wanted += [f"readings.{name}" for name in (*READINGS, "age")]
    wanted += [f"work.{work}" for work in Work] + [f"caution.{work}" for work in Work]
    wanted += [f"hold.reason.{reason}" for reason in Hold.Reason]
    assert [key for key in wanted if key not in crew_words()] == []


def test_every_key_of_a_template_has_words() -> None:
    keys = {a or b for path in TEMPLATES for a, b in ASKED.findall(house.read(path))}
    assert len(keys) > 60
    assert sorted(keys - crew_words().keys()) == []


def test_spanish_on_the_sheets_comes_from_the_words_alone() -> None:
    typed = {path.name: re.findall(r'lang="es">\s*[^\s{<]', house.read(path)) for path in TEMPLATES}
    assert {name: found for name, found in typed.items() if found} == {}


def test_a_missing_word_is_named() -> None:
    with pytest.raises(NoSuchWords, match=r"visit\.never"):
        say("visit.never")


def test_figures_are_put_into_both() -> None:
    assert say("mix.of", count=3) == Pair("of 3", "de 3")


def test_a_firms_own_name_stays_as_it_wrote_it() -> None:
    assert named("Bring the big fan") == Pair("Bring the big fan", "Bring the big fan")
