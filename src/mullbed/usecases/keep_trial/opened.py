"""The record opened for a trial: its papers by name, newest version last, and the readings that belong to them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from mullbed.domain.record import Entry
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Document
from mullbed.domain.record_seen import FieldChecked
from mullbed.domain.trial import Deviation, Reading, TrialPlan
from mullbed.errors import NotFound
from mullbed.files.trial_file import trial_from_text
from mullbed.store.database import Transaction
from mullbed.store.journal import entries

LOST = "lost"


@dataclass(frozen=True, slots=True)
class Papers:
    """All versions of one trial."""

    entry: Entry
    """The newest."""
    version: int
    plan: TrialPlan
    deviations: tuple[Deviation, ...]
    ids: frozenset[str]
    """Of every version; readings belong to any of them."""


def all_papers(transaction: Transaction, garden: str) -> dict[str, Papers]:
    """Return every trial by name, in the order first kept."""
    found: dict[str, list[tuple[int, Entry, Document]]] = {}
    for one in entries(transaction, garden, kinds=(Kind.TRIAL,)):
        if isinstance(one.facts, Document):
            found.setdefault(one.facts.name, []).append((one.facts.version, one, one.facts))
    papers = {}
    for name, versions in found.items():
        version, entry, document = max(versions, key=lambda row: (row[0], row[1].written_at))
        plan, deviations = trial_from_text(document.content, f"trial {name}")
        ids = frozenset(one.id for _, one, _ in versions)
        papers[name] = Papers(entry, version, plan, deviations, ids)
    return papers


def papers_of(transaction: Transaction, garden: str, name: str) -> Papers:
    """Return the papers of a trial by its name; raises NotFound with the names there are."""
    known = all_papers(transaction, garden)
    whole = known.get(name) or next((one for key, one in known.items() if key.casefold() == name.casefold()), None)
    if whole is None:
        raise NotFound("trial", name, list(known)[:5])
    return whole


def readings_in(checks: Iterable[Entry], ids: frozenset[str]) -> tuple[Reading, ...]:
    """Return the readings of a trial from the field checks that belong to it, each repeat one reading."""
    found = []
    for one in checks:
        facts = one.facts
        if not isinstance(facts, FieldChecked) or facts.plot is None or one.subject not in ids:
            continue
        season = facts.season or str(one.day.year)
        values: tuple[float | None, ...] = facts.readings or (None,)
        note = facts.words if facts.readings else LOST
        found += [Reading(facts.plot, facts.check, season, value, note, facts.operator, one.day) for value in values]
    return tuple(found)
