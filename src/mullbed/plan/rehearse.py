"""Simulate the chosen plan as a whole, bed by bed, and correct the outcomes where layers change each other.

A candidate is priced as if it were the only new layer. In the rehearsal each layer lies on those before it. What a
layer gives there is told by running the bed with its first layers only, one more each time. The difference to what was
promised corrects the outcomes of candidates laid about then on that bed, per dry matter laid, and it is planned again.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from mullbed.domain.layer import Layer
from mullbed.domain.residue import Residue
from mullbed.plan.candidates import layer_of
from mullbed.plan.choice_model import highest_fifth, untold
from mullbed.plan.offers import BedOffers
from mullbed.plan.outcomes import Ensemble, drawn_members, weekly
from mullbed.plan.season_terms import base_run
from mullbed.plan.terms import DAYS_A_WEEK, PlanTerms, Series
from mullbed.simulate.bed_case import lay_event
from mullbed.simulate.case import BedCase
from mullbed.simulate.run import pack, run_packed

#: Promise and rehearsal agree within this share of crop want. [fraction]
AGREED = 0.1
#: Corrections at most before layers are taken off beds.
MOST_CORRECTIONS = 4
#: Corrections after which all beds are planned anew; then beds that agree keep their layers. [judgement]
ALL_FREE = 2
#: Least want the difference is measured against, so that a bed without crops can agree. [g m-2]
LEAST_WANT = 5.0
#: Nitrogen fed beyond its ceiling is answered from this on. [g m-2, judgement]
EXCESS_TOLD = 0.5
#: Layers taken off a bed one by one where it is still fed beyond its ceiling when the rounds run out.
MOST_TAKEN_OFF = 4
#: Share of a ceiling by which 64 members cannot tell a percentile apart. [fraction, judgement]
NOT_TOLD_APART = 0.03
#: A correction is carried over to at most so many times the dry matter it was found at. [1, judgement]
MOST_SCALED = 2.0


@dataclass(frozen=True, slots=True, eq=False)
class Attributed:
    """What each chosen layer of a bed gave in the rehearsal, in order of laying."""

    chosen: tuple[int, ...]
    """Candidates by index, in order of laying."""
    given: Series
    """(layers, members, weeks) [g m-2]"""
    soil: Series
    """Given by the bed without new layers, in the season, with what was there at the start. (members,) [g m-2]"""
    priced_with: tuple[int, ...] = ()
    """Which of these members the candidates were priced with; the first ones where empty."""


@dataclass(frozen=True, slots=True, eq=False)
class Correction:
    """What one layer of a bed gave beyond its promise."""

    week: int
    dry_matter: float
    """[g m-2]"""
    given: Series
    """By week since laying. (weeks,) [g m-2]"""
    given_by_member: Series
    """(members,) [g m-2]"""


def with_layers(case: BedCase, layers: Sequence[Layer], residues: Mapping[str, Residue]) -> BedCase:
    """Return a bed's case with planned layers added."""
    first = case.weather.first_day
    events = tuple(lay_event(layer, (layer.day - first).days, residues) for layer in layers)
    return replace(case, events=(*case.events, *events))


def in_order(offers: BedOffers, chosen: Sequence[int]) -> tuple[int, ...]:
    """Return chosen candidates in order of laying."""
    return tuple(sorted(chosen, key=lambda index: offers.candidates[index].day))


def attributed(
    case: BedCase,
    offers: BedOffers,
    chosen: Sequence[int],
    terms: PlanTerms,
    residues: Mapping[str, Residue],
    ensemble: Ensemble,
    first_day: int,
) -> Attributed:
    """Run one bed with its first layer, its first two and so on, and tell what each gave."""
    order = in_order(offers, chosen)
    layers = [layer_of(offers.candidates[index], terms) for index in order]
    skipped = first_day // DAYS_A_WEEK
    sides = []
    for count in range(len(layers) + 1):
        laid = with_layers(case, layers[:count], residues)
        members = drawn_members(laid, ensemble)
        outcome = run_packed(pack(laid), members, every=DAYS_A_WEEK, name=case.name)
        sides.append(weekly(outcome, "soil_side_nitrogen"))
    given = [np.diff(after - before, axis=1, prepend=0.0)[:, skipped:] for before, after in pairwise(sides)]
    shape = (len(layers), ensemble.count, len(terms.weeks))
    return Attributed(order, np.array(given).reshape(shape), base_run(case, ensemble, first_day).given.sum(axis=1))


def corrections_of(found: Attributed, promised: BedOffers) -> tuple[Correction, ...]:
    """Return what each layer gave beyond the promise of its candidate."""
    corrections = []
    for place, index in enumerate(found.chosen):
        candidate = promised.candidates[index]
        extra = found.given[place].mean(axis=0) - promised.given[index]
        since = np.zeros_like(extra)
        since[: len(extra) - candidate.week] = extra[candidate.week :]
        by_member = promised.given_by_member[index]
        same = list(found.priced_with or range(by_member.shape[0]))
        total = found.given[place, same].sum(axis=1) - by_member
        corrections.append(Correction(candidate.week, candidate.soft_load + candidate.dry_load, since, total))
    return tuple(corrections)


def corrected(offers: BedOffers, corrections: Sequence[Correction]) -> BedOffers:
    """Return the offers of a bed with the correction of the layer nearest in time carried over to each candidate."""
    if not corrections or not offers.candidates:
        return offers
    given, by_member = offers.given.copy(), offers.given_by_member.copy()
    weeks = given.shape[1]
    for place, candidate in enumerate(offers.candidates):
        nearest = min(corrections, key=lambda one: (abs(one.week - candidate.week), one.week))
        scale = min(MOST_SCALED, (candidate.soft_load + candidate.dry_load) / max(1.0, nearest.dry_matter))
        given[place, candidate.week :] += scale * nearest.given[: weeks - candidate.week]
        by_member[place] += scale * nearest.given_by_member
    return replace(offers, given=given, given_by_member=by_member)


@dataclass(frozen=True, slots=True, eq=False)
class Rehearsal:
    """What the whole season showed against what was promised."""

    attributed: tuple[Attributed, ...]
    difference: Series
    """Promised less rehearsed nitrogen of all layers, per crop want. (beds,) [fraction]"""
    excess: Series
    """Nitrogen fed beyond what the fed ceiling (R11) allows, 90th percentile. (beds,) [g m-2]"""
    lower: Series
    """By how much lower a ceiling on the promise would have kept the bed within it. (beds,) [g m-2]"""

    @property
    def agreed(self) -> bool:
        """Say whether no bed differs by more than a tenth of its crop want."""
        return bool(np.all(np.abs(self.difference) <= AGREED))

    @property
    def within_ceilings(self) -> bool:
        """Say whether no bed is fed noticeably beyond its ceiling."""
        return bool(np.all(self.excess <= EXCESS_TOLD))


def rehearsed(
    cases: Sequence[BedCase],
    offers: Sequence[BedOffers],
    chosen: Sequence[Sequence[int]],
    terms: PlanTerms,
    residues: Mapping[str, Residue],
    ensemble: Ensemble,
    first_day: int,
    priced_with: tuple[int, ...] = (),
) -> Rehearsal:
    """Rehearse the plan of every bed.

    Parameters
    ----------
    cases : sequence of BedCase
        By bed, as it is without new layers.
    offers : sequence of BedOffers
        The offers the plan was chosen from: what was promised.
    chosen : sequence
        Candidates laid, by bed.
    terms : PlanTerms
    residues : mapping
    ensemble : Ensemble
        More members than the candidates were priced with.
    first_day : int
        Day index of the Monday of the first week.
    priced_with : tuple of int
        Which of the members the candidates were priced with.
    """

    def one(bed: int) -> Attributed:
        found = attributed(cases[bed], offers[bed], chosen[bed], terms, residues, ensemble, first_day)
        return replace(found, priced_with=priced_with)

    with ThreadPoolExecutor(ensemble.threads) as pool:
        found = tuple(pool.map(one, range(len(terms.beds))))
    difference, excess, lower = (np.zeros(len(terms.beds)) for _ in range(3))
    for number, (bed, offer, run) in enumerate(zip(terms.beds, offers, found, strict=True)):
        promised = offer.given_by_member[list(run.chosen)].sum(axis=0)
        came = run.given.sum(axis=(0, 2))
        want = max(LEAST_WANT, float(bed.want.sum()))
        mean, middle = promised.mean() - came.mean(), np.median(promised) - np.median(came)
        difference[number] = max(mean, middle, key=abs) / want
        alone, fed = float(np.percentile(run.soil, 90.0)), float(np.percentile(run.soil + came, 90.0))
        allowed = (1.0 + NOT_TOLD_APART) * max(bed.nitrogen_fed_ceiling, alone + untold(bed))
        if run.chosen and fed > allowed:
            excess[number] = fed - allowed
            by_member = bed.soil_given.sum(axis=1) + promised
            tail = by_member[highest_fifth(by_member)].mean() - np.percentile(bed.soil_given.sum(axis=1), 90.0)
            lower[number] = max(0.0, float(tail)) * excess[number] / max(1e-6, fed - alone)
    return Rehearsal(found, difference, excess, lower)


Chosen = tuple[tuple[int, ...], ...]
Solve = Callable[[tuple[BedOffers, ...], Series, Mapping[int, tuple[int, ...]]], tuple[Chosen, float]]


@dataclass(frozen=True, slots=True, eq=False)
class Agreed:
    """The plan after promise and rehearsal were brought together."""

    chosen: tuple[tuple[int, ...], ...]
    offers: tuple[BedOffers, ...]
    """As corrected: what the plan promises."""
    gap: float
    rehearsal: Rehearsal
    corrections: int
    """How often outcomes were corrected and solved again."""


def lightened(chosen: Chosen, rehearsal: Rehearsal, offers: Sequence[BedOffers]) -> Chosen:
    """Return the plan without the layer that gave most, on each bed that was fed beyond its ceiling.

    Layers to be kept (R26) stay.
    """
    lighter = list(chosen)
    for number, run in enumerate(rehearsal.attributed):
        if run.chosen and rehearsal.excess[number] > EXCESS_TOLD:
            gave = run.given.sum(axis=2).mean(axis=1)
            gave[[offers[number].candidates[index].wanted for index in run.chosen]] = -np.inf
            most = int(np.argmax(gave))
            if gave[most] == -np.inf:
                continue
            lighter[number] = tuple(index for index in chosen[number] if index != run.chosen[most])
    return tuple(lighter)


def agreed_plan(
    solve: Solve,
    rehearse: Callable[[tuple[BedOffers, ...], tuple[tuple[int, ...], ...]], Rehearsal],
    offers: tuple[BedOffers, ...],
    most: int = MOST_CORRECTIONS,
    progress: Callable[[str], None] = lambda sentence: None,
    stop: Callable[[], bool] = lambda: False,
) -> Agreed:
    """Solve, rehearse, correct and solve again until promise and rehearsal agree, at most so many times.

    Corrections always start from the outcomes as they were simulated, so that they do not pile up; beds that agree
    keep outcomes and layers. A bed that is fed beyond its ceiling gets a lower one. When the rounds run out, layers are
    taken off beds that are still past it; what then differs between promise and rehearsal is told.

    Parameters
    ----------
    solve : callable
        From offers, how much lower each bed's fed ceiling is and the layers of beds that keep theirs, to candidates by
        bed and the gap.
    rehearse : callable
        From offers and candidates by bed to a rehearsal.
    offers : tuple of BedOffers
    most : int
        Most corrections.
    progress : callable
    stop : callable
        Asked between corrections whether the best so far will do; ceilings are kept all the same.
    """
    current, lowered = offers, np.zeros(len(offers))

    def proven(agreed: Agreed) -> Agreed:
        """Measure a plan that was corrected against every plan of all beds."""
        if not agreed.corrections:
            return agreed
        progress("Proving how good the plan is.")
        _, gap = solve(current, lowered, dict(enumerate(agreed.chosen)))
        return replace(agreed, gap=gap)

    chosen, gap = solve(current, lowered, {})
    for corrections in range(most + 1):
        progress(f"Rehearsing the plan{'' if corrections == 0 else f', round {corrections + 1}'}.")
        rehearsal = rehearse(current, chosen)
        if rehearsal.agreed and rehearsal.within_ceilings:
            return proven(Agreed(chosen, current, gap, rehearsal, corrections))
        if corrections == most or stop():
            for _ in range(MOST_TAKEN_OFF):
                if rehearsal.within_ceilings:
                    break
                progress("Taking layers off beds past their ceiling.")
                chosen = lightened(chosen, rehearsal, current)
                rehearsal = rehearse(current, chosen)
            return proven(Agreed(chosen, current, gap, rehearsal, corrections))
        adjusted, kept = list(current), {}
        for number, run in enumerate(rehearsal.attributed):
            differs = abs(rehearsal.difference[number]) > AGREED
            if differs:
                adjusted[number] = corrected(offers[number], corrections_of(run, offers[number]))
            if corrections >= ALL_FREE and not differs and rehearsal.excess[number] <= EXCESS_TOLD:
                kept[number] = chosen[number]
        lowered = lowered + rehearsal.lower
        current = tuple(adjusted)
        chosen, gap = solve(current, lowered, kept)
    raise AssertionError("the loop always returns")
