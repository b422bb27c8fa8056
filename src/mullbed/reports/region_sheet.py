"""The report of a region: sentences, maps, tables; the same parts become a page and a print."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from mullbed.domain.region import (
    LEAST_DRAINAGE,
    NITRATE_LIMIT,
    RegionGroup,
    RegionResult,
    RegionThing,
    drainage_nitrate,
)
from mullbed.reports.region_map import RISKS, Classes, Values, even_classes, mean_of, region_map
from mullbed.reports.region_words import (
    NITRATE,
    NITRATE_UNIT,
    SHOWN,
    WORDS,
    at,
    baseline,
    capital,
    fed_sentence,
    heading,
    layers_sentence,
    method_sentence,
    need_row,
    nitrate_words,
    range_words,
    risk_count,
    risk_sentence,
    unfinished,
    weather_sentences,
    years_sentence,
)
from mullbed.reports.sheet import Framed, Grid, Part, Picture, Sheet, SheetPart, Words
from mullbed.reports.words import day_words, number

NITRATE_CLASSES = Classes((25.0, NITRATE_LIMIT, 100.0, 200.0), RISKS, NITRATE_UNIT)
MAPS_SHOWN = 3
"""Maps of a way that stand in the report; the others are files beside it."""
_LIMIT = (
    f"The limit of {NITRATE_LIMIT:.0f} mg/L is that of Council Directive 91/676/EEC (1991) for ground water; your own "
    "rules may be stricter. Told is the mean of the season's drainage just below the roots, not of the ground water."
)
_CAUTION = (
    "A model's map is a reason to look, not a finding. Where squares are in the two highest classes, ask your water or "
    "soil office for its rules before more is laid, and measure."
)


_CLASSES = "Classes of nitrate are the same on every map; those of other maps are their own, so compare by the numbers."


@dataclass(frozen=True, slots=True)
class RegionMap:
    """One map as drawn: its file's name, what it shows and says."""

    file: str
    thing: str
    svg: str
    sentence: str


def region_maps(result: RegionResult) -> dict[int, tuple[RegionMap, ...]]:
    """Return the maps of each way; classes of nitrate are the same for all, others are those of their map."""
    if not result.groups:
        return {}
    found: dict[int, tuple[RegionMap, ...]] = {}
    things = (RegionThing.NITROGEN_FED, RegionThing.LAYERS_USED, RegionThing.WATER_SAVED, RegionThing.CARBON_KEPT)
    for way, name in enumerate(result.spec.way_names):
        if way == 0:
            continue
        maps = [_map(result, way, name, NITRATE, result.drainage_nitrate[:, way], NITRATE_CLASSES)]
        for thing in things:
            values = mean_of(result, way, at(thing))
            maps.append(_map(result, way, name, WORDS[thing].name, values, even_classes(values, WORDS[thing].unit)))
        found[way] = tuple(maps)
    return found


def _map(result: RegionResult, way: int, name: str, thing: str, values: Values, classes: Classes) -> RegionMap:
    told = values[np.isfinite(values)]
    if told.size:
        low, mid, high = (number(float(value)) for value in np.quantile(told, (0.1, 0.5, 0.9)))
        sentence = f"{thing}, {name}: half of the gardens above {mid} {classes.unit}, 8 in 10 between {low} and {high}."
    else:
        sentence = f"{thing}, {name}: no garden has a value."
    absent = f"under {LEAST_DRAINAGE:.0f} mm drain" if thing == NITRATE else "no value"
    svg = region_map(result, values, classes, title=f"{thing}, {name}", sentence=sentence, absent=absent)
    file = f"map_{way}_{'_'.join(thing.casefold().split())}.svg"
    return RegionMap(file, thing, svg, sentence)


def region_sheet(result: RegionResult, maps: dict[int, tuple[RegionMap, ...]], made_on: date) -> Sheet:
    """Return the report."""
    return Sheet(
        f"{result.spec.name}: layers on many gardens",
        (result.spec.name, day_words(made_on, year=True)),
        heading(result),
        tuple(_parts(result, maps)),
        unfinished(result) or "",
    )


def _parts(result: RegionResult, maps: dict[int, tuple[RegionMap, ...]]) -> Iterator[SheetPart]:
    if not result.groups:
        yield Words("No garden is done yet.")
        return
    ways = range(1, len(result.spec.way_names))
    yield Part("The ways side by side")
    for way in ways:
        yield Words(fed_sentence(result, way))
        yield Words(layers_sentence(result, way))
    yield Words(baseline(result))
    yield _ways_grid(result)
    yield Part("Where nitrate is at risk")
    for way in range(len(result.spec.way_names)):
        yield Words(risk_sentence(result, way))
    yield Words(_LIMIT, quiet=True)
    yield Framed("Mind", _CAUTION)
    for way in ways:
        yield Part(capital(result.spec.way_names[way]))
        years = years_sentence(result, way)
        if years is not None:
            yield Words(years)
        yield Words(_CLASSES, quiet=True)
        for drawn in maps.get(way, ())[:MAPS_SHOWN]:
            yield Picture(drawn.svg, drawn.sentence)
        for kind in ("district", "soil"):
            groups = [group for group in result.groups if group.kind == kind]
            if groups:
                yield _groups_grid(result, kind, groups, way)
    yield Part("What it takes")
    area = sum(garden.area for garden in result.spec.gardens)
    yield Grid(
        f"For one square metre in the season, and for the {number(area)} m² of beds.",
        ("Way", "Residue", "L/m²", "m³ in all", "Nitrogen laid, g/m²"),
        tuple(need_row(need, area) for need in result.needs),
    )
    yield Part("How it was worked out")
    yield Words(method_sentence(result))
    for sentence in weather_sentences(result):
        yield Words(sentence, quiet=True)
    yield Words(f"Check number of the data: {result.fingerprint}.", quiet=True)


_FEW = (RegionThing.NITROGEN_FED, RegionThing.NITRATE_LEACHED, RegionThing.LAYERS_USED)
"""Things of the tables by district and soil."""


def _heads(things: Sequence[RegionThing]) -> tuple[str, ...]:
    return (*(f"{WORDS[thing].name}, {WORDS[thing].unit}" for thing in things), "Nitrate, mg/L", "Gardens above limit")


def _values(result: RegionResult, group: RegionGroup, way: int, things: Sequence[RegionThing]) -> tuple[str, ...]:
    figures = group.figures[way]
    inside = np.array([_belongs(garden, group) for garden in result.spec.gardens])
    above, drain = risk_count(result, way, inside.astype(float))
    return (
        *(range_words(figures, thing) for thing in things),
        nitrate_words(float(drainage_nitrate(figures[:, 0]))),
        f"{above:,} of {drain:,}",
    )


def _belongs(garden: object, group: RegionGroup) -> bool:
    return group.kind == "region" or getattr(garden, group.kind) == group.name


def _ways_grid(result: RegionResult) -> Grid:
    region = result.groups[0]
    rows = tuple((name, *_values(result, region, way, SHOWN)) for way, name in enumerate(result.spec.way_names))
    return Grid("All gardens together: middle and where 8 in 10 lie.", ("Way", *_heads(SHOWN)), rows)


def _groups_grid(result: RegionResult, kind: str, groups: list[RegionGroup], way: int) -> Grid:
    rows = tuple((group.name, *_values(result, group, way, _FEW)) for group in groups)
    return Grid(f"By {kind}, {result.spec.way_names[way]}.", (capital(kind), *_heads(_FEW)), rows)
