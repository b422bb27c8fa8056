"""Plans of trials: kept, drawn again, locked, and what was done otherwise."""

from __future__ import annotations

from datetime import date

from mullbed.domain.bed import Bed
from mullbed.domain.record import Entry
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Document
from mullbed.domain.signing import Kept, Signature, Where
from mullbed.domain.trial import Deviation, TrialPlan
from mullbed.errors import Fault, InputFault
from mullbed.files.record_garden import GARDEN_KINDS, kept_garden
from mullbed.files.trial_file import trial_text
from mullbed.store.database import Transaction, open_record
from mullbed.store.journal import append, entries
from mullbed.store.which_garden import which_garden
from mullbed.trials.design import redrawn, with_deviation
from mullbed.trials.layout import laid_out, locked
from mullbed.usecases.keep_trial.opened import all_papers, papers_of


def keep_plan(
    where: Where, signed: Signature, plan: TrialPlan, deviations: tuple[Deviation, ...] = (), words: str = ""
) -> Kept:
    """Keep a plan, drawn first where it is not; a locked trial of that name stays as it is.

    Raises
    ------
    InputFault
        When the plan has faults, or one of that name is locked and says something else.
    """
    drawn = plan if plan.plots else laid_out(plan)
    with open_record(where.record) as record, record.writing() as transaction:
        garden = which_garden(transaction, where.garden)
        before = all_papers(transaction, garden).get(drawn.name)
        if before is not None and before.plan.locked_on is not None and before.plan.seal != drawn.seal:
            remedy = "Give the new one another name; note changes on the locked one."
            raise InputFault([Fault(f"trial {drawn.name}", "a locked one is kept", "another name", remedy)])
        version = before.version + 1 if before is not None else 1
        return _kept(transaction, garden, signed, drawn, deviations, version, words)


def draw_again(where: Where, signed: Signature, name: str, seed: int) -> Kept:
    """Keep an open plan drawn anew from another seed; raises InputFault for a locked one."""
    with open_record(where.record) as record, record.writing() as transaction:
        garden = which_garden(transaction, where.garden)
        before = papers_of(transaction, garden, name)
        drawn = laid_out(redrawn(before.plan, seed))
        return _kept(transaction, garden, signed, drawn, before.deviations, before.version + 1, "drawn again")


def lock_kept(where: Where, signed: Signature, name: str) -> Kept:
    """Lock a kept plan today; raises InputFault when it is locked already."""
    with open_record(where.record) as record, record.writing() as transaction:
        garden = which_garden(transaction, where.garden)
        before = papers_of(transaction, garden, name)
        sealed = locked(before.plan, signed.today)
        return _kept(transaction, garden, signed, sealed, before.deviations, before.version + 1, "locked")


def note_on_kept(where: Where, signed: Signature, name: str, what: str, why: str, day: date | None = None) -> Kept:
    """Keep what was done otherwise than locked, and why; raises InputFault when the plan is open or words miss."""
    with open_record(where.record) as record, record.writing() as transaction:
        garden = which_garden(transaction, where.garden)
        before = papers_of(transaction, garden, name)
        kept = with_deviation(before.plan, before.deviations, day or signed.today, what, why)
        return _kept(transaction, garden, signed, before.plan, kept, before.version + 1, f"changed: {what.strip()}")


def trial_beds(transaction: Transaction, garden: str, plan: TrialPlan) -> tuple[Bed, ...]:
    """Return the garden's beds a trial lies on, in the order of its plots."""
    told = kept_garden(entries(transaction, garden, kinds=GARDEN_KINDS))
    if told is None:
        return ()
    names = dict.fromkeys(plot.bed for plot in plan.plots if plot.bed)
    return tuple(bed for name in names if (bed := told.garden.bed(name)) is not None)


def _kept(
    transaction: Transaction,
    garden: str,
    signed: Signature,
    plan: TrialPlan,
    deviations: tuple[Deviation, ...],
    version: int,
    words: str,
) -> Kept:
    facts = Document(plan.name, version, trial_text(plan, deviations), words)
    entry = Entry(signed.new_id(), garden, Kind.TRIAL, signed.today, signed.now, signed.author, facts)
    append(transaction, [entry])
    return Kept(entry)
