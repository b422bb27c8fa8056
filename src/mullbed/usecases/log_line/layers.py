"""A layer as it was really laid."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Document
from mullbed.domain.record_work import LayerLaid, LiftLaid
from mullbed.domain.signing import Kept
from mullbed.files.noted_words import layer_typed, of_which_heap
from mullbed.files.record_garden import document_content
from mullbed.safety.heaps_meant import heaps_meant
from mullbed.safety.record_states import layer_refusals
from mullbed.store.journal import entries, latest
from mullbed.usecases.log_line.opening import Line, Open, keep, opened
from mullbed.usecases.log_line.refused import refuse, set_aside

#: A plan's layer so many days away is the one that was laid. Judgement. [d]
PLANNED_WITHIN = 14


#: Entries rules of safety look at.
SAFETY_KINDS = (Kind.BATCH, Kind.BATCH_DECISION, Kind.TEST_READ, Kind.OVERRIDE)


def log_layer(
    line: Line,
    bed: str,
    lifts: Sequence[str],
    *,
    water: str | None = None,
    minutes: float | None = None,
    although: str | None = None,
) -> Kept:
    """Keep a layer as it was really laid; amounts as typed, lifts from the soil up.

    Where one heap of a residue is held and another is not, the lift says which: "hay: 1 bale, of lane hay". What rules
    of safety refuse is kept only with a reason, ``although``, and the reason is kept beside it.
    """
    with opened(line) as at:
        here = at.bed(bed)
        layer = layer_typed(here, at.day, lifts, water, at.containers)
        told = entries(at.transaction, at.id, kinds=SAFETY_KINDS)
        heaps = heaps_meant(layer, [of_which_heap(text)[1] for text in lifts], told, at.garden, at.day)
        said = [of_which_heap(text)[0].rpartition(":")[2].strip() for text in lifts]
        laid = tuple(LiftLaid(*one) for one in zip(layer.lifts, said, heaps, strict=True))
        plan, planned_day = _planned(at, here.name)
        facts = LayerLaid(laid, layer.water, plan, planned_day, minutes, None, line.words)
        refused, _ = layer_refusals(facts, told, at.garden, here, at.day)
        refuse(refused, although)
        kept = keep(at, Kind.LAYER, facts, bed=here, planned_day=planned_day)
        for one in refused:
            set_aside(at, one, although or "", kept.entry.id, here)
        return kept


def _planned(at: Open, bed: str) -> tuple[str | None, date | None]:
    """Return the plan's entry and the day of its layer nearest to this one, where it has one."""
    plan = latest(at.transaction, at.id, Kind.PLAN)
    if plan is None or not isinstance(plan.facts, Document):
        return None, None
    layers = document_content(plan.facts).get("layers")
    days = [
        date.fromisoformat(one["layer"]["day"])
        for one in (layers if isinstance(layers, list) else [])
        if one["layer"]["bed"] == bed
    ]
    near = min(days, key=lambda day: abs((day - at.day).days), default=None)
    if near is None or abs((near - at.day).days) > PLANNED_WITHIN:
        return None, None
    return plan.id, near
