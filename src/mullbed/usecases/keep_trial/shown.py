"""Trials as they are shown: what each can show, what was read, what came out; and what a plan would show."""

from __future__ import annotations

from collections.abc import Iterable

from mullbed.domain.garden import UnitSystem
from mullbed.domain.kept_trial import KeptTrial, WorkOnBed
from mullbed.domain.record_crops import Harvested
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_work import HoursWorked
from mullbed.domain.signing import Where
from mullbed.domain.trial import Arrangement, Fairness, TrialPlan, Way
from mullbed.domain.trial_answers import AnalysedTrial, TrialDesign
from mullbed.errors import Fault, InputFault
from mullbed.files.record_garden import GARDEN_KINDS, kept_garden
from mullbed.files.trial_share import shared_text
from mullbed.reference.field_checks import all_field_checks, find_field_check
from mullbed.reference.trial_effects import all_trial_effects
from mullbed.store.database import Transaction, open_record
from mullbed.store.journal import entries
from mullbed.store.which_garden import which_garden
from mullbed.trials.analysis import analyse
from mullbed.trials.design import measure_of, plan_of, seen_deviations, told_design
from mullbed.trials.layout import laid_out, seal_holds
from mullbed.trials.power import detectable
from mullbed.usecases.keep_trial.opened import Papers, all_papers, papers_of, readings_in
from mullbed.usecases.keep_trial.papers import trial_beds


def list_trials(where: Where) -> tuple[KeptTrial, ...]:
    """Return every kept trial, the newest first, without working out what came of it."""
    with open_record(where.record) as record, record.reading() as transaction:
        garden = which_garden(transaction, where.garden)
        found = [_shown(transaction, garden, one, outcome=False) for one in all_papers(transaction, garden).values()]
    return tuple(sorted(found, key=lambda one: (one.day, one.id), reverse=True))


def show_trial(where: Where, name: str, *, outcome: bool = True) -> KeptTrial:
    """Return one trial, analysed where enough was read; raises NotFound for one nobody kept."""
    with open_record(where.record) as record, record.reading() as transaction:
        garden = which_garden(transaction, where.garden)
        return _shown(transaction, garden, papers_of(transaction, garden, name), outcome=outcome)


def _shown(transaction: Transaction, garden: str, papers: Papers, *, outcome: bool) -> KeptTrial:
    plan = papers.plan
    readings = readings_in(entries(transaction, garden, kinds=(Kind.FIELD_CHECK,)), papers.ids)
    told = kept_garden(entries(transaction, garden, kinds=GARDEN_KINDS))
    analysed: AnalysedTrial | None = None
    not_yet: tuple[str, ...] = ()
    if outcome and readings:
        try:
            kept = [one for one in readings if one.measure in {measure.key for measure in plan.measures}]
            analysed = AnalysedTrial(
                analyse(plan, kept, papers.deviations),
                plan.locked_on is not None,
                seal_holds(plan),
                tuple(kept),
                seen_deviations(plan, readings),
            )
        except InputFault as fault:
            not_yet = tuple(f"{one.place}: {one.value}. {one.remedy}" for one in fault.faults)
    return KeptTrial(
        papers.entry.id,
        papers.entry.day,
        papers.version,
        told_design(plan, all_field_checks(), all_trial_effects()),
        papers.deviations,
        readings,
        analysed,
        not_yet,
        trial_beds(transaction, garden, plan),
        told.garden.site.name if told is not None else garden,
        told.garden.site.units if told is not None else UnitSystem.METRIC,
    )


def passed_on(where: Where, name: str) -> str:
    """Return a kept trial as the text of a file that others can join: no name, place, bed, day or remark.

    Raises
    ------
    InputFault
        When too little was read to say anything.
    """
    kept = show_trial(where, name)
    if kept.outcome is None:
        remedy = " ".join(kept.not_yet) or "Read the plots first."
        raise InputFault([Fault(f"trial {name}", "nothing came out yet", "an analysed trial", remedy)])
    beds = [bed for bed in dict.fromkeys(plot.bed for plot in kept.design.plan.plots) if bed]
    return shared_text(kept.outcome, work_on_beds(where, beds))


def plan_ahead(
    name: str,
    question: str,
    ways: Iterable[str],
    control: str,
    fairness: str,
    blocks: int,
    measures: Iterable[str],
    worthwhile: float,
    seed: int,
    *,
    beds: Iterable[str] = (),
    arrangement: str = "",
    own_words: str = "",
    variation: float | None = None,
    seasons: int = 1,
) -> TrialDesign:
    """Return a plan as it was chosen, drawn, with what it can show; nothing is kept.

    Parameters
    ----------
    ways, control, fairness, arrangement : str
        Words of the enumerations of :mod:`mullbed.domain.trial`.
    measures : iterable of str
        Field checks, the one that decides first.
    own_words : str
        What the grower's own way is.
    variation : float, optional
        How far plots treated alike differ in the first measure, from own repeats. [fraction]
    seasons : int
        How many are planned.

    Raises
    ------
    InputFault, NotFound
        With everything that cannot be.
    """
    checks = [find_field_check(one) for one in dict.fromkeys(measures)]
    chosen = tuple(Way(one) for one in dict.fromkeys(ways) if one in set(Way))
    plan = plan_of(
        name,
        question,
        chosen,
        Way(control) if control in set(Way) else Way.BARE,
        Fairness(fairness) if fairness in set(Fairness) else Fairness.SAME_ORIGIN,
        blocks,
        [measure_of(one, variation if number == 0 else None) for number, one in enumerate(checks)],
        worthwhile,
        seed,
        arrangement=Arrangement(arrangement) if arrangement in set(Arrangement) else None,
        beds=beds,
        words={Way.OWN: own_words} if own_words.strip() else None,
        seasons=seasons,
    )
    return told_design(laid_out(plan), all_field_checks(), all_trial_effects())


def other_sizes(plan: TrialPlan, numbers: Iterable[int]) -> tuple[tuple[int, float], ...]:
    """Return what other numbers of pairs or blocks would show on the measure that decides. [fraction]"""
    one = plan.primary
    return tuple(
        (
            number,
            detectable(
                number,
                one.variation,
                correlation=plan.correlation,
                alpha=plan.alpha,
                treatments=len(plan.treatments),
                scale=one.scale,
            ),
        )
        for number in numbers
    )


def work_on_beds(where: Where, beds: Iterable[str]) -> tuple[WorkOnBed, ...]:
    """Return hours worked and kilograms picked bed by bed."""
    wanted = dict.fromkeys(beds)
    with open_record(where.record) as record, record.reading() as transaction:
        garden = which_garden(transaction, where.garden)
        told = kept_garden(entries(transaction, garden, kinds=GARDEN_KINDS))
        done = entries(transaction, garden, kinds=(Kind.HOURS, Kind.HARVEST))
    found = []
    for name in wanted:
        mine = [one.facts for one in done if one.bed == name]
        bed = told.garden.bed(name) if told is not None else None
        found.append(
            WorkOnBed(
                name,
                sum(one.minutes for one in mine if isinstance(one, HoursWorked)) / 60.0,
                sum(one.fresh_kg for one in mine if isinstance(one, Harvested)),
                bed.area if bed is not None else None,
            )
        )
    return tuple(found)
