"""Hours, costs and incidents."""

from __future__ import annotations

from collections.abc import Sequence

from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Incident
from mullbed.domain.record_work import Cost, HoursWorked
from mullbed.domain.signing import Kept
from mullbed.errors import Fault, InputFault
from mullbed.usecases.log_line.opening import Line, keep, opened, said_words


def log_hours(line: Line, job: str, minutes: float, *, people: int = 1, bed: str | None = None) -> Kept:
    """Keep work: minutes of all people together."""
    with opened(line) as at:
        here = at.bed(bed) if bed is not None else None
        return keep(at, Kind.HOURS, HoursWorked(said_words(job, "job"), minutes, people), bed=here)


def log_cost(line: Line, what: str, amount: str, currency: str) -> Kept:
    """Keep money spent, or taken in where it is below zero."""
    with opened(line) as at:
        try:
            facts = Cost(said_words(what, "what"), amount.strip(), currency.strip().upper())
        except ValueError as error:
            raise InputFault([Fault("cost", f"{amount} {currency}", "12.50 EUR", f"{error}.")]) from error
        return keep(at, Kind.COST, facts)


def log_incident(line: Line, what: str, text: str, *, done: str = "", told: Sequence[str] = ()) -> Kept:
    """Keep an incident: injury, vermin, fire, illness."""
    with opened(line) as at:
        facts = Incident(said_words(what, "what"), said_words(text, "words"), done, tuple(told))
        return keep(at, Kind.INCIDENT, facts)
