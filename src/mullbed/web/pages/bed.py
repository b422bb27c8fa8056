"""This bed: what lies there, what the roots get, dates, what was written."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from urllib.parse import quote

import numpy as np
from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from mullbed.domain.shown_bed import ShownBed
from mullbed.errors import NotFound
from mullbed.reports.amounts import area_words, is_us, per_area_factor, per_area_unit, thickness_words
from mullbed.reports.backing_words import backing_sentences
from mullbed.reports.bed_cut import cut_drawing
from mullbed.reports.bed_words import bed_dates, bed_heading, roots_words
from mullbed.reports.cut_scene import bare_cut
from mullbed.reports.kept_words import entry_words
from mullbed.reports.names import bed_title, crop_name
from mullbed.reports.season_ribbons import bed_chart, patterns
from mullbed.reports.words import number, short_day
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, today

router = APIRouter()


@dataclass(frozen=True, slots=True)
class Week:
    """One row of the table of values."""

    day: str
    given: str
    want: str
    cover: str


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
    weeks: tuple[Week, ...]
    dates: tuple[tuple[str, str], ...]
    notes: tuple[NoteLine, ...]
    members: int
    lays: bool
    """Whether a layer of the plan is due or nearly so."""
    unit: str


@router.get("/bed/{name}", response_class=HTMLResponse)
def bed_page(request: Request, name: str, asking: Asking) -> Response:
    """Show one bed."""
    from mullbed.usecases.show_bed import show_bed

    if not asking.sees(name):
        raise NotFound("bed", name, ())
    shown = show_bed(asking.where, name, today(request))
    return page(request, "bed.html", bed_context(shown, asking.name))


def bed_context(shown: ShownBed, reader: str) -> BedContext:
    """Return what the page shows of a bed."""
    units, bed = shown.units, shown.bed
    crops = ", ".join(crop_name(one.crop) for one in bed.crops if one.planted <= shown.today <= one.harvested)
    drawing = cut_drawing(
        bare_cut(bed, shown.forecast, shown.today, units), scale=11.0, inches=is_us(units), width_centimetres=14.0
    )
    words = roots_words(shown)
    return BedContext(
        title=bed_title(bed.name),
        here="",
        bed=bed.name,
        address=f"/bed/{quote(bed.name, safe='')}",
        where=", ".join(part for part in (bed_title(bed.name), crops, area_words(bed.area, units)) if part),
        heading=bed_heading(shown),
        cut=drawing.svg,
        defs=patterns([shown.forecast], 5.0),
        roots=bed_chart(shown.forecast, shown.today, "What the roots get", words, units, width=380.0, scale=5.0),
        roots_words=words,
        backing=tuple(backing_sentences(shown.forecast.backing)),
        weeks=weeks(shown),
        dates=bed_dates(shown),
        notes=tuple(
            NoteLine(one.id, f"{short_day(one.day)}: {entry_words(one, units, bed.area)}", one.author == reader)
            for one in shown.notes
        ),
        members=shown.members,
        lays=shown.late is not None or bool(shown.planned and (shown.planned[0].layer.day - shown.today).days <= 3),
        unit=per_area_unit(units),
    )


def weeks(shown: ShownBed) -> tuple[Week, ...]:
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
            given = f"{number(factor * float(weekly.p50[place]))} ({low} to {high})"
        want = (
            number(7.0 * factor * float(shown.forecast.crop_want[place]))
            if place < len(shown.forecast.crop_want)
            else "–"
        )
        height = thickness_words(float(cover[place]), shown.units) if np.isfinite(cover[place]) else "–"
        rows.append(Week(short_day(day), given, want, height))
    return tuple(rows[:30])
