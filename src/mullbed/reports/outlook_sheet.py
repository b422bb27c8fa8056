"""The outlook of a bed's soil: a sheet, a text, a JSON document and the numbers as CSV."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from datetime import date
from io import StringIO
from math import isfinite

from mullbed.domain.forecast import Band
from mullbed.domain.garden import UnitSystem
from mullbed.domain.soil_outlook import SoilOutlook, SoilThing
from mullbed.domain.spread import Spread
from mullbed.reports.outlook_chart import WIDTH, outlook_chart
from mullbed.reports.outlook_words import (
    balance_sentence,
    informed_sentence,
    more_sentences,
    outlook_heading,
    shown_things,
    test_sentence,
    thing_sentence,
    warning_sentence,
)
from mullbed.reports.sheet import Grid, Part, Picture, Sheet, SheetPart, Words
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.words import day_words

_METHOD = (
    "Worked out with the daily pools of soil and cover, from day to day over all years: {members} possible courses of "
    "weather, chemistry, amounts and rates. Roots are counted as a fifth of what grows above (judgement). Water and "
    "density follow from texture and organic matter (Saxton and Rawls 2006), with 15 and 8 % of doubt beside. "
    "Not counted: what diggers, floods, lime or a warmer climate change."
)
_LINES = (
    "Stripes: 8 in 10 courses with the layers, green line their middle. Broken line: nothing laid. "
    "Dotted lines: the rule of thumb. Rings: your soil tests."
)


def outlook_sheet(
    outlook: SoilOutlook, units: UnitSystem, *, garden: str, from_plan: str, made_on: date, wide: float = WIDTH
) -> Sheet:
    """Return the sheet of one bed; its charts so wide, less for a phone. [px]"""
    parts: list[SheetPart] = [Words(sentence) for sentence in more_sentences(outlook)]
    parts += [Words(warning_sentence(one, outlook)) for one in outlook.warnings]
    for thing, (name, unit, turn) in shown_things(units).items():
        sentence = thing_sentence(outlook, thing, units)
        picture = outlook_chart(outlook, thing, turn, title=name, sentence=sentence, wide=wide)
        parts += [Part(f"{name}, {unit}"), Picture(picture, sentence)]
        if thing is SoilThing.ORGANIC_MATTER:
            parts.append(Words(_LINES, quiet=True))
    parts.append(Part("Phosphorus and potassium"))
    parts += [Words(balance_sentence(one)) for one in outlook.balances]
    parts.append(Part("Held against soil tests"))
    parts += [Words(test_sentence(one)) for one in outlook.tests]
    parts.append(Words(informed_sentence(outlook)))
    parts += [Part("The numbers behind it"), _grid(outlook, units)]
    parts += [
        Part("How it was worked out"),
        Words(_METHOD.format(members=outlook.members)),
        Words(f"Layers from {from_plan}. Weather: {outlook.weather}.", quiet=True),
    ]
    return Sheet(
        f"{outlook.bed}: the soil over {outlook.years} years",
        (f"{garden}, {outlook.bed}", day_words(made_on, year=True)),
        outlook_heading(outlook),
        tuple(parts),
    )


def _grid(outlook: SoilOutlook, units: UnitSystem) -> Grid:
    things = shown_things(units)
    rows = []
    for at, day in enumerate(outlook.days):
        cells = [str(day.year)]
        for thing, (_, _, turn) in things.items():
            band = outlook.planned[thing]
            values = [turn(float(one[at])) for one in (band.p50, band.p10, band.p90)]
            places = {SoilThing.ORGANIC_MATTER: 2, SoilThing.BULK_DENSITY: 3}.get(thing, 1)
            cells.append(
                "–" if not isfinite(values[0]) else "{} ({} to {})".format(*(f"{v:.{places}f}" for v in values))
            )
        rows.append(tuple(cells))
    return Grid("", ("Year", *(f"{name}, {unit}" for name, unit, _ in things.values())), tuple(rows))


def outlook_text(outlooks: Sequence[SoilOutlook], units: UnitSystem, *, from_plan: str, style: Style) -> str:
    """Return outlooks for the terminal."""
    lines: list[str] = []
    for outlook in outlooks:
        lines += [style.bold(line) for line in paragraph(outlook_heading(outlook), indent=0)] + [""]
        for thing in shown_things(units):
            lines += paragraph(thing_sentence(outlook, thing, units))
        lines.append("")
        for sentence in more_sentences(outlook):
            lines += paragraph(sentence)
        for balance in outlook.balances:
            lines += paragraph(balance_sentence(balance))
        for warning in outlook.warnings:
            lines += [style.bold(line) for line in paragraph(warning_sentence(warning, outlook))]
        for met in outlook.tests:
            lines += paragraph(test_sentence(met))
        lines += [*paragraph(informed_sentence(outlook)), ""]
    if len(outlooks) > 1:
        rows: list[tuple[str, ...]] = [("bed", "organic matter now", "in the end", "nothing laid")]
        for one in outlooks:
            matter, bare = one.planned[SoilThing.ORGANIC_MATTER], one.bare[SoilThing.ORGANIC_MATTER]
            end = f"{100 * matter.p50[-1]:.1f} % ({100 * matter.p10[-1]:.1f} to {100 * matter.p90[-1]:.1f})"
            rows.append((one.bed, f"{100 * matter.p50[one.now]:.1f} %", end, f"{100 * bare.p50[-1]:.1f} %"))
        lines += [*columns(rows), ""]
    if outlooks:
        told = f"{_METHOD.format(members=outlooks[0].members)} Layers from {from_plan}. Weather: {outlooks[0].weather}."
        lines += [style.quiet(line) for line in paragraph(told)]
    return style.finished(lines)


def outlook_document(outlooks: Sequence[SoilOutlook], *, from_plan: str) -> dict[str, object]:
    """Return outlooks as JSON: keys are told in docs/reference/json.md."""
    return {
        "layers_from": from_plan,
        "beds": [
            {
                "bed": one.bed,
                "sentence": outlook_heading(one),
                "days": [day.isoformat() for day in one.days],
                "now": one.now,
                "planned": {str(thing): _band(band) for thing, band in one.planned.items()},
                "bare": {str(thing): _band(band) for thing, band in one.bare.items()},
                "rule_of_thumb": _band(one.rule),
                "dry_matter": one.dry_matter,
                "nitrogen_laid": one.nitrogen_laid,
                "crop_want": one.crop_want,
                "rise_chance": one.rise_chance,
                "gain_chance": one.gain_chance,
                "seen_from": one.seen_from,
                "tests": [
                    {
                        "date": met.test.day.isoformat(),
                        "thing": str(met.test.thing),
                        "value": met.test.value,
                        "expected": {"low": met.low, "mid": met.mid, "high": met.high},
                        "inside": met.inside,
                    }
                    for met in one.tests
                ],
                "informed": one.informed,
                "balances": [
                    {
                        "nutrient": balance.nutrient,
                        "laid": _spread(balance.laid),
                        "removed": _spread(balance.removed),
                        "surplus": _spread(balance.surplus),
                        "status": str(balance.status) if balance.status else None,
                        "unknown": list(balance.unknown),
                    }
                    for balance in one.balances
                ],
                "warnings": [
                    {"code": warning.code, "text": warning_sentence(warning, one)} for warning in one.warnings
                ],
                "members": one.members,
                "weather": one.weather,
            }
            for one in outlooks
        ],
    }


def outlook_csv(outlooks: Sequence[SoilOutlook]) -> str:
    """Return every year and thing as a table, in canonical units."""
    units = {
        SoilThing.ORGANIC_MATTER: "1",
        SoilThing.NITROGEN_SUPPLY: "g/m2/a",
        SoilThing.AVAILABLE_WATER: "mm",
        SoilThing.BULK_DENSITY: "kg/m3",
    }
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["bed", "date", "thing", "unit", "way", "p10", "p50", "p90"])
    for one in outlooks:
        for way, things in (("planned", one.planned), ("nothing laid", one.bare)):
            for thing, band in things.items():
                for at, day in enumerate(one.days):
                    cells = ["" if value is None else f"{value:.6g}" for value in (_at(band, at))]
                    writer.writerow([one.bed, day.isoformat(), str(thing), units[thing], way, *cells])
    return out.getvalue()


def _at(band: Band, at: int) -> list[float | None]:
    return [float(part[at]) if isfinite(float(part[at])) else None for part in (band.p10, band.p50, band.p90)]


def _band(band: Band) -> dict[str, list[float | None]]:
    parts = {"p10": band.p10, "p50": band.p50, "p90": band.p90}
    return {
        name: [float(f"{v:.6g}") if isfinite(v) else None for v in map(float, part)] for name, part in parts.items()
    }


def _spread(spread: Spread) -> dict[str, float]:
    return {"low": spread.low, "mid": spread.mid, "high": spread.high}
