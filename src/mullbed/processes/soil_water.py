"""Water in the soil: evaporation, exchange with the layer, drainage."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def soil_evaporation(available, demand, full):
    """Water the top horizon loses to the air ([@mullbed_model] eq. 16).

    Parameters
    ----------
    available : float
        Water of 0-5 cm above half its wilting point. [mm]
    demand : float
        Demand that reaches the soil. [mm d-1]
    full : float
        Total evaporable water of 0-5 cm. [mm]

    Returns
    -------
    evaporated : float
        Zero or more. [mm d-1]

    Source
    ------
    [@mullbed_model] eq. 16, after the evaporation layer of [@allen1998].

    Holds for
    ---------
    ``full`` above zero.

    Examples
    --------
    >>> soil_evaporation(0.0, 3.0, 10.0)
    0.0
    """
    held = max(available, 0.0)
    return min(demand * min(held / (0.6 * full), 1.0), held)


@equation
def contact_target(mass, moisture):
    """Water at which a sublayer on soil neither draws nor gives ([@mullbed_model] eq. 16).

    Parameters
    ----------
    mass : float
        Dry matter. [kg m-2]
    moisture : float
        Water of 0-5 cm between half wilting point and field capacity. [1]

    Returns
    -------
    target : float
        [mm]

    Source
    ------
    [@mullbed_model] eq. 16.

    Holds for
    ---------
    Moisture 0-1.

    Examples
    --------
    >>> round(contact_target(1.0, 0.0), 3)
    1.026
    """
    tension = 4.2 - 1.7 * moisture
    return mass * (0.2 + 2.333 * (1.0 - tension / 6.5))


@equation
def contact_exchange(target, water, distance, available, floor_water, rate=0.3):
    """Water a sublayer draws from the soil, negative where it gives ([@mullbed_model] eq. 16).

    Parameters
    ----------
    target : float
        Water at rest. [mm]
    water : float
        Free water now. [mm]
    distance : float
        Dry matter from the sublayer's middle down to the soil. [kg m-2]
    available : float
        Water of 0-5 cm above half its wilting point. [mm]
    floor_water : float
        Water that stays in air-dry matter. [mm]
    rate : float
        Share exchanged in a day at the soil. [d-1]

    Returns
    -------
    drawn : float
        Upward positive, at most 1 mm either way. [mm d-1]

    Source
    ------
    [@mullbed_model] eq. 16, judgement.

    Holds for
    ---------
    Distances up to 0.5 kg m-2; beyond it nothing flows.

    Examples
    --------
    >>> contact_exchange(1.0, 0.0, 0.6, 5.0, 0.1)
    0.0
    """
    share = 0.0 if distance > 0.5 else min(3.5 * rate * math.exp(-distance / 0.1), rate)
    flow = min(max(share * (target - water), -1.0), 1.0)
    upward = min(max(available, 0.0), flow)
    downward = -min(-flow, max(water - floor_water, 0.0))
    return upward if flow > 0.0 else downward


@equation
def drained_water(water, full):
    """Water above field capacity that leaves a horizon ([@mullbed_model] eq. 17).

    Parameters
    ----------
    water : float
        [mm]
    full : float
        Field capacity. [mm]

    Returns
    -------
    drained : float
        [mm d-1]

    Source
    ------
    [@mullbed_model] eq. 17.

    Holds for
    ---------
    Freely drained soil.

    Examples
    --------
    >>> drained_water(20.0, 14.0)
    6.0
    """
    return max(water - full, 0.0)
