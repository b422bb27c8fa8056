"""Lay a layer: the cut grows with each tap; what it will do; laid, written down, and undone if wished."""

from __future__ import annotations

from dataclasses import dataclass, replace
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.in_hand import Heap
from mullbed.domain.layer_preview import LayerPreview
from mullbed.errors import NotFound
from mullbed.language import say
from mullbed.reports.amounts import is_us, thickness_words
from mullbed.reports.bed_cut import cut_drawing
from mullbed.reports.cautions import caution_action, dated_line
from mullbed.reports.cut_scene import bare_cut, planned_cut
from mullbed.reports.in_hand_words import heap_title, number_of
from mullbed.reports.lay_words import dont_sentences, feeds_words, known_words, next_stop_words, water_words
from mullbed.reports.matter import matter_of
from mullbed.reports.names import bed_title
from mullbed.reports.vessels import swatch
from mullbed.reports.words import plural, weekday_words
from mullbed.web.forms import Answers, Asked, Sent, shown_number
from mullbed.web.lift_texts import lift_texts, written_container
from mullbed.web.reading import units_read
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, Visitor, today
from mullbed.web.writing import write
from mullbed.web.written import Written, written

router = APIRouter()
SHOWN = 3
"""Residues shown before "Use other things"."""


@dataclass(frozen=True, slots=True)
class LiftRow:
    """One residue that may go into the layer."""

    field: str
    name: str
    title: str
    picture: str
    unit: str
    count: str
    residue: str
    container: str
    """As it is written down."""
    soft: bool
    """Whether it goes below what is dry."""


@dataclass(frozen=True, slots=True)
class Said:
    """One thing a rule of safety says."""

    sentence: str
    told: str


@dataclass(frozen=True, slots=True)
class LayContext:
    """What the page shows."""

    title: str
    here: str
    bed: str
    bed_title: str
    address: str
    day: str
    cut: str
    new: str
    sunk: str
    lying: str
    rows: tuple[LiftRow, ...]
    others: tuple[LiftRow, ...]
    cans: str
    feeds: str
    water: str
    dont: tuple[str, ...]
    refusals: tuple[Said, ...]
    final: bool
    """Whether a rule cannot be set aside here."""
    too_much: str
    beware: tuple[str, ...]
    dated: str
    known: str
    lifts: tuple[str, ...]
    """The layer as it is written down, from the soil up."""
    stone: str
    from_plan: bool


@dataclass(frozen=True, slots=True)
class LaidContext:
    """What the page after laying shows."""

    title: str
    here: str
    bed: str
    bed_title: str
    address: str
    cut: str
    now: str
    next_figure: str
    next_words: str
    next_why: str
    next_stone: str
    next_address: str
    written: Written | None


@router.get("/bed/{name}/lay", response_class=HTMLResponse)
def lay_page(request: Request, name: str, asking: Asking, asked: Asked) -> Response:
    """Show the layer that is being put together."""
    from mullbed.usecases.preview_layer import preview_layer

    if not asking.sees(name):
        raise NotFound("bed", name, ())
    counts, cans = _counts(asked)
    found = preview_layer(asking.where, name, today(request), counts, cans=cans)
    found = replace(found, units=units_read(found.units))
    return page(request, "lay.html", _context(found))


def _counts(asked: Answers) -> tuple[dict[str, float] | None, float | None]:
    """Return the containers chosen, after the step that was tapped; nothing where none were sent."""
    names = asked.after("n.")
    if not names and not asked.one("step"):
        return None, None
    counts = {name: asked.number(f"n.{name}") for name in names}
    cans = asked.number("cans") if asked.one("cans") else None
    sign, _, name = asked.one("step").partition(":")
    change = {"plus": 1.0, "minus": -1.0}.get(sign, 0.0)
    if name == "cans":
        return counts, max(0.0, (cans or 0.0) + change)
    if change:
        counts[name] = max(0.0, counts.get(name, 0.0) + change)
        return counts, None  # another layer wants other water
    return counts, cans


def _context(found: LayerPreview) -> LayContext:
    units, planned, today_ = found.units, found.planned, found.hand.today
    chosen = dict(found.counts)
    if planned is not None:
        cut = planned_cut(planned, found.bed, found.forecast, units)
        new = say("{thickness} new", thickness=thickness_words(planned.layer.thickness, units))
        sunk = say("dots: sunk so far by {day}", day=cut.settled_day) if cut.settled_words else ""
        lying = ""
        if planned.lying_before > 0.001:
            lying = say("{thickness} lying now", thickness=thickness_words(planned.lying_before, units))
    else:
        cut = bare_cut(found.bed, found.forecast, today_, units)
        new, sunk, lying = say("Nothing new yet"), "", ""
    drawing = cut_drawing(
        cut, scale=12.0, inches=is_us(units), leaders=False, soil_centimetres=3.5, width_centimetres=14.0
    )
    cautions = planned.cautions if planned is not None else ()
    heaps = sorted(found.hand.heaps, key=lambda one: (chosen.get(one.name, 0.0) <= 0.0,))
    shown = max(SHOWN, sum(1 for one in heaps if chosen.get(one.name, 0.0) > 0.0))
    first = sorted(heaps[:shown], key=lambda one: found.hand.heaps.index(one))
    over = found.nitrogen_year > found.nitrogen_ceiling
    final = any(not one.override_allowed for one in found.refusals)
    return LayContext(
        title=say("Lay a layer on {bed}", bed=bed_title(found.bed.name)),
        here="",
        bed=found.bed.name,
        bed_title=bed_title(found.bed.name),
        address=f"/bed/{quote(found.bed.name, safe='')}",
        day=weekday_words(today_),
        cut=drawing.svg,
        new=new,
        sunk=sunk,
        lying=lying,
        rows=tuple(_row(one, chosen) for one in first),
        others=tuple(_row(one, chosen) for one in heaps if one not in first),
        cans=number_of(found.cans),
        feeds=feeds_words(found),
        water=water_words(found),
        dont=dont_sentences(found),
        refusals=tuple(Said(one.sentence, one.told()) for one in found.refusals),
        final=final,
        too_much=say("Enough for this year. More would wash down.") if over and planned is not None else "",
        beware=tuple(": ".join(part for part in caution_action(key) if part) for key in cautions[:2]),
        dated=dated_line(cautions) if cautions else "",
        known=known_words(found),
        lifts=lift_texts(found),
        stone=say("Lay it anyway") if over or found.refusals else say("It is laid"),
        from_plan=found.from_plan,
    )


def _row(heap: Heap, chosen: dict[str, float]) -> LiftRow:
    fresh = heap.keeps_until is not None
    return LiftRow(
        field=f"n.{heap.name}",
        name=heap.name,
        title=heap_title(heap),
        picture=swatch(matter_of(heap.residue, fresh)),
        unit=say("{container}, of {count}", container=plural(heap.container, heap.count), count=number_of(heap.count)),
        count=shown_number(chosen.get(heap.name, 0.0)),
        residue=heap.residue,
        container=written_container(heap),
        soft=fresh,
    )


@router.post("/bed/{name}/lay")
def lay(request: Request, name: str, asking: Asking, sent: Sent) -> Response:
    """Keep the layer."""
    if sent.one("bed") != name:
        raise NotFound("bed", name, ())
    wrote = write(request, asking, sent)
    return RedirectResponse(f"/bed/{quote(name, safe='')}/laid?{wrote.query}", 303)


@router.get("/bed/{name}/laid", response_class=HTMLResponse)
def laid_page(request: Request, name: str, asking: Asking, asked: Asked) -> Response:
    """Show the bed with its new layer, and where to go on."""
    from mullbed.usecases.preview_layer import preview_layer

    if not asking.sees(name):
        raise NotFound("bed", name, ())
    found = preview_layer(asking.where, name, today(request), {})
    found = replace(found, units=units_read(found.units))
    return page(request, "laid.html", _laid(request, asking, found, asked))


def _laid(request: Request, asking: Visitor, found: LayerPreview, asked: Answers) -> LaidContext:
    from mullbed.usecases.walk_round import walk_round

    cut = bare_cut(found.bed, found.forecast, found.hand.today, found.units)
    drawing = cut_drawing(cut, scale=13.0, words=False, leaders=False, soil_centimetres=3.0, width_centimetres=30.0)
    walk = walk_round(asking.where, today(request)).walk
    due = [one for one in walk.visits if one.stops and one.bed != found.bed.name and asking.sees(one.bed)]
    figure, words, why = next_stop_words(due[0], found.units) if due else ("", "", "")
    told = written(asking, asked, found.units)
    height = sum(lift.centimetres for lift in cut.lifts) / 100.0
    settle = found.forecast.series["thickness"].p50
    later = float(settle[min(settle.size - 1, 15)])
    lies = say("{thickness} now.", thickness=thickness_words(height, found.units))
    if later == later and later < height:
        lies += " " + say("About {thickness} in two weeks.", thickness=thickness_words(later, found.units))
    return LaidContext(
        title=say("Laid"),
        here="",
        bed=found.bed.name,
        bed_title=bed_title(found.bed.name),
        address=f"/bed/{quote(found.bed.name, safe='')}",
        cut=drawing.svg,
        now=lies,
        next_figure=figure,
        next_words=words,
        next_why=why,
        next_stone=say("Go on to {bed}", bed=bed_title(due[0].bed)) if due else say("Back to the round"),
        next_address=f"/bed/{quote(due[0].bed, safe='')}" if due else "/",
        written=told,
    )
