"""One chunk of gardens: every way of laying over every season and member, reduced to what is kept.

A chunk depends on nothing but what is in it, so it comes out the same to the last bit wherever and whenever it is run.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.bed import Bed, BedCrop, Irrigation, Soil, Watering
from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.filling import wilted_thickness
from mullbed.domain.region import THINGS, RegionCrop, RegionThing, RegionWay
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.region.reduce import ranked
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.bed_case import bed_case, laid_lift
from mullbed.simulate.case import BedCase, Lay
from mullbed.simulate.ensemble import (
    GROUPS,
    Members,
    deviates_of,
    draw_lifts,
    draw_records,
    parameter_values,
    place_parameter,
)
from mullbed.simulate.run import pack, run_packed
from mullbed.simulate.soil_start import soil_column

Array = NDArray[np.float64]

WEEK = 7
"""A row of the daily outputs stands for so many days. [d]"""
_KEPT = ("thickness", "soil_side_nitrogen", "mineral_nitrogen", "carbon_left", "soil_carbon")
_EVAPORATED = (at.EVAP_CANOPY, at.EVAP_LAYER, at.EVAP_SOIL)


@dataclass(frozen=True, slots=True)
class ChunkGarden:
    """One garden of a chunk."""

    name: str
    soil: Soil
    weather: int
    """Place of its weather in the chunk."""


@dataclass(frozen=True, slots=True)
class Chunk:
    """Gardens that are run as one piece of work, with all they need."""

    number: int
    gardens: tuple[ChunkGarden, ...]
    weathers: tuple[WeatherYears, ...]
    """Each with as many seasons as are run."""
    ways: tuple[RegionWay, ...]
    crop: RegionCrop | None
    kept_moist: bool
    thickest_cover: float
    """[m]"""
    members: int
    """For each season."""
    seed: int


@dataclass(frozen=True, slots=True)
class ChunkResult:
    """What a chunk came to."""

    ranked: NDArray[np.float32]
    """Nineteen values in rising order. (gardens, ways, things, levels)"""
    seasons: Array
    """Mean over members by season. (gardens, ways, things, years)"""


def run_chunk(chunk: Chunk) -> ChunkResult:
    """Return what the gardens of a chunk came to; "nothing laid" is the first way.

    Raises
    ------
    BalanceError, DirectionError
        When the books of any member do not close or a law of direction is broken.
    """
    bare_cases = [_bare_case(chunk, weather) for weather in chunk.weathers]
    laid = [_lay_events(way) for way in chunk.ways]
    # Lifts are drawn from streams named after residues and parameters, so all gardens of one weather share the draws.
    draws = [_draws(chunk, case, laid) for case in bare_cases]
    shared = [draw_records(chunk.members, chunk.seed, "", GROUPS, known=one.known) for one in chunk.weathers]
    ways = 1 + len(chunk.ways)
    years = chunk.weathers[0].years
    values = np.empty((len(chunk.gardens), ways, len(THINGS), years * chunk.members))
    for number, garden in enumerate(chunk.gardens):
        case = replace(bare_cases[garden.weather], name=garden.name, soil=soil_column(garden.soil))
        records = _own_place(shared[garden.weather], chunk, garden)
        year_of = np.repeat(np.arange(years), chunk.members)
        whole = np.tile(records, (years, 1))
        bare = _run(case, Members(whole, np.zeros((year_of.size, 0, at.LIFT_DRAWS)), year_of))
        values[number, 0] = _things(bare, bare, None, chunk.thickest_cover)
        for way, events in enumerate(laid, start=1):
            members = Members(whole, draws[garden.weather][way - 1], year_of)
            run = _run(replace(case, events=(*case.events, *events)), members)
            values[number, way] = _things(run, bare, chunk.ways[way - 1], chunk.thickest_cover)
    by_season = values.reshape(*values.shape[:-1], years, chunk.members)
    return ChunkResult(ranked(values), by_season.mean(axis=-1))


@dataclass(frozen=True, slots=True)
class _Run:
    """Last day of each run, and its thickness week by week."""

    last: dict[str, Array]
    thickness: Array
    """(runs, weeks) [m]"""
    ledger: Array


def _bare_case(chunk: Chunk, weather: WeatherYears) -> BedCase:
    crops: tuple[BedCrop, ...] = ()
    if chunk.crop is not None:
        first = weather.first_day
        planted, harvested = (first + timedelta(days=day) for day in (chunk.crop.planted, chunk.crop.harvested))
        crops = (BedCrop(chunk.crop.crop, 1.0, planted, harvested, sown_direct=False),)
    watering = Watering(Irrigation.BY_HAND if chunk.kept_moist else Irrigation.NONE, kept_moist=chunk.kept_moist)
    bed = Bed("a garden", 1.0, chunk.gardens[0].soil, watering, crops)
    return bed_case(bed, weather, all_crops(), all_residues())


def _lay_events(way: RegionWay) -> tuple[Lay, ...]:
    residues = all_residues()
    return tuple(
        Lay(layer.day, tuple(laid_lift(lift, residues) for lift in layer.lifts), layer.water) for layer in way.layers
    )


def _draws(chunk: Chunk, case: BedCase, laid: Sequence[tuple[Lay, ...]]) -> list[Array]:
    """Return the draws of each way's lifts, repeated for every season."""
    found = []
    for events in laid:
        lifts = [lift for event in events for lift in event.lifts]
        drawn = draw_lifts(lifts, chunk.members, chunk.seed, GROUPS, known=case.weather.known)
        found.append(np.tile(drawn, (case.weather.years, 1, 1)))
    return found


def _own_place(records: Array, chunk: Chunk, garden: ChunkGarden) -> Array:
    """Return the records with the garden's own factor of its place, as `draw_records` would draw them for its name."""
    own = records.copy()
    deviates = deviates_of(chunk.seed, chunk.members, None, True, f"place {garden.name}")
    known = chunk.weathers[garden.weather].known
    own[:, par.PLACE_RATE] = parameter_values(place_parameter(known), deviates)
    return own


def _run(case: BedCase, members: Members) -> _Run:
    outcome = run_packed(pack(case), members, every=WEEK, name=case.name, keep=_KEPT)
    last = {name: values[:, -1] for name, values in outcome.daily.items()}
    return _Run(last, outcome.daily["thickness"], outcome.ledgers)


def _things(run: _Run, bare: _Run, way: RegionWay | None, thickest: float) -> Array:
    """Return every thing for every run, shape (things, runs)."""
    ledger, count = run.ledger, run.ledger.shape[0]
    evaporated = ledger[:, _EVAPORATED].sum(axis=1)
    found = {
        RegionThing.NITROGEN_FED: run.last["soil_side_nitrogen"] - bare.last["soil_side_nitrogen"],
        RegionThing.NITRATE_LEACHED: ledger[:, at.LEACHED],
        RegionThing.NITRATE_ADDED: ledger[:, at.LEACHED] - bare.ledger[:, at.LEACHED],
        RegionThing.NITROGEN_LEFT: run.last["mineral_nitrogen"],
        RegionThing.AMMONIA_LOST: ledger[:, at.NH3],
        RegionThing.LAYERS_FIT: _fitting(run.thickness, way, thickest) if way else np.zeros(count),
        RegionThing.LAYERS_USED: _used(run, way) if way else np.zeros(count),
        RegionThing.WATER_SAVED: bare.ledger[:, _EVAPORATED].sum(axis=1) - evaporated,
        RegionThing.WATER_DRAINED: ledger[:, at.DRAINED],
        RegionThing.WATER_GIVEN: ledger[:, at.IRRIGATED],
        RegionThing.CARBON_KEPT: run.last["carbon_left"] + run.last["soil_carbon"] - bare.last["soil_carbon"],
    }
    return np.stack([found[thing] for thing in THINGS])


def _fitting(thickness: Array, way: RegionWay, thickest: float) -> Array:
    """Return how many layers found room: the cover of the week before and the layer, once wilted, within the limit."""
    residues = all_residues()
    count = np.zeros(thickness.shape[0])
    for layer in way.layers:
        week = layer.day // WEEK - 1
        there = thickness[:, week] if week >= 0 else 0.0
        own = sum(wilted_thickness(residues[lift.residue], lift) for lift in layer.lifts)
        count += there + own <= thickest
    return count


def _used(run: _Run, way: RegionWay) -> Array:
    """Return the carbon gone from the layers, counted in layers of this way."""
    laid = run.ledger[:, at.LAID_C]
    left = np.minimum(run.last["carbon_left"], laid)
    used: Array = len(way.layers) * (1.0 - left / laid)
    return used
