"""The state of a bed as the model keeps it: every pool with its name, unit, where it exists and what it means."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Place(StrEnum):
    """How often a pool exists in the column."""

    COHORT = "each cohort"
    SUBLAYER = "each sublayer"
    HORIZON = "each soil horizon"
    COLUMN = "once a bed"


@dataclass(frozen=True, slots=True)
class Pool:
    """One pool or state of the model."""

    name: str
    place: Place
    unit: str
    meaning: str
    bounded: bool = True
    """True if it never falls below zero."""


STATE: tuple[Pool, ...] = (
    Pool("soluble", Place.COHORT, "g C m-2", "carbon that is soluble and quickly decomposed"),
    Pool("main", Place.COHORT, "g C m-2", "carbon of the main pool"),
    Pool("resistant", Place.COHORT, "g C m-2", "carbon that resists decay"),
    Pool("soluble_n", Place.COHORT, "g N m-2", "nitrogen of the soluble pool"),
    Pool("main_n", Place.COHORT, "g N m-2", "nitrogen of the main pool"),
    Pool("resistant_n", Place.COHORT, "g N m-2", "nitrogen of the resistant pool"),
    Pool("biomass", Place.COHORT, "g C m-2", "carbon of the decomposers"),
    Pool("biomass_n", Place.COHORT, "g N m-2", "nitrogen of the decomposers"),
    Pool("product", Place.COHORT, "g C m-2", "carbon of humified products still in the layer"),
    Pool("product_n", Place.COHORT, "g N m-2", "nitrogen of humified products still in the layer"),
    Pool("free_n", Place.COHORT, "g N m-2", "mineral and soluble nitrogen inside fresh tissue"),
    Pool("ash", Place.COHORT, "g m-2", "mineral matter"),
    Pool("age", Place.COHORT, "d", "days at 15 °C and moist, so far"),
    Pool("density", Place.COHORT, "kg m-3", "dry matter per volume as it lies now"),
    Pool("water", Place.SUBLAYER, "mm", "free water"),
    Pool("tissue", Place.SUBLAYER, "mm", "water inside fresh tissue"),
    Pool("ammonium", Place.SUBLAYER, "g N m-2", "ammonium nitrogen of a sublayer"),
    Pool("nitrate", Place.SUBLAYER, "g N m-2", "nitrate nitrogen of a sublayer"),
    Pool("warmth", Place.SUBLAYER, "°C", "temperature of a sublayer", bounded=False),
    Pool("soil_water", Place.HORIZON, "mm", "water of 0-5, 5-25 and 25-60 cm"),
    Pool("soil_nh4", Place.HORIZON, "g N m-2", "ammonium nitrogen of a horizon"),
    Pool("soil_no3", Place.HORIZON, "g N m-2", "nitrate nitrogen of a horizon"),
    Pool("soil_warmth", Place.HORIZON, "°C", "temperature at 2.5, 10 and 30 cm", bounded=False),
    Pool("dpm", Place.COLUMN, "g C m-2", "easily decomposed plant material, 0-25 cm"),
    Pool("rpm", Place.COLUMN, "g C m-2", "resistant plant material, 0-25 cm"),
    Pool("bio", Place.COLUMN, "g C m-2", "soil biomass, 0-25 cm"),
    Pool("hum", Place.COLUMN, "g C m-2", "humus, 0-25 cm"),
    Pool("iom", Place.COLUMN, "g C m-2", "inert organic matter, 0-25 cm"),
    Pool("dpm_n", Place.COLUMN, "g N m-2", "nitrogen of the easily decomposed plant material"),
    Pool("rpm_n", Place.COLUMN, "g N m-2", "nitrogen of the resistant plant material"),
    Pool("snow", Place.COLUMN, "mm", "snow on the bed, as water"),
)
