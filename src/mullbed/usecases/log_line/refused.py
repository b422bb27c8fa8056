"""What rules of safety refuse, and what a person sets aside with a reason."""

from __future__ import annotations

from collections.abc import Sequence

from mullbed.domain.bed import Bed
from mullbed.domain.record import Entry
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import RuleOverridden
from mullbed.domain.refusal import Refusal
from mullbed.errors import Fault, InputFault
from mullbed.store.journal import append
from mullbed.usecases.log_line.opening import Open


def refuse(
    refused: Sequence[Refusal],
    although: str | None,
    *,
    what: str = "layer",
    otherwise: str = "Take it off the bed, and write it down with: mullbed log incident.",
) -> None:
    """Refuse what rules of safety forbid, but for those a person may set aside and gave a reason for."""
    reason = (although or "").strip()
    faults = []
    for one in refused:
        if one.override_allowed and reason:
            continue
        remedy = (
            'Add --although "reason" if it was done all the same; the reason is kept.'
            if one.override_allowed
            else otherwise
        )
        faults.append(Fault(what, one.told(), "what rules of safety let through", remedy))
    if faults:
        raise InputFault(faults)


def set_aside(at: Open, refusal: Refusal, reason: str, layer: str, bed: Bed) -> None:
    """Keep that a rule was set aside for one layer, by whom and why."""
    signed = at.line.signed
    facts = RuleOverridden(refusal.rule, reason.strip(), signed.author, refusal.source, layer)
    new = Entry(signed.new_id(), at.id, Kind.OVERRIDE, at.day, signed.now, signed.author, facts, bed=bed.name)
    append(at.transaction, [new])
