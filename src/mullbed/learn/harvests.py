"""Harvests as observations: what share of the harvest hoped for came."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from mullbed.domain.bed import Bed
from mullbed.domain.crop import Crop
from mullbed.domain.doings import Picked
from mullbed.domain.observation import OBSERVABLES, Observation

#: A crop on less of a bed than this tells little of the bed. [1] Judgement.
LEAST_SHARE = 0.5


def harvest_observations(
    beds: Iterable[Bed], picked: Iterable[Picked], crops: Mapping[str, Crop]
) -> tuple[Observation, ...]:
    """Return one observation for each crop that is over and was weighed, on the day of its last picking.

    Only the first crop of a bed is told of: later ones stand on what it left, which the state tells in one sum.
    """
    masses: dict[tuple[str, str], list[Picked]] = defaultdict(list)
    for one in picked:
        masses[one.bed, one.crop].append(one)
    found = []
    for bed in beds:
        standing = sorted(bed.crops, key=lambda crop: crop.planted)
        if not standing or standing[0].share < LEAST_SHARE:
            continue
        first, pickings = standing[0], masses.get((bed.name, standing[0].crop), [])
        if any(other.planted <= first.harvested for other in standing[1:]):
            continue  # crops beside it took of the same nitrogen
        goal = first.yield_goal or crops[first.crop].yield_goal.mid
        known = [one.fresh_kg for one in pickings if one.fresh_kg is not None]
        if not known or len(known) < len(pickings) or not any(one.last for one in pickings) or not goal:
            continue
        share = sum(known) / (goal * bed.area * first.share)
        last = max(one.day for one in pickings)
        found.append(Observation("harvest", bed.name, last, value=min(OBSERVABLES["harvest"].high, share)))
    return tuple(found)
