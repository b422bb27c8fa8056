"""What was just written down, told back with its undo."""

from __future__ import annotations

from dataclasses import dataclass

from mullbed.domain.garden import UnitSystem
from mullbed.domain.record_papers import TakenBack
from mullbed.language import say
from mullbed.reports.kept_words import entry_words
from mullbed.reports.words import capital
from mullbed.usecases.log_line import kept_entries
from mullbed.web.forms import Answers
from mullbed.web.visitor import Visitor


@dataclass(frozen=True, slots=True)
class Written:
    """Lines just kept, and how to take them back."""

    heading: str
    lines: tuple[str, ...]
    ids: tuple[str, ...]
    """What Undo takes back; empty where nothing is left to undo."""


def written(visitor: Visitor, asked: Answers, units: UnitSystem = UnitSystem.METRIC) -> Written | None:
    """Return what the address says was just kept; None where it says nothing."""
    ids = asked.all("id")[:20]
    if not ids:
        return None
    found = [one for one in kept_entries(visitor.where, ids) if one.bed is None or visitor.sees(one.bed)]
    if not found:
        return None
    back = any(isinstance(one.facts, TakenBack) for one in found)
    lines = tuple(capital(entry_words(one, units)) for one in found if not isinstance(one.facts, TakenBack))
    if back:
        return Written(say("Taken back."), (say("It stays in the record and no longer counts."),), ())
    return Written(say("Written down."), lines, tuple(one.id for one in found))
