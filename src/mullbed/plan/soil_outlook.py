"""Look a bed's soil ahead over years with the daily pools, hold it against soil tests, and let them teach it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.bed import Bed, BedCrop, Soil
from mullbed.domain.crop import Crop
from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.forecast import Band
from mullbed.domain.layer import Layer
from mullbed.domain.residue import Residue
from mullbed.domain.soil_outlook import OutlookWarning, SoilOutlook, SoilTestValue, SoilThing, TestMet
from mullbed.domain.spread import Spread
from mullbed.plan.nutrient_outlook import nutrient_balances, nutrient_warnings
from mullbed.plan.yearly_round import repeated, root_feeds, year_of_layers, years_later
from mullbed.processes.soil_texture import bulk_density, field_capacity, saturated_water, wilting_point
from mullbed.simulate.bed_case import bed_case
from mullbed.simulate.case import BedCase, Feed
from mullbed.simulate.crop_season import season_want
from mullbed.simulate.ensemble import Members, draw_members, from_spread, standard_draws
from mullbed.simulate.run import pack, run_packed
from mullbed.simulate.soil_start import CARBON_OF_ORGANIC_MATTER, DEPTH, soil_column

Array = NDArray[np.float64]

#: Members that share one organic matter at the start: those of one piece of the compiled loop.
GROUP = 16
#: Doubt of water and density worked out from texture, as standard deviations of the logarithm; the second where the
#: bed's own density was measured. [1] Judgement.
WATER_DOUBT, DENSITY_DOUBT, MEASURED_DENSITY_DOUBT = 0.15, 0.08, 0.04
#: Largest change of organic matter over time that soil tests with five repeats still missed, of 13 sites. [fraction]
#: Source: necpalova2014, abstract.
UNSEEN = 0.13
#: Rule of thumb: share of dry matter that ends as organic matter, and share of organic matter lost in a year;
#: low, middle, high of the outcome. Source: mcguire2023 and derived.
RULE = ((0.10, 0.04), (0.15, 0.03), (0.20, 0.02))
#: Nitrogen supplied per want from which it is too much. [1] That of a garden's limits.
PLENTY = 1.2
KEPT = ("soil_carbon", "soil_side_nitrogen", "carbon_left")
CUTS = (0.1, 0.5, 0.9)


@dataclass(frozen=True, slots=True)
class _Run:
    """Values of every member on every year's day, shape (members, years + 1), and on any day."""

    things: dict[SoilThing, Array]
    carbon: Array
    """Shape (members, days). [g m-2]"""
    start_matter: Array
    start_carbon: Array
    factors: tuple[Array, Array]
    """Of water and of density, shape (members,)."""


def soil_outlook(
    bed: Bed,
    planned: Sequence[Layer],
    weather: WeatherYears,
    crops: Mapping[str, Crop],
    residues: Mapping[str, Residue],
    *,
    last_day: date,
    years: int,
    back: int = 0,
    members: int = 128,
    seed: int = 1,
    threads: int = 2,
    tests: Sequence[SoilTestValue] = (),
) -> SoilOutlook:
    """Return the outlook of a bed.

    Parameters
    ----------
    bed : Bed
        Its soil is that of the first day of the weather; its layers are what was really laid and what a year repeats.
    planned : sequence of Layer
        Layers of the plan, of any bed.
    weather : WeatherYears
        From the first day looked at over all years.
    crops, residues : mapping
        The tables.
    last_day : date
        Last day of the season that is repeated.
    years : int
        Years ahead.
    back : int
        Years before the plan begins that the weather covers, for tests of the past.
    members, seed, threads : int
    tests : sequence of SoilTestValue
        Tests of this bed; those outside the weather's days are left out.

    Raises
    ------
    BalanceError, DirectionError
        When the books of a run do not close.
    """
    count = max(GROUP, GROUP * round(members / GROUP))
    first = weather.first_day
    days = tuple(years_later(first, year) for year in range(back + years + 1))
    round_of = year_of_layers(bed, planned, last_day)
    grown = repeated(bed, round_of, last_day, years + 1)
    case = bed_case(grown, weather, crops, residues)
    case = replace(case, events=(*case.events, *root_feeds(grown, crops, first, weather.days)))
    drawn = draw_members(case, count, seed)
    at = [min((day - first).days, weather.days - 1) for day in days]
    laid = _ran(bed.soil, case, drawn, at, seed, threads, with_layers=True)
    bare = _ran(bed.soil, case, drawn, at, seed, threads, with_layers=False)
    weights, met = _taught(bed.soil, laid, tests, first, weather.days)
    matter = laid.things[SoilThing.ORGANIC_MATTER]
    bare_matter = bare.things[SoilThing.ORGANIC_MATTER]
    dry = sum(layer.dry_matter for layer in round_of)
    want = sum(season_want(crops[one.crop], one) * one.share for one in _year_crops(bed, last_day))
    balances = nutrient_balances(bed, round_of, last_day, crops, residues)
    supply = _bands(laid.things[SoilThing.NITROGEN_SUPPLY], weights)
    seen = _seen_from(_bands(matter, weights), back)
    warnings = (
        *nutrient_warnings(balances),
        *_nitrogen_warnings(supply, want, back),
        *((OutlookWarning("tests against model"),) if _effective(weights) < 0.1 else ()),
    )
    return SoilOutlook(
        bed=bed.name,
        days=days,
        now=back,
        planned={thing: _bands(values, weights) for thing, values in laid.things.items()},
        bare={thing: _bands(values, weights) for thing, values in bare.things.items()},
        rule=_rule(bed.soil, dry, len(days), back, float(_quantiles(laid.start_matter, weights)[1])),
        dry_matter=dry,
        nitrogen_laid=sum(one.dry_matter * residues[one.residue].nitrogen.mid for la in round_of for one in la.lifts),
        crop_want=want,
        rise_chance=float(weights[matter[:, -1] > matter[:, back]].sum()),
        gain_chance=float(weights[matter[:, -1] > bare_matter[:, -1]].sum()),
        seen_from=seen,
        tests=met,
        informed=_effective(weights),
        balances=balances,
        warnings=warnings,
        members=count,
        weather=weather.source,
    )


def _year_crops(bed: Bed, last_day: date) -> list[BedCrop]:
    first = years_later(last_day, -1)
    return [one for one in bed.crops if first < one.harvested and one.planted <= last_day]


def _ran(
    soil: Soil, case: BedCase, members: Members, at: list[int], seed: int, threads: int, *, with_layers: bool
) -> _Run:
    """Run groups of members, each from its own organic matter at the start.

    Groups stand at evenly spaced quantiles of the organic matter's spread; members of a group are drawn across all.
    """
    count = members.count
    groups = count // GROUP
    levels = _levels(soil.organic_matter, groups)
    carbon = np.empty((count, case.weather.days))
    given = np.empty((count, case.weather.days))
    start_matter, start_carbon = np.empty(count), np.empty(count)
    base_density, base_water = np.empty((count, len(at))), np.empty((count, len(at)))
    for number, level in enumerate(levels):
        rows = np.arange(number * GROUP, (number + 1) * GROUP)
        there = replace(soil, organic_matter=replace(soil.organic_matter, low=level, mid=level, high=level))
        column = soil_column(there)
        group = Members(members.records[rows], members.draws[rows], members.year_of[rows])
        packed = pack(replace(case, soil=column), with_layers=with_layers)
        ran = run_packed(packed, group, threads=threads, name=case.name, keep=KEPT)
        carbon[rows], given[rows] = ran.daily["soil_carbon"], ran.daily["soil_side_nitrogen"]
        start_matter[rows], start_carbon[rows] = level, sum(column.pools)
    matter = organic_matter_of(carbon[:, at], start_carbon[:, None], start_matter[:, None])
    for row in range(count):
        for place in range(len(at)):
            base_density[row, place] = density_of(soil, float(start_matter[row]), float(matter[row, place]))
            base_water[row, place] = water_of(soil, float(matter[row, place]))
    doubt = DENSITY_DOUBT if soil.bulk_density is None else MEASURED_DENSITY_DOUBT
    water_factor = np.exp(WATER_DOUBT * standard_draws(seed, count, "outlook water"))
    density_factor = np.exp(doubt * standard_draws(seed, count, "outlook density"))
    supply = np.full(matter.shape, np.nan)
    supply[:, 1:] = np.diff(given[:, at], axis=1) - _fed(case, at)
    things = {
        SoilThing.ORGANIC_MATTER: matter,
        SoilThing.NITROGEN_SUPPLY: supply,
        SoilThing.AVAILABLE_WATER: base_water * water_factor[:, None],
        SoilThing.BULK_DENSITY: base_density * density_factor[:, None],
    }
    return _Run(things, carbon, start_matter, start_carbon, (water_factor, density_factor))


def _levels(matter: Spread, groups: int) -> list[float]:
    deviates = np.array([NormalDist().inv_cdf((number + 0.5) / groups) for number in range(groups)])
    return [float(min(0.4, max(0.002, value))) for value in from_spread(matter, deviates)]


def _fed(case: BedCase, at: Sequence[int]) -> Array:
    """Return the mineral nitrogen given by hand in each year. [g m-2]"""
    feeds = [event for event in case.events if isinstance(event, Feed)]
    years = pairwise(at)
    return np.array(
        [sum(one.ammonium + one.nitrate for one in feeds if first < one.day <= last) for first, last in years]
    )


def organic_matter_of(carbon: Array, start_carbon: Array, start_matter: Array) -> Array:
    """Return organic matter as a share of dry soil when carbon changes and the mineral soil stays.

    The mineral soil follows from carbon and organic matter at the start, so depth and density drop out.
    """
    whole = start_carbon / CARBON_OF_ORGANIC_MATTER
    mineral = whole * (1.0 - start_matter) / start_matter
    organic = carbon / CARBON_OF_ORGANIC_MATTER
    share: Array = organic / (organic + mineral)
    return share


def density_of(soil: Soil, start: float, matter: float) -> float:
    """Return the bulk density at an organic matter, as far from a measured one as the texture says. [kg m-3]"""
    clay = min(0.6, soil.clay)

    def worked_out(share: float) -> float:
        return float(bulk_density(saturated_water(soil.sand, clay, min(8.0, 100.0 * share))))

    found = worked_out(matter)
    return found if soil.bulk_density is None else soil.bulk_density * found / worked_out(start)


def water_of(soil: Soil, matter: float) -> float:
    """Return the water plants can get out of 0-25 cm. [mm]"""
    percent, clay = min(8.0, 100.0 * matter), min(0.6, soil.clay)
    held = field_capacity(soil.sand, clay, percent) - wilting_point(soil.sand, clay, percent)
    return float(max(0.0, held) * DEPTH * 1000.0)


def _taught(
    soil: Soil, ran: _Run, tests: Sequence[SoilTestValue], first: date, days: int
) -> tuple[Array, tuple[TestMet, ...]]:
    """Reweigh the members by the tests in time; each test is first compared with what was expected of it."""
    count = ran.start_matter.size
    weights = np.full(count, 1.0 / count)
    met = []
    for number, test in enumerate(sorted(tests, key=lambda one: one.day)):
        day = (test.day - first).days
        if not 0 <= day < days or test.thing not in (SoilThing.ORGANIC_MATTER, SoilThing.BULK_DENSITY):
            continue
        matter = organic_matter_of(ran.carbon[:, day], ran.start_carbon, ran.start_matter)
        if test.thing is SoilThing.ORGANIC_MATTER:
            values = matter
        else:
            values = np.array(
                [density_of(soil, float(a), float(b)) for a, b in zip(ran.start_matter, matter, strict=True)]
            )
            values = values * ran.factors[1]
        noise = standard_draws(1, count, "outlook test", str(number))
        low, mid, high = _quantiles(values + test.error * noise, weights)
        met.append(TestMet(test, float(low), float(mid), float(high)))
        logs = np.log(weights) - 0.5 * ((values - test.value) / test.error) ** 2
        weights = np.exp(logs - logs.max())
        weights = np.maximum(weights / weights.sum(), 1e-12)
        weights = weights / weights.sum()
    return weights, tuple(met)


def _effective(weights: Array) -> float:
    return float(1.0 / np.sum(weights**2) / weights.size)


def _quantiles(values: Array, weights: Array) -> Array:
    """Return weighted 10th, 50th and 90th percentile."""
    order = np.argsort(values)
    reached = np.cumsum(weights[order]) - 0.5 * weights[order]
    found: Array = np.interp(CUTS, reached, values[order])
    return found


def _bands(values: Array, weights: Array) -> Band:
    cuts = np.full((3, values.shape[1]), np.nan)
    for place in range(values.shape[1]):
        if np.isfinite(values[:, place]).all():
            cuts[:, place] = _quantiles(values[:, place], weights)
    return Band(cuts[0], cuts[1], cuts[2])


def _seen_from(matter: Band, now: int) -> int | None:
    start = float(matter.p50[now])
    for year in range(now + 1, matter.p50.size):
        if abs(float(matter.p50[year]) - start) > UNSEEN * start:
            return year - now
    return None


def _nitrogen_warnings(supply: Band, want: float, now: int) -> tuple[OutlookWarning, ...]:
    """Warn in the first year in which soil and cover give far more than the crops want."""
    if want <= 0.0:
        return ()
    for year in range(now + 1, supply.p50.size):
        if float(supply.p50[year]) > PLENTY * want:
            return (OutlookWarning("nitrogen beyond want", float(supply.p50[year]) - want, year - now),)
    return ()


def _rule(soil: Soil, dry_matter: float, years: int, back: int, start: float) -> Band:
    """Return organic matter by the rule of thumb: a share of what is laid stays, a share of what is there goes."""
    density = density_of(soil, start, start)
    mineral = (1.0 - start) * density * DEPTH * 1000.0
    found = np.empty((3, years))
    for row, (stays, goes) in enumerate(RULE):
        organic = start / (1.0 - start) * mineral
        for year in range(years):
            found[row, year] = organic / (organic + mineral)
            organic += stays * dry_matter * (year >= back) - goes * organic
    return Band(found[0], found[1], found[2])
