"""What a season leaves of phosphorus and potassium on each bed: laid with residues and inputs, less what was picked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from mullbed.domain.bed import Bed
from mullbed.domain.crop import Crop
from mullbed.domain.doings import BedAccount, Picked
from mullbed.domain.residue import Residue

CARRIED = "carried over"
"""Name of the input that carries the account into a new season."""


def bed_account(
    bed: Bed,
    season: tuple[date, date],
    picked: Sequence[Picked],
    crops: Mapping[str, Crop],
    residues: Mapping[str, Residue],
    before: BedAccount | None = None,
) -> BedAccount:
    """Return the account of a bed as it was done, from its first to its last day.

    A crop whose harvest was weighed removes in proportion to it; one that was not, what its goal removes, once its
    last day has come.
    """
    first, last = season
    laid = [lift for layer in bed.layers if first <= layer.day <= last for lift in layer.lifts]
    inputs = [one for one in bed.inputs if first <= one.day <= last and one.name != CARRIED]
    unknown: set[str] = set()
    phosphorus = sum(lift.dry_matter * residues[lift.residue].phosphorus.mid for lift in laid)
    phosphorus += sum(one.phosphorus for one in inputs)
    potassium = 0.0
    for lift in laid:
        content = residues[lift.residue].potassium
        if content is None:
            unknown.add(lift.residue)
        else:
            potassium += lift.dry_matter * content.mid
    phosphorus_removed = potassium_removed = 0.0
    for crop in bed.crops:
        if crop.harvested < first or crop.planted > last:
            continue
        row = crops[crop.crop]
        weighed = [
            one.fresh_kg
            for one in picked
            if one.bed == bed.name and one.crop == crop.crop and one.fresh_kg is not None
            if crop.planted <= one.day <= max(crop.harvested, last) and first <= one.day <= last
        ]
        goal = crop.yield_goal if crop.yield_goal is not None else row.yield_goal.mid
        if weighed:
            yielded = sum(weighed) / bed.area
        elif first <= crop.harvested <= last:
            yielded = goal * crop.share
        else:
            continue
        phosphorus_removed += row.phosphorus_removed.mid * yielded / row.yield_goal.mid
        if row.potassium_removed is None:
            unknown.add(crop.crop)
        else:
            potassium_removed += row.potassium_removed.mid * yielded / row.yield_goal.mid
    return BedAccount(
        bed=bed.name,
        phosphorus_laid=phosphorus,
        phosphorus_removed=phosphorus_removed,
        potassium_laid=potassium,
        potassium_removed=potassium_removed,
        potassium_unknown=tuple(sorted(unknown)),
        phosphorus_before=before.phosphorus if before is not None else 0.0,
        potassium_before=before.potassium if before is not None else 0.0,
    )
