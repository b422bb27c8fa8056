"""From a bed's soil to the column the engine starts with: water limits and organic matter pools at rest."""

from __future__ import annotations

from mullbed.domain.bed import Soil
from mullbed.processes.soil_carbon import inert_carbon, respired_to_retained
from mullbed.processes.soil_texture import bulk_density, field_capacity, saturated_water, wilting_point
from mullbed.simulate.case import SoilColumn

#: Carbon in organic matter. [fraction] Common practice, no source.
CARBON_OF_ORGANIC_MATTER = 1.0 / 1.72
#: Depth the pools stand for. [m]
DEPTH = 0.25
#: Mineral nitrogen where none was measured, 0-60 cm. [g m-2] Judgement.
MINERAL_NITROGEN = 4.0
#: Share of plant litter that is easily decomposed, for crops. [@coleman2024]
EASY_SHARE = 0.59


def resting_pools(total: float, clay: float) -> tuple[float, float, float, float, float]:
    """Return DPM, RPM, BIO, HUM and IOM [g C m-2] at rest for a measured total.

    The steady state of the pool equations under a constant climate has shares that do not depend on the
    climate: it scales every rate alike and drops out when the pools are scaled to the measured total. Solved
    by hand from [@coleman2024] and [@mullbed_model] eq. 25, so no spin-up is needed.

    Parameters
    ----------
    total : float
        Organic carbon of 0-25 cm. [g m-2]
    clay : float
        [fraction]
    """
    inert = min(0.9 * total, 100.0 * float(inert_carbon(total / 100.0)))
    retained = 1.0 / (1.0 + float(respired_to_retained(100.0 * clay)))
    turned = retained / (1.0 - retained)
    shares = (EASY_SHARE / 10.0, (1.0 - EASY_SHARE) / 0.3, 0.46 * turned / 0.66, 0.54 * turned / 0.02)
    scale = (total - inert) / sum(shares)
    dpm, rpm, bio, hum = (share * scale for share in shares)
    return dpm, rpm, bio, hum, inert


def soil_column(soil: Soil, start_water: float = 0.9) -> SoilColumn:
    """Return the column of a bed's soil.

    Parameters
    ----------
    soil : Soil
        Sand, clay and organic matter; a measured mineral nitrogen or bulk density is used where there is one.
    start_water : float
        Share of field capacity at the start. [1]
    """
    organic = min(8.0, 100.0 * soil.organic_matter.mid)
    clay = min(0.6, soil.clay)
    full = float(field_capacity(soil.sand, clay, organic))
    dry = float(wilting_point(soil.sand, clay, organic))
    density = soil.bulk_density or float(bulk_density(saturated_water(soil.sand, clay, organic)))
    carbon = soil.organic_matter.mid * CARBON_OF_ORGANIC_MATTER * density * DEPTH * 1000.0
    pools = resting_pools(carbon, soil.clay)
    mineral = MINERAL_NITROGEN if soil.mineral_nitrogen is None else soil.mineral_nitrogen
    return SoilColumn(
        clay=soil.clay,
        field_capacity=full,
        wilting_point=max(0.01, min(dry, full - 0.02)),
        pools=pools,
        pool_nitrogen=(pools[0] / 40.0, pools[1] / 30.0),
        start_water=start_water,
        start_ammonium=0.15 * mineral,
        start_nitrate=0.85 * mineral,
    )
