"""Ways of gardening by a fixed rule, with the same residues, containers, ceilings, work and water as the plan.

A rule knows what is in store and the calendar, never the simulation. It keeps everything a careful grower can see (R1
to R5, R7 to R10, R12 to R18, R21, R22, and R6 as thicknesses that settle to a half in six weeks); the fed ceiling (R11)
nobody can see on a bed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import product

from mullbed.plan.acts import Act
from mullbed.plan.as_laid import AsLaid
from mullbed.plan.candidates import Candidate, Portion, layer_of, least_dry_per_soft, made
from mullbed.plan.layer_checks import CHECKS
from mullbed.plan.ledger import drawn
from mullbed.plan.ready_made import partners
from mullbed.plan.terms import PlanTerms, Stock, Week

#: A cover is half as thick after so many weeks, as far as a rule knows. [judgement]
WEEKS_TO_A_HALF = 6.0
#: Dry to soft fresh by loose volume, as rules of thumb for layers have it. [common practice, no source]
DRY_BY_VOLUME = 2.0
#: Depths and spacings each rule is tuned over. [m], [week]
DEPTHS = (0.01, 0.02, 0.03)
SPACINGS = (3, 4, 6, 8)
#: Weeks ahead a grower who lays the richest on the hungriest bed looks. [judgement]
HUNGRY_WEEKS = 8


@dataclass(frozen=True, slots=True)
class Setting:
    """How a rule is set."""

    depth: float | None
    """Of soft fresh matter as laid; None where the rule has none. [m]"""
    weeks: int
    """Weeks from one layer to the next."""


@dataclass(frozen=True, slots=True)
class Rule:
    """A fixed rule."""

    name: str
    lays: Callable[[AsLaid, Week, Setting], None]
    """Lays what the rule lays in one week."""
    settings: tuple[Setting, ...]


def in_store(laid: AsLaid, stock: int, week: Week) -> int:
    """Return the whole containers of a stock that are there in a week and in no layer yet."""
    day = laid.terms.stock_days[stock][week.index]
    if day is None:
        return 0
    most = int(laid.terms.stocks[stock].most_on(day) + 1e-9)
    low, high = 0, most
    while low < high:  # the most containers that can still be taken
        middle = (low + high + 1) // 2
        low, high = (middle, high) if _there(laid, stock, week, middle) else (low, middle - 1)
    return low


def _there(laid: AsLaid, stock: int, week: Week, count: int) -> bool:
    taken = laid.taken[stock].copy()
    taken[week.index] += count
    return drawn(stock, taken, laid.terms)[1] <= 0.0


def soft_in_store(laid: AsLaid, week: Week) -> list[tuple[int, int]]:
    """Return soft fresh stocks and their whole containers in a week, those with most dry matter first."""
    found = [
        (number, in_store(laid, number, week)) for number, stock in enumerate(laid.terms.stocks) if stock.soft_fresh
    ]
    stocks = laid.terms.stocks
    return sorted(
        ((number, count) for number, count in found if count),
        key=lambda pair: -pair[1] * stocks[pair[0]].unit.dry_matter,
    )


def due(laid: AsLaid, number: int, week: Week, spacing: int) -> bool:
    """Say whether it is time for a bed's next layer."""
    if week.laying_day is None or laid.too_soon_after_old(number, week.laying_day):
        return False
    before = [one.week for one in laid.layers[number]]
    return not before or week.index - max(before) >= spacing


def not_too_thick(laid: AsLaid, number: int, candidate: Candidate) -> bool:
    """R6, as far as it can be told without a simulation."""
    lying = sum(one.thickness * 0.5 ** ((candidate.week - one.week) / WEEKS_TO_A_HALF) for one in laid.layers[number])
    there = float(laid.terms.beds[number].thickness[candidate.week])
    return there + float(lying) + candidate.thickness <= laid.terms.limits.thickest_cover


def try_to_lay(
    laid: AsLaid, number: int, week: Week, soft: int, count: int, dry_counts: Iterable[tuple[int, int]]
) -> bool:
    """Lay so many containers of a soft fresh stock under the first dry stock that keeps the rules; say whether it did.

    Where a rule forbids it, less soft fresh matter is tried down to one container.
    """
    terms = laid.terms
    bed = terms.beds[number]
    day = terms.stock_days[soft][week.index]
    if day is None:
        return False
    caps = list(dry_counts)
    for less in range(count, 0, -1):
        for dry, whole in caps:
            share = max(1, -(-whole * less // count))
            candidate = made(number, week, day, Portion(soft, less), Portion(dry, share), terms)
            if candidate is None or any(check(candidate, bed, terms) for check in CHECKS.values()):
                continue
            if not_too_thick(laid, number, candidate) and laid.fits(number, candidate):
                laid.lay(number, candidate)
                return True
    return False


def by_volume(laid: AsLaid, week: Week, soft: int, count: int) -> list[tuple[int, int]]:
    """Return the containers of each dry stock that are twice the loose volume of soft fresh matter."""
    stocks = laid.terms.stocks
    wanted = DRY_BY_VOLUME * stocks[soft].unit.thickness * count
    return [(dry, max(1, round(wanted / stocks[dry].unit.thickness))) for dry in partners(week, laid.terms, 9)]


def count_for_depth(stock: Stock, depth: float, area: float) -> int:
    """Return the whole containers that lie about so deep on a bed, at least one. [m], [m2]"""
    return max(1, round(depth * area / stock.unit.thickness))


def fixed_depth(laid: AsLaid, week: Week, setting: Setting) -> None:
    """Lay the same depth on every bed in turn, every so many weeks, twice the volume of dry matter with it."""
    for number, bed in enumerate(laid.terms.beds):
        if not due(laid, number, week, setting.weeks):
            continue
        for soft, there in soft_in_store(laid, week):
            count = min(there, count_for_depth(laid.terms.stocks[soft], setting.depth or 0.0, bed.area))
            if try_to_lay(laid, number, week, soft, count, by_volume(laid, week, soft, count)):
                break


def equal_split(laid: AsLaid, week: Week, setting: Setting) -> None:
    """Give every bed the same by area."""
    share_among(
        [number for number in range(len(laid.terms.beds)) if due(laid, number, week, setting.weeks)], laid, week
    )


def share_among(waiting: Sequence[int], laid: AsLaid, week: Week) -> None:
    """Share what is in store among beds by area, the bed that had least first, with twice the volume of dry matter.

    Thinner than the thinnest layer is not laid; beds take turns then.
    """
    beds = laid.terms.beds
    share = sum(count * laid.terms.stocks[soft].unit.thickness for soft, count in soft_in_store(laid, week))
    depth = max(DEPTHS[0], share / max(1e-9, sum(beds[number].area for number in waiting)))
    for number in sorted(waiting, key=lambda one: sum(layer.soft_load for layer in laid.layers[one])):
        for soft, there in soft_in_store(laid, week):
            count = min(there, count_for_depth(laid.terms.stocks[soft], depth, beds[number].area))
            if try_to_lay(laid, number, week, soft, count, by_volume(laid, week, soft, count)):
                break


def richest_first(laid: AsLaid, week: Week, setting: Setting) -> None:
    """Lay the residue richest in nitrogen on the bed that wants most, with no more dry matter than it must have."""
    terms = laid.terms
    hungry = sorted(
        range(len(terms.beds)),
        key=lambda number: -float(terms.beds[number].want[week.index : week.index + HUNGRY_WEEKS].sum()),
    )
    for number in hungry:
        bed = terms.beds[number]
        if not due(laid, number, week, setting.weeks):
            continue
        for soft, there in sorted(soft_in_store(laid, week), key=lambda pair: -terms.stocks[pair[0]].nitrogen):
            stock = terms.stocks[soft]
            count = min(there, count_for_depth(stock, setting.depth or 0.0, bed.area))
            if try_to_lay(laid, number, week, soft, count, _least_dry(laid, week, soft, count, bed.area)):
                break


def _least_dry(laid: AsLaid, week: Week, soft: int, count: int, area: float) -> list[tuple[int, int]]:
    found = []
    terms = laid.terms
    stock = terms.stocks[soft]
    for number in partners(week, terms, 9):
        dry = terms.stocks[number]
        ratio = least_dry_per_soft(stock, dry, terms.limits.moisture[1])
        mass = ratio * stock.unit.dry_matter * count
        cap = terms.limits.thinnest_cap * area * dry.unit.dry_matter / dry.unit.thickness
        if mass < float("inf"):
            found.append((number, max(1, -int(-max(mass, cap) // dry.unit.dry_matter))))
    return found


_BOTH = tuple(Setting(depth, weeks) for depth, weeks in product(DEPTHS, SPACINGS))
RULES = (
    Rule("fixed depth", fixed_depth, _BOTH),
    Rule("equal split", equal_split, tuple(Setting(None, weeks) for weeks in SPACINGS)),
    Rule("richest first", richest_first, _BOTH),
)


def laid_by(rule: Rule, setting: Setting, terms: PlanTerms) -> AsLaid:
    """Return the season a rule makes of a garden."""
    laid = AsLaid(terms)
    for week in terms.weeks:
        if week.laying_day is not None:
            rule.lays(laid, week, setting)
    return laid


def acts_by(laid: AsLaid) -> tuple[tuple[Act, ...], ...]:
    """Return what was laid as what is done on each bed."""
    return tuple(tuple(act_of(one, laid.terms) for one in layers) for layers in laid.layers)


def act_of(candidate: Candidate, terms: PlanTerms) -> Act:
    """Return a candidate as an act."""
    taken = {portion.stock: float(portion.count) for portion in candidate.portions}
    bought = sum(count for stock, count in taken.items() if terms.stocks[stock].bought_in)
    return Act(
        candidate.day,
        candidate.minutes,
        layer_of(candidate, terms),
        litres=candidate.litres,
        bought=bought,
        taken=tuple(taken.items()),
    )
