"""What a mix holds: carbon, nitrogen, phosphorus, dry matter and water, each with its doubt.

Weighted by mass, never by averaging ratios: C:N is all carbon over all nitrogen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.layer import Lift
from mullbed.domain.residue import Residue
from mullbed.domain.spread import Evidence, Spread, weakest
from mullbed.plan.mix_lifts import MixLift
from mullbed.simulate import layout as at
from mullbed.simulate.ensemble import from_spread, standard_draws

Array = NDArray[np.float64]

#: Moisture of a dry lift once wetted through: few drops when squeezed. [fraction, wet basis] From memory.
WETTED = 0.6


def water_to_wet(residue: Residue, lift: Lift) -> float:
    """Return the water [mm] that wets a dry lift through on its own dry mass; a soft fresh lift needs none."""
    if residue.fresh and lift.fresh:
        return 0.0
    return max(0.0, lift.dry_matter / 1000.0 * WETTED / (1.0 - WETTED) - lift.free_water)


@dataclass(frozen=True, slots=True)
class MixLoads:
    """Loads of one layer."""

    carbon_to_nitrogen: Spread
    nitrogen: Spread
    """[g m-2]"""
    phosphorus: Spread
    """[g m-2]"""
    moisture: Spread
    """[fraction, wet basis]"""
    dry_matter: Spread
    """[g m-2]"""


def spread_of(values: Array, unit: str, evidence: Evidence, source: str = "mullbed_model") -> Spread:
    """Return the 10th, 50th and 90th percentile of members' values."""
    low, mid, high = (float(one) for one in np.percentile(values, (10.0, 50.0, 90.0)))
    return Spread(low, mid, high, unit, evidence, source)


def mix_loads(lifts: Sequence[MixLift], draws: Array, poured: float, seed: int) -> MixLoads:
    """Return the loads of a mix.

    Parameters
    ----------
    lifts : sequence of MixLift
    draws : array
        Members' draws as the engine uses them, shape (members, lifts, 5).
    poured : float
        Water poured over it. [mm]
    seed : int
        Of the draws, for moisture and phosphorus, which the engine does not draw.
    """
    count = draws.shape[0]
    dry = draws[:, :, at.D_MASS]
    carbon = np.sum(dry * draws[:, :, at.D_CARBON], axis=1)
    nitrogen = np.sum(dry * draws[:, :, at.D_NITROGEN] / 100.0, axis=1)
    phosphorus = np.zeros(count)
    water = np.full(count, 1000.0 * poured)
    for number, one in enumerate(lifts):
        residue = one.residue
        share = from_spread(residue.phosphorus, standard_draws(seed, count, "phosphorus", residue.key))
        phosphorus += dry[:, number] * share
        if one.lift.fresh == residue.fresh:
            moist = from_spread(residue.moisture, standard_draws(seed, count, "moisture", residue.key))
            moist = np.clip(moist, 0.01, 0.97)
            water += dry[:, number] * moist / (1.0 - moist)
        else:
            held = 1000.0 * (one.lift.tissue_water + one.lift.free_water)
            water += dry[:, number] / one.lift.dry_matter * held
    mass = np.sum(dry, axis=1)
    amount = weakest(*(one.lift.dry_matter_evidence for one in lifts))
    return MixLoads(
        carbon_to_nitrogen=spread_of(carbon / nitrogen, "g g-1", Evidence.WORKED_OUT),
        nitrogen=spread_of(nitrogen, "g m-2", weakest(Evidence.WORKED_OUT, amount)),
        phosphorus=spread_of(
            phosphorus,
            "g m-2",
            weakest(Evidence.WORKED_OUT, amount, *(one.residue.phosphorus.evidence for one in lifts)),
        ),
        moisture=spread_of(water / (water + mass), "1", Evidence.WORKED_OUT),
        dry_matter=spread_of(mass, "g m-2", weakest(Evidence.WORKED_OUT, amount)),
    )
