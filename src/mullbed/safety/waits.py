"""Waits: raw manure before harvest, seed after soft fresh matter."""

from __future__ import annotations

from datetime import date, timedelta

from mullbed.domain.bed import Bed, BedCrop
from mullbed.domain.garden import Limits, Site
from mullbed.domain.refusal import Refusal
from mullbed.domain.residue import Residue
from mullbed.domain.safety import HarvestWait, Heated
from mullbed.reference.crops import all_crops
from mullbed.reference.safety_rules import all_safety_rules
from mullbed.safety.rules import refused_by, rule_at


def is_hot_enough(heated: Heated | None) -> bool:
    """Say whether a batch got as hot for as long as the rule of heated compost asks."""
    rule = all_safety_rules().get("heated_compost")
    if heated is None or rule is None or heated.temperature < rule.number("temperature"):
        return False
    if heated.in_vessel:
        return heated.days >= rule.number("days_in_vessel")
    return heated.days >= rule.number("days_in_windrow") and heated.turns >= rule.number("turns_in_windrow")


def harvest_wait(residue: Residue, site: Site, *, heated: bool = False) -> HarvestWait | None:
    """Return the wait between a residue and the harvest; None for plants alone and for heated compost."""
    rule = rule_at("raw_manure_wait", site)
    if rule is None or heated or not rule.concerns(residue):
        return None
    return HarvestWait(rule.key, int(rule.number("touching")), int(rule.number("clear")), frozenset(rule.crops))


def harvest_refusals(
    residue: Residue, bed: Bed, site: Site, day: date, *, name: str = "", heated: bool = False
) -> tuple[Refusal, ...]:
    """Return one refusal for each crop of a bed that would be harvested too soon after a layer of a day."""
    wait, rule = harvest_wait(residue, site, heated=heated), rule_at("raw_manure_wait", site)
    if wait is None or rule is None:
        return ()
    found = []
    for crop in bed.crops:
        asked, days = wait.days_for(crop.crop), (crop.harvested - day).days
        if 0 <= days < asked:
            what = f"{residue.name} on {bed.name} {days} days before the harvest of {_words(crop)}; it asks {asked}"
            found.append(
                refused_by(
                    rule, what, bed=bed.name, subject=name or residue.key, until=crop.harvested + timedelta(days=1)
                )
            )
    return tuple(found)


def sowing_waits(limits: Limits) -> tuple[int, int]:
    """Return the days robust and fine seed wait: the grower's own, else those of the rule; none without a rule. [d]"""
    rule = all_safety_rules().get("sow_after_green")
    robust = 0 if rule is None else int(rule.number("robust"))
    fine = 0 if rule is None else int(rule.number("fine"))
    own, own_fine = limits.days_before_direct_sowing, limits.days_before_fine_seed
    return (robust if own is None else own), (fine if own_fine is None else own_fine)


def sowing_refusals(bed: Bed, site: Site, day: date, limits: Limits, *, name: str = "") -> tuple[Refusal, ...]:
    """Return one refusal for each crop that would be sown too soon after a soft fresh layer of a day."""
    rule = rule_at("sow_after_green", site)
    if rule is None:
        return ()
    found = []
    for crop in bed.crops:
        asked, days = _asked(crop.crop, limits), (crop.planted - day).days
        if crop.sown_direct and 0 <= days < asked:
            what = f"Soft fresh matter on {bed.name} {days} days before {_words(crop)} is sown; it asks {asked}"
            found.append(refused_by(rule, what, bed=bed.name, subject=name, until=crop.planted + timedelta(days=1)))
    return tuple(found)


def seed_too_soon(bed: Bed, site: Site, crop: str, day: date, limits: Limits) -> tuple[Refusal, ...]:
    """Return what refuses to sow a crop on a day: soft fresh layers on the bed that are too young."""
    rule = rule_at("sow_after_green", site)
    fresh = [layer.day for layer in bed.layers if layer.day <= day and any(lift.fresh for lift in layer.lifts)]
    if rule is None or not fresh:
        return ()
    asked, last = _asked(crop, limits), max(fresh)
    if (day - last).days >= asked:
        return ()
    age = (day - last).days
    what = f"The last soft fresh layer on {bed.name} is {age} days old; {crop.replace('_', ' ')} asks {asked}"
    return (refused_by(rule, what, bed=bed.name, subject=crop, until=last + timedelta(days=asked)),)


def _asked(crop: str, limits: Limits) -> int:
    robust, fine = sowing_waits(limits)
    known = all_crops().get(crop)
    return fine if known is not None and known.fine_seed else robust


def _words(crop: BedCrop) -> str:
    return crop.crop.replace("_", " ")
