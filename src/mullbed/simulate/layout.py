"""Where each value stands in the engine's flat arrays; the kernel and its callers share these numbers."""

from __future__ import annotations

#: Horizons: thickness [mm] and the depth at which their temperature is taken [cm].
HORIZON_MM = (50.0, 200.0, 350.0)
HORIZON_CM = (2.5, 10.0, 30.0)

# Columns of a cohort's pools. [g m-2], age [d], density [kg m-3]
(
    SOLUBLE,
    MAIN,
    RESISTANT,
    SOLUBLE_N,
    MAIN_N,
    RESISTANT_N,
    BIOMASS,
    BIOMASS_N,
    PRODUCT,
    PRODUCT_N,
    FREE_N,
    ASH,
    AGE,
    DENSITY,
    LAID_MASS,
    LAID_CARBON,
) = range(16)
COHORT_POOLS = 16

# Columns of a cohort's flows of one day.
(
    F_SOLUBLE,
    F_MAIN,
    F_RESISTANT,
    F_BIOMASS,
    F_PRODUCT,
    F_UPTAKE,
    F_FREED,
    F_TURNED,
    F_GIVEN,
    F_SOLUBLE_N,
    F_MAIN_N,
    F_RESISTANT_N,
    F_BIOMASS_N,
    F_PRODUCT_N,
) = range(14)
COHORT_FLOWS = 14

# Columns of a sublayer's stocks; [mm], [g m-2] and [°C].
(WATER, TISSUE, AMMONIUM, NITRATE, WARMTH) = range(5)
SUBLAYER_VALUES = 5

# Columns of the soil pools. [g m-2]
(DPM, RPM, BIO, HUM, IOM, DPM_N, RPM_N) = range(7)
SOIL_POOLS = 7

# Columns of the ledger. [g m-2 or mm]
(
    CO2_LAYER,
    CO2_SOIL,
    NH3,
    N2O_LAYER,
    N2O_SOIL,
    N2,
    LEACHED,
    CROP_N,
    EVAP_CANOPY,
    EVAP_LAYER,
    EVAP_SOIL,
    TRANSPIRED,
    DRAINED,
    RUNOFF,
    REMOVED_C,
    REMOVED_N,
    REMOVED_WATER,
    LAID_C,
    LAID_N,
    LAID_WATER,
    WASHED_OUT_C,
    RAIN,
    IRRIGATED,
    HEAT,
    DIRECT_N,
    UNMET_N,
    FED_N,
) = range(27)
LEDGER = 27

# Columns of a residue's constants, the same for all members.
(R_HOLDING, R_INTERCEPTION, R_SHADING, R_SIZE, R_DENSITY, R_PALATABILITY, R_FRESH, R_TISSUE, R_FREE_WATER) = range(9)
RESIDUE_CONSTANTS = 9

# Columns of a lift's draws, one row per member.
(D_MASS, D_CARBON, D_NITROGEN, D_LIGNIN, D_RATE) = range(5)
LIFT_DRAWS = 5

# Kinds of events and what their values mean.
(LAY, POUR, RAKE_OFF, DIG_IN, FEED) = range(5)
EVENT_VALUES = 4

# Daily outputs.
OUTPUTS = (
    "thickness",
    "moisture",
    "layer_temperature",
    "soil_temperature",
    "mineral_nitrogen",
    "soil_side_nitrogen",
    "ammonia_lost",
    "leached",
    "denitrified",
    "crop_nitrogen",
    "unmet_nitrogen",
    "cover",
    "carbon_left",
    "organic_nitrogen_left",
    "root_zone_water",
    "carbon_dioxide",
    "drained",
    "direct_nitrogen",
    "washed_out_carbon",
    "laid_carbon",
    "shallow_temperature",
    "decay_modifier",
    "soil_carbon",
)
OUTPUT = {name: column for column, name in enumerate(OUTPUTS)}

# Soil constants of a case.
(FIELD_CAPACITY, WILTING_POINT, CLAY, KEPT_MOIST, START_WATER, START_AMMONIUM, START_NITRATE, START_WARMTH) = range(8)
SOIL_CONSTANTS = 8

# What the books say of a member: largest relative error and its day by element, laws broken.
(
    ERROR_C,
    ERROR_N,
    ERROR_WATER,
    DAY_C,
    DAY_N,
    DAY_WATER,
    TAKER_GAVE,
    BELOW_ZERO,
    BELOW_DAY,
    ERROR_HEAT,
    HEAT_DAY,
    TAKER_DAY,
) = range(12)
BOOKS = 12
