"""Round: what needs me today."""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.garden import UnitSystem
from mullbed.domain.walk import BedVisit, Job, Round, Stop
from mullbed.errors import InputFault
from mullbed.language import say, say_many
from mullbed.reports.matter import matter_of
from mullbed.reports.names import bed_title
from mullbed.reports.round_list import (
    IN_FULL,
    do_words,
    dont_words,
    look_words,
    number_parts,
    round_answer,
    standing_words,
    why_words,
)
from mullbed.reports.walk_picture import WalkBed, walk_svg
from mullbed.reports.words import capital, listed, weekday_words
from mullbed.web.reading import units_read
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, settings_of, today

router = APIRouter()


@dataclass(frozen=True, slots=True)
class FullStop:
    """A stop told in full."""

    place: int
    bed: str
    address: str
    figure: str
    """The one number."""
    unit: str
    """Its unit, and of what."""
    then: str
    why: str
    dont: str
    look: tuple[str, ...]
    stone: str
    """Words of the main stone."""
    stone_address: str


@dataclass(frozen=True, slots=True)
class LineStop:
    """A stop told in a line."""

    place: int
    bed: str
    address: str
    words: str


@dataclass(frozen=True, slots=True)
class RoundContext:
    """What the round shows."""

    title: str
    here: str
    day: str
    weather: str
    heading: str
    walk: str
    first: FullStop | None
    others: tuple[LineStop, ...]
    heap: tuple[str, ...]
    later: str
    alone: str
    standing: str
    stale: bool
    """Whether a look ahead would make the round surer, and the visitor may begin it."""
    people: bool
    """Whether the visitor may change who gardens here."""


@router.get("/", response_class=HTMLResponse)
def round_page(request: Request, asking: Asking) -> Response:
    """Show today's walk."""
    from mullbed.usecases.walk_round import walk_round

    try:
        found = walk_round(asking.where, today(request))
    except InputFault:
        return RedirectResponse("/begin", 303)
    walk, units = found.walk, units_read(found.units)
    visits = tuple(visit for visit in walk.visits if asking.sees(visit.bed))
    due = [visit for visit in visits if visit.stops]
    context = RoundContext(
        title=say("Round"),
        here="round",
        day=weekday_words(walk.day),
        weather=say("Rain expected: {what}", what=say(walk.rain_expected)) if walk.rain_expected else "",
        heading=round_answer(walk),
        walk=walk_svg([_walk_bed(visit, due, units) for visit in sorted(visits, key=lambda one: one.place)]),
        first=_full(due[0], units) if due else None,
        others=tuple(
            LineStop(place, bed_title(visit.bed), bed_address(visit.bed), do_words(visit.stops[0], units))
            for place, visit in enumerate(due[1:IN_FULL], start=2)
        ),
        heap=tuple(f"{capital(do_words(stop, units))}. {why_words(stop, units)}" for stop in walk.heap),
        later=_later(due),
        alone=_alone(walk, visits),
        standing=on_page(standing_words(walk)),
        stale=asking.leads and not walk.fresh,
        people=asking.leads and settings_of(request).sign_in,
    )
    return page(request, "round.html", context)


def on_page(sentences: str) -> str:
    """Return sentences without those that name a command, which belongs to the terminal."""
    within = re.sub(r"; `[^`]*` [^.`]+\.", ".", sentences)
    return re.sub(r" ?`[^`]*` [^.`]+\.", "", within).strip()


def bed_address(bed: str) -> str:
    """Return the address of a bed's page."""
    return f"/bed/{quote(bed, safe='')}"


def _walk_bed(visit: BedVisit, due: list[BedVisit], units: UnitSystem) -> WalkBed:
    """Return a bed as the picture shows it."""
    stop = due.index(visit) + 1 if visit in due[:IN_FULL] else None
    words = do_words(visit.stops[0], units) if visit.stops else say("leave it alone")
    height = 100.0 * (visit.thickness[1] if visit.thickness else visit.laid_thickness)
    matter = matter_of(visit.top) if visit.top is not None else None
    return WalkBed(visit.bed, bed_address(visit.bed), height, matter, stop, visit.grows, words)


def _full(visit: BedVisit, units: UnitSystem) -> FullStop:
    """Return the first stop in full."""
    stop = visit.stops[0]
    figure, unit, then = number_parts(stop, units)
    stone, address = _stone(visit, stop)
    return FullStop(
        1,
        bed_title(visit.bed),
        bed_address(visit.bed),
        figure,
        unit,
        then,
        why_words(stop, units),
        dont_words(stop),
        tuple(look_words(one) for one in visit.look),
        stone,
        address,
    )


def _stone(visit: BedVisit, stop: Stop) -> tuple[str, str]:
    """Return words and address of the main stone."""
    base = bed_address(visit.bed)
    title = bed_title(visit.bed)
    if stop.job is Job.LAY:
        return say("Lay it on {bed}", bed=title), f"{base}/lay"
    if stop.job is Job.WATER:
        return say("I watered {bed}", bed=title), f"{base}/did"
    return say("Go to {bed}", bed=title), base


def _later(due: list[BedVisit]) -> str:
    """Return what waits beyond the stops shown."""
    rest = [visit.bed for visit in due[IN_FULL:]]
    if not rest:
        return ""
    names = listed([bed_title(name) for name in rest[:6]])
    if len(rest) > 6:
        return say("{count} more can wait.", count=len(rest))
    return say_many("{beds} can wait.", "{beds} can wait.", len(rest), beds=capital(names))


def _alone(walk: Round, visits: tuple[BedVisit, ...]) -> str:
    """Return which beds to leave alone, and until when."""
    left = [visit for visit in visits if not visit.stops]
    if not left or len(left) == len(visits):
        return ""
    shown = [visit.bed for visit in left[:6]]
    names = listed(shown)
    if len(left) > 6:
        names = say("{beds} and {count} more", beds=names, count=len(left) - 6)
    days = [visit.next_day for visit in left if visit.next_day is not None]
    if not days:
        return say("Leave {beds} alone.", beds=names)
    return say("Leave {beds} alone till {day}.", beds=names, day=weekday_words(min(days)))
