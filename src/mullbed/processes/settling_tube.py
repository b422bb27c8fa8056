"""How fast soil particles sink in water: the jar test."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def water_viscosity(temperature):
    """Dynamic viscosity of water (a common three-constant form, [@from_memory]).

    Parameters
    ----------
    temperature : float
        Water temperature. [°C]

    Returns
    -------
    viscosity : float
        [Pa s]

    Source
    ------
    [@from_memory]: ``2.414e-5 * 10^(247.8 / (T + 133.15))`` with T in degC; where it was first printed we do not know.

    Holds for
    ---------
    0 to 60 degC, within 2.5 %.

    Examples
    --------
    >>> round(water_viscosity(20.0), 6)
    0.001002
    """
    return 2.414e-5 * math.pow(10.0, 247.8 / (temperature + 133.15))


@equation
def sinking_seconds(fall, diameter, viscosity, grain_density):
    """Time a sphere takes to sink through still water ([@stokes1851] from memory).

    Parameters
    ----------
    fall : float
        Distance, zero or more. [m]
    diameter : float
        Of the particle, above zero. [m]
    viscosity : float
        Of the water. [Pa s]
    grain_density : float
        Of the particle, above that of water; mineral grains 2650. [kg m-3]

    Returns
    -------
    seconds : float
        [s]

    Source
    ------
    [@stokes1851] ``v = g (rho_s - rho_w) d^2 / (18 mu)`` with g 9.80665 m s-2 and water at 998.2 kg m-3.

    Holds for
    ---------
    Grains up to about 0.05 mm; larger ones sink slower than this says.

    Examples
    --------
    >>> round(sinking_seconds(0.1, 5e-5, 0.001002, 2650.0))
    45
    """
    speed = 9.80665 * (grain_density - 998.2) * diameter * diameter / (18.0 * viscosity)
    return fall / speed
