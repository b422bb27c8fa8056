"""Cards for the shed as facts for the page: a card a bed with its next cut, then task sheets by day with loads."""

# ruff: noqa: E501 - strings of SVG and HTML are kept whole, they read worse when broken

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from itertools import groupby
from urllib.parse import quote

from mullbed.domain.bed import Bed
from mullbed.domain.garden import Garden, UnitSystem
from mullbed.domain.layer import Layer
from mullbed.domain.season_plan import PlannedLayer, SeasonPlan
from mullbed.language import say
from mullbed.reports import pigments
from mullbed.reports.amounts import (
    area_words,
    cans_words,
    count_words,
    hand_words,
    is_us,
    layer_thickness_mm,
    lift_amount,
    millimetres_words,
    thickness_mm,
    thickness_words,
    volume_words,
)
from mullbed.reports.bed_cut import Cut, cut_drawing
from mullbed.reports.cautions import caution_action, dated_line
from mullbed.reports.cut_scene import bare_cut, planned_cut
from mullbed.reports.names import bed_title, crop_name, residue_name
from mullbed.reports.reasons import layer_dont, layer_gives, layer_net, layer_why
from mullbed.reports.signs import sign
from mullbed.reports.words import capital, counted, day_words, evidence_words, listed, number, weekday_words

Card = dict[str, object]

PLAIN_ADDRESS = "mullbed:{bed}/{date}"
"""What the square code holds unless an address is given: bed and date, nothing that needs a network."""

_SCALES = (4.0, 3.5, 3.0, 2.5, 2.0, 1.5)
"""Millimetres of paper for a centimetre of bed."""
_TALLEST_CUT_MM = 50.0
_CUT_WIDTH_MM = 54.0
_PX_PER_CM = 12.0
_SOIL_CM = 2.0
_BACK_LAYERS = 3
_ROOMY_LABELS = 4
"""With more lifts than this a label keeps to one line."""


def card_book(
    plan: SeasonPlan,
    garden: Garden,
    *,
    units: UnitSystem,
    made_on: date,
    address: str = PLAIN_ADDRESS,
    code: object = None,
) -> Card:
    """Return everything the card pages print, as plain data.

    Parameters
    ----------
    address : str
        What the square code holds; ``{bed}`` and ``{date}`` are put in.
    code : callable
        From text to an SVG of the square code; given by the PDF writer.
    """
    make_code = code if callable(code) else (lambda text: "")
    cards = [_bed_card(bed, plan, units=units, address=address, make_code=make_code) for bed in garden.beds]
    return {
        "title": say("{garden}: bed cards", garden=plan.garden),
        "garden": plan.garden,
        "made": day_words(made_on, year=True),
        "page": {"width": 139.7, "height": 215.9} if is_us(units) else {"width": 148.0, "height": 210.0},
        "fonts": list(pigments.PRINT_FONTS),
        "signs": {name: sign(name, colour=pigments.BLACK) for name in ("nose", "eye", "hand", "sticks")},
        "senses": [
            {"sign": "nose", "words": [say("woodland"), say("sharp"), say("sour"), say("egg")]},
            {"sign": "eye", "words": [say("threads"), say("slime"), say("flies"), say("holes")]},
            {"sign": "hand", "words": [say("crackles"), say("few drops"), say("drips"), say("hot")]},
        ],
        "words": _words(),
        "cards": cards,
        "days": _days(plan, units),
    }


def _words() -> Card:
    """Return the words that stand on every card."""
    return {
        "dont": say("Don't"),
        "done_by": say("Done by"),
        "done_day": say("on", about="the day it was done"),
        "done_on": say("Done on"),
        "code": say("Square code"),
        "was_and_comes": say("what was and what comes"),
        "why": say("Why"),
        "laid_before": say("Laid before"),
        "nothing_yet": say("Nothing yet."),
        "later": say("Later this season"),
        "nothing_more": say("Nothing more."),
        "care": say("Take care"),
        "made": say("made", about="the day a card was printed"),
        "code_holds": say("Code holds"),
        "bring": say("Bring, all beds together"),
    }


def _bed_card(
    bed: Bed, plan: SeasonPlan, *, units: UnitSystem, address: str, make_code: Callable[[str], object]
) -> Card:
    """Facts of one card: front with the next layer, back with what was and what comes."""
    visits = sorted((one for one in plan.layers if one.layer.bed == bed.name), key=lambda one: one.layer.day)
    forecast = plan.forecasts.get(bed.name)
    first = visits[0] if visits else None
    day = first.layer.day if first else plan.first_day
    cut = planned_cut(first, bed, forecast, units) if first else bare_cut(bed, forecast, plan.first_day, units)
    growing = list(dict.fromkeys(crop_name(crop.crop) for crop in bed.crops if crop.harvested >= day))
    todo = steps(first, units) if first else []
    hazards = tuple(dict.fromkeys(key for one in visits for key in one.cautions))
    named = quote(bed.name, safe="") if address.startswith("http") else bed.name
    text = address.replace("{bed}", named).replace("{date}", day.isoformat())
    return {
        "name": bed_title(bed.name),
        "date": weekday_words(day) if first else say("Leave it be"),
        "under": ", ".join(part for part in (capital(listed(growing)), area_words(bed.area, units)) if part) + ".",
        "cut": cut_picture(
            cut, units, tallest_mm=_TALLEST_CUT_MM if len(todo) <= 3 else _TALLEST_CUT_MM * 3.4 / len(todo)
        ),
        "steps": todo,
        "dont": list(_dont(first))
        if first
        else [say("lay anything here this season."), say("It has what it needs, or must stay bare.")],
        "code": make_code(text),
        "address": text,
        "why": layer_why(first, units) if first else "",
        "gives": f"{layer_gives(first)} {layer_net(first, units)} {capital(evidence_words(first.net_nitrogen_28d.evidence))}."
        if first
        else "",
        "before": [_old_layer(layer, units) for layer in list(bed.layers)[-_BACK_LAYERS:]],
        "visits": [_visit(one, units) for one in visits[1:]],
        "cautions": [{"word": word, "text": action} for word, action in map(caution_action, hazards)],
        "cautions_line": dated_line(hazards),
    }


def _dont(planned: PlannedLayer) -> tuple[str, str]:
    return layer_dont(planned)


def steps(planned: PlannedLayer, units: UnitSystem) -> list[dict[str, str]]:
    """Return the tick-box steps of a layer: verb, amount to underline, the rest; from the soil up, water last."""
    lifts = planned.layer.lifts
    todo = []
    for index, lift in enumerate(lifts):
        name = residue_name(lift.residue)
        last = index == len(lifts) - 1 and len(lifts) > 1
        verb = say("Cover with") if last else say("Spread")
        todo.append(
            {
                "verb": verb,
                "amount": _joined(lift_amount(lift)),
                "rest": say(
                    "of {thing}, {thickness}", thing=name, thickness=_joined(thickness_words(lift.thickness, units))
                ),
                "hand": hand_words(lift.thickness),
            }
        )
    if planned.litres > 0:
        todo.append(
            {
                "verb": say("Pour"),
                "amount": cans_words(planned.cans),
                "rest": say("of water over it, {volume}", volume=_joined(volume_words(planned.litres, units))),
                "hand": "",
            }
        )
    return todo


def _joined(words: str) -> str:
    """Keep a number and its unit on one line."""
    return words.replace(" ", "\u00a0")


def cut_picture(cut: Cut, units: UnitSystem, *, tallest_mm: float = _TALLEST_CUT_MM) -> Card:
    """Return the black-on-white cut with its size on paper and the places of its words. [mm]"""
    cover = sum(lift.centimetres for lift in cut.lifts)
    scale = next((one for one in _SCALES if (cover + _SOIL_CM + 0.9) * one <= tallest_mm), _SCALES[-1])
    factor = scale / _PX_PER_CM
    crowded = len({lift.group or lift.seed for lift in cut.lifts}) > _ROOMY_LABELS
    drawing = cut_drawing(
        replace(cut, soil_words=("", "")),
        scale=_PX_PER_CM,
        line=True,
        words=False,
        inches=is_us(units),
        soil_centimetres=_SOIL_CM,
        width_centimetres=_CUT_WIDTH_MM / scale,
        label_pitch=(6.6 if crowded else 12.0) / factor,
    )
    return {
        "svg": drawing.svg,
        "width": drawing.width * factor,
        "height": drawing.height * factor,
        "labels": [
            {
                "y": label.y * factor,
                "name": f"{label.name}, {label.depth}" if crowded and label.depth else label.name,
                "depth": "" if crowded else label.depth,
                "state": "" if crowded else label.state,
            }
            for label in drawing.labels
        ],
        "ruler": [{"y": tick.y * factor, "name": tick.name} for tick in drawing.ruler],
        "unit": "in" if is_us(units) else "cm",
        "alt": cut.description,
        "mm_per_cm": scale,
    }


def _visit(planned: PlannedLayer, units: UnitSystem) -> Card:
    parts = [
        {
            "amount": _joined(lift_amount(lift)),
            "rest": f"{residue_name(lift.residue)}, {_joined(thickness_words(lift.thickness, units))}",
        }
        for lift in planned.layer.lifts
    ]
    if planned.litres > 0:
        parts.append({"amount": cans_words(planned.cans), "rest": say("water")})
    return {
        "date": weekday_words(planned.layer.day),
        "parts": parts,
        "thickness": millimetres_words(layer_thickness_mm(planned.layer), units),
        "why": layer_why(planned, units),
    }


def _old_layer(layer: Layer, units: UnitSystem) -> Card:
    things = [
        say("{amount} of {thing}", amount=lift_amount(lift), thing=residue_name(lift.residue)) for lift in layer.lifts
    ]
    depth = millimetres_words(sum(thickness_mm(lift.thickness) for lift in layer.lifts), units)
    return {
        "date": day_words(layer.day, year=True),
        "words": say("{things}; {thickness} as laid", things=", ".join(things), thickness=depth),
    }


def _days(plan: SeasonPlan, units: UnitSystem) -> list[Card]:
    """Laying days with everything to carry added up over the beds."""
    days: list[Card] = []
    ordered = sorted(plan.layers, key=lambda one: (one.layer.day, one.layer.bed))
    for day, group in groupby(ordered, key=lambda one: one.layer.day):
        todo = list(group)
        loads: dict[tuple[str, str], float] = defaultdict(float)
        for planned in todo:
            for lift in planned.layer.lifts:
                loads[(lift.residue, lift.container)] += lift.count
        water, cans = sum(one.litres for one in todo), sum(one.cans for one in todo)
        carry = [
            {"amount": count_words(count, container), "rest": residue_name(residue)}
            for (residue, container), count in loads.items()
        ]
        if water > 0:
            carry.append(
                {"amount": cans_words(cans), "rest": say("water, {volume}", volume=volume_words(water, units))}
            )
        days.append(
            {
                "date": weekday_words(day),
                "allow": say(
                    "{beds}. Allow {minutes} minutes.",
                    beds=capital(counted(len(todo), "bed")),
                    minutes=number(sum(one.minutes for one in todo)),
                ),
                "carry": carry,
                "beds": [
                    {
                        "name": bed_title(one.layer.bed),
                        "steps": steps(one, units),
                        "thickness": millimetres_words(layer_thickness_mm(one.layer), units),
                    }
                    for one in todo
                ],
            }
        )
    return days
