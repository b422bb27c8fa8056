"""I did something: watered, sowed, picked, drew back, read the bean pots; two taps each."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.bed import Bed
from mullbed.domain.garden import UnitSystem
from mullbed.domain.in_hand import InHand
from mullbed.errors import NotFound
from mullbed.language import say
from mullbed.reports.amounts import count_words, is_us
from mullbed.reports.names import bed_title, crop_name
from mullbed.reports.words import day_words, weekday_words
from mullbed.units import from_canonical
from mullbed.web.forms import Asked, Sent, shown_number
from mullbed.web.reading import units_read
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, Visitor, today
from mullbed.web.writing import write
from mullbed.web.written import Written, written

router = APIRouter()
SOW_FROM, SOW_UNTIL = 60, 30
"""A crop of the garden file is offered for sowing so many days around its day. [d]"""


@dataclass(frozen=True, slots=True)
class Stand:
    """A crop that may be sown or picked."""

    key: str
    name: str
    mass: str
    """Weight picked last, in the unit of the reader."""
    unit: str


@dataclass(frozen=True, slots=True)
class Pots:
    """A bean test to read, or one to sow."""

    batch: str
    words: str
    last: str


@dataclass(frozen=True, slots=True)
class DidContext:
    """What the page offers."""

    title: str
    here: str
    day: str
    bed: str
    bed_title: str
    address: str
    beds: tuple[tuple[str, str], ...]
    waters: tuple[tuple[str, str], ...]
    """Amounts as they are written down, and in words."""
    sow: tuple[Stand, ...]
    pick: tuple[Stand, ...]
    pots: tuple[Pots, ...]
    untested: tuple[str, ...]
    written: Written | None
    back: str


@router.get("/did", response_class=HTMLResponse)
def did_page(request: Request, asking: Asking, asked: Asked) -> Response:
    """Show what can be written down with two taps."""
    return _show(request, asking, asked, asked.one("bed"))


@router.get("/bed/{name}/did", response_class=HTMLResponse)
def bed_did_page(request: Request, name: str, asking: Asking, asked: Asked) -> Response:
    """Show the same for one bed."""
    return _show(request, asking, asked, name)


@router.post("/did")
def did(request: Request, asking: Asking, sent: Sent) -> Response:
    """Keep what was done."""
    wrote = write(request, asking, sent)
    bed = f"bed={quote(wrote.bed)}&" if wrote.bed else ""
    return RedirectResponse(f"/did?{bed}{wrote.query}", 303)


def _show(request: Request, asking: Visitor, asked: Asked, name: str) -> Response:
    from mullbed.usecases.list_in_hand import list_in_hand

    found = list_in_hand(asking.where, today(request))
    bed = found.garden.bed(name) if name else None
    if name and (bed is None or not asking.sees(bed.name)):
        raise NotFound("bed", name, ())
    units = units_read(found.garden.site.units)
    context = DidContext(
        title=say("I did something"),
        here="",
        day=weekday_words(found.today),
        bed=bed.name if bed is not None else "",
        bed_title=bed_title(bed.name) if bed is not None else "",
        address=f"/bed/{quote(bed.name, safe='')}" if bed is not None else "/",
        beds=tuple(
            (bed_title(one.name), "/did?" + urlencode({"bed": one.name}))
            for one in found.garden.beds
            if asking.sees(one.name)
        ),
        waters=_waters(found, bed),
        sow=_sow(found, bed),
        pick=tuple(Stand(key, crop_name(key), *_weight(mass, units)) for key, mass in _picked(found, bed)),
        pots=tuple(
            Pots(
                one.batch,
                say("sown {day}, due {due}", day=day_words(one.sown), due=day_words(one.due))
                if one.due is not None
                else say("sown {day}", day=day_words(one.sown)),
                "yes" if one.last else "no",
            )
            for one in found.tests
        ),
        untested=found.untested,
        written=written(asking, asked, units),
        back="/did" + (f"?{urlencode({'bed': bed.name})}" if bed is not None else ""),
    )
    return page(request, "did.html", context)


def _weight(kilograms: float, units: UnitSystem) -> tuple[str, str]:
    """Return a weight as it stands in a field, and its unit."""
    unit = "lb" if is_us(units) else "kg"
    return shown_number(from_canonical(kilograms, unit)), unit


def _waters(found: InHand, bed: Bed | None) -> tuple[tuple[str, str], ...]:
    """Return amounts of water to choose from, the last one first."""
    if bed is None:
        return ()
    last = found.last_water.get(bed.name)
    usual = {f"{count} can" if count == 1 else f"{count} cans": count_words(count, "can") for count in (1, 2, 3, 4, 6)}
    return tuple((({last: usual.get(last, last)} if last else {}) | usual).items())[:5]


def _sow(found: InHand, bed: Bed | None) -> tuple[Stand, ...]:
    """Return the crops whose day is near, nearest first."""
    if bed is None:
        return ()
    near = sorted(
        (crop for crop in bed.crops if -SOW_UNTIL <= (crop.planted - found.today).days <= SOW_FROM),
        key=lambda crop: abs((crop.planted - found.today).days),
    )
    return tuple(Stand(key, crop_name(key), "", "") for key in dict.fromkeys(crop.crop for crop in near))[:4]


def _picked(found: InHand, bed: Bed | None) -> tuple[tuple[str, float], ...]:
    """Return the crops that stand, with the weight picked last or one kilogram."""
    if bed is None:
        return ()
    late = timedelta(days=21)
    standing = [crop.crop for crop in bed.crops if crop.planted <= found.today <= crop.harvested + late]
    return tuple((key, found.last_harvest.get((bed.name, key), 1.0)) for key in dict.fromkeys(standing))
