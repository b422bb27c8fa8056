"""Which of the engine's lifts belong to which layer, and each of those lifts through time.

A crop's own tops are lifts too and may be laid between two layers, so rows are found by day and residues.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from mullbed.domain.forecast import LiftThrough
from mullbed.domain.layer import Layer
from mullbed.simulate import layout as at
from mullbed.simulate.case import BedCase, Lay
from mullbed.simulate.ensemble import Members
from mullbed.simulate.run import Outcome


def rows_of_layers(case: BedCase, layers: Sequence[Layer]) -> list[slice]:
    """Return which rows of the engine's lifts each layer is, by its day and residues."""
    rows: dict[tuple[int, tuple[str, ...]], list[int]] = defaultdict(list)
    row = 0
    for event in sorted(case.events, key=lambda one: one.day):
        if isinstance(event, Lay):
            rows[event.day, tuple(lift.residue.key for lift in event.lifts)].append(row)
            row += len(event.lifts)
    found = []
    for layer in layers:
        key = ((layer.day - case.weather.first_day).days, tuple(lift.residue for lift in layer.lifts))
        first = rows[key].pop(0)
        found.append(slice(first, first + len(layer.lifts)))
    return found


def lifts_through(
    case: BedCase, layers: Sequence[Layer], outcome: Outcome, members: Members
) -> tuple[LiftThrough, ...]:
    """Return each lift of the layers through time."""
    means = outcome.lifts
    if means is None:
        return ()
    laid = np.mean(members.draws[:, :, at.D_MASS] * members.draws[:, :, at.D_CARBON], axis=0)
    through = []
    for layer, rows in zip(layers, rows_of_layers(case, layers), strict=True):
        for number, row in enumerate(range(rows.start, rows.stop)):
            gone = np.clip(1.0 - means.carbon_left[row] / max(1e-9, laid[row]), 0.0, 1.0)
            through.append(LiftThrough(layer, number, means.thickness[row], gone, means.moisture[row]))
    return tuple(through)
