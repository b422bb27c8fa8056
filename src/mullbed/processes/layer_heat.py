"""Warmth made by a layer and its temperature."""

from __future__ import annotations

from mullbed.compiled import equation


@equation
def heat_power(respired, heat_per_carbon=36.2):
    """Heat a layer makes ([@albers1995]; [@mullbed_model] eq. 20).

    Parameters
    ----------
    respired : float
        Carbon respired in the layer. [g C m-2 d-1]
    heat_per_carbon : float
        [kJ g-1]

    Returns
    -------
    power : float
        [W m-2]

    Source
    ------
    [@albers1995]; 434 kJ per mol of oxygen or carbon dioxide.

    Holds for
    ---------
    Aerobic decay.

    Examples
    --------
    >>> round(heat_power(10.0), 2)
    4.19
    """
    return heat_per_carbon * respired / 86.4


@equation
def warming(power, thickness, position, conductivity=0.3, surface_transfer=12.0):
    """How much warmer a sublayer is by its own heat ([@mullbed_model] eq. 20).

    Parameters
    ----------
    power : float
        Heat of the whole layer. [W m-2]
    thickness : float
        Settled thickness of the layer. [m]
    position : float
        Depth share of the sublayer's middle, 0 at the top and 1 at the soil. [1]
    conductivity : float
        [W m-1 K-1]
    surface_transfer : float
        [W m-2 K-1]

    Returns
    -------
    warming : float
        [K]

    Source
    ------
    [@mullbed_model] eq. 20.

    Holds for
    ---------
    Layers up to 0.3 m.

    Examples
    --------
    >>> round(warming(4.19, 0.075, 0.5), 2)
    0.87
    """
    distance = position - 0.5 if position > 0.5 else 0.5 - position
    return power * (thickness / (2.0 * conductivity) + 1.0 / surface_transfer) * (1.0 - distance)


@equation
def sublayer_temperature(air, soil, position, own_warming):
    """Temperature of a sublayer between air and soil ([@mullbed_model] eq. 20).

    Parameters
    ----------
    air : float
        Mean air temperature. [°C]
    soil : float
        Soil temperature at 2.5 cm. [°C]
    position : float
        Depth share of the sublayer's middle. [1]
    own_warming : float
        [K]

    Returns
    -------
    temperature : float
        [°C]

    Source
    ------
    [@mullbed_model] eq. 20.

    Holds for
    ---------
    Layers up to 0.3 m.

    Examples
    --------
    >>> sublayer_temperature(20.0, 10.0, 0.5, 1.0)
    16.0
    """
    return air + (soil - air) * position + own_warming
