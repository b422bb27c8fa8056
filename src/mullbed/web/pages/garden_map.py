"""The garden from above: where to go today, bed by bed, in pictures and in words."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from mullbed.domain.bed import Bed
from mullbed.domain.garden import UnitSystem
from mullbed.domain.walk import BedVisit, Job
from mullbed.language import marked, say
from mullbed.reports.garden_map import MapBed, map_svg, placed_beds
from mullbed.reports.matter import matter_of
from mullbed.reports.names import bed_title
from mullbed.reports.round_list import IN_FULL, do_words
from mullbed.web.reading import units_read
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, today

router = APIRouter()
VERBS = {
    Job.READ_TEST: marked("read"),
    Job.AIR: marked("open up"),
    Job.CAP: marked("cap"),
    Job.LAY: marked("lay"),
    Job.WAIT: marked("wait"),
    Job.WATER: marked("water"),
    Job.USE_UP: marked("use up"),
    Job.DRAW_BACK: marked("draw back"),
    Job.SOW: marked("sow"),
    Job.HARVEST: marked("pick"),
    Job.LOOK: marked("look"),
}


@dataclass(frozen=True, slots=True)
class MapLine:
    """One bed in words."""

    place: str
    bed: str
    address: str
    words: str


@dataclass(frozen=True, slots=True)
class MapContext:
    """What the map shows."""

    title: str
    here: str
    garden: str
    placed: bool
    """Whether beds stand where they are."""
    some: bool
    """Whether some of them do not."""
    map: str
    lines: tuple[MapLine, ...]
    first: str
    first_address: str


@router.get("/map", response_class=HTMLResponse)
def map_page(request: Request, asking: Asking) -> Response:
    """Show the garden from above."""
    from mullbed.usecases.list_in_hand import list_in_hand
    from mullbed.usecases.walk_round import walk_round

    day = today(request)
    found = walk_round(asking.where, day)
    garden, units = list_in_hand(asking.where, day).garden, units_read(found.units)
    visits = tuple(visit for visit in found.walk.visits if asking.sees(visit.bed))
    due = [visit.bed for visit in visits if visit.stops][:IN_FULL]
    beds = [
        map_bed(bed, visit, due.index(visit.bed) + 1 if visit.bed in due else None, units)
        for visit in sorted(visits, key=lambda one: one.place)
        if (bed := garden.bed(visit.bed)) is not None
    ]
    placed, others = placed_beds(beds)
    first = next((one for one in beds if one.stop == 1), None)
    context = MapContext(
        title=say("Map"),
        here="round",
        garden=garden.site.name,
        placed=bool(placed),
        some=bool(others),
        map=map_svg(beds, units),
        lines=tuple(
            MapLine(str(one.stop or ""), one.name, one.address, one.words)
            for one in sorted(beds, key=lambda one: one.stop or 99)
        ),
        first=first.name if first is not None else "",
        first_address=first.address if first is not None else "/noticed",
    )
    return page(request, "map.html", context)


def map_bed(bed: Bed, visit: BedVisit, stop: int | None, units: UnitSystem) -> MapBed:
    """Return a bed as the map shows it."""
    job = visit.stops[0] if visit.stops else None
    return MapBed(
        bed_title(bed.name),
        f"/bed/{quote(bed.name, safe='')}",
        bed.outline,
        bed.area,
        matter_of(visit.top) if visit.top is not None else None,
        visit.grows,
        stop,
        say(VERBS.get(job.job, "")) if job is not None and stop is not None else "",
        do_words(job, units) if job is not None else say("leave it alone"),
    )
