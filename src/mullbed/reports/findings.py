"""Findings of a mix check as sentences, by code; the facts are in their values."""

from __future__ import annotations

from collections.abc import Callable

from mullbed.domain.garden import UnitSystem
from mullbed.domain.mix import Finding
from mullbed.reports.amounts import is_us, per_area_factor, per_area_unit, thickness_words, volume_words
from mullbed.reports.words import capital, number
from mullbed.units import from_canonical



def finding_words(finding: Finding, units: UnitSystem) -> str:
    """Return a finding as a sentence; a code without its own sentence is said with its values."""
    sentence = _SENTENCES.get(finding.code)
    if sentence is not None:
        return sentence(finding.values, units)
    told = ", ".join(
        f"{key.replace('_', ' ')} {number(value) if isinstance(value, (int, float)) else value}"
        for key, value in finding.values.items()
    )
    code = finding.code.replace("_", " ")
    return f"{capital(code)}: {told}." if told else f"{capital(code)}."


def _value(values: dict[str, float | str], key: str) -> float:
    return float(values[key])


def field_rate_number(grams: float, units: UnitSystem) -> str:
    """Return grams a square metre as the rate farms speak of."""
    unit, words = ("lb/ac", "lb per acre") if is_us(units) else ("kg/ha", "kg per hectare")
    return f"{number(from_canonical(grams, unit))} {words}"


def _percent(share: float) -> str:
    return f"{number(100 * share)} %"


def _over_nitrogen(values: dict[str, float | str], units: UnitSystem) -> str:
    load = field_rate_number(_value(values, "nitrogen"), units)
    least = field_rate_number(_value(values, "least_wanted"), units)
    most = field_rate_number(_value(values, "most_wanted"), units)
    return (
        f"Far more nitrogen than any crop wants: {load} over {number(_value(values, 'layers'))} layers, "
        f"{number(_value(values, 'times_most'))} times the hungriest crop's want "
        f"(crops want {least} to {most} in a season). The rest is lost or washes down. Lay thinner, or less often."
    )


def _over_phosphorus(values: dict[str, float | str], units: UnitSystem) -> str:
    load = field_rate_number(_value(values, "phosphorus"), units)
    return (
        f"Phosphorus builds up: {load} in the season, {number(_value(values, 'times_most'))} times what the "
        "hungriest crop carries off. It stays in the soil for years."
    )


def _feeds(values: dict[str, float | str], units: UnitSystem) -> str:
    factor, unit = per_area_factor(units), per_area_unit(units)
    low, mid, high = (number(_value(values, key) * factor) for key in ("low", "amount", "high"))
    return f"One layer feeds: {mid} ({low} to {high}) {unit} of nitrogen in {number(_value(values, 'days'))} days."


def _robs(values: dict[str, float | str], units: UnitSystem) -> str:
    worst = number(_value(values, "worst") * per_area_factor(units))
    return (
        f"One layer robs: it takes nitrogen, most about day {number(_value(values, 'worst_day'))} "
        f"({worst} {per_area_unit(units)}), and has not given it back by day {number(_value(values, 'days'))}."
    )


def _robs_then_feeds(values: dict[str, float | str], units: UnitSystem) -> str:
    worst = number(_value(values, "worst") * per_area_factor(units))
    return (
        f"One layer robs first, then feeds: it takes up to {worst} {per_area_unit(units)} about day "
        f"{number(_value(values, 'worst_day'))} and gives from about day {number(_value(values, 'turn_day'))}."
    )


def _lost(way: str) -> Callable[[dict[str, float | str], UnitSystem], str]:
    def sentence(values: dict[str, float | str], units: UnitSystem) -> str:
        low, high = _percent(_value(values, "low")), _percent(_value(values, "high"))
        return f"About {_percent(_value(values, 'share'))} of its nitrogen {way} within 60 days ({low} to {high})."

    return sentence


def _wet(values: dict[str, float | str], units: UnitSystem) -> str:
    extra = " The water poured only adds to it." if _value(values, "poured") > 0 else ""
    return f"Wet as laid: {_percent(_value(values, 'moisture'))} water, it drips.{extra} Wet the dry lifts only."


def _dry(values: dict[str, float | str], units: UnitSystem) -> str:
    needed = volume_words(_value(values, "needed"), units)
    return f"Dry as laid: {_percent(_value(values, 'moisture'))} water. Pour about {needed} over the dry lifts."


def _water(values: dict[str, float | str], units: UnitSystem) -> str:
    needed, poured = (volume_words(_value(values, key), units) for key in ("needed", "poured"))
    return f"The dry lifts want {needed} to be wetted through; {poured} is poured."


def _mats(values: dict[str, float | str], units: UnitSystem) -> str:
    depth = thickness_words(_value(values, "thickness"), units)
    return f"{capital(str(values['residue']))} {depth} thick goes slimy and airless. Keep it to a finger."


def _no_cap(values: dict[str, float | str], units: UnitSystem) -> str:
    return f"{capital(str(values['residue']))} lies open. A dry cap holds the smell, the ammonia and the water."


def _piles(values: dict[str, float | str], units: UnitSystem) -> str:
    depth = thickness_words(_value(values, "thickness"), units)
    return f"Dry matter piles up: {depth} laid in {number(_value(values, 'layers'))} layers, more than a season rots."


def _buckets(values: dict[str, float | str], units: UnitSystem) -> str:
    count, few, most = (number(_value(values, key)) for key in ("buckets", "fewest", "most"))
    depth = thickness_words(_value(values, "thickness"), units)
    return f"{capital(str(values['residue']))} {depth} deep on this area is {count} buckets ({few} to {most})."


def _disagree(values: dict[str, float | str], units: UnitSystem) -> str:
    deep, counted = (thickness_words(_value(values, key), units) for key in ("thickness", "counted_thickness"))
    return (
        f"The depth and the container rule contradict each other {number(_value(values, 'times'))}-fold: "
        f"{values['deep']} {deep} deep, but the containers of {values['counted']} make {counted}."
    )


def _ratio(values: dict[str, float | str], units: UnitSystem) -> str:
    ratio = number(_value(values, "dry_per_soft"))
    return f"By loose volume this is {ratio} parts dry to 1 part soft fresh. No one ratio is right for all residues."


def _weigh(values: dict[str, float | str], units: UnitSystem) -> str:
    times = number(_value(values, "times"))
    return f"The nitrogen could be {times} times more or less. Weigh one filled bucket: that settles most of it."


_SENTENCES: dict[str, Callable[[dict[str, float | str], UnitSystem], str]] = {
    "more_nitrogen_than_any_crop_wants": _over_nitrogen,
    "more_phosphorus_than_any_crop_removes": _over_phosphorus,
    "feeds": _feeds,
    "robs": _robs,
    "robs_then_feeds": _robs_then_feeds,
    "lost_to_air": _lost("goes to the air"),
    "washed_down": _lost("is washed down"),
    "wet_as_laid": _wet,
    "dry_as_laid": _dry,
    "water_differs": _water,
    "mats": _mats,
    "no_cap": _no_cap,
    "dry_piles_up": _piles,
    "depth_in_buckets": _buckets,
    "depth_and_containers_disagree": _disagree,
    "ratio_by_volume": _ratio,
    "weigh_one": _weigh,
}
