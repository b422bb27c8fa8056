"""Begin: a first garden from one page, or a look round the example."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.errors import Fault, InputFault
from mullbed.web.forms import Answers, Sent
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, Visitor, signature, today

router = APIRouter()
MILD = {
    "monthly_low": (2, 3, 4, 6, 9, 12, 14, 14, 11, 8, 5, 2),
    "monthly_high": (8, 10, 12, 15, 19, 21, 25, 25, 21, 15, 10, 8),
    "monthly_rain": (140, 95, 95, 70, 50, 40, 18, 22, 40, 90, 160, 145),
}
"""A mild climate with a dry summer, until the grower brings their own; judgement, no source. [°C, mm a month]"""
GROWS = {
    "nothing": ("Nothing yet", "", 0),
    "tomato": ("Tomatoes", "tomato", 120),
    "beans": ("Bush beans", "bush bean", 70),
}
"""What grows: its words, our crop, days it stands; days are judgement. [d]"""


@dataclass(frozen=True, slots=True)
class BeginContext:
    """The page of the first garden."""

    title: str
    here: str
    grows: tuple[tuple[str, str], ...]


@router.get("/begin", response_class=HTMLResponse)
def begin_page(request: Request, asking: Asking) -> Response:
    """Ask for the first bed."""
    return page(request, "begin.html", BeginContext("Begin", "", tuple((key, one[0]) for key, one in GROWS.items())))


@router.post("/begin")
def begin(request: Request, asking: Asking, sent: Sent) -> Response:
    """Keep a first garden, or the example; a record that holds a garden is left as it is."""
    from mullbed.usecases.create_garden import create_garden

    _only_first(asking, request)
    signed = signature(request, asking)
    if sent.one("example") == "yes":
        create_garden(Path(str(files("mullbed.files").joinpath("demo/garden.toml"))), asking.where, signed)
        return RedirectResponse("/", 303)
    text = garden_text(sent, today(request))
    with TemporaryDirectory() as folder:
        place = Path(folder) / "garden.toml"
        place.write_text(text, encoding="utf-8")
        create_garden(place, asking.where, signed)
    return RedirectResponse("/", 303)


def garden_text(sent: Answers, day: date) -> str:
    """Return a garden file of numbers and words of ours alone, so that nothing sent can name a file.

    Raises
    ------
    InputFault
        When a number is out of bounds or the crop is none of the page's.
    """
    bounds = (("latitude", -65.0, 65.0, 47.0), ("length", 0.3, 50.0, 3.0), ("width", 0.3, 5.0, 1.2))
    values, faults = {}, []
    for name, low, high, usual in bounds:
        values[name] = sent.number(name, usual)
        if not low <= values[name] <= high:
            faults.append(Fault(name, f"{values[name]:g}", f"{low:g} to {high:g}", "Say it again."))
    if sent.one("grows", "nothing") not in GROWS:
        faults.append(Fault("grows", sent.one("grows")[:40], ", ".join(GROWS), "Choose one of these."))
    if faults:
        raise InputFault(faults)
    _, crop, stands = GROWS[sent.one("grows", "nothing")]
    grown = ""
    if crop:
        gone = day + timedelta(days=stands)
        grown = f'\n[[beds.crops]]\ncrop = "{crop}"\nplanted = {day.isoformat()}\nharvested = {gone.isoformat()}\n'
    return (
        f'[site]\nname = "My garden"\nlatitude = {values["latitude"]:.2f}\nunits = "metric"\n\n'
        f"[season]\nfirst_day = {day.isoformat()}\nlast_day = {(day + timedelta(days=200)).isoformat()}\n\n"
        f'[weather]\n{_mild(values["latitude"])}\n[soil]\ntexture = "loam"\norganic_matter = "3 %"\n\n'
        f'[[beds]]\nname = "First Bed"\nsize = "{values["width"]:.2f} m x {values["length"]:.2f} m"\n{grown}'
    )


def _mild(latitude: float) -> str:
    """Return the mild climate as lines of a garden file; south of the equator half a year later."""
    turn = 6 if latitude < 0 else 0
    return "".join(f"{name} = {[*row[turn:], *row[:turn]]}\n" for name, row in MILD.items())


def _only_first(asking: Visitor, request: Request) -> None:
    """Refuse where a garden is kept already."""
    from mullbed.usecases.list_in_hand import list_in_hand

    if not asking.leads:
        raise HTTPException(403)
    try:
        list_in_hand(asking.where, today(request))
    except InputFault:
        return
    raise InputFault([Fault("Garden", "kept already", "an empty record", "Start the server with another record.")])
