"""From the record's entries to what rules of safety ask: batches as they stand, rules set aside, layers refused."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from mullbed.domain.bed import Bed
from mullbed.domain.garden import Garden
from mullbed.domain.record import Entry
from mullbed.domain.record_batches import BatchDecided, BatchTaken, BeanTestRead, Decision
from mullbed.domain.record_papers import RuleOverridden
from mullbed.domain.record_standing import standing
from mullbed.domain.record_work import LayerLaid, LiftLaid
from mullbed.domain.refusal import Override, Refusal, parted
from mullbed.domain.safety import BatchState, IntakeAnswers
from mullbed.domain.supply import supply_names
from mullbed.safety.hygiene import batch_refusals
from mullbed.safety.refusals import refusals


def batch_states(entries: Iterable[Entry], garden: Garden, day: date) -> dict[str, BatchState]:
    """Return every batch and supply as it stands on a day; a batch of the record stands before a supply of its name.

    A hold of the garden file ends on its day. A batch of the record stays held until somebody decides: the day its
    test is due clears nothing.
    """
    found = {
        name: BatchState(
            name,
            supply.residue,
            Decision.HOLD_AND_TEST if supply.held_because is not None else Decision.KEEP,
            supply.held_until,
            supply.held_because or "",
            bought_in=supply.bought_in,
        )
        for name, supply in zip(supply_names(garden.supplies), garden.supplies, strict=True)
    }
    for entry in standing(entries):
        facts, name = entry.facts, entry.batch
        if name is None or entry.day > day:
            continue
        if isinstance(facts, BatchTaken):
            answers = IntakeAnswers(facts.sprayed, facts.seeded, facts.diseased, facts.stored_on_soil)
            found[name] = BatchState(
                name, facts.residue, facts.decision, reason=facts.reason, answers=answers, bought_in=True
            )
        elif isinstance(facts, BatchDecided) and name in found:
            found[name] = replace(found[name], decision=facts.decision, hold_until=None, reason=facts.reason)
        elif isinstance(facts, BeanTestRead) and name in found:
            found[name] = replace(found[name], test=facts.verdict)
    return found


def overrides_in(entries: Iterable[Entry]) -> tuple[Override, ...]:
    """Return the rules the record tells were set aside for a bed or the whole garden, not for one entry alone."""
    return tuple(
        Override(entry.facts.rule, entry.facts.reason, entry.facts.decided_by, entry.day, entry.bed, entry.batch)
        for entry in standing(entries)
        if isinstance(entry.facts, RuleOverridden) and entry.facts.for_entry is None
    )


def layer_refusals(
    laid: LayerLaid, entries: Sequence[Entry], garden: Garden, bed: Bed, day: date
) -> tuple[tuple[Refusal, ...], tuple[tuple[Refusal, Override], ...]]:
    """Return what speaks against noting a layer, and what somebody set aside before.

    Parameters
    ----------
    laid : LayerLaid
        A lift that names no batch is taken to be of the batch of its residue, where every batch of it is held.
    entries : sequence of Entry
        The garden's batches, decisions, bean tests and rules set aside, in any order.
    garden : Garden
    bed : Bed
    day : date
    """
    states = batch_states(entries, garden, day)
    named = replace(laid, lifts=tuple(_with_batch(one, states, day) for one in laid.lifts))
    found = refusals(named, states, bed, day, garden.site, garden.limits)
    return parted(found, (*garden.overrides, *overrides_in(entries)))


def _with_batch(one: LiftLaid, states: dict[str, BatchState], day: date) -> LiftLaid:
    if one.batch is not None:
        return one
    alike = [state for state in states.values() if state.residue == one.lift.residue]
    free = [state for state in alike if not batch_refusals(state, day)]
    chosen = next(iter(free or alike), None)
    return one if chosen is None else replace(one, batch=chosen.name)
