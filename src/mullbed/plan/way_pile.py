"""Pile composting: the residues the plan lays go through a pile instead and come back ripe the spring after.

A garden in its routine spreads in spring what was gathered the year before, so the compost of one season's residues is
spread on the season's first free day. What the pile loses of nitrogen is published (reference/pile.toml); carbon
follows from the C:N of ripe home compost; phosphorus stays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from mullbed.domain.residue import Residue
from mullbed.domain.spread import Spread
from mullbed.plan.acts import Act, Compost
from mullbed.plan.terms import BedTerms, PlanTerms
from mullbed.reference.pile import Pile

#: Least dry residue in the dry matter for the losses of a pile with dry residue to hold. [fraction, judgement]
COUNTS_AS_MIXED = 0.2
#: Moisture it is wetted to. [fraction, wet basis; common practice, no source]
MOISTENED_TO = 0.55


@dataclass(frozen=True, slots=True)
class Gathered:
    """What a pile takes in over the season. [g]"""

    dry_matter: float
    dry_share: float
    """Dry residue per dry matter. [fraction]"""
    nitrogen: float
    carbon: float
    phosphorus: float
    water: float
    volume: float
    """Loose. [m3]"""
    minutes: float
    """To fetch it. [min]"""
    days: int
    """Visits to the pile."""


def gathered(acts: Sequence[Sequence[Act]], terms: PlanTerms) -> Gathered:
    """Return what a pile takes in: the residues of some layers, gathered on the same days (equal origin)."""
    counts = [0.0 for _ in terms.stocks]
    days = set()
    for act in (act for of_bed in acts for act in of_bed):
        days.add(act.day)
        for stock, count in act.taken:
            counts[stock] += count
    there = [(stock, count) for stock, count in zip(terms.stocks, counts, strict=True) if count > 0.0]
    mass = sum(count * stock.unit.dry_matter for stock, count in there)
    dry = sum(count * stock.unit.dry_matter for stock, count in there if not stock.soft_fresh)
    return Gathered(
        dry_matter=mass,
        dry_share=dry / mass if mass else 0.0,
        nitrogen=sum(count * stock.unit.dry_matter * stock.nitrogen for stock, count in there),
        carbon=sum(count * stock.unit.dry_matter * stock.carbon for stock, count in there),
        phosphorus=sum(count * stock.unit.dry_matter * stock.phosphorus for stock, count in there),
        water=sum(count * (stock.unit.tissue_water + stock.unit.free_water) * 1000.0 for stock, count in there),
        volume=sum(count * stock.unit.thickness for stock, count in there),
        minutes=sum(count * stock.minutes for stock, count in there),
        days=len(days),
    )


@dataclass(frozen=True, slots=True)
class PileSeason:
    """A pile's season with one share lost."""

    acts: tuple[tuple[Act, ...], ...]
    """Compost spread, by bed."""
    lost: float
    """Nitrogen lost from the pile. [g]"""
    minutes: float
    """Work at the pile. [min]"""
    litres: float
    """Water for the pile. [L]"""


def share_lost(found: Gathered, pile: Pile) -> Spread:
    """Return the share of nitrogen a pile loses. [1]"""
    mixed = found.dry_share >= COUNTS_AS_MIXED
    return pile.nitrogen_lost_with_dry if mixed else pile.nitrogen_lost_without_dry


def pile_season(
    found: Gathered, terms: PlanTerms, ripe: Residue, pile: Pile, lost: float, mineral: float, turns: float
) -> PileSeason:
    """Return a season of spreading ripe compost, and the pile's own losses and work.

    Parameters
    ----------
    found : Gathered
        What the pile takes in.
    terms : PlanTerms
    ripe : Residue
        Ripe home compost: moisture, density and C:N.
    pile : Pile
    lost : float
        Share of nitrogen lost. [fraction]
    mineral : float
        Share of the ripe compost's nitrogen that is mineral. [fraction]
    turns : float
        Times it is turned.
    """
    area = sum(bed.area for bed in terms.beds)
    nitrogen = found.nitrogen * (1.0 - lost)
    water = max(0.0, found.dry_matter * MOISTENED_TO / (1.0 - MOISTENED_TO) - found.water) / 1000.0
    work = terms.limits.minutes_per_visit * found.days + found.minutes
    work += turns * pile.minutes_to_turn.mid * found.volume + water / terms.limits.litres_per_minute
    whole = Compost(
        mineral * nitrogen / area,
        (1.0 - mineral) * nitrogen / area,
        (1.0 - mineral) * nitrogen * ripe.carbon_to_nitrogen.mid / area,
        found.phosphorus / area,
        nitrogen / ripe.nitrogen.mid / ripe.dry_share / 1000.0 / area,
    )
    acts = tuple(_spread(bed, whole, ripe, terms) for bed in terms.beds)
    return PileSeason(acts, found.nitrogen * lost, work, water)


def _spread(bed: BedTerms, whole: Compost, ripe: Residue, terms: PlanTerms) -> tuple[Act, ...]:
    """Return the spreading on one bed, as much as its ceilings of nitrogen and phosphorus laid (R10, R12) allow."""
    nitrogen = whole.mineral_nitrogen + whole.organic_nitrogen
    day = first_day_for(bed, terms)
    if day is None or nitrogen <= 0.0:
        return ()
    share = min(1.0, bed.nitrogen_ceiling / nitrogen, bed.phosphorus_ceiling / max(1e-9, whole.phosphorus))
    if share <= 0.0:
        return ()
    compost = Compost(
        share * whole.mineral_nitrogen,
        share * whole.organic_nitrogen,
        share * whole.organic_carbon,
        share * whole.phosphorus,
        share * whole.mass,
    )
    litres = 1000.0 * compost.mass * bed.area / ripe.loose_density.mid
    minutes = terms.limits.minutes_per_visit + terms.limits.minutes_per_area * bed.area
    return (Act(day, minutes + MINUTES_A_BARROW * litres / BARROW_LITRES, compost=compost),)


#: A barrow, and the work to bring and spread it. [L], [min]; judgement
BARROW_LITRES, MINUTES_A_BARROW = 80.0, 3.0


def first_day_for(bed: BedTerms, terms: PlanTerms) -> date | None:
    """Return the first day at home on which nothing was sown on most of the bed in the weeks before (R14)."""
    wait = terms.limits.days_after_direct_sowing
    for week in terms.weeks:
        day = week.laying_day
        if day is not None and not any(
            crop.sown_direct and crop.share >= 0.5 and 0 <= (day - crop.planted).days < wait for crop in bed.growing
        ):
            return day
    return None
