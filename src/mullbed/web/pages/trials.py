"""Trials: those there are, and a new one that says what it could show while it is chosen."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.kept_trial import KeptTrial
from mullbed.domain.trial import Arrangement, Fairness, Way
from mullbed.domain.trial_answers import TrialDesign
from mullbed.errors import InputFault
from mullbed.language import marked, say
from mullbed.reports.names import bed_title
from mullbed.reports.trial_words import design_answer, expected_words, fairness_words, percent, way_words
from mullbed.reports.words import number, short_day
from mullbed.usecases import keep_trial as trials
from mullbed.web.forms import Answers, Asked, Sent
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, Visitor, signature, today

router = APIRouter()
PAIRS = (4, 6, 8, 10, 16)
WORTH = ("0.1", "0.2", "0.3", "0.5", "1")
SEASONS = ("1", "2", "3", "4")
USUAL = {
    "way": (Way.LAYERS.value, Way.PILE.value),
    "control": (Way.PILE.value,),
    "fairness": (Fairness.SAME_ORIGIN.value,),
    "measure": ("harvest",),
    "blocks": ("6",),
    "worthwhile": ("0.2",),
}
NOT_FOR_PLOTS = ("layer_moisture", "ribbon")
"""Checks that tell of the day or of the soil's kind, not of a treatment."""
STATES = {"open": marked("not locked"), "locked": marked("locked"), "read": marked("being read")}


@dataclass(frozen=True, slots=True)
class TrialLine:
    """One trial in the list."""

    name: str
    address: str
    told: str


@dataclass(frozen=True, slots=True)
class TrialsContext:
    """All trials."""

    title: str
    here: str
    heading: str
    trials: tuple[TrialLine, ...]
    leads: bool


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that can be chosen."""

    value: str
    words: str
    more: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class NewTrialContext:
    """A trial while it is chosen."""

    title: str
    here: str
    heading: str
    shows: str
    """Smallest difference that would be seen, as a number of per cent."""
    more: str
    why: str
    expected: tuple[str, ...]
    faults: tuple[str, ...]
    name: str
    question: str
    ways: tuple[Choice, ...]
    own: str
    controls: tuple[Choice, ...]
    fairness: tuple[Choice, ...]
    measures: tuple[Choice, ...]
    second: tuple[Choice, ...]
    blocks: tuple[Choice, ...]
    worth: tuple[Choice, ...]
    beds: tuple[Choice, ...]
    lie: tuple[Choice, ...]
    """How plots lie, where there is a choice."""
    seasons: tuple[Choice, ...]
    cv: str


@router.get("/trials", response_class=HTMLResponse)
def trials_page(request: Request, asking: Asking) -> Response:
    """Show every trial."""
    found = trials.list_trials(asking.where)
    lines = tuple(
        TrialLine(one.name, f"/trial/{quote(one.name, safe='')}", f"{state_words(one)}, {short_day(one.day)}")
        for one in found
    )
    heading = say("Does it work? A trial tells.") if not found else say("Trials")
    return page(request, "trials.html", TrialsContext(say("Trials"), "trial", heading, lines, asking.leads))


def state_words(kept: KeptTrial) -> str:
    """Return how far a trial is."""
    if kept.design.plan.locked_on is None:
        return say(STATES["open"])
    return say(STATES["read"] if any(one.season != "baseline" for one in kept.readings) else STATES["locked"])


@router.get("/trials/new", response_class=HTMLResponse)
def new_page(request: Request, asking: Asking, asked: Asked) -> Response:
    """Show what could be compared, and what so many pairs would show."""
    return page(request, "trial_new.html", _context(request, asking, asked))


@router.post("/trials/new", response_class=HTMLResponse)
def new_trial(request: Request, asking: Asking, sent: Sent) -> Response:
    """Draw the trial by chance and keep it, open."""
    if not asking.leads:
        raise HTTPException(403)
    try:
        design = _design(request, asking, sent)
        if design.plan.name in {one.name for one in trials.list_trials(asking.where)}:
            return page(
                request, "trial_new.html", _context(request, asking, sent, (say("A trial is called so already."),)), 422
            )
        trials.keep_plan(asking.where, signature(request, asking), design.plan)
    except InputFault as told:
        faults = tuple(f"{one.place}: {one.value}. {one.remedy}" for one in told.faults)
        return page(request, "trial_new.html", _context(request, asking, sent, faults), 422)
    return RedirectResponse(f"/trial/{quote(design.plan.name, safe='')}", 303)


def _all(answers: Answers, name: str) -> tuple[str, ...]:
    """Return what was chosen; the usual where nothing was asked yet."""
    return answers.all(name) or (() if answers.one("asked") and name == "way" else USUAL.get(name, ()))


def _design(request: Request, asking: Visitor, answers: Answers) -> TrialDesign:
    ways, control = _all(answers, "way"), _all(answers, "control")[-1]
    if control not in ways and ways:
        control = ways[-1]
    measures = [*_all(answers, "measure")[:1], *answers.all("second")[:3]]
    blocks, worth = _all(answers, "blocks")[-1], _all(answers, "worthwhile")[-1]
    square = len(ways) > 2 and answers.one("arrangement") == Arrangement.SQUARE.value
    if square:
        blocks = str(len(ways))
    cv = answers.one("cv")
    seed = int.from_bytes(signature(request, asking).chance()[:4], "big")
    return trials.plan_ahead(
        answers.one("name")[:80] or _name(ways),
        answers.one("question")[:200] or _question(ways, control, measures),
        ways,
        control,
        _all(answers, "fairness")[-1],
        int(blocks) if blocks.isdigit() and len(blocks) < 4 else 0,
        measures,
        float(worth) if worth in WORTH else 0.2,
        seed,
        beds=answers.all("on")[:60],
        own_words=answers.one("own")[:80],
        arrangement=Arrangement.SQUARE.value if square else "",
        seasons=int(answers.one("seasons")) if answers.one("seasons") in SEASONS else 1,
        variation=min(max(answers.number("cv") / 100.0, 0.001), 2.9) if cv else None,
    )


def _name(ways: tuple[str, ...]) -> str:
    return say(" or ").join(way_words(one).split(",")[0] for one in ways)[:80].capitalize()


def _question(ways: tuple[str, ...], control: str, measures: list[str]) -> str:
    others = [way_words(one) for one in ways if one != control]
    measure = measures[0].replace("_", " ") if measures else say("harvest")
    return say(
        "Does {way} change {measure} against {control}?",
        way=say(" or ").join(others),
        measure=measure,
        control=way_words(control),
    )


def _context(request: Request, asking: Visitor, answers: Answers, faults: tuple[str, ...] = ()) -> NewTrialContext:
    from mullbed.usecases.list_in_hand import list_in_hand
    from mullbed.usecases.score_check import list_field_checks

    garden = list_in_hand(asking.where, today(request)).garden
    ways, blocks = _all(answers, "way"), _all(answers, "blocks")[-1]
    control = _all(answers, "control")[-1]
    control = control if control in ways else (ways[-1] if ways else "")
    fair, measure = _all(answers, "fairness")[-1], _all(answers, "measure")[0]
    worth = _all(answers, "worthwhile")[-1]
    what = say("pairs") if len(ways) == 2 else say("blocks")
    design, told = None, list(faults)
    options: tuple[tuple[int, float], ...] = ()
    try:
        design = _design(request, asking, answers)
        options = trials.other_sizes(design.plan, PAIRS)
    except InputFault as fault:
        told += [f"{one.place}: {one.value}. {one.remedy}" for one in fault.faults if not faults]
    seen = dict(options)
    checks = [one for one in list_field_checks() if one.key not in NOT_FOR_PLOTS]
    return NewTrialContext(
        title=say("A new trial"),
        here="trial",
        heading=design_answer(design) if design is not None else say("What do you want to compare?"),
        shows=_hundredths(design),
        more=say("% difference, or you will not see it"),
        why=say(
            "Plots treated alike differ by about {spread} on their own.", spread=percent(design.plan.primary.variation)
        )
        if design is not None
        else "",
        expected=tuple(expected_words(design)) if design is not None else (),
        faults=tuple(told),
        name=answers.one("name"),
        question=answers.one("question"),
        ways=tuple(Choice(one.value, way_words(one.value), "", one.value in ways) for one in Way),
        own=answers.one("own"),
        controls=tuple(Choice(one, way_words(one), "", one == control) for one in ways),
        fairness=tuple(Choice(one.value, say(one.value), fairness_words(one), one.value == fair) for one in Fairness),
        measures=tuple(Choice(one.key, say(one.name), one.unit, one.key == measure) for one in checks),
        second=tuple(
            Choice(one.key, say(one.name), "", one.key in answers.all("second")) for one in checks if one.key != measure
        ),
        blocks=tuple(
            Choice(
                str(one),
                f"{one} {what}",
                say("sees {share} or more", share=percent(seen[one])) if one in seen else "",
                str(one) == blocks,
            )
            for one in PAIRS
        ),
        worth=tuple(Choice(one, percent(float(one)), "", one == worth) for one in WORTH),
        beds=tuple(
            Choice(bed.name, bed_title(bed.name), "", bed.name in answers.all("on"))
            for bed in garden.beds
            if asking.sees(bed.name)
        ),
        lie=tuple(
            Choice(one.value, say(one.value), "", one.value == (answers.one("arrangement") or Arrangement.BLOCKS.value))
            for one in (Arrangement.BLOCKS, Arrangement.SQUARE)
            if len(ways) > 2
        ),
        seasons=tuple(Choice(one, one, "", one == (answers.one("seasons") or "1")) for one in SEASONS),
        cv=answers.one("cv"),
    )


def _hundredths(design: TrialDesign | None) -> str:
    if design is None:
        return ""
    return number(round(100.0 * dict(design.detectable)[design.plan.primary.key]))
