"""What a new plan does otherwise than the one before it, from a day on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from mullbed.domain.layer import Layer

#: A layer of the same residues so many days away is the same one, moved. Judgement. [d]
MOVED_WITHIN = 21


class Change(StrEnum):
    """What became of one layer."""

    STAYS = "stays"
    MOVED = "moved"
    OTHER_AMOUNT = "other amount"
    DROPPED = "dropped"
    NEW = "new"


@dataclass(frozen=True, slots=True)
class LayerChange:
    """One layer before and after; None where there is none."""

    change: Change
    before: Layer | None
    after: Layer | None

    @property
    def bed(self) -> str:
        """The bed it is on."""
        one = self.after or self.before
        return one.bed if one is not None else ""

    @property
    def day(self) -> date:
        """The earlier of its days."""
        return min(one.day for one in (self.before, self.after) if one is not None)


def plan_changes(before: Sequence[Layer], after: Sequence[Layer], since: date) -> tuple[LayerChange, ...]:
    """Return what became of every layer planned from a day on, in time; what was to be laid earlier is left out.

    A layer is looked for on its bed: first on its day with its amounts, then with its residues on the nearest day
    within three weeks, then on a day less than a week away with other residues.
    """
    open_before = [one for one in before if one.day >= since]
    open_after = [one for one in after if one.day >= since]
    found: list[LayerChange] = []
    for alike in (_same, _same_residues, _same_week):
        for old in sorted(open_before, key=lambda one: (one.day, one.bed)):
            near = [new for new in open_after if new.bed == old.bed and alike(old, new)]
            if not near:
                continue
            new = min(near, key=lambda one: (abs((one.day - old.day).days), one.day))
            open_before.remove(old)
            open_after.remove(new)
            found.append(LayerChange(_kind(old, new), old, new))
    found += [LayerChange(Change.DROPPED, old, None) for old in open_before]
    found += [LayerChange(Change.NEW, None, new) for new in open_after]
    return tuple(sorted(found, key=lambda one: (one.day, one.bed, one.change)))


def _amounts(layer: Layer) -> tuple[tuple[str, str, float], ...]:
    return tuple(sorted((lift.residue, lift.container, round(lift.count, 6)) for lift in layer.lifts))


def _same(old: Layer, new: Layer) -> bool:
    return old.day == new.day and _amounts(old) == _amounts(new)


def _same_residues(old: Layer, new: Layer) -> bool:
    kinds = {lift.residue for lift in old.lifts} == {lift.residue for lift in new.lifts}
    return kinds and abs((old.day - new.day).days) <= MOVED_WITHIN


def _same_week(old: Layer, new: Layer) -> bool:
    return abs((old.day - new.day).days) < 7


def _kind(old: Layer, new: Layer) -> Change:
    if _same(old, new):
        return Change.STAYS
    return Change.MOVED if old.day != new.day and _amounts(old) == _amounts(new) else Change.OTHER_AMOUNT
