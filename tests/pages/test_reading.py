"""Pages answer in the reader's language, signs and units: their own choice first, then the browser's."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient

from mullbed.language import ENGLISH, Language, language, say, say_many, spoken
from mullbed.web.catalogue import compiled, read_messages
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
