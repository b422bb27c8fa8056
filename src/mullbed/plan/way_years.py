"""Try every way of gardening in seasons nobody planned with, and hold it against the plan."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from mullbed.domain.residue import Residue
from mullbed.domain.spread import Evidence, Spread, weakest
from mullbed.domain.ways import WayInYears
from mullbed.plan.acts import Act, lessened
from mullbed.plan.choice_model import untold
from mullbed.plan.rehearse import NOT_TOLD_APART
from mullbed.plan.terms import Index, PlanTerms, Series
from mullbed.plan.uncertain import Outlook, tail_mean, weighed
from mullbed.plan.unseen import GardenInYears, InYears
from mullbed.plan.way_pile import PileSeason
from mullbed.plan.way_rules import Rule, Setting, acts_by, laid_by

Acts = tuple[tuple[Act, ...], ...]
#: Shares of the compost that are tried on a bed, the largest first.
SHARES = (1.0, 0.75, 0.5, 0.25)


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """One way as it is tried."""

    name: str
    setting: str
    acts: Acts
    years: InYears
    phosphorus: Spread
    """Given. [g m-2]"""
    ceiling: bool = True
    """False where the ceiling of nitrogen fed (R11) was let go."""


def within_ceiling(years: GardenInYears, acts: Acts) -> Acts:
    """Return what is done without the visits to each bed that feed it past its ceiling (R11), taken in time.

    A rule cannot tell by itself; so that all ways keep the same ceilings, it is told by the seasons planned with, as
    the plan is.
    """
    return tuple(within_ceiling_of(years, number, done) for number, done in enumerate(acts))


def within_ceiling_of(years: GardenInYears, number: int, acts: Sequence[Act]) -> tuple[Act, ...]:
    """Return what is done on one bed without the visits that feed it past its ceiling."""
    bed = years.terms.beds[number]
    left: list[Act] = []
    alone = float(np.percentile(bed.soil_given.sum(axis=1), 90.0))
    allowed = (1.0 + NOT_TOLD_APART) * max(bed.nitrogen_fed_ceiling, alone + untold(bed))
    for act in acts:
        if float(np.percentile(years.of_bed(number, [*left, act]).fed, 90.0)) <= bed.area * allowed:
            left.append(act)
    return tuple(left)


def spread_within_ceiling(years: GardenInYears, acts: Acts) -> tuple[float, ...]:
    """Return for each bed the largest share of its compost, in quarters, that keeps it within its fed ceiling (R11)."""
    found = []
    for number, done in enumerate(acts):
        shares = (
            share for share in SHARES if len(within_ceiling_of(years, number, lessened(done, share))) == len(done)
        )
        found.append(next(shares, 0.0))
    return tuple(found)


def tuned(
    rule: Rule, years: GardenInYears, outlook: Outlook, progress: Callable[[str], None], ceiling: bool = True
) -> tuple[Setting, Acts]:
    """Return the setting of a rule that costs least in the seasons planned with, and what is done then.

    Parameters
    ----------
    rule : Rule
    years : GardenInYears
        Of the seasons planned with.
    outlook : Outlook
        How the bad tenth counts.
    progress : callable
    ceiling : bool
        False lets the ceiling of nitrogen fed (R11) go, which nobody sees on a bed.
    """
    best: tuple[float, Setting, Acts] | None = None
    known: dict[Acts, float] = {}
    for setting in rule.settings:
        progress(f"Setting the rule of {rule.name}: {setting_words(setting)}.")
        acts = acts_by(laid_by(rule, setting, years.terms))
        acts = within_ceiling(years, acts) if ceiling else acts
        if acts not in known:
            known[acts] = float(weighed(years.tried(acts).cost, outlook))
        if best is None or known[acts] < best[0]:
            best = (known[acts], setting, acts)
    if best is None:
        raise ValueError(f"the rule '{rule.name}' has no setting")
    return best[1], best[2]


def setting_words(setting: Setting) -> str:
    """Return a setting in words."""
    every = f"every {setting.weeks} weeks"
    return every if setting.depth is None else f"{round(100.0 * setting.depth)} cm soft fresh {every}"


def phosphorus_given(acts: Sequence[Sequence[Act]], terms: PlanTerms, residues: Mapping[str, Residue]) -> Spread:
    """Return the phosphorus given, mean over the garden. [g m-2]"""
    area = sum(bed.area for bed in terms.beds)
    low = mid = high = 0.0
    evidence = [Evidence.WORKED_OUT]
    for bed, of_bed in zip(terms.beds, acts, strict=True):
        for act in of_bed:
            for lift in act.layer.lifts if act.layer is not None else ():
                share, content = lift.dry_matter * bed.area / area, residues[lift.residue].phosphorus
                low, mid, high = low + share * content.low, mid + share * content.mid, high + share * content.high
                evidence.append(content.evidence)
            if act.compost is not None:
                share = act.compost.phosphorus * bed.area / area
                low, mid, high = low + share, mid + share, high + share
    return Spread(low, mid, high, "g m-2", weakest(*evidence))


def with_the_pile(years: GardenInYears, piles: Sequence[PileSeason]) -> InYears:
    """Return seasons of piling; each season has one of several shares lost, all equally often."""
    weights = years.terms.weights
    tried = []
    for pile in piles:
        one = years.tried(pile.acts)
        tried.append(
            replace(
                one,
                lost=one.lost + pile.lost,
                cost=one.cost + weights.lost * pile.lost + weights.minute * pile.minutes,
                minutes=one.minutes + pile.minutes,
                litres=one.litres + pile.litres,
            )
        )
    seasons = np.arange(years.scenarios.count)
    which = seasons % len(tried)
    columns = {
        one.name: np.array([getattr(each, one.name) for each in tried])[which, seasons] for one in fields(InYears)
    }
    return InYears(**columns)


@dataclass(frozen=True, slots=True, eq=False)
class Against:
    """What every way is told against."""

    terms: PlanTerms
    plan: InYears
    """The plan that keeps every ceiling."""
    freed: InYears
    """The plan that lets the ceiling of nitrogen fed go."""
    year_of: Index
    """Unseen year of each season. (seasons,)"""
    removed: float
    """Phosphorus crops carry off, mean over the garden. [g m-2]"""


def told(way: Way, against: Against) -> WayInYears:
    """Return a way's figures."""
    terms, years = against.terms, way.years
    area = sum(bed.area for bed in terms.beds)
    want = sum(bed.area * float(bed.want.sum()) for bed in terms.beds)
    met = 1.0 - years.short / want if want > 0.0 else np.full_like(years.short, np.nan)
    names = np.unique(against.year_of)
    dearer = years.cost - (against.plan if way.ceiling else against.freed).cost
    yearly = np.array([dearer[against.year_of == year].mean() for year in names])
    given = way.phosphorus
    return WayInYears(
        name=way.name,
        setting=way.setting,
        ceiling_kept=way.ceiling,
        visits=sum(len(acts) for acts in way.acts),
        want_met=_spread(np.clip(np.nan_to_num(met), 0.0, 1.0), "1"),
        nitrogen_lost=_spread(years.lost / area, "g m-2"),
        nitrogen_kept=_spread(years.nitrogen_kept / area, "g m-2"),
        carbon_kept=_spread(years.carbon_kept / area, "g m-2"),
        phosphorus_balance=replace(
            given, low=given.low - against.removed, mid=given.mid - against.removed, high=given.high - against.removed
        ),
        covered_days=_spread(years.covered_days / area, "d"),
        hours=_spread(years.minutes / 60.0, "h", Evidence.GUESS),
        water=_spread(years.litres, "L"),
        past_ceiling=float(years.past_ceiling.mean() / area),
        cost=float(years.cost.mean()),
        bad_tenth_cost=float(tail_mean(years.cost, 0.1)),
        plan_better_seasons=float(np.mean(dearer > 0.0)),
        plan_better_years=float(np.mean(yearly > 0.0)),
    )


def _spread(values: Series, unit: str, evidence: Evidence = Evidence.WORKED_OUT) -> Spread:
    low, mid, high = np.percentile(values, (10.0, 50.0, 90.0))
    return Spread(float(low), float(mid), float(high), unit, evidence)
