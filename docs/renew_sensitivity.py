"""Write docs/SENSITIVITY.md: which unknown moves which answer, and so what to measure first.

Run by ``make docs``; needs no data. Total Sobol indices (Saltelli sampling, SALib) of questions a grower asks, for
typical layers in three seasons. Weather is made up; each unknown varies evenly over the range it has before anyone
has measured it.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import exp, isfinite
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from SALib.analyze import sobol as indices_of
from SALib.sample import sobol as samples_of

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.residue import Residue
from mullbed.domain.spread import Evidence
from mullbed.reference.residues import all_residues
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.case import BedCase, CropCover, LaidLift, Lay, SoilColumn
from mullbed.simulate.ensemble import NOTHING, Members, draw_members
from mullbed.simulate.run import Outcome, simulate
from mullbed.simulate.soil_start import resting_pools

PAGE = Path(__file__).resolve().parent / "SENSITIVITY.md"
Array = NDArray[np.float64]

DAYS = 120
SAMPLES = 512
"""Base samples; runs of a layer in a season are this times the number of unknowns plus two, times the rains."""
RAINS = (11, 12, 13)
FULL, WILTING, CLAY, SOIL_CARBON = 0.28, 0.137, 0.20, 3640.0
#: Water in the root zone below which crops are stressed: half of what they can reach. FAO-56 p of 0.5 [from memory].
STRESSED = 0.5 * 600.0 * (FULL - WILTING)
#: Half-width of an index above which an answer is too lumpy to tell. Judgement.
UNSTABLE = 0.6
#: Total index below which an unknown is not worth measuring for a question. Judgement.
SMALL = 0.10


@dataclass(frozen=True, slots=True)
class Unknown:
    """Something a grower may or may not have measured."""

    key: str
    words: str
    how: str
    """How to measure it."""
    low: float
    high: float
    unit: str
    source: str


UNKNOWNS = (
    Unknown("soft_nitrogen", "nitrogen of the soft fresh", "send a sample, or note age and feeding of the grass",
            -1.0, 1.0, "low to high of the residue table", "published range, residue table"),
    Unknown("dry_nitrogen", "nitrogen of the dry or woody", "send a sample",
            -1.0, 1.0, "low to high of the residue table", "published range, residue table"),
    Unknown("lignin", "lignin of both", "a laboratory only",
            -1.0, 1.0, "low to high of the residue table", "published range, residue table"),
    Unknown("soft_mass", "dry mass of the soft fresh", "weigh a bucket, dry a handful",
            0.7, 1.3, "times", "±30 %, [D] process model section 9"),
    Unknown("dry_mass", "dry mass of the dry or woody", "weigh a bucket",
            0.7, 1.3, "times", "±30 %, [D] process model section 9"),
    Unknown("rain", "rain", "a rain gauge",
            0.5, 1.5, "times", "[D] process model section 9"),
    Unknown("warmth", "warmth of the air", "a thermometer in the shade",
            -2.0, 2.0, "°C", "[D] process model section 9"),
    Unknown("evaporation", "evaporation", "sun, wind and humidity of a near station",
            0.75, 1.25, "times", "±25 %, [D] process model section 9"),
    Unknown("place", "how fast this bed rots things", "the height of the cover, two or three times in a season",
            -0.65 * 1.2816, 0.65 * 1.2816, "logarithm of a factor", "log-sd 0.65, [P] fit on open litter, section 10"),
    Unknown("soil_nitrogen", "ready nitrogen in the soil at the start", "a nitrate strip",
            -0.5 * 1.2816, 0.5 * 1.2816, "logarithm of a factor on 4 g/m2", "log-sd 0.5, [J] process model 4.7"),
    Unknown("soil_matter", "how much the soil's organic matter frees", "a soil test of organic matter",
            0.6, 1.6, "times", "[J] untested garden soil, 2-6 % of organic matter"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Season:
    """Made-up weather of a season."""

    words: str
    low: float
    high: float
    demand: float
    share: float
    shower: float
    radiation: float


SEASONS = {
    "spring": Season("7 to 18 °C, 3 mm of evaporation, showers on two days in five", 7, 18, 3.0, 0.40, 6.0, 16.0),
    "dry summer": Season("15 to 29 °C, 5.5 mm, showers on one day in seven", 15, 29, 5.5, 0.15, 8.0, 23.0),
    "wet autumn": Season("4 to 12 °C, 1.2 mm, showers on every second day", 4, 12, 1.2, 0.50, 6.0, 7.0),
}
#: Residue and dry matter [kg m-2] of each lift from the soil up.
LAYERS: dict[str, tuple[tuple[str, float], ...]] = {
    "clippings under leaves": (("grass_clip", 0.5), ("leaf_municipal", 0.4)),
    "clippings alone": (("grass_clip", 0.4),),
    "straw alone": (("straw_wheat", 0.8),),
    "clippings under chips": (("grass_clip", 0.4), ("woodchip", 2.0)),
}
QUESTIONS = {
    "fed_60": "nitrogen fed in 60 days",
    "fed_harvest": "nitrogen fed by harvest, day 120",
    "ammonia": "nitrogen lost to the air",
    "water_days": "days without water stress",
    "thickness": "height left on day 60",
    "taker": "day from which the layer no longer takes",
}


@dataclass(frozen=True, slots=True)
class Found:
    """Total indices of one layer in one season: by question an index and its 95 % half-width for each unknown."""

    total: dict[str, Array]
    doubt: dict[str, Array]
    first: dict[str, Array]
    spread: dict[str, tuple[float, float, float]]
    """10th, 50th and 90th percentile of each answer."""


def problem() -> dict[str, object]:
    """Return the unknowns and their ranges as the sampler wants them."""
    return {
        "num_vars": len(UNKNOWNS),
        "names": [one.key for one in UNKNOWNS],
        "bounds": [[one.low, one.high] for one in UNKNOWNS],
    }


def _laid(name: str, kilograms: float) -> LaidLift:
    residue = all_residues()[name]
    water = kilograms * residue.moisture.mid / residue.dry_share
    fresh = residue.fresh
    return LaidLift(residue, 1000.0 * kilograms, 0.0, 0.0 if fresh else water, water if fresh else 0.0, fresh, name)


def _weather(season: Season, column: Mapping[str, Array], seed: int) -> WeatherYears:
    """Return one season of weather for each sample."""
    chance = np.random.default_rng(seed)
    rain = np.where(chance.random(DAYS) < season.share, chance.exponential(1.0, DAYS) * season.shower, 0.0)
    count = column["rain"].size
    shape = (count, DAYS)
    warmth = np.broadcast_to(column["warmth"][:, None], shape)
    return WeatherYears(
        date(2027, 4, 1),
        season.low + warmth,
        season.high + warmth,
        column["rain"][:, None] * rain,
        np.broadcast_to(column["evaporation"][:, None] * season.demand, shape),
        np.full(shape, season.radiation),
        ("made up",) * count,
        "made up",
        Evidence.GUESS,
    )


def _within(low: float, mid: float, high: float, place: Array) -> Array:
    """Return values from low (-1) by mid (0) to high (1), in proportion on either side."""
    return np.where(place < 0.0, mid * (mid / low) ** place, mid * (high / mid) ** place)


def _members(case: BedCase, column: Mapping[str, Array]) -> Members:
    count = column["rain"].size
    drawn = draw_members(case, 1, 1, vary=NOTHING)
    records, draws = np.repeat(drawn.records, count, axis=0), np.repeat(drawn.draws, count, axis=0)
    records[:, par.PLACE_RATE] = np.exp(column["place"])
    records[:, par.MINERAL_NITROGEN_FACTOR] = np.exp(column["soil_nitrogen"])
    records[:, par.SOIL_POOL_RATE] = column["soil_matter"]
    for number, one in enumerate(case.lifts):
        kind = "soft" if one.fresh else "dry"
        residue: Residue = one.residue
        spread = residue.nitrogen
        draws[:, number, at.D_MASS] = one.dry_matter * column[f"{kind}_mass"]
        draws[:, number, at.D_NITROGEN] = 100.0 * _within(
            spread.low, spread.mid, spread.high, column[f"{kind}_nitrogen"]
        )
        spread = residue.lignin
        draws[:, number, at.D_LIGNIN] = 100.0 * _within(spread.low, spread.mid, spread.high, column["lignin"])
    return Members(records, draws, np.arange(count, dtype=np.int64))


def _answers(outcome: Outcome) -> dict[str, Array]:
    net = outcome.daily["net_nitrogen"]
    takes = net < -0.02
    last = np.where(takes.any(axis=1), DAYS - np.argmax(takes[:, ::-1], axis=1), 0)
    return {
        "fed_60": net[:, 60],
        "fed_harvest": net[:, -1],
        "ammonia": outcome.daily["ammonia_lost"][:, -1],
        "water_days": (outcome.daily["root_zone_water"] > STRESSED).sum(axis=1).astype(float),
        "thickness": 100.0 * outcome.daily["thickness"][:, 60],
        "taker": last.astype(float),
    }


def answers(layer: str, season: str, samples: Array) -> dict[str, Array]:
    """Return every answer for every sample, the mean over the rains.

    Parameters
    ----------
    layer, season : str
        Keys of LAYERS and SEASONS.
    samples : numpy.ndarray
        Shape (samples, unknowns).
    """
    column = {one.key: samples[:, place] for place, one in enumerate(UNKNOWNS)}
    pools = resting_pools(SOIL_CARBON, CLAY)
    soil = SoilColumn(CLAY, FULL, WILTING, pools, (pools[0] / 40.0, pools[1] / 30.0), start_warmth=12.0)
    crop = CropCover(np.full(DAYS, 0.7), np.full(DAYS, 0.5), np.full(DAYS, 0.08))
    events = (Lay(0, tuple(_laid(name, kilograms) for name, kilograms in LAYERS[layer])),)
    summed: dict[str, Array] = {}
    for seed in RAINS:
        case = BedCase(layer, _weather(SEASONS[season], column, seed), soil, events, crop)
        outcome = simulate(
            case, _members(case, column), threads=2, keep=("ammonia_lost", "root_zone_water", "thickness")
        )
        for key, values in _answers(outcome).items():
            summed[key] = summed.get(key, np.zeros(values.shape)) + values / len(RAINS)
    return summed


def sensitivity(layer: str, season: str, base: int = SAMPLES, seed: int = 1) -> Found:
    """Return total and first indices of every question for a layer in a season; ``base`` is a power of two."""
    samples = samples_of.sample(problem(), base, calc_second_order=False, seed=seed)
    total, doubt, first, spread = {}, {}, {}, {}
    for key, values in answers(layer, season, samples).items():
        low, middle, high = (float(one) for one in np.percentile(values, (10.0, 50.0, 90.0)))
        spread[key] = (low, middle, high)
        if high - low < 1e-3:  # nothing to explain
            total[key] = doubt[key] = first[key] = np.full(len(UNKNOWNS), np.nan)
            continue
        found = indices_of.analyze(
            problem(), values, calc_second_order=False, num_resamples=200, conf_level=0.95, seed=seed
        )
        there = _there(layer) & bool((found["ST_conf"] < UNSTABLE).all())
        total[key], doubt[key], first[key] = (np.where(there, found[name], np.nan) for name in ("ST", "ST_conf", "S1"))
    return Found(total, doubt, first, spread)


def _there(layer: str) -> NDArray[np.bool_]:
    """Tell which unknowns a layer has: one of clippings alone has no dry residue."""
    kinds = {"soft" if all_residues()[name].fresh else "dry" for name, _ in LAYERS[layer]}
    return np.array([one.key.split("_")[0] not in {"soft", "dry"} - kinds for one in UNKNOWNS])


def _ranked(found: list[Found], key: str) -> list[tuple[Unknown, float, float]]:
    """Return the unknowns with their mean index over layers that can be told, largest first."""
    ranked = []
    for place, unknown in enumerate(UNKNOWNS):
        told = [one for one in found if isfinite(float(one.total[key][place]))]
        if told:
            total = float(np.mean([one.total[key][place] for one in told]))
            doubt = float(np.sqrt(np.mean([one.doubt[key][place] ** 2 for one in told]) / len(told)))
            ranked.append((unknown, total, doubt))
    return sorted(ranked, key=lambda one: -one[1])


def _first_words(ranked: list[tuple[Unknown, float, float]]) -> str:
    shown = [one for one in ranked[:3] if one[1] >= SMALL]
    return (
        "; ".join(f"{one.words} {total:.2f} ±{doubt:.2f}" for one, total, doubt in shown) or "the answer hardly varies"
    )


def page(found: Mapping[tuple[str, str], Found]) -> str:
    """Return the page from the results by layer and season."""
    runs = SAMPLES * (len(UNKNOWNS) + 2) * len(RAINS)
    lines = [
        "# What to measure first\n",
        "Written by `make docs`; do not edit. A number from 0 to 1 tells how much of the doubt in an answer an unknown",
        "is part of, alone and together with others (total Sobol index, with its 95 % half-width). Near 0: leave it.",
        "The largest: measure that first. The indices of an answer may add up to more than 1, because effects that are",
        "shared count for each of those who share. The numbers of the model itself are held at their middle: this page",
        "is about beds. A dash: not in this layer, or the answer hardly varies.\n",
        f"Each layer in each season was run {runs:,} times for {DAYS} days under three made-up rains, with a crop of",
        "middling growth. Indices depend on the ranges below: what is already known well moves nothing.\n",
        "## In short\n",
        "| question | " + " | ".join(SEASONS) + " |",
        "|---|" + "---|" * len(SEASONS),
    ]
    for key, words in QUESTIONS.items():
        cells = [_first_words(_ranked([found[layer, season] for layer in LAYERS], key)) for season in SEASONS]
        lines.append(f"| {words} | {' | '.join(cells)} |")
    lines += [
        "",
        f"Means over the layers that have it; only those of {SMALL:.2f} or more, at most three.\n",
        "## In plain words\n",
    ]
    lines += _plain_words(found)
    lines += [
        "## What was varied\n",
        "| unknown | how to measure it | from | to | | source |",
        "|---|---|---|---|---|---|",
    ]
    for one in UNKNOWNS:
        low, high = (f"{exp(value):.2f}" if "logarithm" in one.unit else f"{value:g}" for value in (one.low, one.high))
        unit = one.unit.replace("logarithm of a factor", "times")
        if "table" in one.unit:
            low, high = "low", "high"
        lines.append(f"| {one.words} | {one.how} | {low} | {high} | {unit} | {one.source} |")
    lines += ["", "Seasons: " + "; ".join(f"**{name}** {one.words}" for name, one in SEASONS.items()) + ".\n"]
    for layer, lifts in LAYERS.items():
        parts = ", ".join(f"{kilograms:g} kg {all_residues()[name].name.lower()}" for name, kilograms in lifts)
        lines += [f"## {layer.capitalize()}\n", f"Dry matter per m2, from the soil up: {parts}.\n"]
        for season in SEASONS:
            lines += _table(found[layer, season], season)
    return "\n".join(lines) + "\n"


def _plain_words(found: Mapping[tuple[str, str], Found]) -> list[str]:
    lines = []
    for key, words in QUESTIONS.items():
        ranked = _ranked(list(found.values()), key)
        if ranked:
            best, total, doubt = ranked[0]
            second = ranked[1][0]
            lines.append(
                f"- To know the **{words}**, first know **{best.words}** ({total:.2f} ±{doubt:.2f} over all seasons): "
                f"{best.how}. Next: {second.words} ({ranked[1][1]:.2f} ±{ranked[1][2]:.2f}): {second.how}."
            )
    idle = [
        one.words
        for place, one in enumerate(UNKNOWNS)
        if max((total for key in QUESTIONS for total in _told(found, key, place)), default=0.0) < SMALL
    ]
    if idle:
        lines.append(
            f"- Below {SMALL:.2f} for every question, layer and season, so last to measure: {', '.join(idle)}. "
            "Soil tests count for what a crop gets in all, and so for how much to lay; they hardly "
            "change what a layer gives."
        )
    return [*lines, ""]


def _told(found: Mapping[tuple[str, str], Found], key: str, place: int) -> list[float]:
    """Return an unknown's indices for a question in every layer and season where they can be told."""
    return [float(one.total[key][place]) for one in found.values() if isfinite(float(one.total[key][place]))]


def _table(one: Found, season: str) -> list[str]:
    lines = [f"### {season.capitalize()}\n", "| unknown | " + " | ".join(QUESTIONS.values()) + " |"]
    lines.append("|---|" + "---|" * len(QUESTIONS))
    for place, unknown in enumerate(UNKNOWNS):
        cells = []
        for key in QUESTIONS:
            index, doubt = float(one.total[key][place]), float(one.doubt[key][place])
            cells.append(f"{index:.2f} ±{doubt:.2f}" if isfinite(index) else "–")
        lines.append(f"| {unknown.words} | {' | '.join(cells)} |")
    answer = [f"{low:.1f} to {high:.1f}" for low, _, high in (one.spread[key] for key in QUESTIONS)]
    lines.append(f"| **answers, 8 in 10** (g/m2, days, cm) | {' | '.join(answer)} |")
    return [*lines, ""]


def main() -> int:
    """Run every layer in every season and write the page."""
    found = {}
    for layer in LAYERS:
        for season in SEASONS:
            sys.stderr.write(f"{layer}, {season} ...\n")
            found[layer, season] = sensitivity(layer, season)
    PAGE.write_text(page(found), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
