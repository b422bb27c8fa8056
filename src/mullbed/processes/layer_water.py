"""Water caught, held, dried and passed on by a sublayer."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def kept_water(inflow, water, mass, interception, field_capacity):
    """Water a sublayer keeps of what flows in ([@mullbed_model] eq. 13).

    Parameters
    ----------
    inflow : float
        [mm]
    water : float
        Free water in it. [mm]
    mass : float
        Dry matter of it. [kg m-2]
    interception : float
        How well the residue covers. [m2 kg-1]
    field_capacity : float
        Water it can hold. [mm per kg m-2]

    Returns
    -------
    kept : float
        Between 0 and ``inflow``. [mm]

    Source
    ------
    [@mullbed_model] eq. 13; holding capacity from [@spiehs2013] and [@iqbal2013].

    Holds for
    ---------
    Masses 0.02-0.5 kg m-2.

    Examples
    --------
    >>> round(kept_water(10.0, 0.03, 0.25, 3.7, 2.6), 2)
    0.62
    """
    return min(inflow * (1.0 - math.exp(-interception * mass)), max(field_capacity * mass - water, 0.0))


@equation
def demand_passed(demand, mass, shading):
    """Evaporative demand handed down through a sublayer ([@mullbed_model] eq. 14).

    Parameters
    ----------
    demand : float
        [mm d-1]
    mass : float
        Dry matter. [kg m-2]
    shading : float
        [m2 kg-1]

    Returns
    -------
    passed : float
        [mm d-1]

    Source
    ------
    [@mullbed_model] eq. 14, derived from published covers.

    Holds for
    ---------
    0-2 kg m-2.

    Examples
    --------
    >>> round(demand_passed(1.0, 0.4, 2.1), 3)
    0.432
    """
    return demand * math.exp(-shading * mass)


@equation
def free_water_evaporation(demand, water, mass, dry_water, field_capacity, slowing=0.5):
    """Free water a sublayer loses to the air ([@mullbed_model] eq. 14).

    Parameters
    ----------
    demand : float
        Demand that falls on this sublayer. [mm d-1]
    water : float
        Free water in it. [mm]
    mass : float
        Dry matter. [kg m-2]
    dry_water : float
        Water that stays in air-dry matter. [mm per kg m-2]
    field_capacity : float
        Water it can hold. [mm per kg m-2]
    slowing : float
        Relative water below which evaporation slows. [1]

    Returns
    -------
    evaporated : float
        Zero or more. [mm d-1]

    Source
    ------
    [@mullbed_model] eq. 14, judgement.

    Holds for
    ---------
    ``field_capacity`` above ``dry_water``.

    Examples
    --------
    >>> free_water_evaporation(1.0, 0.0, 0.25, 0.12, 2.6)
    0.0
    """
    above = water - dry_water * mass
    relative = 0.0 if mass <= 0.0 else above / ((field_capacity - dry_water) * mass)
    return max(min(demand * min(max(relative, 0.0) / slowing, 1.0), above), 0.0)


@equation
def tissue_evaporation(tissue_water, demand, mass, unmet, exposure=0.1):
    """Water fresh tissue loses straight to the air ([@mullbed_model] eq. 14).

    Parameters
    ----------
    tissue_water : float
        Water inside fresh tissue. [mm]
    demand : float
        Demand that falls on this sublayer. [mm d-1]
    mass : float
        Dry matter. [kg m-2]
    unmet : float
        Demand that free water did not meet. [mm d-1]
    exposure : float
        [kg m-2 mm-1]

    Returns
    -------
    evaporated : float
        Zero or more. [mm d-1]

    Source
    ------
    [@mullbed_model] eq. 14, judgement.

    Holds for
    ---------
    Masses above zero.

    Examples
    --------
    >>> tissue_evaporation(0.0, 3.0, 0.25, 3.0)
    0.0
    """
    share = 1.0 if mass <= 0.0 else 1.0 - math.exp(-exposure * demand / mass)
    return max(min(tissue_water * share, unmet), 0.0)


@equation
def tissue_release(tissue_water, warmth, rate=0.1):
    """Water that dying tissue sets free in a day ([@mullbed_model] eq. 15).

    Parameters
    ----------
    tissue_water : float
        [mm]
    warmth : float
        Warmth factor of yesterday. [1]
    rate : float
        Plain daily share at a warmth factor of 1. [d-1]

    Returns
    -------
    released : float
        Not more than ``tissue_water``. [mm d-1]

    Source
    ------
    [@mullbed_model] eq. 15, judgement.

    Holds for
    ---------
    Warmth factors 0-4.

    Examples
    --------
    >>> tissue_release(1.0, 1.0)
    0.1
    """
    return min(tissue_water * rate * max(warmth, 0.2), tissue_water)
