"""The closed form of decomposition at constant conditions, from the package's own equations ([@mullbed_model] 4.2)."""

from __future__ import annotations

from dataclasses import dataclass

from mullbed.processes.decomposition import biomass_from_pool, pool_left, product_from_pool
from mullbed.processes.residue_quality import (
    biomass_carbon_to_nitrogen,
    product_carbon_to_nitrogen,
    quality_factor,
    residue_pools,
    soluble_nitrogen_share,
)

SOLUBLE, MAIN, RESISTANT = 0.15, 0.0572, 0.0023
SURFACE_SOLUBLE, SURFACE_MAIN = 0.80, 0.56
EFFICIENCY, RESISTANT_EFFICIENCY = 0.50, 0.12
TURNOVER, SHARE, PRODUCT = 0.0085, 0.434, 0.00125
WASH = 0.0486


@dataclass(frozen=True)
class Fate:
    """What has become of 1 g of carbon laid."""

    respired: float
    """Carbon respired, and washed out where it rains. [%]"""
    released: float
    """Nitrogen given, negative is taken. [mg per g C laid]"""
    share_released: float
    """Nitrogen given per nitrogen laid. [%]"""
    carbon_left: float
    """[1]"""


def fate(nitrogen, lignin, carbon, days, *, surface, rain=0.0, size=1.0) -> Fate:
    """Return the fate of a residue (nitrogen, lignin, carbon in % of dry matter) after normalised days."""
    pools = residue_pools(nitrogen, lignin)
    quality = quality_factor(nitrogen)
    rates = (
        SOLUBLE * (SURFACE_SOLUBLE if surface else 1.0),
        MAIN * quality * size * (SURFACE_MAIN if surface else 1.0),
        RESISTANT * quality**0.5,
    )
    left = biomass = product = 0.0
    for number, (share, rate) in enumerate(zip(pools, rates, strict=True)):
        loss = rate + (WASH * rain / days if number == 0 and days else 0.0)
        gain = RESISTANT_EFFICIENCY if number == 2 else EFFICIENCY
        left += pool_left(share, loss, days)
        biomass += biomass_from_pool(share, rate, loss, gain, TURNOVER, days)
        product += product_from_pool(share, rate, loss, gain, TURNOVER, SHARE, PRODUCT, days)
    laid = nitrogen / carbon
    free = soluble_nitrogen_share(nitrogen)
    organic = (1.0 - free) * laid * left
    organic += biomass / biomass_carbon_to_nitrogen(nitrogen, 1.0 if surface else 0.0)
    organic += product / product_carbon_to_nitrogen(nitrogen, 1.0 if surface else 0.0)
    kept = left + biomass + product
    return Fate(100.0 * (1.0 - kept), 1000.0 * (laid - organic), 100.0 * (1.0 - organic / laid), kept)
