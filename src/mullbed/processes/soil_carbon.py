"""Soil organic matter pools and their nitrogen."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def soil_carbon_warmth(temperature):
    """Warmth factor of the soil carbon pools ([@coleman2024]; [@mullbed_model] eq. 25).

    Parameters
    ----------
    temperature : float
        [°C]

    Returns
    -------
    factor : float
        [1]

    Source
    ------
    [@coleman2024], rate modifying factor for temperature.

    Holds for
    ---------
    -5 °C and above; zero below.

    Examples
    --------
    >>> round(soil_carbon_warmth(10.0), 3)
    1.099
    """
    held = max(temperature, -5.0)
    return 47.91 / (1.0 + math.exp(106.06 / (held + 18.27))) if temperature >= -5.0 else 0.0 * temperature


@equation
def soil_carbon_moisture(share):
    """Wetness factor of the soil carbon pools in the column ([@mullbed_model] eq. 25).

    Parameters
    ----------
    share : float
        Water of 5-25 cm between wilting point and field capacity. [1]

    Returns
    -------
    factor : float
        0.2 to 1. [1]

    Source
    ------
    [@coleman2024], form; the daily share replaces the monthly deficit.

    Holds for
    ---------
    0-1.

    Examples
    --------
    >>> soil_carbon_moisture(1.0)
    1.0
    """
    return 0.2 + 0.8 * min(share / 0.556, 1.0)


@equation
def soil_carbon_deficit_moisture(deficit, highest_deficit):
    """Wetness factor of the soil carbon pools from a monthly deficit ([@coleman2024]).

    Parameters
    ----------
    deficit : float
        Accumulated deficit, zero or negative. [mm]
    highest_deficit : float
        Largest deficit, negative. [mm]

    Returns
    -------
    factor : float
        0.2 to 1. [1]

    Source
    ------
    [@coleman2024], rate modifying factor for moisture.

    Holds for
    ---------
    Deficits of zero or less.

    Examples
    --------
    >>> soil_carbon_deficit_moisture(0.0, -40.0)
    1.0
    """
    start = 0.444 * highest_deficit
    relative = (highest_deficit - deficit) / (highest_deficit - start)
    return 1.0 if deficit > start else max(0.2 + 0.8 * relative, 0.2)


@equation
def respired_to_retained(clay):
    """Carbon respired per carbon retained in biomass and humus ([@coleman2024]).

    Parameters
    ----------
    clay : float
        [%]

    Returns
    -------
    ratio : float
        [g g-1]

    Source
    ------
    [@coleman2024], effect of clay.

    Holds for
    ---------
    0-80 % clay.

    Examples
    --------
    >>> round(respired_to_retained(23.4), 2)
    3.51
    """
    return 1.67 * (1.85 + 1.60 * math.exp(-0.0786 * clay))


@equation
def inert_carbon(total):
    """Inert organic carbon of a soil ([@falloon1998]).

    Parameters
    ----------
    total : float
        Total organic carbon. [t ha-1]

    Returns
    -------
    inert : float
        [t ha-1]

    Source
    ------
    [@falloon1998], from memory.

    Holds for
    ---------
    10-150 t ha-1.

    Examples
    --------
    >>> round(inert_carbon(30.0), 2)
    2.36
    """
    return 0.049 * total**1.139


@equation
def pool_decay(pool, rate, modifier, step):
    """Carbon a soil pool loses in a step ([@coleman2024]).

    Parameters
    ----------
    pool : float
        [g C m-2]
    rate : float
        Decay rate. [year-1]
    modifier : float
        Product of warmth, wetness and plant cover factors. [1]
    step : float
        Length of the step. [year]

    Returns
    -------
    lost : float
        [g C m-2]

    Source
    ------
    [@coleman2024].

    Holds for
    ---------
    Any step.

    Examples
    --------
    >>> pool_decay(10.0, 0.0, 1.0, 1.0)
    0.0
    """
    return pool * (1.0 - math.exp(-rate * modifier * step))
