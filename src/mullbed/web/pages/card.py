"""The paper card on the screen: the same boxes in the same places, copied with one tap where all went as planned."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.layer_preview import LayerPreview
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.language import marked, say
from mullbed.reports.amounts import area_words, is_us
from mullbed.reports.bed_card import steps
from mullbed.reports.bed_cut import cut_drawing
from mullbed.reports.cut_scene import bare_cut, planned_cut
from mullbed.reports.names import bed_title, crop_name
from mullbed.reports.reasons import layer_dont
from mullbed.reports.words import capital, listed, weekday_words
from mullbed.web.forms import Answers, Asked, Sent
from mullbed.web.lift_texts import lift_texts
from mullbed.web.reading import units_read
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, today
from mullbed.web.writing import write
from mullbed.web.written import Written, written

router = APIRouter()
SENSES = (
    (
        "nose",
        (
            ("woodland", marked("woodland")),
            ("sharp", marked("sharp")),
            ("sour", marked("sour")),
            ("rotten_egg", marked("egg")),
        ),
    ),
    (
        "eye",
        (
            ("threads", marked("threads")),
            ("slimy", marked("slime")),
            ("flies", marked("flies")),
            ("holes", marked("holes")),
        ),
    ),
    ("hand", (("bone_dry", marked("crackles")), ("dripping", marked("drips")), ("hot", marked("hot")))),
)
"""Rows of the card, as printed: our sign and the word on the card. "Few drops" is as it should be: nothing is kept."""
WHEN = (
    ("0", marked("Today")),
    ("1", marked("Yesterday")),
    ("2", marked("Two days ago")),
    ("3", marked("Three days ago")),
)


@dataclass(frozen=True, slots=True)
class CardStep:
    """One box of the card."""

    field: str
    value: str
    verb: str
    amount: str
    rest: str


@dataclass(frozen=True, slots=True)
class CardContext:
    """The card as it is printed."""

    title: str
    here: str
    bed: str
    bed_title: str
    address: str
    date: str
    under: str
    cut: str
    steps: tuple[CardStep, ...]
    dont: str
    senses: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    when: tuple[tuple[str, str], ...]
    asks_why: bool
    final: bool
    refusals: tuple[str, ...]
    written: Written | None


@router.get("/bed/{name}/card", response_class=HTMLResponse)
def card_page(request: Request, name: str, asking: Asking, asked: Asked) -> Response:
    """Show the card of a bed, to copy what was ticked on paper."""
    found = _found(request, name, asking)
    return page(request, "card.html", _context(found, written(asking, asked, found.units)))


def _found(request: Request, name: str, asking: Asking) -> LayerPreview:
    from mullbed.usecases.preview_layer import preview_layer

    if not asking.sees(name):
        raise NotFound("bed", name, ())
    found = preview_layer(asking.where, name, today(request))
    return replace(found, units=units_read(found.units))


def _context(found: LayerPreview, told: Written | None) -> CardContext:
    units, day, bed = found.units, found.hand.today, found.bed
    planned = found.planned if found.from_plan else None
    if planned is not None:
        cut = planned_cut(planned, bed, found.forecast, units)
    else:
        cut = bare_cut(bed, found.forecast, day, units)
    drawing = cut_drawing(cut, scale=12.0, inches=is_us(units), soil_centimetres=2.5, width_centimetres=14.0)
    growing = list(dict.fromkeys(crop_name(one.crop) for one in bed.crops if one.planted <= day <= one.harvested))
    return CardContext(
        title=say("Card of {bed}", bed=bed_title(bed.name)),
        here="",
        bed=bed.name,
        bed_title=bed_title(bed.name),
        address=f"/bed/{quote(bed.name, safe='')}",
        date=weekday_words(planned.layer.day) if planned is not None else say("Leave it be"),
        under=", ".join(part for part in (capital(listed(growing)), area_words(bed.area, units)) if part),
        cut=drawing.svg,
        steps=_steps(found),
        dont=" ".join(layer_dont(planned)).strip()
        if planned is not None
        else say("lay anything the card does not tell."),
        senses=SENSES,
        when=WHEN,
        asks_why=bool(found.refusals) and planned is not None,
        final=any(not one.override_allowed for one in found.refusals),
        refusals=tuple(one.sentence for one in found.refusals) if planned is not None else (),
        written=told,
    )


def _steps(found: LayerPreview) -> tuple[CardStep, ...]:
    """Return the boxes, from the soil up, water last; each with what it writes down."""
    if found.planned is None or not found.from_plan:
        return ()
    values = [*lift_texts(found), f"{found.cans:g}"]
    told = steps(found.planned, found.units)
    many = len(found.planned.layer.lifts)
    return tuple(
        CardStep("lift" if index < many else "cans", value, one["verb"], one["amount"], one["rest"])
        for index, (one, value) in enumerate(zip(told, values, strict=False))
    )


@router.post("/bed/{name}/card")
def copy_card(request: Request, name: str, asking: Asking, sent: Sent) -> Response:
    """Keep what was ticked, or all of it."""
    found = _found(request, name, asking)
    told = _steps(found)
    whole = sent.one("all") == "yes"
    known = {one.value for one in told if one.field == "lift"}
    lifts = [one.value for one in told if one.field == "lift" and (whole or one.value in sent.all("lift"))]
    if not whole and not set(sent.all("lift")) <= known:
        remedy = "Open the card anew; the plan was changed meanwhile."
        raise InputFault([Fault("Card", "another card", "the boxes of this one", remedy)])
    cans = next((one.value for one in told if one.field == "cans" and (whole or sent.one("cans"))), "0")
    signs = [key for _, row in SENSES for key, _ in row if key in sent.all("sign")]
    if not lifts and not signs:
        raise InputFault([Fault("Card", "no box ticked", "one at least", "Tick what was done or seen.")])
    waited = timedelta(days=int(sent.one("when")) if sent.one("when") in dict(WHEN) else 0)
    by = sent.one("by")[:60]
    words = f"from the card, done by {by}" if by else "from the card"
    ids: list[str] = []
    if lifts:
        fields = {
            "job": ("layer",),
            "bed": (name,),
            "lift": tuple(lifts),
            "cans": (cans,),
            "words": (words,),
            "although": (sent.one("although"),),
        }
        ids += write(request, asking, Answers(fields), waited).ids
    if signs:
        fields = {"job": ("noticed",), "bed": (name,), "sign": tuple(signs), "words": (words,)}
        ids += write(request, asking, Answers(fields), waited).ids
    query = "&".join(f"id={quote(one)}" for one in ids)
    return RedirectResponse(f"/bed/{quote(name, safe='')}/card?{query}", 303)
