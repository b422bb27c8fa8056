"""I noticed something: nose, eye and hand first, single questions next, then what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.diagnosis import UNKNOWN, Diagnosis, NextCheck
from mullbed.errors import NotFound
from mullbed.language import say
from mullbed.reports.amounts import count_words, is_us
from mullbed.reports.diagnosis_card import (
    cost_words,
    dont_words,
    expect_words,
    heading_words,
    how_sure_words,
    known_words,
    sign_name,
    steps_of,
)
from mullbed.reports.diagnosis_page import cost_of_waiting, first_words, sign_words, uncapped
from mullbed.reports.finding_marks import SENSES, SHORT_WORDS, finding_mark
from mullbed.reports.names import bed_title
from mullbed.reports.words import capital, listed
from mullbed.units import from_canonical
from mullbed.web.forms import Answers, Asked, Sent
from mullbed.web.reading import units_read
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, Visitor, today
from mullbed.web.writing import write
from mullbed.web.written import Written, written

router = APIRouter()
MOST_TAPS = 6
"""Choosing what was noticed is the first, so five questions at most follow."""
WORTH = 0.12
"""A question that would tell less than this is not asked. Judgement. [bit]"""
LONGEST = 3.0
"""A look that takes longer is not asked at the bed; the answer page names it. Judgement. [min]"""
SURE = 0.9
"""Nothing more is asked when the first cause is so likely. Judgement. [1]"""
KEPT_ANSWERS = {
    ("moisture", "dry"): ("squeeze", "crackles"),
    ("moisture", "moist"): ("squeeze", "damp, no drops"),
    ("moisture", "wet"): ("squeeze", "drips freely"),
    ("soil_moisture", "dry"): ("soil moisture", "dry and crumbly"),
    ("soil_moisture", "moist"): ("soil moisture", "moist, makes a ball"),
    ("soil_moisture", "wet"): ("soil moisture", "water comes out"),
}
"""Answers that say the same as something that is observed; these are kept."""


@dataclass(frozen=True, slots=True)
class SignChoice:
    """One thing that can be noticed."""

    key: str
    word: str
    mark: str


@dataclass(frozen=True, slots=True)
class SenseChoices:
    """What one sense can find."""

    key: str
    word: str
    choices: tuple[SignChoice, ...]


@dataclass(frozen=True, slots=True)
class First:
    """What to do first on one sign alone."""

    key: str
    name: str
    heading: str
    steps: tuple[str, ...]
    dont: str
    check: str
    sure: str


@dataclass(frozen=True, slots=True)
class NoticedContext:
    """The page that asks what was noticed."""

    title: str
    here: str
    bed: str
    bed_title: str
    beds: tuple[tuple[str, str], ...]
    senses: tuple[SenseChoices, ...]
    more: tuple[SenseChoices, ...]
    first: tuple[First, ...]
    written: Written | None
    back: str


@dataclass(frozen=True, slots=True)
class Stone:
    """One answer of a question."""

    word: str
    address: str
    """Where it leads, where nothing is kept of it."""
    what: str
    kept: str
    """What is kept of it."""


@dataclass(frozen=True, slots=True)
class QuestionContext:
    """One more look."""

    title: str
    here: str
    bed: str
    bed_title: str
    noticed: str
    tap: int
    most: int
    question: str
    cost: str
    stones: tuple[Stone, ...]
    cannot: str
    skip: str
    here_address: str
    written: Written | None
    back: str


@dataclass(frozen=True, slots=True)
class Cause:
    """Another cause it may be."""

    name: str
    chance: str
    tells: str


@dataclass(frozen=True, slots=True)
class ResultContext:
    """What to do."""

    title: str
    here: str
    bed: str
    bed_title: str
    address: str
    heading: str
    noticed: str
    figure: str
    unit: str
    steps: tuple[str, ...]
    why: str
    dont: str
    expect: str
    sure: str
    change: str
    waiting: str
    next_look: str
    others: tuple[Cause, ...]
    known: str
    did: str
    written: Written | None
    back: str


@router.get("/noticed", response_class=HTMLResponse)
def noticed_page(request: Request, asking: Asking, asked: Asked) -> Response:
    """Ask what was noticed; which bed first, where none is named."""
    from mullbed.usecases.list_in_hand import list_in_hand

    found = list_in_hand(asking.where, today(request))
    name = asked.one("bed")
    if name and (found.garden.bed(name) is None or not asking.sees(name)):
        raise NotFound("bed", name, ())
    context = NoticedContext(
        title=say("I noticed something"),
        here="noticed",
        bed=name,
        bed_title=bed_title(name) if name else "",
        beds=tuple(
            (bed_title(one.name), "/noticed?" + urlencode({"bed": one.name}))
            for one in found.garden.beds
            if asking.sees(one.name)
        ),
        senses=_senses() if name else (),
        more=_more() if name else (),
        first=(),
        written=written(asking, asked, units_read(found.garden.site.units)),
        back="/noticed" + (f"?{urlencode({'bed': name})}" if name else ""),
    )
    return page(request, "noticed.html", context)


@router.get("/noticed/first", response_class=HTMLResponse)
def first_page(request: Request) -> Response:
    """Show what to do first on each sign alone; a phone keeps this page for when there is no signal."""
    from mullbed.usecases.list_signs import list_signs

    first = tuple(
        First(
            one.sign,
            say(one.name),
            say(one.heading),
            tuple(say(step) for step in one.steps),
            uncapped(dont_words(one.avoid)),
            say(one.check),
            first_words(one),
        )
        for one in list_signs()
    )
    context = NoticedContext(say("What to do first"), "noticed", "", "", (), (), (), first, None, "/noticed/first")
    return page(request, "first_actions.html", context)


def _senses() -> tuple[SenseChoices, ...]:
    return tuple(
        SenseChoices(
            sense.key,
            say(sense.word),
            tuple(SignChoice(key, say(SHORT_WORDS[key]), finding_mark(key, size=36)) for key in sense.signs),
        )
        for sense in SENSES
    )


def _more() -> tuple[SenseChoices, ...]:
    """Return the signs without a mark of their own, by sense."""
    found: dict[str, list[SignChoice]] = {}
    for key, name, sense in sign_words():
        if key not in SHORT_WORDS:
            found.setdefault(sense, []).append(SignChoice(key, name, ""))
    return tuple(SenseChoices(sense, capital(say(sense)), tuple(choices)) for sense, choices in found.items())


@router.post("/noticed")
def keep_noticed(request: Request, asking: Asking, sent: Sent) -> Response:
    """Keep what was noticed, or one closer look, and go on."""
    wrote = write(request, asking, sent)
    on = sent.one("then")
    if on.startswith("/noticed/look?") and on.isprintable():
        return RedirectResponse(f"{on}&{wrote.query}", 303)
    if not sent.all("sign"):
        bed = urlencode({"bed": wrote.bed}) if wrote.bed else ""
        return RedirectResponse(f"/noticed?{bed}&{wrote.query}", 303)
    pairs = [("bed", wrote.bed or ""), *(("sign", one) for one in sent.all("sign"))]
    return RedirectResponse(f"/noticed/look?{urlencode(pairs)}&{wrote.query}", 303)


@router.get("/noticed/look", response_class=HTMLResponse)
def look_page(request: Request, asking: Asking, asked: Asked) -> Response:
    """Ask the question that tells most, or answer."""
    from mullbed.usecases.diagnose_bed import diagnose_bed

    bed = asked.one("bed")
    if not bed or not asking.sees(bed):
        raise NotFound("bed", bed or "nothing", ())
    know = asked.all("know")
    found = diagnose_bed(None, bed, asked.all("sign"), day=today(request), told=know, where=asking.where, quick=True)
    question = _next_question(found.diagnosis, know, asked.all("skip"))
    taps = 2 + len(know) + len(asked.all("skip"))
    if question is not None and taps <= MOST_TAPS and asked.one("enough") != "yes":
        context = _question(found.diagnosis, question, asking, asked, taps)
        return page(request, "question.html", context)
    whole = diagnose_bed(None, bed, asked.all("sign"), day=today(request), told=know, where=asking.where, members=32)
    return page(request, "diagnosis.html", _result(whole, asking, asked))


def _next_question(found: Diagnosis, know: tuple[str, ...], skipped: tuple[str, ...]) -> NextCheck | None:
    """Return the look that tells most and can be done here and now; None when nothing is worth a tap."""
    done = {text.partition("=")[0] for text in know} | set(skipped)
    if found.first.key != UNKNOWN and found.first.share >= SURE:
        return None
    return next(
        (
            one
            for one in found.checks
            if one.key not in done
            and one.days == 0.0
            and one.minutes <= LONGEST
            and one.bits >= WORTH
            and 2 <= len(one.answers) <= 4
        ),
        None,
    )


def _address(asked: Answers, *added: tuple[str, str]) -> str:
    """Return the address of the same questions with one more answer."""
    pairs = [(name, value) for name in ("bed", "sign", "know", "skip", "id") for value in asked.all(name)]
    return f"/noticed/look?{urlencode([*pairs, *added])}"


def _question(found: Diagnosis, check: NextCheck, asking: Visitor, asked: Answers, taps: int) -> QuestionContext:
    stones = []
    for answer in check.answers:
        what, kept = KEPT_ANSWERS.get((check.key, answer), ("", ""))
        stones.append(Stone(capital(say(answer)), _address(asked, ("know", f"{check.key}={answer}")), what, kept))
    return QuestionContext(
        title=say("One more look"),
        here="noticed",
        bed=found.bed,
        bed_title=bed_title(found.bed),
        noticed=listed([sign_name(key) for key in found.signs]),
        tap=taps,
        most=MOST_TAPS,
        question=say(check.question),
        cost=capital(cost_words(check.minutes, check.days)) + ".",
        stones=tuple(stones),
        cannot=_address(asked, ("skip", check.key)),
        skip=_address(asked, ("enough", "yes")),
        here_address=_address(asked),
        written=written(asking, asked) if taps == 2 else None,
        back=f"/noticed?{urlencode({'bed': found.bed})}",
    )


def _result(whole: object, asking: Visitor, asked: Answers) -> ResultContext:
    from mullbed.usecases.diagnose_bed import BedTrouble

    if not isinstance(whole, BedTrouble):
        raise TypeError("a diagnosis is told of a bed")
    found, bed, units = whole.diagnosis, whole.bed, units_read(whole.garden.site.units)
    first = found.first
    doing = first.remedy
    figure, unit = "", ""
    if doing.containers is not None:
        figure, _, unit = count_words(doing.containers, doing.container).partition(" ")
        unit = say("{container} of dry cover", container=unit)
    elif doing.water_litres is not None:
        figure, unit = f"{doing.water_litres:.0f}", say("litres of water")
        if is_us(units):
            figure, unit = f"{from_canonical(doing.water_litres, 'gal'):.0f}", say("gallons of water")
    look = next((one for one in found.checks), None)
    return ResultContext(
        title=say("What to do"),
        here="noticed",
        bed=found.bed,
        bed_title=bed_title(found.bed),
        address=f"/bed/{quote(found.bed, safe='')}",
        heading=heading_words(first),
        noticed=listed([sign_name(key) for key in found.signs]),
        figure=figure,
        unit=unit,
        steps=tuple(steps_of(first, units)),
        why=say(first.because),
        dont=uncapped(dont_words(doing.avoid)),
        expect=expect_words(doing),
        sure=how_sure_words(found),
        change=say(first.change),
        waiting=cost_of_waiting(found, units),
        next_look=say(look.question) if look is not None else "",
        others=tuple(
            Cause(say(one.name), say("{count} in 10", count=f"{one.chance.mid * 10:.0f}"), say(one.tells_apart))
            for one in found.causes[1:4]
            if one.key != UNKNOWN and one.chance.mid >= 0.05
        ),
        known=known_words(found, first, bed.area, units),
        did=say(doing.heading).rstrip("."),
        written=written(asking, asked, units),
        back=f"/noticed?{urlencode({'bed': found.bed})}",
    )
