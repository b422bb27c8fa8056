"""What comes in: batches, decisions on them, bean tests, containers weighed."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from mullbed.domain.record import Entry
from mullbed.domain.record_batches import (
    Answer,
    BatchDecided,
    BatchTaken,
    BeanTestRead,
    BeanTestSetUp,
    ContainerWeighed,
    Decision,
    TestVerdict,
)
from mullbed.domain.record_kinds import Kind
from mullbed.domain.safety import IntakeAnswers
from mullbed.domain.signing import Kept
from mullbed.domain.supply import supply_names
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.files.noted_words import batch_typed, weighing_typed
from mullbed.reference.residues import find_residue
from mullbed.safety.bean_test import reading_days
from mullbed.safety.hygiene import intake_verdict
from mullbed.store.journal import append, entries, latest
from mullbed.usecases.log_line.opening import Line, Open, keep, opened, said_words


def log_batch(
    line: Line,
    text: str,
    *,
    name: str | None = None,
    origin: str = "",
    sprayed: Answer = Answer.NOT_KNOWN,
    seeded: Answer = Answer.NOT_KNOWN,
    diseased: Answer = Answer.NOT_KNOWN,
    on_soil: Answer = Answer.NOT_KNOWN,
    decision: Decision | None = None,
    because: str = "",
) -> Kept:
    """Keep a batch that was offered, its intake check and what becomes of it; where nobody decided, the answers do."""
    with opened(line) as at:
        residue, container, count = batch_typed(text, at.containers)
        answers = IntakeAnswers(sprayed, seeded, diseased, on_soil)
        called = name or f"{residue.key.replace('_', ' ')} of {at.day.isoformat()}"
        verdict = intake_verdict(answers, residue, called, at.garden.site)
        decided, reason = verdict.decision, verdict.short
        if decision is not None:
            decided, reason = decision, because or (reason if decision is decided else "")
        hold = at.day + timedelta(days=reading_days()[-1]) if decided is Decision.HOLD_AND_TEST else None
        facts = BatchTaken(
            residue.key, container.name, count, decided, because or reason or "looked sound", line.signed.author,
            sprayed, seeded, diseased, on_soil, origin, None, hold,
        )  # fmt: skip
        return keep(at, Kind.BATCH, facts, batch=called)


def matching(text: str) -> tuple[str, ...]:
    """Return the key of the residue that is called so, which stands for a supply without a name of its own."""
    try:
        return (find_residue(text).key,)
    except NotFound:
        return ()


def log_missed(line: Line, supply: str) -> Kept:
    """Keep that what was expected did not come: a batch of nothing, which stands for the nearest expected one."""
    with opened(line) as at:
        names = supply_names(at.garden.supplies)
        keys = {supply.casefold(), *matching(supply)}
        found = [pair for pair in zip(names, at.garden.supplies, strict=True) if pair[0].casefold() in keys]
        if not found:
            raise InputFault([Fault("supply", f"'{supply}'", ", ".join(names), "Name what was expected.")])
        name, expected = found[0]
        facts = BatchTaken(
            expected.residue, expected.container, 0.0, Decision.KEEP, "did not come", line.signed.author,
            origin=line.words,
        )  # fmt: skip
        return keep(at, Kind.BATCH, facts, batch=name)


def log_decision(line: Line, batch: str, decision: Decision, because: str) -> Kept:
    """Keep a later decision on a batch."""
    with opened(line) as at:
        name = _batch(at, batch)
        hold = at.day + timedelta(days=reading_days()[-1]) if decision is Decision.HOLD_AND_TEST else None
        facts = BatchDecided(decision, said_words(because, "--because"), line.signed.author, None, hold)
        return keep(at, Kind.BATCH_DECISION, facts, batch=name)


def log_test_set_up(line: Line, batch: str, *, pots: int = 3, control_pots: int = 3, beans: int = 3) -> Kept:
    """Keep that a bean test was sown; it is read after two and three weeks."""
    with opened(line) as at:
        due = tuple(at.day + timedelta(days=days) for days in reading_days())
        facts = BeanTestSetUp(pots, control_pots, beans, due, line.words)
        return keep(at, Kind.TEST_SET_UP, facts, batch=_batch(at, batch))


def log_test_read(line: Line, batch: str, verdict: TestVerdict, *, last: bool = True) -> Kept:
    """Keep a reading of a bean test; a last one that is clear frees the batch, one that is harmed sends it back."""
    with opened(line) as at:
        name = _batch(at, batch)
        set_up = latest(at.transaction, at.id, Kind.TEST_SET_UP, batch=name)
        if set_up is None:
            remedy = f'Write: mullbed log test "{name}"'
            raise InputFault([Fault("batch", f"no bean test of '{name}' is kept", "a test that was sown", remedy)])
        facts = BeanTestRead(set_up.id, verdict, last=last, words=line.words)
        kept = keep(at, Kind.TEST_READ, facts, batch=name)
        freed = {TestVerdict.CLEAR: Decision.KEEP, TestVerdict.HARMED: Decision.SEND_BACK}.get(verdict)
        if freed is not None and (last or freed is Decision.SEND_BACK):
            reason = f"bean test {verdict}"
            signed = line.signed
            told = BatchDecided(freed, reason, signed.author, kept.entry.id)
            decided = Entry(
                signed.new_id(), at.id, Kind.BATCH_DECISION, at.day, signed.now, signed.author, told, batch=name
            )
            append(at.transaction, [decided])
            return replace(kept, remarks=(*kept.remarks, str(freed)))
        return kept


def _batch(at: Open, asked: str) -> str:
    """Return the name of the batch that is meant."""
    known = [one.batch for one in entries(at.transaction, at.id, kinds=(Kind.BATCH,)) if one.batch is not None]
    words = asked.casefold().split()
    near = [name for name in known if name.casefold() == asked.casefold()] or [
        name for name in known if words and all(word in name.casefold() for word in words)
    ]
    if len(set(near)) == 1:
        return near[0]
    remedy = "Say which one." if near else "Write it down first: mullbed log batch"
    found = f"'{asked}' could be {len(near)} batches" if near else f"no batch is called '{asked}'"
    raise InputFault([Fault("batch", found, ", ".join(near or known[-12:]) or "none yet", remedy)])


def log_weighed(line: Line, text: str, *, pressed: bool = False) -> Kept:
    """Keep the weighing of full containers."""
    with opened(line) as at:
        residue, container, kilograms = weighing_typed(text, at.containers)
        facts = ContainerWeighed(container.name, residue.key, kilograms, pressed, line.words)
        return keep(at, Kind.WEIGHING, facts)
