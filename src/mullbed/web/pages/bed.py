"""This bed: what lies there, what the roots get, dates, what was written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from urllib.parse import quote

import numpy as np
from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from mullbed.domain.shown_bed import ShownBed
from mullbed.errors import NotFound
from mullbed.language import say
from mullbed.reports.amounts import area_words, is_us, per_area_factor, per_area_unit, thickness_words
from mullbed.reports.backing_words import backing_sentences
from mullbed.reports.bed_cut import cut_drawing
from mullbed.reports.bed_words import bed_dates, bed_heading, roots_words
from mullbed.reports.cut_scene import bare_cut
from mullbed.reports.kept_words import entry_words
from mullbed.reports.names import bed_title, crop_name
from mullbed.reports.season_axis import Axis
from mullbed.reports.season_ribbons import bed_chart, patterns
from mullbed.reports.week_reading import WeekValues, marked, read_week, tapped_weeks, week_sentence
from mullbed.reports.words import number, short_day
from mullbed.web.forms import Asked
from mullbed.web.reading import units_read
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, today

router = APIRouter()
CHART_WIDTH = 380.0
"""[px]"""


@dataclass(frozen=True, slots=True)
class Reading:
    """The week that is read out of the chart."""

    sentence: str
    before: str
    """Address of the week before; empty at the edge."""
    after: str


@dataclass(frozen=True, slots=True)
class NoteLine:
    """One note of this bed."""

    id: str
    words: str
    mine: bool


@dataclass(frozen=True, slots=True)
class BedContext:
    """What the page of a bed shows."""

    title: str
    here: str
    bed: str
    address: str
    where: str
    heading: str
    cut: str
    defs: str
    """Patterns the pictures fill with."""
    roots: str
    roots_words: str
    backing: tuple[str, ...]
    """What is held against data here, and what reaches beyond them."""
    weeks: tuple[WeekValues, ...]
    dates: tuple[tuple[str, str], ...]
    notes: tuple[NoteLine, ...]
    members: int
    lays: bool
    """Whether a layer of the plan is due or nearly so."""
    unit: str
    taps: tuple[tuple[str, str], ...]
    """Where a tap on the chart leads, and what it reads."""
    reading: Reading | None


@router.get("/bed/{name}", response_class=HTMLResponse)
def bed_page(request: Request, name: str, asking: Asking, asked: Asked) -> Response:
    """Show one bed."""
    from mullbed.usecases.show_bed import show_bed

    if not asking.sees(name):
        raise NotFound("bed", name, ())
    shown = show_bed(asking.where, name, today(request))
    shown = replace(shown, units=units_read(shown.units))
    return page(request, "bed.html", bed_context(shown, asking.name, asked.one("week")))


def bed_context(shown: ShownBed, reader: str, week: str = "") -> BedContext:
    """Return what the page shows of a bed."""
    units, bed = shown.units, shown.bed
    crops = ", ".join(crop_name(one.crop) for one in bed.crops if one.planted <= shown.today <= one.harvested)
    drawing = cut_drawing(
        bare_cut(bed, shown.forecast, shown.today, units), scale=11.0, inches=is_us(units), width_centimetres=14.0
    )
    words = roots_words(shown)
    address, rows = f"/bed/{quote(bed.name, safe='')}", weeks(shown)
    axis = Axis(shown.forecast.first_day, shown.forecast.series["thickness"].p50.size, CHART_WIDTH)
    chart = bed_chart(
        shown.forecast, shown.today, say("What the roots get"), words, units, width=CHART_WIDTH, scale=5.0
    )
    place = read_week(rows, week)
    return BedContext(
        title=bed_title(bed.name),
        here="",
        bed=bed.name,
        address=address,
        where=", ".join(part for part in (bed_title(bed.name), crops, area_words(bed.area, units)) if part),
        heading=bed_heading(shown),
        cut=drawing.svg,
        defs=patterns([shown.forecast], 5.0),
        roots=chart if place is None else marked(chart, axis, rows[place]),
        roots_words=words,
        backing=tuple(backing_sentences(shown.forecast.backing)),
        weeks=rows,
        dates=bed_dates(shown),
        notes=tuple(
            NoteLine(one.id, f"{short_day(one.day)}: {entry_words(one, units, bed.area)}", one.author == reader)
            for one in shown.notes
        ),
        members=shown.members,
        lays=shown.late is not None or bool(shown.planned and (shown.planned[0].layer.day - shown.today).days <= 3),
        unit=per_area_unit(units),
        taps=tuple((_week_address(address, one), one.day) for one in tapped_weeks(axis, rows)),
        reading=_reading(rows, place, address, per_area_unit(units)),
    )


def _week_address(address: str, week: WeekValues) -> str:
    return f"{address}?week={week.first_day.isoformat()}#read"


def _reading(rows: Sequence[WeekValues], place: int | None, address: str, unit: str) -> Reading | None:
    """Return the week read out, with the ways to the weeks beside it."""
    if place is None:
        return None
    before = _week_address(address, rows[place - 1]) if place > 0 else ""
    after = _week_address(address, rows[place + 1]) if place + 1 < len(rows) else ""
    return Reading(week_sentence(rows[place], unit), before, after)


def weeks(shown: ShownBed) -> tuple[WeekValues, ...]:
    """Return the values of the picture by week, from today."""
    series = shown.forecast.series
    weekly, cover = series.get("weekly_nitrogen"), series["thickness"].p50
    start = max(0, (shown.today - shown.forecast.first_day).days)
    factor = per_area_factor(shown.units)
    rows = []
    for place in range(start, cover.size, 7):
        day = shown.forecast.first_day + timedelta(days=place)
        given = "–"
        if weekly is not None and np.isfinite(weekly.p50[place]):
            low, high = number(factor * float(weekly.p10[place])), number(factor * float(weekly.p90[place]))
            given = f"{number(factor * float(weekly.p50[place]))} ({say('{low} to {high}', low=low, high=high)})"
        want = (
            number(7.0 * factor * float(shown.forecast.crop_want[place]))
            if place < len(shown.forecast.crop_want)
            else "–"
        )
        height = thickness_words(float(cover[place]), shown.units) if np.isfinite(cover[place]) else "–"
        rows.append(WeekValues(day, short_day(day), given, want, height))
    return tuple(rows[:30])
