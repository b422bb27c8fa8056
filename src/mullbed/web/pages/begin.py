"""Begin: a first garden in three short questions, from a garden file, or a look round the example."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, File, HTTPException, Request, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.garden import UnitSystem
from mullbed.errors import Fault, InputFault
from mullbed.language import say
from mullbed.web import first_garden as first
from mullbed.web.forms import Answers, Asked, Sent, shown_number
from mullbed.web.long_work import begin_plan
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, Visitor, signature, today

router = APIRouter()
LARGEST_FILE = 4 * 1024 * 1024
"""Of a garden file or its weather. [bytes]"""
Choice = tuple[str, str, bool]
"""Key, words, chosen."""


@dataclass(frozen=True, slots=True)
class BedRow:
    """One bed to tell."""

    index: int
    name: str
    length: str
    width: str
    grows: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class HeapRow:
    """One thing that may be in reach."""

    key: str
    words: str
    unit: str
    count: str


@dataclass(frozen=True, slots=True)
class BeginContext:
    """One of the three questions; answers to the others are carried along."""

    title: str
    here: str
    at: int
    back: str
    carried: tuple[tuple[str, str], ...]
    garden: str
    latitude: str
    climates: tuple[Choice, ...]
    halves: tuple[Choice, ...]
    feels: tuple[Choice, ...]
    units: tuple[Choice, ...]
    unit: str
    beds: tuple[BedRow, ...]
    more: bool
    heaps: tuple[HeapRow, ...]
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class BringContext:
    """The page where a garden file is brought."""

    title: str
    here: str
    faults: tuple[Fault, ...]


@router.get("/begin", response_class=HTMLResponse)
def begin_page(request: Request, asking: Asking, asked: Asked) -> Response:
    """Ask one of the three questions."""
    if _kept_already(asking, request):
        return RedirectResponse("/", 303)
    return _asking(request, asked)


def _asking(request: Request, asked: Answers, status: int = 200) -> Response:
    at = {"2": 2, "3": 3}.get(asked.one("at"), 1)
    faults: tuple[Fault, ...] = ()
    try:
        answers = first.first_answers(asked)
    except InputFault as error:
        answers, faults = first.first_answers(Answers({})), tuple(error.faults)
        status = 422
    return page(request, "begin.html", _context(answers, at, faults), status)


def _context(answers: first.FirstAnswers, at: int, faults: tuple[Fault, ...]) -> BeginContext:
    fields = _fields(answers)
    own = {
        1: ("garden", "latitude", "climate", "half", "feel", "units"),
        2: ("beds", "name.", "length.", "width.", "grows."),
        3: ("heap.",),
    }[at]
    metric = answers.units is UnitSystem.METRIC
    return BeginContext(
        title=say("Begin"),
        here="",
        at=at,
        back="/begin?" + urlencode([*fields, ("at", str(at - 1))]),
        carried=tuple((name, value) for name, value in fields if not name.startswith(own)),
        garden=answers.name,
        latitude="" if answers.latitude is None else shown_number(answers.latitude),
        climates=tuple((key, one.words, key == answers.climate) for key, one in first.CLIMATES.items()),
        halves=tuple((key, words, key == answers.half) for key, words in first.HALVES.items()),
        feels=tuple((key, words, key == answers.feel) for key, (words, _) in first.FEELS.items()),
        units=tuple((key, words, key == str(answers.units)) for key, words in first.UNITS.items()),
        unit="m" if metric else "ft",
        beds=tuple(
            BedRow(
                index,
                one.name,
                shown_number(one.length),
                shown_number(one.width),
                tuple((key, words, key == one.grows) for key, (words, _, _) in first.GROWS.items()),
            )
            for index, one in enumerate(answers.beds)
        ),
        more=len(answers.beds) < first.MOST_BEDS,
        heaps=tuple(
            HeapRow(key, one.words, one.unit, shown_number(answers.heaps[key])) for key, one in first.HEAPS.items()
        ),
        faults=faults,
    )


def _fields(answers: first.FirstAnswers) -> list[tuple[str, str]]:
    """Return every answer as fields, so that a page can carry what it does not ask."""
    fields = [
        ("garden", answers.name),
        ("latitude", "" if answers.latitude is None else f"{answers.latitude:g}"),
        ("climate", answers.climate),
        ("half", answers.half),
        ("feel", answers.feel),
        ("units", str(answers.units)),
        ("beds", str(len(answers.beds))),
    ]
    for index, one in enumerate(answers.beds):
        fields += [
            (f"name.{index}", one.name),
            (f"length.{index}", f"{one.length:g}"),
            (f"width.{index}", f"{one.width:g}"),
            (f"grows.{index}", one.grows),
        ]
    return fields + [(f"heap.{key}", f"{count:g}") for key, count in answers.heaps.items() if count > 0.0]


@router.post("/begin")
def begin(request: Request, asking: Asking, sent: Sent) -> Response:
    """Keep a first garden and begin its plan, or keep the example; a record that holds a garden is left as it is."""
    from mullbed.usecases.create_garden import bring_garden, create_garden

    _only_first(asking, request)
    signed = signature(request, asking)
    if sent.one("example") == "yes":
        create_garden(Path(str(files("mullbed.files").joinpath("demo/garden.toml"))), asking.where, signed)
        return RedirectResponse("/", 303)
    try:
        text = first.garden_text(first.first_answers(sent), today(request))
    except InputFault:
        return _asking(request, sent, 422)
    bring_garden(text, None, asking.where, signed)
    return _plan(request, asking)


@router.post("/begin/anew")
def anew(request: Request, asking: Asking) -> Response:
    """Take a garden back that was only begun, and ask anew."""
    from mullbed.usecases.create_garden import begin_anew

    if not asking.leads:
        raise HTTPException(403)
    begin_anew(asking.where, signature(request, asking))
    return RedirectResponse("/begin", 303)


@router.get("/begin/bring", response_class=HTMLResponse)
def bring_page(request: Request, asking: Asking) -> Response:
    """Ask for a garden file."""
    if _kept_already(asking, request):
        return RedirectResponse("/", 303)
    return page(request, "bring.html", BringContext(say("Bring a garden file"), "", ()))


@router.post("/begin/bring")
def bring(
    request: Request,
    asking: Asking,
    garden: Annotated[UploadFile, File()],
    weather: Annotated[UploadFile | None, File()] = None,
) -> Response:
    """Keep a garden file with the weather it names; what is wrong in them is told all at once."""
    from mullbed.usecases.create_garden import bring_garden

    _only_first(asking, request)
    faults: list[Fault] = []
    text = _text(garden, "Garden file", faults)
    beside = _text(weather, "Weather file", faults) if weather is not None and weather.filename else None
    try:
        if faults:
            raise InputFault(faults)
        bring_garden(text, beside, asking.where, signature(request, asking))
    except InputFault as error:
        return page(request, "bring.html", BringContext(say("Bring a garden file"), "", tuple(error.faults)), 422)
    return _plan(request, asking)


def _text(file: UploadFile, place: str, faults: list[Fault]) -> str:
    """Return a file's text; note what is wrong with it."""
    content = file.file.read(LARGEST_FILE + 1)
    if len(content) > LARGEST_FILE:
        faults.append(Fault(place, "larger than 4 MB", "up to 4 MB", "Is it the right file?"))
        return ""
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        faults.append(Fault(place, "no plain text", "text in UTF-8", "Save it as plain text, then bring it again."))
        return ""


def _plan(request: Request, asking: Visitor) -> Response:
    """Begin the first plan, and show how far it is."""
    begin_plan(request, asking)
    return RedirectResponse("/season/making", 303)


def _kept_already(asking: Visitor, request: Request) -> bool:
    """Tell whether the record holds a garden."""
    from mullbed.usecases.list_in_hand import list_in_hand

    try:
        list_in_hand(asking.where, today(request))
    except InputFault:
        return False
    return True


def _only_first(asking: Visitor, request: Request) -> None:
    """Refuse where a garden is kept already."""
    if not asking.leads:
        raise HTTPException(403)
    if _kept_already(asking, request):
        raise InputFault([Fault("Garden", "kept already", "an empty record", "Start the server with another record.")])
