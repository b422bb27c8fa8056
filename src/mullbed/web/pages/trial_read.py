"""Read the plots of a trial, blind: codes in walking order, no word of the ways; works without signal."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.field_check import FieldCheck
from mullbed.domain.kept_trial import KeptTrial
from mullbed.errors import NotFound
from mullbed.language import say
from mullbed.reports.ground_words import typed_help, unit_words
from mullbed.reports.names import bed_title
from mullbed.reports.words import number
from mullbed.usecases import keep_trial as trials
from mullbed.web.forms import Asked, Sent
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, Visitor, today
from mullbed.web.writing import write
from mullbed.web.written import Written, written

router = APIRouter()
NITRATE = ("nitrate", "psnt")


@dataclass(frozen=True, slots=True)
class PlotRow:
    """One plot to be read."""

    code: str
    place: str
    before: str
    """What was read of it already."""


@dataclass(frozen=True, slots=True)
class ReadContext:
    """The sheet of one measure."""

    title: str
    here: str
    name: str
    address: str
    measure: str
    measure_title: str
    unit: str
    help: str
    steps: tuple[str, ...]
    spoils: str
    measures: tuple[tuple[str, str, bool], ...]
    season: str
    seasons: tuple[tuple[str, str], ...]
    rows: tuple[PlotRow, ...]
    ring: bool
    nitrate: bool
    locked: bool
    written: Written | None
    back: str


@router.get("/trial/{name}/read", response_class=HTMLResponse)
def read_page(request: Request, name: str, asking: Asking, asked: Asked) -> Response:
    """Show the plots of one measure with room for what was read."""
    kept = trials.show_trial(asking.where, name, outcome=False)
    return page(request, "trial_read.html", _context(request, asking, asked, kept))


@router.post("/trial/{name}/read")
def keep_read(request: Request, name: str, asking: Asking, sent: Sent) -> Response:
    """Keep what was read."""
    wrote = write(request, asking, sent)
    query = urlencode({"measure": sent.one("measure"), "season": sent.one("season")})
    return RedirectResponse(f"/trial/{quote(name, safe='')}/read?{query}&{wrote.query}", 303)


def _context(request: Request, asking: Visitor, asked: Asked, kept: KeptTrial) -> ReadContext:
    plan = kept.design.plan
    keys = [one.key for one in plan.measures]
    measure = asked.one("measure") or keys[0]
    if measure not in keys:
        raise NotFound("measure", measure, keys)
    check = next((one for one in kept.design.checks if one.key == measure), None)
    unit = next(one.unit for one in plan.measures if one.key == measure)
    year = str(today(request).year)
    locked = plan.locked_on is not None
    season = asked.one("season")[:40] or (year if locked else "baseline")
    address = f"/trial/{quote(plan.name, safe='')}"
    seen = [one for one in kept.readings if one.measure == measure and one.season == season]
    return ReadContext(
        title=say("Read the plots"),
        here="trial",
        name=plan.name,
        address=address,
        measure=measure,
        measure_title=check.name if check is not None else measure.capitalize(),
        unit=unit_words(unit),
        help=typed_help(measure),
        steps=check.steps if check is not None else (),
        spoils="; ".join(check.spoils) if check is not None else "",
        measures=tuple((one, _title(kept.design.checks, one), one == measure) for one in keys),
        season=season,
        seasons=((year, year), ("baseline", say("before the first treatment"))) if locked else (),
        rows=tuple(
            PlotRow(
                plot.code,
                say("{block}, place {place}", block=plot.block, place=plot.position)
                + (f", {bed_title(plot.bed)}" if plot.bed else ""),
                _before([one.value for one in seen if one.plot == plot.code]),
            )
            for plot in plan.plots
            if asking.beds is None or plot.bed in asking.beds
        ),
        ring=measure == "infiltration",
        nitrate=measure in NITRATE,
        locked=locked,
        written=written(asking, asked, kept.units),
        back=f"{address}/read?{urlencode({'measure': measure, 'season': season})}",
    )


def _title(checks: tuple[FieldCheck, ...], key: str) -> str:
    return next((one.name for one in checks if one.key == key), key.capitalize())


def _before(values: list[float | None]) -> str:
    """Return what was read already, in a few words."""
    if not values:
        return ""
    if all(value is None for value in values):
        return say("lost")
    return say("read: {values}", values="; ".join(number(value) for value in values if value is not None))
