"""The soil over years, in sentences: what will change, what can't be told, what builds up."""

from __future__ import annotations

import math
from collections.abc import Callable

from mullbed.domain.bed import PhosphorusStatus
from mullbed.domain.garden import UnitSystem
from mullbed.domain.soil_outlook import NutrientBalance, OutlookWarning, SoilOutlook, SoilThing, TestMet
from mullbed.reports.amounts import is_us, per_area_factor, per_area_unit
from mullbed.reports.words import capital, chance_words, counted, day_words, evenly, listed, number
from mullbed.units import from_canonical

Turn = Callable[[float], float]


def shown_things(units: UnitSystem) -> dict[SoilThing, tuple[str, str, Turn]]:
    """Return each thing's name, unit and how a number is turned into it."""
    us = is_us(units)
    factor = per_area_factor(units)
    depth = "0-10 in" if us else "0-25 cm"
    return {
        SoilThing.ORGANIC_MATTER: (f"Organic matter, {depth}", "% of dry soil", lambda value: 100.0 * value),
        SoilThing.NITROGEN_SUPPLY: (
            "Nitrogen the ground gives in a year",
            per_area_unit(units),
            lambda value: value * factor,
        ),
        SoilThing.AVAILABLE_WATER: (
            f"Water plants can get out of {depth}",
            "in" if us else "mm",
            (lambda value: from_canonical(value / 1000.0, "in")) if us else (lambda value: value),
        ),
        SoilThing.BULK_DENSITY: (f"Bulk density, {depth}", "g/cm³", lambda value: value / 1000.0),
    }


def outlook_heading(outlook: SoilOutlook) -> str:
    """Return the answer in a sentence."""
    matter = outlook.planned[SoilThing.ORGANIC_MATTER]
    start, end = float(matter.p50[outlook.now]), float(matter.p50[-1])
    if outlook.dry_matter <= 0.0:
        return f"Nothing is laid: {outlook.bed} loses organic matter."
    rule = float(outlook.rule.p50[-1])
    if (end - start) * (rule - start) < 0.0:
        return f"Organic matter of {outlook.bed} can't be told yet: two ways of working it out disagree."
    if outlook.seen_from is None:
        years = counted(outlook.years, "year")
        return f"Organic matter of {outlook.bed} changes too little in {years} for a soil test to tell."
    way = "rises" if end > start else "falls"
    return f"Organic matter of {outlook.bed} {way}; a soil test could tell from year {outlook.seen_from} on."


def thing_sentence(outlook: SoilOutlook, thing: SoilThing, units: UnitSystem) -> str:
    """Return one thing in a sentence: now, at the end with its range, and with nothing laid."""
    name, unit, turn = shown_things(units)[thing]
    band, bare = outlook.planned[thing], outlook.bare[thing]
    start = outlook.now + 1 if thing is SoilThing.NITROGEN_SUPPLY else outlook.now
    values = [turn(float(one)) for one in (band.p50[-1], band.p10[-1], band.p90[-1], band.p50[start], bare.p50[-1])]
    end, low, high, begin, without = _shown(values, thing)
    first = "in the first year" if thing is SoilThing.NITROGEN_SUPPLY else "now"
    years = counted(outlook.years, "year")
    return (
        f"{name}: {begin} {unit} {first}, {end} ({low} to {high}) after {years} of such layers; "
        f"{without} with nothing laid."
    )


def _shown(values: list[float], thing: SoilThing) -> list[str]:
    """Return numbers with as many digits as a change of this thing needs."""
    places = {SoilThing.ORGANIC_MATTER: 1, SoilThing.BULK_DENSITY: 2}.get(thing)
    return evenly(values) if places is None else [f"{value:.{places}f}" for value in values]


def more_sentences(outlook: SoilOutlook) -> list[str]:
    """Return what to know beside the numbers."""
    told = [
        f"Every year the same is laid: {number(outlook.dry_matter / 1000.0)} kg of dry matter a square metre with "
        f"{number(outlook.nitrogen_laid)} g of nitrogen; the crops want {number(outlook.crop_want)} g.",
        f"More organic matter than now: {chance_words(outlook.rise_chance)}. "
        f"More than with nothing laid: {chance_words(outlook.gain_chance)}.",
    ]
    low, mid, high = (f"{100.0 * float(one[-1]):.1f}" for one in (outlook.rule.p10, outlook.rule.p50, outlook.rule.p90))
    told.append(
        f"By a rule of thumb, a tenth to a fifth of what is laid stays and 2 to 4 % of organic matter goes each year, "
        f"it would be {mid} % ({low} to {high}) in the end. Where the two differ, trust neither before a test."
    )
    if outlook.seen_from is None:
        told.append(
            "The change stays within what soil tests miss (3 to 13 % of what is there, 13 sites, published); "
            "test the same month, depth and laboratory, every three years at most."
        )
    return told


def warning_sentence(warning: OutlookWarning, outlook: SoilOutlook) -> str:
    """Return a warning as a sentence."""
    amount = number(warning.amount) if warning.amount is not None else ""
    years = outlook.years
    match warning.code:
        case "phosphorus rich":
            return (
                f"Phosphorus is plenty already, and {amount} g a square metre more stays every year. "
                "Lay residues poor in it, such as leaves, straw or wood, and no manure or compost."
            )
        case "phosphorus builds up":
            total = number((warning.amount or 0.0) * years)
            return (
                f"Phosphorus builds up by about {amount} g a square metre a year, {total} g in "
                f"{counted(years, 'year')}. Test the soil; where it is high, lay less or carry more off."
            )
        case "phosphorus not tested":
            return "Nobody has tested phosphorus here. One test every three years is enough; name the method."
        case "potassium falls":
            return (
                f"Harvests carry off about {amount} g of potassium a square metre a year more than is laid. "
                "Watch old leaves' edges."
            )
        case "potassium builds up":
            return (
                f"Potassium builds up by about {amount} g a square metre a year. It does no harm soon; don't add ash."
            )
        case "nitrogen beyond want":
            return (
                f"From year {warning.year} on the ground gives about {amount} g of nitrogen a square metre more than "
                "the crops want. Much of it washes down: lay less, or grow more."
            )
        case "tests against model":
            return (
                "The tests lie outside of what the model thought possible. "
                "Check their unit and depth before trusting either."
            )
    return warning.code


def balance_sentence(balance: NutrientBalance) -> str:
    """Return one nutrient's account of a year."""
    laid, removed, low, mid, high = evenly(
        (balance.laid.mid, balance.removed.mid, balance.surplus.low, balance.surplus.mid, balance.surplus.high)
    )
    told = (
        f"{capital(balance.nutrient)}: {laid} g laid, {removed} g carried off; "
        f"{mid} ({low} to {high}) g stay a square metre a year."
    )
    if balance.status not in (None, PhosphorusStatus.NOT_TESTED):
        told += f" The soil test said {balance.status}."
    if balance.unknown:
        told += f" Not counted, for nobody told: {listed([one.replace('_', ' ') for one in balance.unknown])}."
    return told


def test_sentence(met: TestMet) -> str:
    """Return a test beside what was expected."""
    turn, unit = (100.0, "%") if met.test.thing is SoilThing.ORGANIC_MATTER else (0.001, "g/cm³")
    places = 1 if met.test.thing is SoilThing.ORGANIC_MATTER else 2
    value, mid, low, high = (f"{turn * one:.{places}f}" for one in (met.test.value, met.mid, met.low, met.high))
    name = "organic matter" if met.test.thing is SoilThing.ORGANIC_MATTER else "bulk density"
    fits = "as expected" if met.inside else "outside of what was expected; the outlook has moved towards it"
    return (
        f"{day_words(met.test.day, year=True)}, {name}: expected {mid} ({low} to {high}), came {value} {unit}: {fits}."
    )


def informed_sentence(outlook: SoilOutlook) -> str:
    """Return how much the tests taught."""
    if not outlook.tests:
        return "No soil test to hold it against: the range is as wide as the garden file leaves it."
    left = max(1, math.floor(outlook.informed * outlook.members))
    many = capital(counted(len(outlook.tests), "test"))
    return f"{many} left about {left} of {outlook.members} possible courses likely."
