"""Check a mix or a rule of thumb: what it holds, whether it feeds or robs, when, and what is lost.

Reads no garden unless one is given, writes nothing. Raises InputFault with everything that cannot be read.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from math import floor
from pathlib import Path

import numpy as np

from mullbed.domain.bed import Soil
from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.filling import wilted_thickness
from mullbed.domain.garden import Garden, Site, WeatherSource
from mullbed.domain.layer import Layer
from mullbed.domain.mix import Finding, MixCheck
from mullbed.domain.refusal import Mark, parted
from mullbed.domain.spread import Evidence, Spread
from mullbed.errors import Fault, InputFault
from mullbed.files.garden_file import read_garden
from mullbed.plan.mix_effect import bare_bed, mix_effect
from mullbed.plan.mix_findings import mix_findings
from mullbed.plan.mix_lifts import MixLift, read_mix
from mullbed.plan.mix_loads import mix_loads, water_to_wet
from mullbed.reference.crops import all_crops
from mullbed.safety.residue_risks import site_refusals
from mullbed.simulate.bed_case import lay_event
from mullbed.simulate.case import BedCase, Lay
from mullbed.simulate.ensemble import draw_members
from mullbed.simulate.soil_start import soil_column
from mullbed.units import Kind, parse_as, parse_quantity
from mullbed.weather.generator import generated_seasons
from mullbed.weather.place_weather import place_weather

#: The mild year of a check without a garden: monthly means of low, high [°C] and rain [mm], stated, invented.
MILD_LOW = (1.0, 1.0, 3.0, 5.0, 8.0, 11.0, 13.0, 13.0, 10.0, 7.0, 4.0, 2.0)
MILD_HIGH = (7.0, 8.0, 11.0, 14.0, 18.0, 21.0, 23.0, 23.0, 19.0, 14.0, 10.0, 7.0)
MILD_RAIN = (60.0, 45.0, 50.0, 45.0, 50.0, 50.0, 50.0, 55.0, 55.0, 65.0, 65.0, 60.0)
MILD_LATITUDE = 50.0
MILD_DAY = date(2026, 5, 1)
MILD_WORDS = "a mild year (lows 1 to 13 °C, highs 7 to 23 °C, 650 mm of rain), laid on 1 May on bare loam"
DAYS = 121


def check_mix(
    lifts: Sequence[str],
    area: str,
    *,
    water: str | None = None,
    repeat: str | None = None,
    season: str | None = None,
    garden: Path | None = None,
    seed: int = 1,
    members: int = 256,
) -> MixCheck:
    """Return what a mix implies; amounts as a grower writes them.

    Raises
    ------
    InputFault
        With every amount, residue or container that cannot be read.
    """
    faults: list[Fault] = []

    def amount(text: str | None, kind: Kind, place: str, default: float) -> float:
        try:
            return default if text is None else parse_as(text, kind, place)
        except InputFault as fault:
            faults.extend(fault.faults)
            return default

    square_metres = amount(area, Kind.AREA, "--area", 1.0)
    poured = _poured(water, square_metres, faults)
    between, whole = amount(repeat, Kind.TIME, "--repeat", 0.0), amount(season, Kind.TIME, "--season", 0.0)
    if not 0.01 <= square_metres <= 1e5:
        faults.append(Fault("--area", area, "0.01 m2 to 10 ha", "Give the area of one bed."))
        square_metres = 1.0
    if poured > 100.0:
        faults.append(Fault("--water", str(water), "0 to 100 mm", "Give the water of one visit; 1 L on 1 m2 is 1 mm."))
    if (repeat is None) != (season is None) or (repeat is not None and not 0.0 < between <= whole):
        faults.append(
            Fault(
                "--repeat and --season",
                f"{repeat} and {season}",
                "both, repeat above 0 and within season",
                'Give both, such as --repeat "4 weeks" --season "26 weeks".',
            )
        )
        between = whole = 1.0
    place = read_garden(garden, needs_supplies=False) if garden is not None else None
    own = {one.name.casefold(): one for one in place.containers} if place else {}
    try:
        mix = read_mix(lifts, square_metres, own)
    except InputFault as fault:
        raise InputFault([*faults, *fault.faults]) from None
    if faults:
        raise InputFault(faults)

    visits = floor(whole / between + 1e-9) + 1 if repeat is not None else 1
    weather, words = _weather(place, seed)
    layer = Layer("check", weather.first_day, tuple(one.lift for one in mix), poured)
    laid: Lay = lay_event(layer, 0, {one.residue.key: one.residue for one in mix})
    bed = bare_bed(weather, soil_column(place.beds[0].soil if place and place.beds else _loam()))
    case = BedCase(name=bed.name, weather=bed.weather, soil=bed.soil, events=(laid,))
    drawn = draw_members(case, members, seed)
    loads = mix_loads(mix, drawn.draws, poured, seed)
    effect = mix_effect(case, drawn, 0)
    want, removal = _season_wants()
    return MixCheck(
        layer=layer,
        area=square_metres,
        carbon_to_nitrogen=loads.carbon_to_nitrogen,
        nitrogen=loads.nitrogen,
        phosphorus=loads.phosphorus,
        moisture=loads.moisture,
        dry_matter=loads.dry_matter,
        fresh_thickness=layer.thickness,
        wilted_thickness=sum(wilted_thickness(one.residue, one.lift) for one in mix),
        water_needed_litres=sum(water_to_wet(one.residue, one.lift) for one in mix) * square_metres,
        visits=visits,
        season_nitrogen=loads.nitrogen.scaled(visits),
        season_phosphorus=loads.phosphorus.scaled(visits),
        net_nitrogen_days=effect.days,
        net_nitrogen=effect.net_nitrogen,
        ammonia_lost=effect.ammonia_lost,
        leached=effect.leached,
        weather=words,
        findings=(
            *_refused(mix, place),
            *mix_findings(mix, loads, effect, visits, square_metres, poured, want, removal),
        ),
    )


def _refused(mix: Sequence[MixLift], place: Garden | None) -> tuple[Finding, ...]:
    """Return what rules of safety refuse of a mix: at the garden's site, else at any home garden."""
    site = place.site if place is not None else Site("", 0.0, WeatherSource())
    found = [refusal for one in mix for refusal in site_refusals(one.residue, site)]
    stays, _ = parted(dict.fromkeys(found), place.overrides if place is not None else ())
    return tuple(
        Finding(
            "rule_forbids",
            {
                "rule": one.rule,
                "source": one.source,
                "checked": one.checked.isoformat(),
                "residue": one.subject,
                "told": one.told(),
            },
            Evidence.PUBLISHED if one.mark is Mark.PUBLISHED else Evidence.GUESS,
        )
        for one in stays
    )


def _poured(text: str | None, area: float, faults: list[Fault]) -> float:
    """Return water given as a depth or as a volume on the area. [mm]"""
    if text is None:
        return 0.0
    try:
        quantity = parse_quantity(text, "--water", "mm")
    except InputFault as fault:
        faults.extend(fault.faults)
        return 0.0
    if quantity.kind is Kind.LENGTH:
        return 1000.0 * quantity.value
    if quantity.kind is Kind.VOLUME:
        return quantity.value / area
    faults.append(Fault("--water", text, "a depth or a volume", 'Write it like "2mm" or "9 L".'))
    return 0.0


def _weather(garden: Garden | None, seed: int) -> tuple[WeatherYears, str]:
    if garden is None:
        chances = np.random.default_rng(np.random.SeedSequence([seed, 1]))
        last = MILD_DAY + timedelta(days=DAYS - 1)
        return generated_seasons(MILD_LOW, MILD_HIGH, MILD_RAIN, MILD_DAY, last, MILD_LATITUDE, chances), MILD_WORDS
    first = date(garden.first_day.year, 5, 1) if garden.site.latitude >= 0 else date(garden.first_day.year, 11, 1)
    weather = place_weather(garden.site, first, first + timedelta(days=DAYS - 1), seed)
    return weather, f"{garden.site.name}, from {first.day} {first:%B}, on bare soil; {weather.source}"


def _loam() -> Soil:
    return Soil(0.40, 0.20, Spread(0.025, 0.03, 0.04, "1", Evidence.GUESS, "mullbed_model"), "loam")


def _season_wants() -> tuple[Spread, Spread]:
    """Return nitrogen wanted and phosphorus removed: least, median and most of the published need values. [g m-2]"""
    published = [crop for crop in all_crops().values() if crop.source == "duev2021"]
    wants = sorted(crop.nitrogen_want.mid for crop in published)
    removals = sorted(crop.phosphorus_removed.mid for crop in published)
    return tuple(  # type: ignore[return-value]
        Spread(values[0], values[len(values) // 2], values[-1], "g m-2", Evidence.PUBLISHED, "duev2021")
        for values in (wants, removals)
    )
