"""From sand, clay and organic matter to water, density and the name of the texture."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def wilting_point(sand, clay, organic_matter):
    """Water at 1500 kPa ([@saxton2006] eq. 1).

    Parameters
    ----------
    sand : float
        [fraction]
    clay : float
        [fraction]
    organic_matter : float
        [%]

    Returns
    -------
    water : float
        [m3 m-3]

    Source
    ------
    [@saxton2006] eq. 1.

    Holds for
    ---------
    Organic matter up to 8 %, clay up to 60 %.

    Examples
    --------
    >>> round(wilting_point(0.40, 0.20, 2.5), 2)
    0.14
    """
    first = -0.024 * sand + 0.487 * clay + 0.006 * organic_matter + 0.005 * sand * organic_matter
    first += -0.013 * clay * organic_matter + 0.068 * sand * clay + 0.031
    return first + 0.14 * first - 0.02


@equation
def field_capacity(sand, clay, organic_matter):
    """Water at 33 kPa ([@saxton2006] eq. 2).

    Parameters
    ----------
    sand : float
        [fraction]
    clay : float
        [fraction]
    organic_matter : float
        [%]

    Returns
    -------
    water : float
        [m3 m-3]

    Source
    ------
    [@saxton2006] eq. 2.

    Holds for
    ---------
    Organic matter up to 8 %, clay up to 60 %.

    Examples
    --------
    >>> round(field_capacity(0.40, 0.20, 2.5), 2)
    0.28
    """
    first = -0.251 * sand + 0.195 * clay + 0.011 * organic_matter + 0.006 * sand * organic_matter
    first += -0.027 * clay * organic_matter + 0.452 * sand * clay + 0.299
    return first + 1.283 * first * first - 0.374 * first - 0.015


@equation
def saturated_water(sand, clay, organic_matter):
    """Water at saturation ([@saxton2006] eq. 3 and 5).

    Parameters
    ----------
    sand : float
        [fraction]
    clay : float
        [fraction]
    organic_matter : float
        [%]

    Returns
    -------
    water : float
        [m3 m-3]

    Source
    ------
    [@saxton2006] eq. 3 and 5.

    Holds for
    ---------
    Organic matter up to 8 %, clay up to 60 %.

    Examples
    --------
    >>> round(saturated_water(0.40, 0.20, 2.5), 2)
    0.46
    """
    first = 0.278 * sand + 0.034 * clay + 0.022 * organic_matter - 0.018 * sand * organic_matter
    first += -0.027 * clay * organic_matter - 0.584 * sand * clay + 0.078
    between = first + 0.636 * first - 0.107
    capacity = -0.251 * sand + 0.195 * clay + 0.011 * organic_matter + 0.006 * sand * organic_matter
    capacity += -0.027 * clay * organic_matter + 0.452 * sand * clay + 0.299
    capacity = capacity + 1.283 * capacity * capacity - 0.374 * capacity - 0.015
    return capacity + between - 0.097 * sand + 0.043


@equation
def bulk_density(saturated):
    """Bulk density that fits the water at saturation ([@saxton2006] eq. 6).

    Parameters
    ----------
    saturated : float
        [m3 m-3]

    Returns
    -------
    density : float
        [kg m-3]

    Source
    ------
    [@saxton2006] eq. 6.

    Holds for
    ---------
    0.3-0.6.

    Examples
    --------
    >>> round(bulk_density(0.46))
    1431
    """
    return (1.0 - saturated) * 2650.0


@equation
def saturated_conductivity(saturated, capacity, wilting):
    """Hydraulic conductivity at saturation ([@saxton2006] eq. 15, 16 and 18).

    Parameters
    ----------
    saturated : float
        [m3 m-3]
    capacity : float
        [m3 m-3]
    wilting : float
        [m3 m-3]

    Returns
    -------
    conductivity : float
        [mm h-1]

    Source
    ------
    [@saxton2006] eq. 15, 16 and 18.

    Holds for
    ---------
    ``saturated`` above ``capacity`` above ``wilting``.

    Examples
    --------
    >>> saturated_conductivity(0.46, 0.28, 0.14) > 5.0
    True
    """
    lam = (math.log(capacity) - math.log(wilting)) / (math.log(1500.0) - math.log(33.0))
    return 1930.0 * (saturated - capacity) ** (3.0 - lam)
