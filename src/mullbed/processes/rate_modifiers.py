"""How warmth and water slow or hasten decay."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def temperature_response(temperature, exponent=0.0816):
    """Warmth factor of decay, 1 at 15 °C ([@mullbed_model] eq. 5).

    A logistic curve; held above 32 °C, falling to zero from 45 to 55 °C, zero in frost.

    Parameters
    ----------
    temperature : float
        Temperature of the residue or soil. [°C]
    exponent : float
        Steepness of the curve. [°C-1]

    Returns
    -------
    factor : float
        Zero or more. [1]

    Source
    ------
    [@mullbed_model] eq. 5; the fall above 45 °C is judgement.

    Holds for
    ---------
    0 to 32 °C; beyond it, extrapolation.

    Examples
    --------
    >>> round(temperature_response(15.0), 6)
    1.0
    """
    held = min(temperature, 32.0)
    curve = 12.0 / (1.0 + 11.0 * math.exp(exponent * (15.0 - held)))
    fall = min(max((55.0 - temperature) / 10.0, 0.0), 1.0)
    return curve * fall if temperature > 0.0 else 0.0 * temperature


@equation
def layer_moisture_response(water, floor=0.05, dry_end=0.3, wet_end=1.8, saturated=3.6):
    """Wetness factor of decay in a layer ([@mullbed_model] eq. 6).

    Parameters
    ----------
    water : float
        Water per dry matter, tissue water included. [mm per kg m-2]
    floor : float
        Factor of a dry layer. [1]
    dry_end : float
        Water below which the factor stays at its floor. [g g-1]
    wet_end : float
        Water above which it is 1. [g g-1]
    saturated : float
        Water at saturation; above 80 % of it the lack of air slows decay. [g g-1]

    Returns
    -------
    factor : float
        Between ``floor`` / 2 and 1. [1]

    Source
    ------
    [@mullbed_model] eq. 6.

    Holds for
    ---------
    0 to 3.6 g g-1.

    Examples
    --------
    >>> round(layer_moisture_response(1.8), 6)
    1.0
    """
    wet = (1.0 - floor) * min(max((water - dry_end) / (wet_end - dry_end), 0.0), 1.0)
    airless = max(1.0 - 0.5 * max(water / saturated - 0.8, 0.0) / 0.2, 0.5)
    return (floor + wet) * airless


@equation
def wetness(water, dry_end=0.3, wet_end=1.8):
    """Wetness between dry and moist, 0 to 1, without a floor ([@mullbed_model] eq. 21).

    Parameters
    ----------
    water : float
        Water per dry matter, tissue water included. [g g-1]
    dry_end : float
        Water below which nothing happens. [g g-1]
    wet_end : float
        Water above which nothing more is gained. [g g-1]

    Returns
    -------
    wetness : float
        Between 0 and 1. [1]

    Source
    ------
    [@mullbed_model] eq. 21.

    Holds for
    ---------
    0 to 3.6 g g-1.

    Examples
    --------
    >>> wetness(0.3)
    0.0
    """
    return min(max((water - dry_end) / (wet_end - dry_end), 0.0), 1.0)


@equation
def relative_water(water, dry_limit, full):
    """Water of a horizon between its dry limit and field capacity, 0 to 1 ([@mullbed_model] eq. 6).

    Parameters
    ----------
    water : float
        Water in the horizon. [mm]
    dry_limit : float
        Wilting point, or half of it for the top horizon. [mm]
    full : float
        Field capacity. [mm]

    Returns
    -------
    share : float
        Between 0 and 1. [1]

    Source
    ------
    [@mullbed_model] eq. 6.

    Holds for
    ---------
    ``full`` above ``dry_limit``.

    Examples
    --------
    >>> relative_water(14.0, 8.0, 20.0)
    0.5
    """
    return min(max((water - dry_limit) / (full - dry_limit), 0.0), 1.0)


@equation
def soil_moisture_response(share):
    """Wetness factor of decay in soil ([@mullbed_model] eq. 6).

    Parameters
    ----------
    share : float
        Water between dry limit and field capacity. [1]

    Returns
    -------
    factor : float
        Between 0.158 and 1. [1]

    Source
    ------
    [@mullbed_model] eq. 6.

    Holds for
    ---------
    0 to 1.

    Examples
    --------
    >>> round(soil_moisture_response(0.8), 6)
    1.0
    """
    return min(max((share + 0.15) / 0.95, 0.0), 1.0)
