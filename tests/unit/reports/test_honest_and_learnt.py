"""What is said of past forecasts and of what was learnt: plain sentences, a chart, sound documents."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date, timedelta
from xml.etree import ElementTree

import pytest

from mullbed.domain.doings import Weighed
from mullbed.domain.garden import UnitSystem
from mullbed.domain.honesty import Came, ForecastCheck, KindCheck
from mullbed.domain.learnt import (
    DoubtRemoved,
    EntryLook,
    LearntBed,
    LearntContainers,
    LearntFilling,
    LearntGarden,
    WeighedLook,
)
from mullbed.domain.observation import OBSERVABLES, Observation
from mullbed.domain.spread import Evidence, Spread
from mullbed.reports.honest_chart import honest_chart
from mullbed.reports.honest_document import honest_document, honest_page
from mullbed.reports.honest_text import chart_sentence, heading, honest_text, sentences
from mullbed.reports.learnt_document import learnt_document
from mullbed.reports.learnt_text import (
    doubt_sentence,
    layer_learning_sentences,
    learning_sentences,
    learnt_text,
    share_words,
    surprise_sentence,
)
from mullbed.reports.seen_words import NAMES
from mullbed.reports.terminal_style import WIDTH, Style

DAY = date(2026, 5, 4)


def came(number: int, place: float) -> Came:
    seen = Observation("soil temperature", "Low bed", DAY + timedelta(days=10 * number), value=14.0)
    return Came(seen, DAY, 10.0, 12.0, 15.0, place, 4.0, 14.0)


def check(*places: float, widening: float = 1.0, too_narrow: float = 0.5, leaning: float = 0.0) -> ForecastCheck:
    every = tuple(came(number, place) for number, place in enumerate(places))
    kinds = (KindCheck("soil temperature", "Cel", len(every), sum(one.inside for one in every), 1.2, 4.0),)
    return ForecastCheck(
        every, kinds if every else (), widening, 0.9 * widening, 1.2 * widening, too_narrow, leaning, 2
    )


NARROW = check(*[0.5] * 5, *[0.97] * 9, widening=1.6, too_narrow=0.98, leaning=0.8)


def told(text: str) -> str:
    return " ".join(text.split())


def test_bands_that_were_too_narrow_are_owned_up_to_with_their_number() -> None:
    text = told(honest_text(NARROW, 3, units=UnitSystem.METRIC))
    assert heading(NARROW) == "We were too sure. The next bands are wider."
    assert "Five readings of 14 came within the band that should hold 8 of 10." in text
    assert "1.6 times as wide" in text
    assert "almost surely" in text
    assert "mostly above the middle" in text
    assert "For two readings nothing had been forecast before." in text


@pytest.mark.parametrize(
    ("found", "head"),
    [
        (check(), "Nothing to hold forecasts against yet."),
        (check(0.5, 0.6), "Too few readings to say yet."),
        (check(*[0.5] * 12), "The bands held what they said."),
        (check(*[0.5] * 12, widening=1.5, too_narrow=0.99), "The bands hold, since they were widened."),
        (check(*[0.5] * 40, widening=0.8), "We were too careful. The next bands are a little narrower."),
    ],
)
def test_the_verdict_is_the_heading(found: ForecastCheck, head: str) -> None:
    assert heading(found) == head


def test_what_is_missing_is_told_with_the_command_that_mends_it() -> None:
    assert "--keep" in sentences(check(), 0)[0]
    assert "mullbed log seen" in sentences(check(), 2)[0]


@pytest.mark.parametrize("units", list(UnitSystem))
def test_no_line_is_wider_than_the_screen_and_no_exclamation_is_made(units: UnitSystem) -> None:
    pages = [honest_text(NARROW, 3, units=units, style=Style(plain=True)), learnt_text(GARDEN, units=units)]
    for page in pages:
        assert all(len(line) <= WIDTH for line in page.splitlines())
        assert "!" not in page
        assert "nan" not in page.casefold()


def test_degrees_are_turned_for_those_who_read_fahrenheit() -> None:
    text = told(honest_text(NARROW, 3, units=UnitSystem.US))
    assert "57 °F" in text  # known: 14 °C is 57.2 °F
    assert "+2.2 °F" in text  # known: a difference of 1.2 °C is 2.16 °F


def test_the_chart_holds_a_dot_a_reading_and_says_what_it_shows() -> None:
    svg = honest_chart(NARROW, title="Readings & forecasts", sentence=chart_sentence(NARROW))
    root = ElementTree.fromstring(svg)
    space = "{http://www.w3.org/2000/svg}"
    assert len(root.findall(f".//{space}circle")) == NARROW.count
    assert len({one.get("fill") for one in root.findall(f".//{space}circle")}) == 2
    description = root.find(f"{space}desc")
    assert description is not None
    assert description.text == "5 of 14 readings from 4 May to 11 Sep lie in the band of 8 in 10."
    assert honest_chart(check(), title="x", sentence="y") == ""


def test_the_page_stands_alone_and_escapes_what_growers_type() -> None:
    odd = replace(NARROW.came[0], observation=replace(NARROW.came[0].observation, bed="<b>Low"))
    page = honest_page(replace(NARROW, came=(odd, *NARROW.came[1:])), 3, garden="a & b", units=UnitSystem.METRIC)
    assert "<b>Low" not in page
    assert "&lt;b&gt;Low" in page
    assert "a &amp; b" in page
    assert not re.search(r"(src|href)=", page)
    assert page.count("<tr>") == NARROW.count + 1


def test_the_documents_are_plain_json() -> None:
    document = json.loads(json.dumps(honest_document(NARROW, 3, "home"), allow_nan=False))
    assert (document["readings"], document["inside"], document["widening"]["factor"]) == (14, 5, 1.6)
    assert json.loads(json.dumps(honest_document(check(), 0, "home")))["coverage"] is None
    learnt = json.loads(json.dumps(learnt_document(GARDEN), allow_nan=False))
    assert learnt["beds"]["Low bed"]["entries"][1]["surprise"] == "taken for a slip"


SLIP = EntryLook(
    Observation("thickness by ruler", "Low bed", DAY, value=0.9), Spread(0.02, 0.03, 0.05, "m", Evidence.WORKED_OUT),
    None, 0.001, 0.97,
)  # fmt: skip
WORD = EntryLook(Observation("squeeze", "Low bed", DAY, word="crackles"), None, "a few drops", 0.03, 0.2)
PLAIN = EntryLook(Observation("smell", "Low bed", DAY, word="earthy"), None, "earthy", 1.0, 0.1)
BED = LearntBed(
    "Low bed", (PLAIN, SLIP, WORD), Spread(0.4, 0.6, 0.9, "1", Evidence.WORKED_OUT),
    (DoubtRemoved("net_nitrogen", 10.0, 6.8),), 9,
)  # fmt: skip
KG = Spread(1.3, 1.4, 1.5, "kg", Evidence.MEASURED)
FILLING = LearntFilling("bucket", "leaves", KG, KG, KG, 3)
GARDEN = LearntGarden(
    (BED,),
    LearntContainers((FILLING,), {}, (WeighedLook(Weighed(DAY, "bucket", "leaves", 14.0), 1.4, 0.99),)),
    (PLAIN.observation,),
)


def test_a_slip_is_named_with_what_was_expected_and_what_to_do() -> None:
    text = told(learnt_text(GARDEN, units=UnitSystem.METRIC))
    assert "4 May, height of the cover by ruler: 90 cm; 2 to 5 cm was expected. Taken for a slip" in text
    assert "“a few drops” was most likely. Odd, and it changed what we believe." in text
    assert "This bed is slow" in text
    assert "4 May, bucket of leaves: 14 kg where about 1.4 was expected." in text
    assert "One entry lies outside of what was run" in text


@pytest.mark.parametrize(
    "look",
    [
        replace(WORD, likely_word=None, slip=0.9),
        replace(SLIP, expected=Spread(0.0, 0.0, 0.0, "m", Evidence.WORKED_OUT)),
    ],
)
def test_what_is_seen_where_nothing_should_lie_asks_for_the_layer_that_was_left_out(look: EntryLook) -> None:
    assert "Was a layer left out? Taken for a slip" in surprise_sentence(look, UnitSystem.METRIC)


def test_how_much_doubt_is_gone_is_one_sentence() -> None:
    assert doubt_sentence(BED) == "Your three notes took away a third of the doubt about what the layers give."
    worse = replace(BED, removed=(DoubtRemoved("net_nitrogen", 1.0, 1.3),))
    assert "less sure" in str(doubt_sentence(worse))
    assert doubt_sentence(replace(BED, removed=())) is None
    assert doubt_sentence(replace(BED, entries=())) is None
    assert doubt_sentence(replace(BED, entries=(SLIP,))) is None


@pytest.mark.parametrize(("share", "word"), [(0.02, "hardly any"), (0.5, "half"), (0.95, "nearly all")])
def test_shares_are_told_in_words(share: float, word: str) -> None:
    assert share_words(share) == word


def test_a_forecast_says_what_it_learnt_and_that_it_was_widened() -> None:
    found = learning_sentences(GARDEN, NARROW)
    assert len(found["Low bed"]) == 2
    assert "1.6 times as wide" in found[""][0]
    assert learning_sentences(None, None) == {}
    assert layer_learning_sentences(GARDEN, "low bed")[1] == "You weighed it: bucket of leaves."
    assert layer_learning_sentences(None, "low bed") == []


def test_everything_that_can_be_observed_has_a_name_in_sentences() -> None:
    assert set(NAMES) == set(OBSERVABLES)
