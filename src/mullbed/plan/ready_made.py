"""Every layer that could be laid on every bed in every week, those left that keep the rules of a single layer."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor, inf

from mullbed.plan.candidates import MILLIGRAMS, Candidate, Portion, least_dry_per_soft, made
from mullbed.plan.layer_checks import CHECKS
from mullbed.plan.terms import BedTerms, DayLimits, PlanTerms, Stock, Week

#: Soft fresh load of a layer, as nitrogen: thinner is not worth the visit, thicker would be the year's share at once.
LEAST_NITROGEN, MOST_NITROGEN = 2.0, 20.0
"""Common practice has no figure; judgement. [g N m-2]"""
#: Dry matter of a layer of dry residue alone. [g m-2, judgement]
LEAST_COVER, MOST_COVER = 250.0, 1000.0
#: Most dry matter per soft fresh dry matter beyond the least that moisture asks for. [1, judgement]
RICHEST_IN_DRY = 2.5
MOST_PER_BED_AND_WEEK = 60
#: Dry stocks a soft fresh lift may be capped with in one week. [judgement]
DRY_PARTNERS = 2
#: A cover of dry residue alone does not hurry: it is offered every so many weeks. [judgement]
DRY_EVERY = 2


@dataclass(frozen=True, slots=True)
class Refusals:
    """How many candidates each rule turned away, by bed."""

    by_bed: dict[str, Counter[str]]

    def most(self, bed: str) -> str | None:
        """Return the rule that turned most away on a bed."""
        counts = self.by_bed.get(bed)
        return counts.most_common(1)[0][0] if counts else None


def whole_counts(unit_load: float, least: float, most: float, steps: int) -> tuple[int, ...]:
    """Return up to so many whole counts whose load lies between least and most, spread evenly by ratio."""
    first, last = max(1, ceil(least / unit_load - MILLIGRAMS)), floor(most / unit_load + MILLIGRAMS)
    if last < first:
        return ()
    if steps == 1:
        return (first,)
    ratio = (last / first) ** (1.0 / (steps - 1))
    return tuple(sorted({round(first * ratio**step) for step in range(steps)}))


def soft_window(soft: Stock, limits: DayLimits) -> tuple[float, float]:
    """Return the least and most soft fresh dry matter of one layer. [g m-2]"""
    thickest = limits.thickest_soft_fresh * soft.unit.dry_matter / soft.unit.thickness
    least = min(LEAST_NITROGEN / soft.nitrogen, 0.6 * thickest)
    return least, min(MOST_NITROGEN / soft.nitrogen, thickest)


def dry_window(soft: Stock, dry: Stock, limits: DayLimits) -> tuple[float, float]:
    """Return the least and most dry residue per soft fresh dry matter. [1]"""
    least = max(0.5, least_dry_per_soft(soft, dry, limits.moisture[1]))
    return least, RICHEST_IN_DRY * least


def partners(week: Week, terms: PlanTerms, most: int = DRY_PARTNERS) -> tuple[int, ...]:
    """Return the dry stocks that soft fresh matter is capped with in a week: those of which there is most."""
    there = []
    for index, stock in enumerate(terms.stocks):
        day = terms.stock_days[index][week.index]
        if not stock.soft_fresh and day is not None and stock.most_on(day) >= 1.0:
            there.append((-stock.most_on(day) * stock.unit.dry_matter, index))
    return tuple(index for _, index in sorted(there)[:most])


def offered(bed_index: int, week: Week, terms: PlanTerms, moist: bool) -> Iterator[Candidate | None]:
    """Yield every whole-container layer of the windows for one bed and week; None for one that is too wet."""
    usual = week.laying_day
    if usual is None:  # R18: nobody is there
        return
    bed, limits = terms.beds[bed_index], terms.limits
    for index, dry in enumerate(terms.stocks):
        day = terms.stock_days[index][week.index]
        if dry.soft_fresh or day is None or dry.most_on(day) < 1.0 or week.index % DRY_EVERY:
            continue
        for count in whole_counts(dry.unit.dry_matter / bed.area, LEAST_COVER, MOST_COVER, 2):
            yield made(bed_index, week, usual, None, Portion(index, count), terms, moist)
    caps = partners(week, terms)
    for soft_index, soft in enumerate(terms.stocks):
        day = terms.stock_days[soft_index][week.index]
        if not soft.soft_fresh or day is None or soft.most_on(day) < 1.0:
            continue
        least, most = soft_window(soft, limits)
        unit = soft.unit.dry_matter / bed.area
        for soft_count in whole_counts(unit, 0.8 * least, min(1.1 * most, soft.most_on(day) * unit), 3):
            for place, dry_index in enumerate(caps):
                dry = terms.stocks[dry_index]
                lean, rich = dry_window(soft, dry, limits)
                if lean == inf:
                    yield None
                    continue
                cap = limits.thinnest_cap * dry.unit.dry_matter / dry.unit.thickness
                least_load = max(lean * unit * soft_count, cap)
                most_load = max(rich * unit * soft_count, 1.3 * least_load, dry.unit.dry_matter / bed.area)
                for count in whole_counts(dry.unit.dry_matter / bed.area, least_load, most_load, 1 if place else 2):
                    portion = Portion(soft_index, soft_count)
                    yield made(bed_index, week, day, portion, Portion(dry_index, count), terms, moist)


def ready_made(
    terms: PlanTerms, without: Iterable[str] = (), standing: Mapping[int, Sequence[Candidate]] | None = None
) -> tuple[tuple[tuple[Candidate, ...], ...], Refusals]:
    """Return the candidates by bed that keep every rule of a single layer, and what was turned away.

    Parameters
    ----------
    terms : PlanTerms
        Beds, stocks, weeks and limits.
    without : iterable of str
        Rules left out, for tests that show what each rule prevents.
    standing : mapping, optional
        Layers of the plan so far that can still be laid, by bed; each is among the candidates.
    """
    left_out = frozenset(without)
    checks = {rule: check for rule, check in CHECKS.items() if rule not in left_out}
    by_bed: list[tuple[Candidate, ...]] = []
    refusals: dict[str, Counter[str]] = {}
    for bed_index, bed in enumerate(terms.beds):
        kept: list[Candidate] = []
        counts: Counter[str] = Counter()
        for week in terms.weeks:
            if week.laying_day is None:
                counts["R18"] += 1
                continue
            fitting: list[Candidate] = []
            for candidate in offered(bed_index, week, terms, moist="R8" not in left_out):
                if candidate is None:
                    counts["R8"] += 1
                    continue
                broken = [rule for rule, check in checks.items() if check(candidate, bed, terms)]
                counts.update(broken)
                if not broken:
                    fitting.append(candidate)
            old = [one for one in (standing or {}).get(bed_index, ()) if one.week == week.index]
            kept.extend([*(one for one in thinned(fitting) if not any(same_layer(one, other) for other in old)), *old])
        if not kept and not counts and one_container_too_much(bed, terms):
            counts["R7"] += 1
        by_bed.append(tuple(kept))
        refusals[bed.name] = counts
    return tuple(by_bed), Refusals(refusals)


def same_layer(one: Candidate, other: Candidate) -> bool:
    """Say whether two candidates are one and the same layer."""
    return (one.bed, one.day, one.soft, one.dry) == (other.bed, other.day, other.soft, other.dry)


def one_container_too_much(bed: BedTerms, terms: PlanTerms) -> bool:
    """R7: say whether something is there of which one whole container is more than a bed can take in a layer."""
    for number, stock in enumerate(terms.stocks):
        most = soft_window(stock, terms.limits)[1] if stock.soft_fresh else MOST_COVER
        there = any(day is not None and stock.most_on(day) >= 1.0 for day in terms.stock_days[number])
        if there and stock.unit.dry_matter / bed.area > 1.1 * most:
            return True
    return False


def thinned(candidates: list[Candidate], most: int = MOST_PER_BED_AND_WEEK) -> list[Candidate]:
    """Return at most so many, every n-th of them ordered by nitrogen laid."""
    if len(candidates) <= most:
        return candidates
    ordered = sorted(candidates, key=lambda c: (c.nitrogen, c.dry_load, c.dry.stock))
    step = len(ordered) / most
    return [ordered[int(place * step)] for place in range(most)]
