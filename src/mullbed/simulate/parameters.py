"""Every number of the model that may differ between members: name, middle value, doubt, group, evidence.

The order of ``PARAMETERS`` is the order of the columns of a member's record; the kernel reads them by the
constants below. ``spread`` is a coefficient of variation of a lognormal ("cv"), the standard deviation of a
logarithm ("log"), an absolute standard deviation ("sd") or nothing (""). Groups say what a number's doubt is
counted under when the spread of a forecast is split. Values: [@mullbed_model] section 4.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.spread import Evidence


@dataclass(frozen=True, slots=True)
class Parameter:
    """One number of the model."""

    name: str
    middle: float
    spread: float
    kind: str
    """"cv", "log", "sd" or ""."""
    unit: str
    evidence: Evidence
    lowest: float
    highest: float


_PUB, _OUT, _JUD = Evidence.PUBLISHED, Evidence.WORKED_OUT, Evidence.GUESS

PARAMETERS: tuple[Parameter, ...] = (
    Parameter("soluble_rate", 0.15, 0.5, "cv", "d-1", _JUD, 0.0, 2.0),
    Parameter("main_rate", 0.0572, 0.35, "cv", "d-1", _OUT, 0.0, 1.0),
    Parameter("resistant_rate", 0.0023, 0.3, "cv", "d-1", _OUT, 0.0, 0.1),
    Parameter("soluble_surface", 0.80, 0.15, "cv", "1", _JUD, 0.0, 2.0),
    Parameter("main_surface", 0.56, 0.35, "cv", "1", _OUT, 0.0, 2.0),
    Parameter("wash_out", 0.0486, 0.5, "cv", "mm-1", _OUT, 0.0, 1.0),
    Parameter("fresh_openness", 0.5, 0.5, "cv", "1", _JUD, 0.0, 1.0),
    Parameter("efficiency", 0.50, 0.12, "cv", "1", _JUD, 0.0, 0.8),
    Parameter("resistant_efficiency", 0.12, 0.12, "sd", "1", _OUT, 0.0, 0.6),
    Parameter("biomass_turnover", 0.0085, 0.3, "cv", "d-1", _JUD, 0.0, 0.2),
    Parameter("product_share", 0.434, 0.2, "cv", "1", _JUD, 0.0, 0.95),
    Parameter("product_rate", 0.00125, 0.4, "cv", "d-1", _OUT, 0.0, 0.05),
    Parameter("soluble_base", 0.031, 0.25, "cv", "1", _OUT, 0.0, 0.5),
    Parameter("soluble_slope", 0.119, 0.25, "cv", "1", _OUT, 0.0, 0.5),
    Parameter("resistant_base", 0.06, 0.25, "cv", "1", _OUT, 0.0, 0.5),
    Parameter("resistant_slope", 1.47, 0.25, "cv", "1", _OUT, 0.0, 4.0),
    Parameter("half_effect", 4.21, 0.4, "cv", "%", _OUT, 0.2, 40.0),
    Parameter("biomass_ratio_shift", 0.0, 2.0, "sd", "g g-1", _OUT, -8.0, 20.0),
    Parameter("product_ratio_shift", 0.0, 2.0, "sd", "g g-1", _OUT, -4.0, 20.0),
    Parameter("soluble_nitrogen_shift", 0.0, 0.06, "sd", "1", _OUT, -0.4, 0.4),
    Parameter("warmth_exponent", 0.0816, 0.1, "cv", "°C-1", _OUT, 0.0, 0.3),
    Parameter("dry_floor", 0.05, 0.15, "cv", "1", _OUT, 0.0, 0.5),
    Parameter("dry_end", 0.3, 0.15, "cv", "g g-1", _OUT, 0.0, 1.0),
    Parameter("wet_end", 1.8, 0.15, "cv", "g g-1", _OUT, 0.8, 3.6),
    Parameter("storage_factor", 1.0, 0.35, "cv", "1", _PUB, 0.1, 4.0),
    Parameter("dry_water", 0.12, 0.3, "cv", "mm per kg m-2", _PUB, 0.0, 0.5),
    Parameter("interception_factor", 1.0, 0.3, "cv", "1", _PUB, 0.0, 4.0),
    Parameter("shading", 2.1, 0.35, "cv", "m2 kg-1", _OUT, 0.0, 10.0),
    Parameter("drying_slowing", 0.5, 0.3, "cv", "1", _JUD, 0.05, 2.0),
    Parameter("tissue_exposure", 0.1, 0.5, "cv", "kg m-2 mm-1", _JUD, 0.0, 2.0),
    Parameter("tissue_release", 0.1, 0.5, "cv", "d-1", _JUD, 0.0, 0.2),
    Parameter("contact_rate", 0.3, 0.6, "cv", "d-1", _JUD, 0.0, 1.0),
    Parameter("conductivity", 0.3, 0.4, "cv", "W m-1 K-1", _PUB, 0.05, 1.0),
    Parameter("surface_transfer", 12.0, 0.3, "cv", "W m-2 K-1", _JUD, 2.0, 60.0),
    Parameter("heat_per_carbon", 36.2, 0.06, "cv", "kJ g-1", _PUB, 0.0, 60.0),
    Parameter("volatilisation", 2.0, 1.2, "log", "d-1", _JUD, 0.0, 100.0),
    Parameter("alkaline_pace", 12.0, 0.4, "cv", "d", _JUD, 2.0, 80.0),
    Parameter("diffusivity", 0.03, 0.7, "log", "kg2 m-4 d-1", _JUD, 0.0, 1.0),
    Parameter("trap_factor", 0.8, 0.5, "cv", "1", _JUD, 0.0, 6.0),
    Parameter("layer_nitrification", 0.0225, 0.5, "cv", "d-1", _JUD, 0.0, 0.5),
    Parameter("soil_nitrification", 0.15, 0.5, "cv", "d-1", _JUD, 0.0, 2.0),
    Parameter("nitrous_oxide_share", 0.006, 0.8, "log", "1", _PUB, 0.0, 0.05),
    Parameter("denitrification", 0.05, 0.8, "log", "d-1", _JUD, 0.0, 1.0),
    Parameter("worm_mass", 40.0, 0.8, "cv", "g m-2", _JUD, 0.0, 400.0),
    Parameter("mixing", 0.0015, 0.7, "cv", "d-1", _JUD, 0.0, 0.05),
    Parameter("sun_gain", 0.15, 0.3, "cv", "°C m2 d MJ-1", _JUD, 0.0, 0.5),
    Parameter("density_factor", 1.0, 0.3, "cv", "1", _JUD, 0.2, 4.0),
    Parameter("mineral_nitrogen_factor", 1.0, 0.5, "log", "1", _JUD, 0.0, 8.0),
    Parameter("soil_pool_rate", 1.0, 0.2, "cv", "1", _JUD, 0.0, 4.0),
    Parameter("soluble_release", 0.5, 0.3, "cv", "d-1", _JUD, 0.0, 5.0),
    Parameter("daily_uptake_share", 0.3, 0.0, "", "d-1", _JUD, 0.0, 1.0),
    Parameter("frost_factor", 0.1, 0.0, "", "1", _JUD, 0.0, 1.0),
    Parameter("canopy_capacity", 1.0, 0.0, "", "mm", _JUD, 0.0, 3.0),
    Parameter("settling_pace", 1.0, 0.0, "", "1", _JUD, 0.0, 3.0),
    Parameter("soil_warming_pace", 0.365, 0.0, "", "d-1", _OUT, 0.0, 1.0),
    Parameter("snow_degree_day", 3.0, 0.0, "", "mm °C-1 d-1", _JUD, 0.0, 8.0),
    Parameter("intake_per_day", 50.0, 0.0, "", "mm d-1", _JUD, 1.0, 500.0),
    Parameter("place_rate", 1.0, 0.55, "log", "1", _OUT, 0.0, 20.0),
    Parameter("wash_down", 1.0, 0.0, "", "1", _JUD, 0.0, 1.0),
    Parameter("leaching", 1.0, 0.0, "", "1", _JUD, 0.0, 1.0),
    Parameter("drainage", 1.0, 0.0, "", "1", _JUD, 0.0, 1.0),
    Parameter("soil_evaporation", 1.0, 0.0, "", "1", _JUD, 0.0, 1.0),
    Parameter("transpiration", 1.0, 0.0, "", "1", _JUD, 0.0, 1.0),
    Parameter("held_reach", 0.8, 0.0, "", "1", _JUD, 0.0, 1.0),
    Parameter("soil_reach", 0.3, 0.0, "", "1", _JUD, 0.0, 1.0),
    Parameter("rewetting_strength", 0.35, 0.7, "log", "1", _OUT, 0.0, 5.0),
)

NAMES: tuple[str, ...] = tuple(parameter.name for parameter in PARAMETERS)
COLUMN: dict[str, int] = {name: column for column, name in enumerate(NAMES)}

(
    SOLUBLE_RATE,
    MAIN_RATE,
    RESISTANT_RATE,
    SOLUBLE_SURFACE,
    MAIN_SURFACE,
    WASH_OUT,
    FRESH_OPENNESS,
    EFFICIENCY,
    RESISTANT_EFFICIENCY,
    BIOMASS_TURNOVER,
    PRODUCT_SHARE,
    PRODUCT_RATE,
    SOLUBLE_BASE,
    SOLUBLE_SLOPE,
    RESISTANT_BASE,
    RESISTANT_SLOPE,
    HALF_EFFECT,
    BIOMASS_RATIO_SHIFT,
    PRODUCT_RATIO_SHIFT,
    SOLUBLE_NITROGEN_SHIFT,
    WARMTH_EXPONENT,
    DRY_FLOOR,
    DRY_END,
    WET_END,
    STORAGE_FACTOR,
    DRY_WATER,
    INTERCEPTION_FACTOR,
    SHADING,
    DRYING_SLOWING,
    TISSUE_EXPOSURE,
    TISSUE_RELEASE,
    CONTACT_RATE,
    CONDUCTIVITY,
    SURFACE_TRANSFER,
    HEAT_PER_CARBON,
    VOLATILISATION,
    ALKALINE_PACE,
    DIFFUSIVITY,
    TRAP_FACTOR,
    LAYER_NITRIFICATION,
    SOIL_NITRIFICATION,
    NITROUS_OXIDE_SHARE,
    DENITRIFICATION,
    WORM_MASS,
    MIXING,
    SUN_GAIN,
    DENSITY_FACTOR,
    MINERAL_NITROGEN_FACTOR,
    SOIL_POOL_RATE,
    SOLUBLE_RELEASE,
    DAILY_UPTAKE_SHARE,
    FROST_FACTOR,
    CANOPY_CAPACITY,
    SETTLING_PACE,
    SOIL_WARMING_PACE,
    SNOW_DEGREE_DAY,
    INTAKE_PER_DAY,
    PLACE_RATE,
    WASH_DOWN,
    LEACHING,
    DRAINAGE,
    SOIL_EVAPORATION,
    TRANSPIRATION,
    HELD_REACH,
    SOIL_REACH,
    REWETTING_STRENGTH,
) = range(66)


def middle_record() -> NDArray[np.float64]:
    """Return one record of middle values, shape (parameters,)."""
    return np.array([parameter.middle for parameter in PARAMETERS], dtype=np.float64)
