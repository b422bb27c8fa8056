"""Show the plan that is kept in the record, and which of its layers were laid.

Reads the record, writes nothing. Raises InputFault where no garden is kept or the plan cannot be read.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Collection, Hashable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache
from threading import Lock
from typing import Any

from mullbed.domain.bed import Bed
from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.forecast import BedForecast
from mullbed.domain.garden import Garden, Site, UnitSystem
from mullbed.domain.plain_values import from_plain
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Document
from mullbed.domain.record_work import LayerLaid
from mullbed.domain.season_plan import Gathering, PlannedLayer, SeasonPlan
from mullbed.domain.signing import Where
from mullbed.errors import Fault, InputFault
from mullbed.files.record_garden import GARDEN_KINDS, document_content, kept_garden
from mullbed.store.database import open_record
from mullbed.store.journal import entries, latest
from mullbed.store.only_begun import only_begun
from mullbed.store.which_garden import which_garden


@dataclass(frozen=True, slots=True)
class ShownPlan:
    """The kept plan beside what was done."""

    garden: str
    units: UnitSystem
    beds: tuple[str, ...]
    """In walking order."""
    plan: SeasonPlan | None
    """Without its forecasts; None where none is kept."""
    made_on: date | None
    version: int
    laid: dict[tuple[str, date], date]
    """Day really laid, by bed and planned day."""
    id: str = ""
    """Of the entry that holds it, so that it can be taken back."""
    only_begun: bool = False
    """Whether nothing was written down yet, so that the garden can be begun anew."""

    def coming(self, today: date) -> tuple[PlannedLayer, ...]:
        """Return the layers not laid yet from today on, in time."""
        if self.plan is None:
            return ()
        open_ones = [
            one
            for one in self.plan.layers
            if one.layer.day >= today and (one.layer.bed, one.layer.day) not in self.laid
        ]
        return tuple(sorted(open_ones, key=lambda one: (one.layer.day, one.layer.bed)))

    def gather(self, today: date) -> tuple[Gathering, ...]:
        """Return what to gather from this week on."""
        if self.plan is None:
            return ()
        return tuple(one for one in self.plan.gather if (today - one.week).days < 7)


def show_plan(where: Where) -> ShownPlan:
    """Return the newest plan that is kept.

    Raises
    ------
    InputFault
        When the record holds no garden, or the plan cannot be read.
    """
    with open_record(where.record) as record, record.reading() as transaction:
        identity = which_garden(transaction, where.garden)
        kept = kept_garden(entries(transaction, identity, kinds=GARDEN_KINDS))
        if kept is None:
            remedy = "Begin with: mullbed garden new garden.toml"
            raise InputFault([Fault("record", f"no garden file of {identity}", "a garden", remedy)])
        entry = latest(transaction, identity, Kind.PLAN)
        done = entries(transaction, identity, kinds=(Kind.LAYER,))
        begun = only_begun(transaction, identity)
    laid = {
        (one.bed, one.facts.planned_day): one.day
        for one in done
        if one.bed is not None and isinstance(one.facts, LayerLaid) and one.facts.planned_day is not None
    }
    beds = tuple(bed.name for bed in kept.garden.beds)
    name, units = kept.garden.site.name, kept.garden.site.units
    if entry is None or not isinstance(entry.facts, Document):
        return ShownPlan(name, units, beds, None, None, 0, laid, only_begun=begun)
    content: Any = document_content(entry.facts)
    plan = from_plain(SeasonPlan, content, "plan")
    return ShownPlan(name, units, beds, plan, entry.day, entry.facts.version, laid, entry.id, begun)


@dataclass(frozen=True, slots=True)
class PaperPlan:
    """What cards and sheets are printed from."""

    garden: Garden
    """As it stands, with what was really laid."""
    plan: SeasonPlan | None
    """Its layers not laid yet, from a few days back on; None where no plan is kept."""
    made_on: date | None


#: A planned layer so many days late still stands on the card. Judgement. [d]
LATE_ON_CARD = 14


def plan_on_paper(where: Where, today: date) -> PaperPlan:
    """Return the garden as it stands and what of its plan is still to be done.

    Raises
    ------
    InputFault
        When the record holds no garden, or the plan cannot be read.
    """
    from mullbed.files.record_garden import DONE_KINDS, doings_in
    from mullbed.plan.garden_as_done import garden_as_done
    from mullbed.reference.containers import find_container
    from mullbed.reference.crops import all_crops
    from mullbed.reference.residues import all_residues

    shown = show_plan(where)
    with open_record(where.record) as record, record.reading() as transaction:
        told = entries(transaction, which_garden(transaction, where.garden), kinds=(*GARDEN_KINDS, *DONE_KINDS))
    kept = kept_garden(told)
    if kept is None:
        raise InputFault([Fault("record", "no garden file", "a garden", "Begin with: mullbed garden new garden.toml")])
    garden = garden_as_done(
        kept.garden,
        doings_in(told, kept.carried_over_on),
        today,
        crops=all_crops(),
        residues=all_residues(),
        container=find_container,
        from_today=False,
    )
    plan = shown.plan
    if plan is not None:
        plan = replace(plan, layers=shown.coming(today - timedelta(days=LATE_ON_CARD)))
    return PaperPlan(garden, plan, shown.made_on)


#: Enough for a middle line; bands are told on the page of a bed.
RIBBON_MEMBERS = 32
#: Days shown before today and after it, or to the season's end. [d]
RIBBON_BEFORE, RIBBON_AFTER = 30, 200
#: Beds run at once; the loop lets other threads work.
RIBBON_THREADS = 2
#: So many beds are remembered through the season: what is written of one leaves the others as they were.
MOST_AHEAD = 64
_AHEAD: OrderedDict[Hashable, BedForecast] = OrderedDict()
_AT_AHEAD = Lock()


def season_ahead(where: Where, today: date, beds: Collection[str] | None = None) -> dict[str, BedForecast]:
    """Return each bed through the season with what was laid and what is planned, settling as modelled.

    Parameters
    ----------
    where : Where
    today : date
    beds : collection of str, optional
        Only these.

    Raises
    ------
    InputFault
        When the record holds no garden, or the plan cannot be read.
    """
    from mullbed.files.record_garden import DONE_KINDS, doings_in, weather_in
    from mullbed.plan.bed_forecast import forecast_of
    from mullbed.plan.garden_as_done import garden_as_done
    from mullbed.reference.containers import find_container
    from mullbed.reference.crops import all_crops
    from mullbed.reference.residues import all_residues
    from mullbed.simulate.bed_case import bed_case
    from mullbed.simulate.ensemble import draw_members
    from mullbed.simulate.run import run_called
    from mullbed.weather.recorded_days import with_known_days

    coming = show_plan(where).coming(today)
    kinds = (*GARDEN_KINDS, *DONE_KINDS, Kind.WEATHER)
    with open_record(where.record) as record, record.reading() as transaction:
        told = entries(transaction, which_garden(transaction, where.garden), kinds=kinds)
    kept = kept_garden(told)
    if kept is None:
        return {}
    garden = garden_as_done(
        kept.garden,
        doings_in(told, kept.carried_over_on),
        today,
        crops=all_crops(),
        residues=all_residues(),
        container=find_container,
        from_today=False,
    )
    shown = [bed for bed in garden.beds if beds is None or bed.name in beds]
    oldest = min((layer.day for bed in shown for layer in bed.layers), default=today)
    first = max(min(oldest, today - timedelta(days=RIBBON_BEFORE)), today - timedelta(days=400))
    last = min(max(garden.last_day, today + timedelta(days=60)), today + timedelta(days=RIBBON_AFTER))
    weather = _weather(garden.site, first, last, kept.station_text)
    weather = with_known_days(weather, weather_in(told), garden.site.latitude)
    begin = max(0, (today - timedelta(days=RIBBON_BEFORE) - first).days)

    def ahead(bed: Bed) -> BedForecast:
        planned = tuple(one.layer for one in coming if one.layer.bed == bed.name and one.layer.day <= last)
        layers = tuple(one for one in (*bed.layers, *planned) if one.day >= first)
        case = bed_case(replace(bed, layers=layers), weather, all_crops(), all_residues())
        drawn = draw_members(case, RIBBON_MEMBERS, 1)
        name = (run_called(case, drawn), bed.name, layers, begin, first)
        known = _AHEAD.get(name)
        if known is None:
            known = forecast_of(case, layers, drawn, 1, threads=1, shown_from=begin, lean=True)[0]
            with _AT_AHEAD:
                _AHEAD[name] = known
                while len(_AHEAD) > MOST_AHEAD:
                    _AHEAD.popitem(last=False)
        return known

    with ThreadPoolExecutor(RIBBON_THREADS) as together:
        return {bed.name: one for bed, one in zip(shown, together.map(ahead, shown), strict=True)}


@lru_cache(maxsize=8)
def _weather(site: Site, first: date, last: date, station_text: str | None) -> WeatherYears:
    """Return the possible seasons of a place; reading them anew for every look would be slow."""
    from mullbed.weather.place_weather import place_weather

    return place_weather(site, first, last, 1, station_text=station_text)
