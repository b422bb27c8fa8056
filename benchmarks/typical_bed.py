"""The bed that speed is told for: four sublayers of two cohorts each, two hundred days, real weather and residues."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from functools import cache
from typing import Any

import numpy as np

DAYS = 200
#: Dry matter of the two residues in every sublayer. [g m-2]
LEAVES, CLIPPINGS = 150.0, 90.0


@cache
def surroundings() -> tuple[Any, Any, Any]:
    """Return weather years, soil and crop cover of the bundled garden's first bed."""
    from mullbed.files.bundled_garden import bundled_garden
    from mullbed.files.garden_file import read_garden
    from mullbed.reference.crops import all_crops
    from mullbed.reference.residues import all_residues
    from mullbed.simulate.bed_case import bed_case
    from mullbed.simulate.case import CropCover
    from mullbed.weather.place_weather import place_weather

    garden = read_garden(bundled_garden())
    first = garden.first_day
    weather = place_weather(garden.site, first, first + timedelta(days=DAYS - 1), seed=1)
    case = bed_case(garden.beds[0], weather, all_crops(), all_residues(), [])
    return weather, case.soil, CropCover(np.full(DAYS, 0.7), np.full(DAYS, 0.5), np.full(DAYS, 0.1))


def typical_bed(name: str = "a typical bed") -> tuple[Any, Any]:
    """Return the case and its packed form; its sublayers hold a cohort of leaves and one of clippings each."""
    from mullbed.reference.residues import find_residue
    from mullbed.simulate.case import BedCase, LaidLift, Lay
    from mullbed.simulate.run import pack

    weather, soil, cover = surroundings()
    leaves, clippings = find_residue("dry leaves"), find_residue("grass clippings")
    lifts = []
    for place in range(4):
        lifts.append(LaidLift(leaves, LEAVES, 0.15, 0.2, 0.0, False, f"leaves {place}"))
        lifts.append(LaidLift(clippings, CLIPPINGS, 0.15, 0.0, 0.3, True, f"clippings {place}"))
    case = BedCase(name, weather, soil, (Lay(0, tuple(lifts), 2.0),), cover)
    packed = pack(case)
    return case, replace(packed, cohort_sublayer=np.repeat(np.arange(4), 2), sublayers=4)
