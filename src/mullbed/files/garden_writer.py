"""A garden written back as a garden file: reading what is written gives the same garden, to the last digit.

Amounts are written in the unit a grower would use where that reads back exactly, else with as many digits as it takes.
"""

from __future__ import annotations

import json
import math
import os
from collections.abc import Callable, Iterable
from dataclasses import fields
from datetime import date
from pathlib import Path
from typing import Any

from mullbed.domain.bed import Bed, BedCrop, CropResidues, DatedInput, Irrigation, Near, PhosphorusStatus, Soil
from mullbed.domain.garden import Garden, Limits, Profile, SeasonsFrom, Site, UnitSystem, WeatherSource
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.refusal import Override
from mullbed.domain.spread import Evidence
from mullbed.domain.supply import Container, Supply
from mullbed.files import amounts
from mullbed.files.garden_soil import UNTESTED_ORGANIC_MATTER
from mullbed.reference.residues import all_residues

_NUDGES = 40
"""Neighbouring numbers that are tried before an amount is given up as not writable."""


def garden_toml(garden: Garden, folder: Path) -> str:
    """Return the garden file of a garden; ``folder`` is where it will lie, so that paths can be told from there.

    Raises
    ------
    ValueError
        When an amount cannot be written so that it reads back the same.
    """
    parts = [
        _site(garden.site),
        _table("season", [("first_day", garden.first_day), ("last_day", garden.last_day)]),
        _weather(garden.site.weather, folder),
        _limits(garden.limits),
        *(_container(container) for container in garden.containers),
        *(_bed(bed) for bed in garden.beds),
        *(_supply(supply, garden) for supply in garden.supplies),
        *(_override(one) for one in garden.overrides),
    ]
    return "\n".join(part for part in parts if part)


def _site(site: Site) -> str:
    text = _table(
        "site",
        [
            ("name", site.name),
            ("latitude", site.latitude),
            ("longitude", site.longitude),
            ("elevation", site.elevation),
            ("time_zone", site.time_zone if site.time_zone != "UTC" else None),
            ("units", site.units if site.units is not UnitSystem.METRIC else None),
            ("profile", site.profile if site.profile is not Profile.HOME else None),
            ("dangers", site.dangers or None),
        ],
    )
    return text + "".join(
        "\n" + _tables("site.away", [("from", first), ("to", last)]) for first, last in site.weeks_away
    )


def _weather(source: WeatherSource, folder: Path) -> str:
    named: str | None = None
    if source.daily_file is not None:
        try:
            named = Path(os.path.relpath(source.daily_file, folder)).as_posix()
        except ValueError:  # another drive
            named = source.daily_file.absolute().as_posix()
    return _table(
        "weather",
        [
            ("daily_file", named),
            ("monthly_low", source.monthly_low),
            ("monthly_high", source.monthly_high),
            ("monthly_rain", source.monthly_rain),
            ("seasons", source.seasons if source.seasons is not SeasonsFrom.YEARS else None),
            ("warmer", source.warmer),
            ("rain_times", source.rain_times),
        ],
    )


def _limits(limits: Limits) -> str:
    """Return the limits that differ from the defaults; nothing where none does."""
    usual = Limits()
    written: list[tuple[str, Any]] = []
    for one in fields(Limits):
        value = getattr(limits, one.name)
        if value is None or value == getattr(usual, one.name):
            continue
        if one.name in ("nitrogen_laid_per_year", "legal_nitrogen_per_year", "legal_phosphorus_per_year"):
            written.append((one.name, _rate(value, amounts.ceiling)))
        elif one.name == "litres_per_day":
            written.append(("water_per_day", _exact(value, amounts.water, ("L", value))))
        elif one.name in ("thickest_soft_fresh", "thickest_cover"):
            written.append((one.name, _exact(value, amounts.lift_limit, ("cm", value * 100.0), ("m", value))))
        else:
            written.append((one.name, value))
    return _table("limits", written) if written else ""


def _container(container: Container) -> str:
    weighings = [
        _inline([("residue", residue), ("mass", _exact(mass, amounts.mass, ("kg", mass)))])
        for residue, mass in container.weighed
    ]
    return _tables(
        "containers",
        [
            ("name", container.name),
            ("holds", _exact(container.litres.mid, amounts.content, ("L", container.litres.mid))),
            ("weighings", _Raw(f"[{', '.join(weighings)}]") if weighings else None),
        ],
    )


def _bed(bed: Bed) -> str:
    watering = bed.watering
    weekly = None
    if watering.depth_per_week is not None:
        depth = watering.depth_per_week
        forms = (("L", depth * bed.area), ("mm", depth), ("m", depth / 1000.0))
        weekly = _exact(depth, lambda text: amounts.weekly_water(text, bed.area), *forms)
    text = _tables(
        "beds",
        [
            ("name", bed.name),
            ("outline", [list(corner) for corner in bed.outline] if bed.outline is not None else None),
            ("area", _exact(bed.area, amounts.area, ("m2", bed.area)) if bed.outline is None else None),
            ("cover", "tunnel" if bed.under_cover else None),
            ("shade", bed.shade or None),
            ("watering", watering.way if watering.way is not Irrigation.NONE else None),
            ("water_per_week", weekly),
            ("kept_moist", True if watering.kept_moist else None),
            ("soil", _Raw(_soil(bed.soil))),
            ("near", _Raw(_surroundings(bed.near)) if bed.near != Near() else None),
        ],
    )
    for crop in bed.crops:
        text += "\n" + _crop(crop)
    for layer in bed.layers:
        text += "\n" + _layer(layer, bed)
    for given in bed.inputs:
        text += "\n" + _input(given)
    return text


def _soil(soil: Soil) -> str:
    tested = soil.organic_matter != UNTESTED_ORGANIC_MATTER
    mapped = soil.organic_matter.evidence is Evidence.PUBLISHED
    mineral = soil.mineral_nitrogen
    texture = [("texture", soil.texture)] if _is_class(soil) else [("sand", soil.sand), ("clay", soil.clay)]
    known = soil.phosphorus_status is not PhosphorusStatus.NOT_TESTED
    return _inline(
        [
            *texture,
            ("organic_matter", soil.organic_matter.mid if tested else None),
            ("organic_matter_low", soil.organic_matter.low if mapped else None),
            ("organic_matter_high", soil.organic_matter.high if mapped else None),
            ("mineral_nitrogen", _rate(mineral, amounts.nutrient_load) if mineral is not None else None),
            ("phosphorus", soil.phosphorus_status if known else None),
            ("bulk_density", soil.bulk_density),
            ("lead", soil.lead),
        ]
    )


def _is_class(soil: Soil) -> bool:
    """Tell whether sand and clay are those of the texture class."""
    from mullbed.errors import NotFound
    from mullbed.reference.soils import find_texture

    try:
        return find_texture(soil.texture) == (soil.texture, soil.sand, soil.clay)
    except NotFound:
        return False


def _crop(crop: BedCrop) -> str:
    goal = None
    if crop.yield_goal is not None:
        forms = (("kg/m2", crop.yield_goal), ("g/m2", crop.yield_goal * 1000.0))
        goal = _exact(crop.yield_goal, lambda text: amounts.crop_yield(text) / 1000.0, *forms)
    return _tables(
        "beds.crops",
        [
            ("crop", crop.crop),
            ("share", crop.share if crop.share != 1.0 else None),
            ("planted", crop.planted),
            ("harvested", crop.harvested),
            ("start", "sown" if crop.sown_direct else "transplanted"),
            ("residues", crop.residues if crop.residues is not CropResidues.CARRIED_OFF else None),
            ("yield_goal", goal),
        ],
    )


def _layer(layer: Layer, bed: Bed) -> str:
    water = None
    if layer.water > 0.0:
        forms = (("L", layer.water * bed.area), ("mL", layer.water * bed.area * 1000.0))
        water = _exact(layer.water, lambda text: amounts.water(text) / bed.area, *forms)
    lifts = [f"{lift.residue}: {lift_amount_text(lift)}" for lift in layer.lifts]
    return _tables("beds.layers", [("day", layer.day), ("lifts", lifts), ("water", water)])


def lift_amount_text(lift: Lift) -> str:
    """Return the amount of a lift as a garden file holds it, such as "3 barrow", "12.5 L" or "4 kg, dried"."""
    row = all_residues().get(lift.residue)
    dried = ", dried" if row is not None and row.fresh and not lift.fresh else ""
    return f"{_digits(lift.count)} {lift.container}{dried}"


def _input(given: DatedInput) -> str:
    return _tables(
        "beds.inputs",
        [
            ("day", given.day),
            ("name", given.name),
            ("nitrogen", _rate(given.nitrogen, amounts.nutrient_load)),
            ("phosphorus", _rate(given.phosphorus, amounts.nutrient_load) if given.phosphorus else None),
            ("mineral_share", given.mineral_share or None),
        ],
    )


def _supply(supply: Supply, garden: Garden) -> str:
    keeps = supply.shelf_life_days
    return _tables(
        "supplies",
        [
            ("name", supply.name),
            ("residue", supply.residue),
            ("amount", f"{_digits(supply.count)} {supply.container}"),
            ("from", supply.first_day if supply.first_day != garden.first_day else None),
            ("every", f"{supply.every_days} days" if supply.every_days is not None else None),
            ("until", supply.last_day),
            ("dried", True if supply.dried else None),
            ("keeps", f"{keeps:.0f} days" if keeps is not None else None),
            (
                "weighed",
                _exact(supply.weighed_kg, amounts.mass, ("kg", supply.weighed_kg))
                if supply.weighed_kg is not None
                else None,
            ),
            ("held_because", supply.held_because),
            ("held_until", supply.held_until),
            ("bought_in", True if supply.bought_in else None),
            ("minutes_to_fetch", supply.minutes_to_fetch),
            ("heated", True if supply.heated else None),
            ("may_fail", supply.may_fail or None),
        ],
    )


def _surroundings(near: Near) -> str:
    told = [(one.name, getattr(near, one.name)) for one in fields(Near)]
    return _inline([(key, _exact(far, amounts.distance, ("m", far))) for key, far in told if far is not None])


def _override(given: Override) -> str:
    return _tables("overrides", [(one.name, getattr(given, one.name)) for one in fields(Override)])


class _Raw(str):
    """Text that is TOML already."""

    __slots__ = ()


def _rate(value: float, read: Callable[[Any], float]) -> str:
    return _exact(value, read, ("g/m2", value))


def _exact(value: float, read: Callable[[Any], float], *forms: tuple[str, float]) -> str:
    """Return an amount that reads back as the value; forms are units, each with the number it would be there.

    Raises
    ------
    ValueError
        When no form reads back the same.
    """
    for unit, number in forms:
        for candidate in _near(number):
            text = f"{candidate} {unit}"
            try:
                if read(text) == value:
                    return text
            except ValueError:
                continue
    units = ", ".join(unit for unit, _ in forms)
    raise ValueError(f"{value!r} cannot be written in {units} so that it reads back the same")


def _near(number: float) -> Iterable[str]:
    """Yield texts of a number, roundest first, then of its neighbours."""
    for digits in (6, 12, 15):
        yield _digits(float(f"{number:.{digits}g}"))
    yield _digits(number)
    below = above = number
    for _ in range(_NUDGES):
        below, above = math.nextafter(below, -math.inf), math.nextafter(above, math.inf)
        yield _digits(below)
        yield _digits(above)


def _digits(number: float) -> str:
    """Return a number with as many digits as it takes, whole ones without a point."""
    return str(int(number)) if float(number).is_integer() and abs(number) < 1e15 else repr(float(number))


def _table(name: str, values: Iterable[tuple[str, Any]]) -> str:
    return f"[{name}]\n" + _lines(values)


def _tables(name: str, values: Iterable[tuple[str, Any]]) -> str:
    return f"[[{name}]]\n" + _lines(values)


def _lines(values: Iterable[tuple[str, Any]]) -> str:
    return "".join(f"{key} = {_toml(value)}\n" for key, value in values if value is not None)


def _inline(values: Iterable[tuple[str, Any]]) -> str:
    return "{ " + ", ".join(f"{key} = {_toml(value)}" for key, value in values if value is not None) + " }"


def _toml(value: Any) -> str:
    if isinstance(value, _Raw):
        return str(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(str(value), ensure_ascii=False)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, int | float):
        return _digits(value)
    return f"[{', '.join(_toml(one) for one in value)}]"
