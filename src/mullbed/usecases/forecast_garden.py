"""Run what lies on a garden's beds forward over the ensemble, with what the record tells where there is one.

Reads the garden file, its weather and the record; writes the forecast to the record where it is signed. Raises
InputFault when any of them is at fault.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from mullbed.domain.bed import Bed
from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.forecast import BedForecast, RelativeBalance
from mullbed.domain.garden import Garden
from mullbed.domain.honesty import ForecastCheck, kept, widened
from mullbed.domain.learnt import DoubtRemoved, LearntGarden
from mullbed.domain.record import Entry
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Document
from mullbed.domain.signing import Signature, Where
from mullbed.errors import Fault, InputFault
from mullbed.evidence.backing import backings, case_facts
from mullbed.files.garden_file import read_garden
from mullbed.files.kept_forecast import forecast_content
from mullbed.files.record_told import TOLD_KINDS, Told, told_in
from mullbed.learn.beds import Posterior, learn_garden
from mullbed.learn.check import check_forecasts
from mullbed.learn.containers import containers_of, learn_containers, with_learnt
from mullbed.learn.harvests import harvest_observations
from mullbed.plan.bed_forecast import after, forecast_of
from mullbed.plan.garden_as_done import garden_as_done
from mullbed.reference.containers import find_container
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.simulate.bed_case import bed_case
from mullbed.simulate.case import BedCase
from mullbed.simulate.ensemble import draw_members
from mullbed.weather.place_weather import place_weather
from mullbed.weather.recorded_days import with_known_days

Progress = Callable[[str], None]
#: Series whose doubt before and after learning is told.
TOLD_OF = ("net_nitrogen", "thickness")


@dataclass(frozen=True, slots=True)
class GardenForecast:
    """Forecasts by bed."""

    garden: Garden
    forecasts: dict[str, BedForecast]
    balance: RelativeBalance
    weather: str
    learnt: LearntGarden | None = None
    """What the record taught; None where none was asked."""
    check: ForecastCheck | None = None
    """How the forecasts kept in the record did; None where none was asked."""


def forecast_garden(
    path: Path,
    *,
    bed: str | None = None,
    seed: int = 1,
    members: int = 200,
    where: Where | None = None,
    learn: bool = True,
    today: date | None = None,
    signed: Signature | None = None,
    particles: int = 512,
    progress: Progress = lambda _: None,
) -> GardenForecast:
    """Return bands by bed and day from the first to the last day of the garden's season.

    Existing layers are run from the day they were laid. With a record, what was really done, read and seen up to
    today is laid over the garden file, the beds learn from it, and bands are widened where past ones were too narrow.

    Parameters
    ----------
    path : Path
        The garden file.
    bed : str, optional
        Only this bed; it still learns from what the others share.
    seed, members : int
    where : Where, optional
        The record to learn from; forecasts that are signed are kept in it.
    learn : bool
        False only keeps the forecast there, as if nothing had been written down.
    today : date, optional
        The day it is; the season's last day where not given.
    signed : Signature, optional
        Keeps the forecast in the record under this name.
    particles : int
        Particles the beds learn with.

    Raises
    ------
    InputFault
        When the garden, its weather or the record is at fault, or no bed is called so.
    RecordError
        When the record cannot be read or written.
    """
    garden = read_garden(path, needs_supplies=False)
    if bed is not None and garden.bed(bed) is None:
        names = ", ".join(one.name for one in garden.beds)
        raise InputFault([Fault("--bed", f"no bed is called '{bed}'", names, "Choose one of these beds.")])
    crops, residues = all_crops(), all_residues()
    now = today or garden.last_day
    told: Told | None = None
    learnt: LearntGarden | None = None
    check: ForecastCheck | None = None
    if where is not None and learn:
        told = _told(where)
        containers = learn_containers(
            containers_of(garden.containers, told.doings.weighed, find_container), residues, told.doings.weighed
        )
        garden = garden_as_done(
            garden, told.doings, now, crops=crops, residues=residues, container=find_container, from_today=False
        )
        garden = replace(garden, containers=with_learnt(garden.containers, containers))
        learnt = LearntGarden((), containers)
        check = check_forecasts(told.forecasts, told.observations)
    oldest = min((layer.day for one in garden.beds for layer in one.layers), default=garden.first_day)
    first = max(min(oldest, garden.first_day), garden.first_day - timedelta(days=730))
    weather = place_weather(garden.site, first, garden.last_day, seed)
    if told is not None:
        weather = with_known_days(weather, told.weather, garden.site.latitude)
    cases = {one.name: bed_case(one, weather, crops, residues) for one in garden.beds}
    posterior: Posterior | None = None
    if told is not None and learnt is not None:
        seen = [one for one in told.observations if one.day <= now]
        seen += harvest_observations(garden.beds, told.doings.picked, crops)
        posterior = learn_garden(list(cases.values()), seen, particles, seed, 2, progress)
        learnt = replace(learnt, beds=posterior.beds, unused=posterior.unused)
    wanted = [one for one in garden.beds if bed is None or one.name.casefold() == bed.casefold()]
    forecasts: dict[str, BedForecast] = {}
    removed: dict[str, tuple[DoubtRemoved, ...]] = {}
    worst = RelativeBalance(0.0, 0.0, 0.0)
    for number, one in enumerate(wanted, start=1):
        progress(f"Running {one.name}, bed {number} of {len(wanted)}, {members} times.")
        forecast, told_of = _forecast(one, cases[one.name], weather, posterior, members, seed, now)
        removed[one.name] = told_of
        forecast = widened(forecast, check.widening if check is not None else 1.0)
        facts = case_facts(one.layers, weather, residues, buried=bool(one.dug_in))
        forecast = replace(forecast, backing=backings(forecast, facts))
        forecasts[one.name] = after(forecast, (garden.first_day - first).days)
        worst = RelativeBalance(
            max(worst.carbon, forecast.balance.carbon),
            max(worst.nitrogen, forecast.balance.nitrogen),
            max(worst.water, forecast.balance.water),
        )
    if learnt is not None:
        beds = tuple(replace(one, removed=removed.get(one.bed, ())) for one in learnt.beds)
        learnt = replace(learnt, beds=beds)
    if where is not None and signed is not None:
        _keep(where, signed, forecasts, check.widening if check is not None else 1.0)
    return GardenForecast(garden, forecasts, worst, weather.source, learnt, check)


def _told(where: Where) -> Told:
    from mullbed.store.database import open_record
    from mullbed.store.journal import entries
    from mullbed.store.which_garden import which_garden

    with open_record(where.record) as record, record.reading() as transaction:
        return told_in(entries(transaction, which_garden(transaction, where.garden), kinds=TOLD_KINDS))


def _forecast(
    bed: Bed, case: BedCase, weather: WeatherYears, posterior: Posterior | None, members: int, seed: int, now: date
) -> tuple[BedForecast, tuple[DoubtRemoved, ...]]:
    """Return a bed's forecast, and what was learnt of it took away of its doubt."""
    last = weather.first_day + timedelta(days=weather.days - 1)
    layers = [layer for layer in bed.layers if weather.first_day <= layer.day <= last]
    shares = max(24, members // 4)
    if posterior is None or not posterior.beds:
        return forecast_of(case, layers, draw_members(case, members, seed), seed, shares=shares)[0], ()
    told = posterior.told(case)
    learned = posterior.learned(told)
    drawn = draw_members(told, members, seed, learned=learned)
    forecast, _ = forecast_of(told, layers, drawn, seed, shares=shares, learned=learned)
    before, _ = forecast_of(case, layers, draw_members(case, members, seed), seed)
    from_now = max(0, (now - weather.first_day).days)
    removed = tuple(DoubtRemoved(name, _width(before, name, from_now), _width(forecast, name, from_now))
                    for name in TOLD_OF)  # fmt: skip
    return forecast, removed


def _width(forecast: BedForecast, name: str, from_now: int) -> float:
    """Return the mean width of a band from today on; zero where nothing lies there."""
    band = forecast.series[name]
    widths = (band.p90 - band.p10)[min(from_now, band.p50.size - 1) :]
    return float(np.nanmean(widths)) if np.isfinite(widths).any() else 0.0


def _keep(where: Where, signed: Signature, forecasts: Mapping[str, BedForecast], widening: float) -> None:
    """Write each bed's forecast to the record; what is kept word for word is not written again."""
    from mullbed.store.database import open_record
    from mullbed.store.journal import append, latest
    from mullbed.store.which_garden import which_garden

    with open_record(where.record) as record, record.writing() as transaction:
        garden = which_garden(transaction, where.garden)
        new = []
        for name, forecast in forecasts.items():
            content = forecast_content(kept(forecast, signed.today, widening))
            before = latest(transaction, garden, Kind.FORECAST, bed=name)
            known = before.facts if before is not None and isinstance(before.facts, Document) else None
            if known is not None and known.content == content:
                continue
            document = Document(f"forecast of {name}", 1 if known is None else known.version + 1, content)
            new.append(Entry(signed.new_id(), garden, Kind.FORECAST, signed.today, signed.now, signed.author,
                             document, bed=name))  # fmt: skip
        append(transaction, new)
