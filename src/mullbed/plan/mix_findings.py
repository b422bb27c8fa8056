"""What a grower should know of a mix, as facts with codes; a report makes the sentences."""

from __future__ import annotations

from collections.abc import Sequence

from mullbed.domain.mix import Finding
from mullbed.domain.residue import Group
from mullbed.domain.spread import Evidence, Spread
from mullbed.plan.mix_effect import MixEffect
from mullbed.plan.mix_lifts import MixLift
from mullbed.plan.mix_loads import MixLoads, water_to_wet
from mullbed.reference.containers import find_container
from mullbed.units import Kind

#: Thickest soft fresh lift before it mats. [m] Practice, section 3: 1-2 cm a time; judgement.
MATS = 0.03
#: Dry cover that gathers in a season beyond which it hinders. [m] Derived (materials, section 4): one 6-in layer.
PILES_UP = 0.152
#: Moisture aimed at and moisture that drips. [fraction] From memory.
AIM_LOW, AIM_HIGH, DRIPS = 0.50, 0.60, 0.65
#: Two rules disagree when their amounts differ by more than this. [1] Judgement.
DISAGREES = 1.5

OUT, GUESS = Evidence.WORKED_OUT, Evidence.GUESS


def mix_findings(
    lifts: Sequence[MixLift],
    loads: MixLoads,
    effect: MixEffect,
    visits: int,
    area: float,
    poured: float,
    want: Spread,
    removal: Spread,
) -> tuple[Finding, ...]:
    """Return the findings, gravest first.

    Parameters
    ----------
    lifts, loads, effect
        The mix, what it holds and what it does.
    visits : int
        Layers in the season.
    area : float
        [m2]
    poured : float
        Water poured on a layer. [mm]
    want, removal : Spread
        Nitrogen wanted and phosphorus removed in a season by crops: least, middle and most. [g m-2]
    """
    found = [*_season(loads, visits, want, removal), *_nitrogen(effect), *_losses(loads, effect)]
    found += [*_water(lifts, loads, area, poured), *_lying(lifts, visits), *_rules(lifts, area)]
    if any(one.lift.dry_matter_evidence is not Evidence.MEASURED for one in lifts):
        doubt = loads.nitrogen.high / max(1e-9, loads.nitrogen.low)
        found.append(Finding("weigh_one", {"times": doubt}, OUT))
    return tuple(found)


def _season(loads: MixLoads, visits: int, want: Spread, removal: Spread) -> list[Finding]:
    nitrogen, phosphorus = visits * loads.nitrogen.mid, visits * loads.phosphorus.mid
    found = []
    if nitrogen > want.high:
        found.append(
            Finding(
                "more_nitrogen_than_any_crop_wants",
                {
                    "nitrogen": nitrogen,
                    "times_most": nitrogen / want.high,
                    "times_middle": nitrogen / want.mid,
                    "most_wanted": want.high,
                    "least_wanted": want.low,
                    "layers": float(visits),
                },
                OUT,
            )
        )
    if phosphorus > removal.high:
        found.append(
            Finding(
                "more_phosphorus_than_any_crop_removes",
                {"phosphorus": phosphorus, "times_most": phosphorus / removal.high, "most_removed": removal.high},
                OUT,
            )
        )
    return found


def _nitrogen(effect: MixEffect) -> list[Finding]:
    robs = [(day, spread) for day, spread in zip(effect.days, effect.net_nitrogen, strict=True) if spread.mid < -0.05]
    last_day, last = effect.days[-1], effect.net_nitrogen[-1]
    values: dict[str, float | str] = {"amount": last.mid, "low": last.low, "high": last.high, "days": float(last_day)}
    if not robs:
        return [Finding("feeds", values, OUT)]
    day, worst = min(robs, key=lambda one: one[1].mid)
    values |= {"worst_day": float(day), "worst": -worst.mid}
    if last.mid > 0.05:
        turn = next(
            after
            for after, spread in zip(effect.days, effect.net_nitrogen, strict=True)
            if after > robs[-1][0] and spread.mid > 0.0
        )
        return [Finding("robs_then_feeds", values | {"turn_day": float(turn)}, OUT)]
    return [Finding("robs", values, OUT)]


def _losses(loads: MixLoads, effect: MixEffect) -> list[Finding]:
    found = []
    laid = max(1e-9, loads.nitrogen.mid)
    for code, lost in (("lost_to_air", effect.ammonia_lost), ("washed_down", effect.leached)):
        if lost.mid > 0.02 * laid:
            found.append(
                Finding(code, {"share": lost.mid / laid, "low": lost.low / laid, "high": lost.high / laid}, OUT)
            )
    return found


def _water(lifts: Sequence[MixLift], loads: MixLoads, area: float, poured: float) -> list[Finding]:
    needed = sum(water_to_wet(one.residue, one.lift) for one in lifts)
    found = []
    if loads.moisture.mid > DRIPS:
        found.append(Finding("wet_as_laid", {"moisture": loads.moisture.mid, "poured": poured * area}, OUT))
    elif loads.moisture.mid < AIM_LOW:
        found.append(Finding("dry_as_laid", {"moisture": loads.moisture.mid, "needed": needed * area}, OUT))
    if needed > 0.0 and not 1.0 / DISAGREES <= poured / needed <= DISAGREES:
        found.append(Finding("water_differs", {"needed": needed * area, "poured": poured * area}, OUT))
    return found


def _lying(lifts: Sequence[MixLift], visits: int) -> list[Finding]:
    found = []
    for one in lifts:
        if one.lift.fresh and one.lift.thickness > MATS:
            found.append(Finding("mats", {"residue": one.residue.name, "thickness": one.lift.thickness}, GUESS))
    if lifts[-1].lift.fresh:
        found.append(Finding("no_cap", {"residue": lifts[-1].residue.name}, GUESS))
    dry = sum(one.lift.thickness for one in lifts if not one.lift.fresh) * visits
    if dry > PILES_UP:
        found.append(Finding("dry_piles_up", {"thickness": dry, "layers": float(visits)}, OUT))
    return found


def _rules(lifts: Sequence[MixLift], area: float) -> list[Finding]:
    """Name contradictions between a depth rule and a container rule, and the ratio that is really laid."""
    found = []
    bucket = find_container("bucket").litres
    depths = [one for one in lifts if one.given_as is Kind.LENGTH]
    counts = [one for one in lifts if one.given_as is Kind.COUNT]
    for one in depths:
        litres = one.lift.thickness * area * 1000.0
        found.append(
            Finding(
                "depth_in_buckets",
                {
                    "residue": one.residue.name,
                    "thickness": one.lift.thickness,
                    "buckets": litres / bucket.mid,
                    "fewest": litres / bucket.high,
                    "most": litres / bucket.low,
                },
                OUT,
            )
        )
    for counted in counts:
        for deep in depths:
            soft = counted.residue.group is Group.SOFT_FRESH
            if soft != (deep.residue.group is Group.SOFT_FRESH):
                continue
            times = deep.lift.thickness / counted.lift.thickness
            if not 1.0 / DISAGREES <= times <= DISAGREES:
                found.append(
                    Finding(
                        "depth_and_containers_disagree",
                        {
                            "deep": deep.residue.name,
                            "counted": counted.residue.name,
                            "thickness": deep.lift.thickness,
                            "counted_thickness": counted.lift.thickness,
                            "times": max(times, 1.0 / times),
                        },
                        OUT,
                    )
                )
    soft_depth = sum(one.lift.thickness for one in lifts if one.residue.group is Group.SOFT_FRESH)
    dry_depth = sum(one.lift.thickness for one in lifts if one.residue.group is not Group.SOFT_FRESH)
    if soft_depth > 0.0 and dry_depth > 0.0:
        found.append(Finding("ratio_by_volume", {"dry_per_soft": dry_depth / soft_depth}, OUT))
    return found
