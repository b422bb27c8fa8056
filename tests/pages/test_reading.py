"""Pages answer in the reader's language, signs and units: their own choice first, then the browser's."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from mullbed.domain.garden import UnitSystem
from mullbed.domain.record_kinds import Kind
from mullbed.domain.signing import Where
from mullbed.language import ENGLISH, Language, language, say, say_many, spoken
from mullbed.reports.amounts import millimetres_words
from mullbed.reports.words import number
from mullbed.store.database import open_record
from mullbed.store.journal import every_entry, gardens
from mullbed.units import parse_number
from mullbed.web.catalogue import compiled, read_messages
from mullbed.web.forms import shown_number
from mullbed.web.reading import COOKIE, kept_choice, reading_of

Opening = Callable[..., TestClient]


@pytest.mark.parametrize(
    ("cookie", "accepted", "code", "decimal"),
    [
        ("", "", "en", "."),
        ("", "es", "es", ","),
        ("", "es-MX,es;q=0.9", "es", "."),
        ("", "fr, es;q=0.5, en;q=0.7", "en", "."),
        ("", "de-DE,de;q=0.9,en;q=0.1", "en", "."),
        ("", "de-DE", "en", ","),
        ("", "es;q=0, en", "en", "."),
        ("", ";;q=,=,q", "en", "."),
        (f"{COOKIE}=es--", "en-US", "es", ","),
        (f"{COOKIE}=en--comma", "es", "en", ","),
        (f"{COOKIE}=xx-stone-dot", "es", "es", ","),
        (f"{COOKIE}=es-us-point-more", "", "en", "."),
    ],
)
def test_the_choice_goes_before_the_browser_and_what_is_not_known_before_nothing(
    cookie: str, accepted: str, code: str, decimal: str
):
    told = reading_of(cookie, accepted).language
    assert (told.code, told.decimal) == (code, decimal)


def test_a_page_is_spanish_where_the_browser_wants_it_and_english_again_for_the_next(client: TestClient):
    told = client.get("/", headers={"accept-language": "es-ES,es;q=0.9"}).text
    assert '<html lang="es"' in told and ">Ronda<" in told and 'data-decimal=","' in told
    again = client.get("/", headers={"accept-language": "en-GB"}).text
    assert '<html lang="en"' in again and ">Round<" in again


def test_a_choice_at_the_foot_of_a_page_stays_and_leads_back(client: TestClient):
    before = client.get("/season").text
    assert 'name="language" value="es"' in before
    answer = client.post("/reading", data={"language": "es"}, headers={"referer": "http://127.0.0.1:8437/season"})
    assert answer.status_code == 303 and answer.headers["location"] == "/season"
    assert '<html lang="es"' in client.get("/season").text
    client.post("/reading", data={"units": "us"})
    assert client.cookies[COOKIE] == "es-us-"
    client.post("/reading", data={"language": "en", "decimal": "comma"})
    assert client.cookies[COOKIE] == "en-us-comma"


@pytest.mark.parametrize("back", ["//elsewhere.test/", "https://elsewhere.test", "/\\elsewhere", "season"])
def test_a_choice_never_leads_elsewhere(client: TestClient, back: str):
    answer = client.post("/reading", data={"language": "es", "back": back})
    assert answer.headers["location"] == "/"


def test_who_is_not_signed_in_may_choose_too(open_page: Opening):
    client = open_page(sign_in=True)
    assert client.post("/reading", data={"language": "es"}).status_code == 303
    assert '<html lang="es"' in client.get("/sign-in").text


def test_answers_for_programs_stay_in_english(client: TestClient):
    plain = client.get("/api/round").json()
    assert client.get("/api/round", headers={"accept-language": "es"}).json() == plain


def test_what_is_not_known_is_not_kept():
    assert kept_choice("es", "us", "comma") == "es-us-comma"
    assert kept_choice("<b>", "furlong", "dash") == "--"


def test_values_are_put_in_once_and_the_language_ends_with_its_block():
    told = Language("xx", words=lambda about, plain: {"{n} of {what}": "{what}: {n}"}.get(plain, plain))
    with spoken(told):
        assert say("{n} of {what}", n=3, what="{n}") == "{n}: 3"
        assert say("") == ""
    assert language() == ENGLISH and say("{n} of {what}", n=3, what="hay") == "3 of hay"
    assert (
        say_many("{count} bed", "{count} beds", 1) == "1 bed" and say_many("{count} bed", "{count} beds", 0) == "0 beds"
    )


def test_a_catalogue_is_read_with_plurals_contexts_long_lines_and_doubts():
    text = (
        'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=UTF-8\\n"\n'
        '"Plural-Forms: nplurals=2; plural=(n != 1);\\n"\n\n'
        'msgid "bed"\nmsgid_plural "beds"\nmsgstr[0] "bancal"\nmsgstr[1] "bancales"\n\n'
        'msgctxt "month"\nmsgid "May"\nmsgstr "mayo"\n\n'
        'msgid "May"\nmsgstr "Puede"\n\n'
        'msgid ""\n"one "\n"two"\nmsgstr "uno "\n"dos"\n\n'
        '#, fuzzy\nmsgid "doubt"\nmsgstr "duda"\n\n'
        'msgid "open"\nmsgstr ""\n'
    )
    told = compiled(read_messages(text))
    assert [told.ngettext("bed", "beds", n) for n in (1, 2)] == ["bancal", "bancales"]
    assert (told.pgettext("month", "May"), told.gettext("May")) == ("mayo", "Puede")
    assert (told.gettext("one two"), told.gettext("doubt"), told.gettext("open")) == ("uno dos", "doubt", "open")
    with pytest.raises(ValueError, match="line 1"):
        read_messages("nonsense here")


def test_words_no_catalogue_holds_are_marked_as_english_and_never_run():
    from mullbed.web.rendering import said

    with spoken(Language("es")):
        assert said("Round <b>") == '<span lang="en">Round &lt;b&gt;</span>'
        assert said("") == ""
    assert said("Round <b>") == "Round <b>"


def choose(client: TestClient, **chosen: str) -> TestClient:
    client.post("/reading", data=chosen)
    return client


def test_days_stand_in_the_readers_order(client: TestClient):
    told = {
        accepted: client.get("/", headers={"accept-language": accepted}).text
        for accepted in ("en-GB", "en-US", "es-ES")
    }
    assert "Wednesday 9 June" in told["en-GB"]
    assert "Wednesday, June 9" in told["en-US"]
    assert "miércoles 9 de junio" in told["es-ES"]


def test_a_garden_kept_in_metres_is_read_in_feet_and_pounds_and_back(client: TestClient):
    metric = client.get("/bed/Garlic%20Bed").text
    us = choose(client, units="us").get("/bed/Garlic%20Bed").text
    assert "g a square metre" in metric and " cm" in metric and "°C" in metric
    assert "lb a thousand square feet" in us and "sq ft" in us and "°F" in us
    assert "g a square metre" not in us and "°C" not in us
    assert "g a square metre" in choose(client, units="metric").get("/bed/Garlic%20Bed").text


@pytest.mark.parametrize(("units", "typed", "kilograms"), [("us", "2,5", 1.134), ("metric", "2,5", 2.5)])
def test_a_weight_typed_in_the_readers_unit_with_a_comma_is_kept_in_kilograms(
    client: TestClient, record: Path, units: str, typed: str, kilograms: float
):
    page = choose(client, units=units, decimal="comma").get("/did?bed=Garlic+Bed").text
    unit = re.findall(r'name="unit" value="(\w+)"', page)[0]
    assert unit == {"us": "lb", "metric": "kg"}[units]
    sent = {"job": "picked", "bed": "Garlic Bed", "crop": "garlic", "mass": typed, "unit": unit, "last": "no"}
    assert client.post("/did", data=sent).status_code == 303
    where = Where(str(record))
    with open_record(where.record) as opened, opened.reading() as transaction:
        kept = [one for one in every_entry(transaction, gardens(transaction)[0]) if one.kind == Kind.HARVEST]
    assert kept[-1].facts.fresh_kg == pytest.approx(kilograms, abs=1e-3)  # type: ignore[union-attr]


def test_numbers_have_the_readers_decimal_sign_and_fields_take_it_back(client: TestClient):
    page = choose(client, decimal="comma").get("/bed/Gate%20Bed").text
    assert "7,2 m²" in page and "7.2 m²" not in page
    with spoken(Language("es", ",")):
        assert shown_number(1.125) == "1,12" and parse_number(shown_number(1.125)) == 1.12
        assert (number(2.34), millimetres_words(21.0, UnitSystem.METRIC)) == ("2,3", "2,1 cm")
        assert number(-0.25) == "−0,25" and number(1234.0) == "1200"
    assert number(2.34) == "2.3"


def test_the_app_at_the_bed_finds_its_words_in_the_page(client: TestClient):
    from mullbed.web.field_words import FIELD_WORDS

    script = Path(str(files("mullbed.web").joinpath("static/field.js"))).read_text(encoding="utf-8")
    used = set(re.findall(r'\btold\("([^"]+)"', script)) | {"one", "many"}
    assert used == set(FIELD_WORDS)
    told = client.get("/", headers={"accept-language": "es"}).text
    words = json.loads(html.unescape(re.findall(r'id="words" content="([^"]+)"', told)[0]))
    assert set(words) == used and words["no signal"] == "Sin cobertura"


def test_a_garden_is_begun_in_feet_where_the_browser_is_of_the_united_states():
    told = {one: reading_of("", one) for one in ("en-US,en;q=0.9", "es-US", "en-GB", "es-ES", "de-DE")}
    assert [one for one, read in told.items() if read.likely_units is UnitSystem.US] == ["en-US,en;q=0.9", "es-US"]
    assert all(read.units is None for read in told.values())  # a kept garden is shown in its own
    assert reading_of(f"{COOKIE}=-metric-", "en-US").likely_units is UnitSystem.METRIC
