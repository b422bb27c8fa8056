"""What a new plan does otherwise than the one before it, in sentences."""

from __future__ import annotations

from collections.abc import Sequence

from mullbed.domain.layer import Layer
from mullbed.domain.plan_changes import Change, LayerChange
from mullbed.reports.amounts import lift_amount
from mullbed.reports.names import bed_title, residue_name
from mullbed.reports.words import capital, counted, day_words

Json = dict[str, object]


def change_sentences(changes: Sequence[LayerChange]) -> list[str]:
    """Return one sentence for all layers that stay, and one for each that does not."""
    stays = sum(1 for one in changes if one.change is Change.STAYS)
    others = [one for one in changes if one.change is not Change.STAYS]
    if not others:
        return [f"Nothing changes: {counted(stays, 'layer')} as planned before."] if stays else []
    first = [f"{capital(counted(stays, 'layer'))} as planned before."] if stays else []
    return [*first, *(_sentence(one) for one in others)]


def _sentence(one: LayerChange) -> str:
    title = bed_title(one.bed)
    if one.after is None:
        told = f"; {_things(one.before)} was planned" if one.before is not None else ""
        return f"{title}: nothing on {day_words(one.day)} any more{told}."
    if one.before is None:
        return f"{title}: new on {day_words(one.day)}, {_things(one.after)}."
    if one.change is Change.MOVED:
        later = "later" if one.after.day > one.before.day else "earlier"
        return f"{title}: {day_words(one.after.day)} instead of {day_words(one.before.day)}, {later}; the same layer."
    moved = f", on {day_words(one.after.day)}" if one.after.day != one.before.day else ""
    return f"{title}, {day_words(one.before.day)}: {_things(one.after)} instead of {_things(one.before)}{moved}."


def _things(layer: Layer) -> str:
    return " and ".join(f"{lift_amount(lift)} {residue_name(lift.residue)}" for lift in layer.lifts)


def changes_document(changes: Sequence[LayerChange]) -> list[Json]:
    """Return the changes for programs."""
    return [
        {
            "bed": one.bed,
            "change": str(one.change),
            "day_before": one.before.day.isoformat() if one.before is not None else None,
            "day_after": one.after.day.isoformat() if one.after is not None else None,
        }
        for one in changes
    ]
