"""Soil warmth under a cover."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def surface_temperature(air, radiation, cover, crop_cover, gain=0.15, frost_factor=0.1):
    """Temperature that drives the soil ([@mullbed_model] eq. 18).

    Parameters
    ----------
    air : float
        Mean air temperature. [°C]
    radiation : float
        Solar radiation. [MJ m-2 d-1]
    cover : float
        Share of soil under residues. [1]
    crop_cover : float
        Share of soil under crop leaves. [1]
    gain : float
        Warming of bare soil by the sun. [°C m2 d MJ-1]
    frost_factor : float
        Share of frost that reaches the soil. [1]

    Returns
    -------
    temperature : float
        [°C]

    Source
    ------
    [@mullbed_model] eq. 18, form after [@kaetterer2009].

    Holds for
    ---------
    Radiation 0-35 MJ m-2 d-1.

    Examples
    --------
    >>> surface_temperature(15.0, 10.0, 0.0, 0.0)
    15.0
    """
    driven = air + gain * (radiation - 10.0) * (1.0 - cover) * (1.0 - 0.75 * crop_cover)
    return driven if driven >= 0.0 else frost_factor * driven


@equation
def damping(crop_cover, covering_mass):
    """How much crop and residues slow the soil's warming and cooling ([@mullbed_model] eq. 19).

    Parameters
    ----------
    crop_cover : float
        Share of soil under crop leaves. [1]
    covering_mass : float
        Sum of interception times dry matter over the layer. [1]

    Returns
    -------
    factor : float
        Between 0 and 1. [1]

    Source
    ------
    [@kaetterer2009], form; constants fitted on one station under grass.

    Holds for
    ---------
    Covering mass 0-10.

    Examples
    --------
    >>> damping(0.0, 0.0)
    1.0
    """
    return math.exp(-0.15 * (3.0 * crop_cover + 0.5 * covering_mass))


@equation
def soil_temperature_step(temperature, surface, depth, slowed, pace=0.365):
    """Change of the soil temperature at a depth in a day ([@mullbed_model] eq. 19).

    Parameters
    ----------
    temperature : float
        At that depth yesterday. [°C]
    surface : float
        Driving surface temperature. [°C]
    depth : float
        [cm]
    slowed : float
        Damping by crop and residues. [1]
    pace : float
        Plain daily share at the surface. [d-1]

    Returns
    -------
    change : float
        [°C d-1]

    Source
    ------
    [@kaetterer2009], form; constants fitted on one station under grass.

    Holds for
    ---------
    2-50 cm.

    Examples
    --------
    >>> soil_temperature_step(10.0, 10.0, 5.0, 1.0)
    0.0
    """
    return pace * math.exp(-0.063 * depth) * slowed * (surface - temperature)
