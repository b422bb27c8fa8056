"""What a link shows to anybody: the garden from above, a bed as it lies; no names, nothing to change."""

from __future__ import annotations

from dataclasses import dataclass, replace
from urllib.parse import quote

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, Response

from mullbed.domain.shown_bed import ShownBed
from mullbed.domain.signing import Where
from mullbed.language import marked, say, say_many
from mullbed.reports.amounts import area_words, is_us, thickness_words
from mullbed.reports.bed_cut import cut_drawing
from mullbed.reports.bed_words import bed_dates, bed_heading, roots_words
from mullbed.reports.cut_scene import bare_cut
from mullbed.reports.garden_map import MapBed, map_svg
from mullbed.reports.matter import matter_of
from mullbed.reports.names import bed_title, crop_name, residue_name
from mullbed.reports.season_ribbons import bed_chart, patterns
from mullbed.reports.words import capital, counted, day_words, weekday_words
from mullbed.usecases import share_look as looks
from mullbed.web.reading import units_read
from mullbed.web.rendering import page
from mullbed.web.visitor import now, settings_of, today

router = APIRouter()
OVER = marked("This link is over, or was taken back. Ask whoever sent it for another.")


@dataclass(frozen=True, slots=True)
class LookBed:
    """One bed in words."""

    name: str
    address: str
    words: str


@dataclass(frozen=True, slots=True)
class LookContext:
    """The garden, or one bed, as anybody sees it."""

    title: str
    here: str
    garden: str
    day: str
    heading: str
    back: str
    map: str
    beds: tuple[LookBed, ...]
    under: str
    cut: str
    cut_words: str
    defs: str
    roots: str
    roots_words: str
    dates: tuple[tuple[str, str], ...]


@router.get("/look/{token}", response_class=HTMLResponse)
def look(request: Request, token: str) -> Response:
    """Show what the link shows."""
    where, bed = _opened(request, token)
    return _shown(request, where, bed) if bed is not None else _garden(request, where, token)


@router.get("/look/{token}/{name}", response_class=HTMLResponse)
def look_at_bed(request: Request, token: str, name: str) -> Response:
    """Show one bed of a garden whose link it is."""
    where, bed = _opened(request, token)
    if bed not in (None, name):
        raise HTTPException(404)
    return _shown(request, where, name, f"/look/{quote(token, safe='')}" if bed is None else "")


def _opened(request: Request, token: str) -> tuple[Where, str | None]:
    """Return garden and bed of a link.

    Raises
    ------
    HTTPException
        404 where it opens nothing.
    """
    where = settings_of(request).where
    link = looks.look_by(where, token[:200], now())
    if link is None or where.garden not in (None, link.garden):
        raise HTTPException(404, OVER)
    return replace(where, garden=link.garden), link.bed


def _garden(request: Request, where: Where, token: str) -> Response:
    from mullbed.usecases.show_plan import plan_on_paper

    day = today(request)
    told = plan_on_paper(where, day)
    garden, units = told.garden, units_read(told.garden.site.units)
    beds, lines = [], []
    for bed in garden.beds:
        laid = [one for one in bed.layers if one.day <= day]
        top = laid[-1].lifts[-1] if laid and laid[-1].lifts else None
        grows = list(dict.fromkeys(crop_name(one.crop) for one in bed.crops if one.planted <= day <= one.harvested))
        words = [", ".join(grows)] if grows else []
        words.append(
            say("{residue} on top", residue=residue_name(top.residue)) if top is not None else say("bare soil")
        )
        address = f"/look/{quote(token, safe='')}/{quote(bed.name, safe='')}"
        matter = matter_of(top.residue, top.fresh) if top is not None else None
        title = bed_title(bed.name)
        beds.append(MapBed(title, address, bed.outline, bed.area, matter, bool(grows), None, "", ", ".join(words)))
        lines.append(LookBed(title, address, ", ".join(words)))
    covered = sum(1 for one in beds if one.matter is not None)
    context = LookContext(
        title=garden.site.name,
        here="",
        garden=garden.site.name,
        day=weekday_words(day),
        heading=capital(
            say_many(
                "{beds} of {all} lies under a cover.",
                "{beds} of {all} lie under a cover.",
                covered,
                beds=counted(covered, "bed"),
                all=len(beds),
            )
        ),
        back="",
        map=map_svg(beds, units),
        beds=tuple(lines),
        under="",
        cut="",
        cut_words="",
        defs="",
        roots="",
        roots_words="",
        dates=(),
    )
    return page(request, "look.html", context)


def _shown(request: Request, where: Where, name: str, back: str = "") -> Response:
    from mullbed.usecases.show_bed import show_bed

    shown = show_bed(where, name, today(request))
    shown = replace(shown, units=units_read(shown.units))
    return page(request, "look.html", _bed_context(shown, back))


def _bed_context(shown: ShownBed, back: str) -> LookContext:
    units, bed, day = shown.units, shown.bed, shown.today
    cut = bare_cut(bed, shown.forecast, day, units)
    drawing = cut_drawing(cut, scale=11.0, inches=is_us(units), width_centimetres=14.0)
    grows = list(dict.fromkeys(crop_name(one.crop) for one in bed.crops if one.planted <= day <= one.harvested))
    words = roots_words(shown)
    height = sum(lift.centimetres for lift in cut.lifts) / 100.0
    laid = sum(1 for one in bed.layers if one.day <= day)
    return LookContext(
        title=bed_title(bed.name),
        here="",
        garden=bed_title(bed.name),
        day=day_words(day, year=True),
        heading=bed_heading(shown),
        back=back,
        map="",
        beds=(),
        under=", ".join(part for part in (", ".join(grows), area_words(bed.area, units)) if part),
        cut=drawing.svg,
        cut_words=capital(
            say(
                "{layers} laid so far; {thickness} lie there now.",
                layers=counted(laid, "layer"),
                thickness=thickness_words(height, units),
            )
        )
        if height > 0
        else say("Bare soil."),
        defs=patterns([shown.forecast], 5.0),
        roots=bed_chart(shown.forecast, day, say("What the roots get"), words, units, width=380.0, scale=5.0),
        roots_words=words,
        dates=bed_dates(shown),
    )
