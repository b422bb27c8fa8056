"""Tell what a layer of chosen containers would do to a bed today; start from what the plan has for it.

Reads the record and the weather, writes nothing. Raises InputFault or NotFound when garden, bed or counts are at fault.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.bed import Bed
from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.filling import fill
from mullbed.domain.garden import Garden, Site
from mullbed.domain.in_hand import Heap, InHand
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.layer_preview import LayerPreview
from mullbed.domain.plain_values import from_plain
from mullbed.domain.record import Entry
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Document
from mullbed.domain.record_work import LayerLaid, LiftLaid
from mullbed.domain.refusal import Refusal
from mullbed.domain.season_plan import PlannedLayer
from mullbed.domain.signing import Where
from mullbed.domain.spread import Evidence, Spread
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.files.record_garden import (
    DONE_KINDS,
    GARDEN_KINDS,
    KeptGarden,
    document_content,
    doings_in,
    kept_garden,
    weather_in,
)
from mullbed.plan.bed_forecast import after, forecast_of
from mullbed.plan.garden_as_done import garden_as_done
from mullbed.plan.in_hand import in_hand
from mullbed.plan.mix_loads import water_to_wet
from mullbed.plan.stocks import MINUTES, is_soft_fresh
from mullbed.reference.containers import find_container
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.safety.record_states import layer_refusals
from mullbed.simulate.bed_case import bed_case
from mullbed.simulate.ensemble import draw_members
from mullbed.store.database import open_record
from mullbed.store.journal import entries, latest
from mullbed.store.which_garden import which_garden
from mullbed.weather.place_weather import place_weather
from mullbed.weather.recorded_days import with_known_days

MEMBERS = 256
SEED = 1
#: The page looks so far ahead: nitrogen of four weeks is told, and a date beyond that. [d]
AHEAD = 84
#: A planned layer counts as today's from so many days before to so many after its day. Judgement. [d]
EARLY, LATE = 10, 14
SETTLED_AFTER = 14
NET_AFTER = 28
_READ = (*GARDEN_KINDS, *DONE_KINDS, Kind.WEATHER, Kind.TEST_SET_UP, Kind.TEST_READ, Kind.OVERRIDE)
Array = NDArray[np.float64]


def preview_layer(
    where: Where,
    bed: str,
    today: date,
    counts: Mapping[str, float] | None = None,
    *,
    cans: float | None = None,
    members: int = MEMBERS,
    threads: int = 2,
) -> LayerPreview:
    """Return what a layer would do.

    Parameters
    ----------
    where : Where
    bed : str
    today : date
    counts : mapping, optional
        Containers of each heap, by its name, from the soil up; what the plan has for the bed where left out.
    cans : float, optional
        Cans of water; what wets the dry lifts through where left out.
    members, threads : int

    Raises
    ------
    NotFound
        When no bed is called so.
    InputFault
        When the record holds no garden, or a count is not one.
    """
    with open_record(where.record) as record, record.reading() as transaction:
        identity = which_garden(transaction, where.garden)
        told = entries(transaction, identity, kinds=_READ)
        kept = kept_garden(told)
        plan = latest(transaction, identity, Kind.PLAN)
    if kept is None:
        remedy = "Begin with: mullbed garden new garden.toml"
        raise InputFault([Fault("record", f"no garden file of {identity}", "a garden", remedy)])
    garden = garden_as_done(
        kept.garden,
        doings_in(told, kept.carried_over_on),
        today,
        crops=all_crops(),
        residues=all_residues(),
        container=find_container,
        from_today=False,
    )
    here = garden.bed(bed)
    if here is None:
        raise NotFound("bed", bed, tuple(one.name for one in garden.beds)[:5])
    coming = _coming(plan)
    hand = in_hand(garden, told, coming, today)
    planned = _due(coming or (), told, bed, today)
    from_plan = counts is None and planned is not None
    chosen = dict(counts) if counts is not None else _planned_counts(planned, hand)
    lifts, heaps = _lifts(chosen, hand, garden, here)
    can = _can_litres(garden)
    advised = sum(water_to_wet(all_residues()[one.residue], one) for one in lifts) * here.area / can
    poured = cans if cans is not None else round(2.0 * advised) / 2.0
    if not 0.0 <= poured <= 100.0 * here.area / can:
        raise InputFault([Fault("cans", f"{poured:g}", "0 to 100 mm of water", "Count the cans again.")])
    layer = Layer(bed, today, lifts, poured * can / here.area) if lifts else None
    return _previewed(
        kept, told, garden, here, hand, layer, heaps, poured, chosen, today, members, threads, from_plan=from_plan
    )


def _coming(plan: Entry | None) -> tuple[PlannedLayer, ...] | None:
    if plan is None or not isinstance(plan.facts, Document):
        return None
    content = document_content(plan.facts).get("layers", [])
    return tuple(from_plain(PlannedLayer, one, "plan") for one in (content if isinstance(content, list) else []))


def _due(coming: Sequence[PlannedLayer], told: Sequence[Entry], bed: str, today: date) -> PlannedLayer | None:
    """Return the plan's layer of a bed nearest to today that is not laid yet."""
    laid = {entry.facts.planned_day for entry in told if isinstance(entry.facts, LayerLaid) and entry.bed == bed}
    near = [
        one
        for one in coming
        if one.layer.bed == bed and one.layer.day not in laid and -LATE <= (one.layer.day - today).days <= EARLY
    ]
    return min(near, key=lambda one: abs((one.layer.day - today).days), default=None)


def _planned_counts(planned: PlannedLayer | None, hand: InHand) -> dict[str, float]:
    """Return the containers of a planned layer by heap; no more than there are."""
    found: dict[str, float] = {}
    for lift in planned.layer.lifts if planned is not None else ():
        heap = next(
            (
                one
                for one in hand.heaps
                if one.residue == lift.residue and one.container == lift.container and one.name not in found
            ),
            None,
        )
        if heap is not None:
            found[heap.name] = min(lift.count, float(int(heap.count)) or heap.count)
    return found


def _lifts(
    chosen: Mapping[str, float], hand: InHand, garden: Garden, bed: Bed
) -> tuple[tuple[Lift, ...], tuple[str, ...]]:
    """Return the lifts of the chosen containers, soft fresh ones first, dry ones as the cap, and their heaps' names."""
    heaps = {one.name: one for one in (*hand.heaps, *hand.held)}
    faults: list[Fault] = []
    picked: list[tuple[Heap, float]] = []
    for name, count in chosen.items():
        heap = heaps.get(name)
        if heap is None:
            faults.append(Fault("what", f"'{name[:60]}'", ", ".join(heaps) or "nothing in hand", "Choose again."))
        elif not 0.0 <= count <= 2000.0:
            faults.append(Fault(name, f"{count:g}", "0 to 2000", "Count the containers again."))
        elif count > 0.0:
            picked.append((heap, count))
    if faults:
        raise InputFault(faults)
    own = {one.name: one for one in garden.containers}
    residues = all_residues()
    picked.sort(key=lambda one: not is_soft_fresh(residues[one[0].residue], one[0].dried))
    lifts = tuple(
        fill(
            residues[heap.residue],
            own.get(heap.container) or find_container(heap.container),
            count,
            bed.area,
            dried=heap.dried,
            others=garden.containers,
        )
        for heap, count in picked
    )
    return lifts, tuple(heap.name for heap, _ in picked)


def _can_litres(garden: Garden) -> float:
    own = {one.name: one for one in garden.containers}
    return (own.get("can") or find_container("can")).litres.mid


@lru_cache(maxsize=8)
def _weather(site: Site, first: date, last: date, station_text: str | None) -> WeatherYears:
    """Return the possible seasons of a place; reading them anew for every tap would be slow."""
    return place_weather(site, first, last, SEED, station_text=station_text)


def _previewed(
    kept: KeptGarden,
    told: Sequence[Entry],
    garden: Garden,
    bed: Bed,
    hand: InHand,
    layer: Layer | None,
    heaps: tuple[str, ...],
    cans: float,
    chosen: Mapping[str, float],
    today: date,
    members: int,
    threads: int,
    *,
    from_plan: bool,
) -> LayerPreview:
    oldest = min((one.day for one in bed.layers), default=today)
    first = max(min(oldest, today - timedelta(days=14)), today - timedelta(days=400))
    last = today + timedelta(days=AHEAD)
    weather = with_known_days(
        _weather(garden.site, first, last, kept.station_text), weather_in(told), garden.site.latitude
    )
    crops, residues = all_crops(), all_residues()
    now = [one for one in bed.layers if first <= one.day <= last]
    start = (today - first).days
    before = bed_case(bed, weather, crops, residues)
    forecast, without = forecast_of(before, now, draw_members(before, members, SEED), SEED, threads=threads, lean=True)
    refused: tuple[Refusal, ...] = ()
    planned = None
    this_year = sum(
        lift.dry_matter * residues[lift.residue].nitrogen.mid
        for one in (*bed.layers, *([layer] if layer is not None else []))
        if one.day.year == today.year
        for lift in one.lifts
    )
    if layer is not None:
        after_bed = replace(bed, layers=(*bed.layers, layer))
        case = bed_case(after_bed, weather, crops, residues)
        lying = float(forecast.series["thickness"].p50[start])
        drawn = draw_members(case, members, SEED)
        forecast, outcome = forecast_of(case, [*now, layer], drawn, SEED, threads=threads, lean=True)
        gain = outcome.daily["net_nitrogen"] - without.daily["net_nitrogen"]
        gain = gain - gain[:, max(0, start - 1) : max(0, start - 1) + 1]
        facts = LayerLaid(
            tuple(
                LiftLaid(lift, f"{lift.count:g} {lift.container}", name)
                for lift, name in zip(layer.lifts, heaps, strict=True)
            ),
            layer.water,
        )
        refused, _ = layer_refusals(facts, told, garden, bed, today)
        planned = _as_planned(layer, gain, start, bed, lying, forecast, cans)
    return LayerPreview(
        bed=bed,
        units=garden.site.units,
        hand=hand,
        counts=tuple(chosen.items()),
        heaps=heaps,
        cans=cans,
        planned=planned,
        forecast=after(forecast, max(0, start - 1)),
        refusals=refused,
        nitrogen_year=this_year,
        nitrogen_ceiling=garden.limits.nitrogen_laid_per_year,
        thickest_soft=garden.limits.thickest_soft_fresh,
        from_plan=from_plan,
    )


def _as_planned(
    layer: Layer, gain: Array, start: int, bed: Bed, lying: float, forecast: object, cans: float
) -> PlannedLayer:
    """Return the layer with what it does, as a plan would tell it."""
    residues = all_residues()
    thickness = forecast.series["thickness"].p50  # type: ignore[attr-defined]
    settled = float(thickness[min(thickness.size - 1, start + SETTLED_AFTER)])
    four = gain[:, min(gain.shape[1] - 1, start + NET_AFTER)]
    low, mid, high = (float(one) for one in np.percentile(four, (10.0, 50.0, 90.0)))
    nitrogen = sum(lift.dry_matter * residues[lift.residue].nitrogen.mid for lift in layer.lifts)
    phosphorus = sum(lift.dry_matter * residues[lift.residue].phosphorus.mid for lift in layer.lifts)
    cautions = tuple(dict.fromkeys(key for lift in layer.lifts for key in residues[lift.residue].cautions))
    return PlannedLayer(
        layer=layer,
        cans=cans,
        litres=layer.water * bed.area,
        minutes=MINUTES * sum(lift.count for lift in layer.lifts) + 2.0,
        settled_thickness=settled if np.isfinite(settled) else 0.0,
        lying_before=lying if np.isfinite(lying) else 0.0,
        nitrogen_laid=_middle(nitrogen),
        phosphorus_laid=_middle(phosphorus),
        net_nitrogen_28d=Spread(low, mid, high, "g m-2", Evidence.WORKED_OUT, "mullbed_model"),
        gives_from=_gives_from(gain, start, layer.day),
        reasons=(),
        cautions=cautions,
    )


def _middle(value: float) -> Spread:
    return Spread(value, value, value, "g m-2", Evidence.WORKED_OUT, "mullbed_model")


def _gives_from(gain: Array, start: int, day: date) -> tuple[date | None, date | None, date | None]:
    """Return the day from which the sum given stays above zero: early, middle, late among the members."""
    ahead = gain[:, start:]
    below = ahead <= 0.0
    days = ahead.shape[1]
    first = np.where(below.any(axis=1), days - np.argmax(below[:, ::-1], axis=1), 0)
    found = [int(np.quantile(first, share, method="higher")) for share in (0.1, 0.5, 0.9)]
    told = [day + timedelta(days=one) if one < days else None for one in found]
    return told[0], told[1], told[2]
