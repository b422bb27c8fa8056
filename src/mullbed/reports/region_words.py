"""What a region came to, in words: names and units of things, sentences, and what the numbers do not say."""

# ruff: noqa: E501 - sentences are kept whole, they read worse when broken

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mullbed.domain.region import (
    LEAST_DRAINAGE,
    NITRATE_LIMIT,
    NOTHING,
    THINGS,
    Array,
    RegionGroup,
    RegionNeed,
    RegionResult,
    RegionThing,
    drainage_nitrate,
)
from mullbed.domain.spread import Evidence, Spread
from mullbed.reports.names import residue_name
from mullbed.reports.words import counted, evenly, listed, number


@dataclass(frozen=True, slots=True)
class ThingWords:
    """Name and unit of a thing on screen."""

    name: str
    unit: str


WORDS: dict[RegionThing, ThingWords] = {
    RegionThing.NITROGEN_FED: ThingWords("Nitrogen fed", "g/m²"),
    RegionThing.NITRATE_LEACHED: ThingWords("Washed down", "g/m²"),
    RegionThing.NITRATE_ADDED: ThingWords("Washed down more than bare", "g/m²"),
    RegionThing.NITROGEN_LEFT: ThingWords("Left in the soil at the end", "g/m²"),
    RegionThing.AMMONIA_LOST: ThingWords("Lost to the air", "g/m²"),
    RegionThing.LAYERS_FIT: ThingWords("Layers that find room", "layers"),
    RegionThing.LAYERS_USED: ThingWords("Layers used up", "layers"),
    RegionThing.WATER_SAVED: ThingWords("Water saved", "mm"),
    RegionThing.WATER_DRAINED: ThingWords("Water drained", "mm"),
    RegionThing.WATER_GIVEN: ThingWords("Water given", "mm"),
    RegionThing.CARBON_KEPT: ThingWords("Carbon kept", "g/m²"),
}
SHOWN = (
    RegionThing.NITROGEN_FED,
    RegionThing.NITRATE_LEACHED,
    RegionThing.LAYERS_FIT,
    RegionThing.WATER_SAVED,
    RegionThing.CARBON_KEPT,
)
"""Things of the short tables."""
NITRATE = "Nitrate in the water that drains"
NITRATE_UNIT = "mg/L"
_METHOD = (
    "Worked out with the daily mass-balanced model: {runs:,} seasons of {days} days, {years} years of weather for each "
    "garden, {members} possible sets of chemistry, amounts, place and rates for each year; the same sets for every way. "
    "Ranges hold 8 in 10 of all gardens, years and sets of a row. A garden stands for itself alone: what runs off, "
    "what a neighbour does and a warmer climate are not counted. All gardens are laid and cropped on the same days."
)


def at(thing: RegionThing) -> int:
    """Return the place of a thing on the axis of things."""
    return THINGS.index(thing)


def spread_of(figures: Array, thing: RegionThing) -> Spread:
    """Return low, middle and high of a thing from figures of shape (things, 4)."""
    _, low, mid, high = (float(value) for value in figures[at(thing)])
    return Spread(low, mid, high, WORDS[thing].unit, Evidence.WORKED_OUT)


def range_words(figures: Array, thing: RegionThing) -> str:
    """Return "6.2 (1.5 to 9)", or a dash where nothing was run."""
    _, low, mid, high = (float(value) for value in figures[at(thing)])
    if not np.isfinite(mid):
        return "–"
    if low == mid == high == 0.0:
        return "0"
    words = evenly((mid, low, high))
    return words[0] if words[1] == words[2] else f"{words[0]} ({words[1]} to {words[2]})"


def heading(result: RegionResult) -> str:
    """Return what was run, in a sentence."""
    spec = result.spec
    done = int(result.done.sum())
    of = f"{done:,}" if result.complete else f"{done:,} of {len(spec.gardens):,}"
    ways = "one way" if len(spec.ways) == 1 else f"{len(spec.ways)} ways"
    return f"{spec.name}: {ways} of laying on {of} gardens, {spec.years} years of weather"


def unfinished(result: RegionResult) -> str | None:
    """Return what to do where it was stopped, None where all was run."""
    if result.complete:
        return None
    left = result.chunks - result.chunks_done
    return f"Stopped: {left:,} of {result.chunks:,} chunks are left. Run the same command again to go on."


def nitrate_words(mean: float) -> str:
    """Return the nitrate of draining water, in words where hardly any drains."""
    return number(mean) if np.isfinite(mean) else f"under {LEAST_DRAINAGE:.0f} mm drain"


def risk_count(result: RegionResult, way: int, inside: Array | None = None) -> tuple[int, int]:
    """Return how many gardens of a way are above the limit of nitrate, and of how many that drain at all."""
    told = result.drainage_nitrate[:, way]
    if inside is not None:
        told = told[inside.astype(bool)]
    told = told[np.isfinite(told)]
    return int((told > NITRATE_LIMIT).sum()), int(told.size)


def risk_sentence(result: RegionResult, way: int) -> str:
    """Return where nitrate is at risk with one way."""
    name = result.spec.way_names[way]
    above, drain = risk_count(result, way)
    dry = int(result.done.sum()) - drain
    told = f"{capital(name)}: nitrate in the draining water is above {NITRATE_LIMIT:.0f} mg/L in {above:,} of {drain:,} gardens"
    rest = f"; from {dry:,} hardly any water drains" if dry else ""
    districts = [group for group in result.groups if group.kind == "district" and _mean(group, way) > NITRATE_LIMIT]
    where = [group.name for group in sorted(districts, key=lambda group: -_mean(group, way))]
    places = f". Highest: {listed(where[:4])}" if where and above else ""
    return f"{told}{rest}{places}."


def _mean(group: RegionGroup, way: int) -> float:
    """Return the nitrate of a group's draining water, 0 where hardly any drains. [mg L-1]"""
    mean = float(drainage_nitrate(group.figures[way, :, 0]))
    return mean if np.isfinite(mean) else 0.0


def layers_sentence(result: RegionResult, way: int) -> str:
    """Return how many layers find room and are used up with one way."""
    figures = result.groups[0].figures[way]
    laid = len(result.spec.ways[way - 1].layers)
    thickest = f"{1000.0 * result.spec.thickest_cover:.0f} mm"
    return (
        f"{capital(result.spec.way_names[way])}: of {counted(laid, 'layer')} {range_words(figures, RegionThing.LAYERS_FIT)} find room "
        f"under {thickest} of cover; {range_words(figures, RegionThing.LAYERS_USED)} are used up by the last day."
    )


def fed_sentence(result: RegionResult, way: int) -> str:
    """Return what a way feeds and costs in nitrate."""
    figures = result.groups[0].figures[way]
    return (
        f"{capital(result.spec.way_names[way])}: feeds {range_words(figures, RegionThing.NITROGEN_FED)} g/m² of nitrogen, "
        f"washes down {range_words(figures, RegionThing.NITRATE_ADDED)} g/m² more than bare soil, "
        f"saves {range_words(figures, RegionThing.WATER_SAVED)} mm of water."
    )


def years_sentence(result: RegionResult, way: int) -> str | None:
    """Return how far years lie apart with one way, None with a single year."""
    if result.spec.years < 2:
        return None
    parts = []
    for thing, word in ((RegionThing.NITROGEN_FED, "fed"), (RegionThing.NITRATE_LEACHED, "washed down")):
        years = result.seasons[way, at(thing)]
        low, high = evenly((float(years.min()), float(years.max())))
        parts.append(f"from {low} to {high} g/m² {word}")
    return (
        f"{capital(result.spec.way_names[way])}: from year to year the mean of all gardens goes {listed(parts)}; "
        "the rest of the range is between gardens and in what is not known."
    )


def need_sentences(result: RegionResult) -> list[str]:
    """Return what each way asks for, on a square metre and on all gardens."""
    area = sum(garden.area for garden in result.spec.gardens)
    found = []
    for way in result.spec.ways:
        needs = [need for need in result.needs if need.way == way.name]
        parts = [f"{number(need.litres)} L of {residue_name(need.residue)}" for need in needs]
        whole = sum(need.litres for need in needs) * area / 1000.0
        found.append(
            f"{capital(way.name)} asks for {listed(parts)} on a square metre in the season: {number(whole)} m³ in all "
            f"for the {number(area)} m² of beds."
        )
    return found


def need_row(need: RegionNeed, area: float) -> tuple[str, ...]:
    """Return a row of what is asked for."""
    whole = number(need.litres * area / 1000.0)
    return need.way, residue_name(need.residue), number(need.litres), whole, number(need.nitrogen)


def method_sentence(result: RegionResult) -> str:
    """Return how it was worked out."""
    spec = result.spec
    runs = int(result.done.sum()) * spec.runs_per_garden
    return _METHOD.format(runs=runs, days=spec.days, years=spec.years, members=spec.members)


def weather_sentences(result: RegionResult) -> list[str]:
    """Return what the weather of each place is made of, with its source."""
    found = []
    for one in result.weathers:
        seasons = tuple(dict.fromkeys(one.seasons))
        again = len(one.seasons) > len(seasons)
        told = ""
        if seasons:
            span = seasons[0] if len(seasons) == 1 else f"{seasons[0]} to {seasons[-1]}"
            told = f" Seasons {span}{', some more than once' if again else ''} ({one.evidence})."
        found.append(f"{one.key}: {one.source}.{told}")
    return found


def baseline(result: RegionResult) -> str:
    """Return what bare soil does."""
    figures = result.groups[0].figures[0]
    return (
        f"With {NOTHING}, {range_words(figures, RegionThing.NITRATE_LEACHED)} g/m² of nitrogen are washed down and "
        f"{range_words(figures, RegionThing.WATER_DRAINED)} mm of water drain."
    )


def capital(text: str) -> str:
    """Return a text with its first letter raised."""
    return text[:1].upper() + text[1:]
