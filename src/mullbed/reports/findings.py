"""Findings of a mix check as sentences, by code; the facts are in their values."""

# ruff: noqa: E501 - a sentence is kept whole where it can be

from __future__ import annotations

from collections.abc import Callable, Mapping

from mullbed.domain.garden import UnitSystem
from mullbed.domain.mix import Finding
from mullbed.reports.amounts import (
    count_words,
    hand_words,
    per_area_factor,
    per_area_unit,
    thickness_words,
    volume_words,
)
from mullbed.reports.names import short_name
from mullbed.reports.words import capital, counted, number

Values = Mapping[str, float | str]
Say = Callable[[Values, UnitSystem], str]


def finding_words(finding: Finding, units: UnitSystem) -> str:
    """Return a finding as a sentence; a code without its own sentence is said with its values, never dropped."""
    say = _SENTENCES.get(finding.code)
    if say is not None:
        try:
            return say(finding.values, units)
        except KeyError:
            pass
    told = ", ".join(
        f"{key.replace('_', ' ')} {number(value) if isinstance(value, (int, float)) else value}"
        for key, value in finding.values.items()
    )
    code = capital(finding.code.replace("_", " "))
    return f"{code}: {told}." if told else f"{code}."


def _n(values: Values, key: str) -> float:
    """One value as a number."""
    return float(values[key])


def _name(values: Values, key: str) -> str:
    return short_name(str(values[key]))


def _rate(value: float, units: UnitSystem) -> str:
    return f"{number(value * per_area_factor(units))} {per_area_unit(units)}"


def _percent(share: float) -> str:
    return f"{number(share * 100)} %"


def _too_much_nitrogen(values: Values, units: UnitSystem) -> str:
    return (
        f"{capital(counted(round(_n(values, 'layers')), 'layer'))} lay down {_rate(_n(values, 'nitrogen'), units)} of nitrogen in the season: "
        f"{number(_n(values, 'times_most'))} times what the hungriest crop wants, "
        f"{number(_n(values, 'times_middle'))} times what a middling one wants. Lay fewer or thinner layers."
    )


def _too_much_phosphorus(values: Values, units: UnitSystem) -> str:
    return (
        f"Phosphorus in the season, {_rate(_n(values, 'phosphorus'), units)}, is {number(_n(values, 'times_most'))} times "
        "what the hungriest crop carries off. It stays in the soil and washes to water."
    )


def _feeds(values: Values, units: UnitSystem) -> str:
    factor = per_area_factor(units)
    return (
        f"One layer feeds from the start: {number(_n(values, 'amount') * factor)} "
        f"({number(_n(values, 'low') * factor)} to {number(_n(values, 'high') * factor)}) {per_area_unit(units)} "
        f"in {number(_n(values, 'days'))} days."
    )


def _robs_then_feeds(values: Values, units: UnitSystem) -> str:
    return (
        f"One layer takes first, at most {_rate(_n(values, 'worst'), units)} about day {number(_n(values, 'worst_day'))}. "
        f"From about day {number(_n(values, 'turn_day'))} it gives: {_rate(_n(values, 'amount'), units)} by day "
        f"{number(_n(values, 'days'))}."
    )


def _robs(values: Values, units: UnitSystem) -> str:
    return (
        f"One layer takes nitrogen from the soil: at most {_rate(_n(values, 'worst'), units)}, about day "
        f"{number(_n(values, 'worst_day'))}. It has not paid it back by day {number(_n(values, 'days'))}."
    )


def _lost_to_air(values: Values, units: UnitSystem) -> str:
    return (
        f"To the air goes {_percent(_n(values, 'share'))} ({_percent(_n(values, 'low'))} to "
        f"{_percent(_n(values, 'high'))}) of the layer's nitrogen. A dry cap the same day keeps more of it."
    )


def _washed_down(values: Values, units: UnitSystem) -> str:
    return (
        f"Washed down goes {_percent(_n(values, 'share'))} ({_percent(_n(values, 'low'))} to "
        f"{_percent(_n(values, 'high'))}) of the layer's nitrogen."
    )


def _wet(values: Values, units: UnitSystem) -> str:
    return (
        f"It is laid too wet, {_percent(_n(values, 'moisture'))} water: it drips when squeezed. Leave the water out, or "
        "lay more dry matter."
    )


def _dry(values: Values, units: UnitSystem) -> str:
    return (
        f"It is laid dry, {_percent(_n(values, 'moisture'))} water, and will wait for rain. "
        f"{volume_words(_n(values, 'needed'), units)} would wet the dry lifts."
    )


def _water_differs(values: Values, units: UnitSystem) -> str:
    needed, poured = volume_words(_n(values, "needed"), units), volume_words(_n(values, "poured"), units)
    return f"The dry lifts need {needed} to be wet through; you pour {poured}."


def _mats(values: Values, units: UnitSystem) -> str:
    thickness = _n(values, "thickness")
    return (
        f"{capital(_name(values, 'residue'))} at {thickness_words(thickness, units)}, {hand_words(thickness)}, mats and goes "
        "slimy. Lay a finger at a time."
    )


def _no_cap(values: Values, units: UnitSystem) -> str:
    return f"{capital(_name(values, 'residue'))} on top has no dry cap: it smells, draws flies and loses nitrogen."


def _dry_piles_up(values: Values, units: UnitSystem) -> str:
    return (
        f"Dry lifts of {counted(round(_n(values, 'layers')), 'layer')} add up to {thickness_words(_n(values, 'thickness'), units)} "
        "as laid; so much keeps rain out and seedlings down."
    )


def _depth_in_buckets(values: Values, units: UnitSystem) -> str:
    return (
        f"{capital(_name(values, 'residue'))} at {thickness_words(_n(values, 'thickness'), units)} on this area is about "
        f"{count_words(round(_n(values, 'buckets') * 2) / 2, 'bucket')} ({number(_n(values, 'fewest'))} to "
        f"{number(_n(values, 'most'))})."
    )


def _rules_disagree(values: Values, units: UnitSystem) -> str:
    return (
        f"The depth of {_name(values, 'deep')} ({thickness_words(_n(values, 'thickness'), units)}) and the containers of "
        f"{_name(values, 'counted')} ({thickness_words(_n(values, 'counted_thickness'), units)}) are two rules, and they "
        f"differ {number(_n(values, 'times'))} times. Keep one."
    )


def _ratio(values: Values, units: UnitSystem) -> str:
    return f"By volume that is {number(_n(values, 'dry_per_soft'))} parts dry to one part soft fresh."


def _weigh_one(values: Values, units: UnitSystem) -> str:
    return (
        f"The nitrogen of a layer is known only within {number(_n(values, 'times'))} times. Weigh one full container of "
        "each: nothing else tells so much."
    )


def _rule_forbids(values: Values, units: UnitSystem) -> str:
    return f"A rule of safety forbids it: {str(values['told']).rstrip('.')}."


_SENTENCES: dict[str, Say] = {
    "rule_forbids": _rule_forbids,
    "more_nitrogen_than_any_crop_wants": _too_much_nitrogen,
    "more_phosphorus_than_any_crop_removes": _too_much_phosphorus,
    "feeds": _feeds,
    "robs_then_feeds": _robs_then_feeds,
    "robs": _robs,
    "lost_to_air": _lost_to_air,
    "washed_down": _washed_down,
    "wet_as_laid": _wet,
    "dry_as_laid": _dry,
    "water_differs": _water_differs,
    "mats": _mats,
    "no_cap": _no_cap,
    "dry_piles_up": _dry_piles_up,
    "depth_in_buckets": _depth_in_buckets,
    "depth_and_containers_disagree": _rules_disagree,
    "ratio_by_volume": _ratio,
    "weigh_one": _weigh_one,
}
