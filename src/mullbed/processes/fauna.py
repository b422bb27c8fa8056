"""Worms and the crumbling of a layer into the soil."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def worm_intake(live_mass, moisture, temperature, per_mass=0.011):
    """Dry matter worms can draw in on a day ([@knollenberg1985]; [@mullbed_model] eq. 24).

    Parameters
    ----------
    live_mass : float
        Live worms. [g m-2]
    moisture : float
        Water of 0-5 cm between half wilting point and field capacity. [1]
    temperature : float
        Of 0-5 cm. [°C]
    per_mass : float
        Dry matter drawn in per live mass at the optimum. [g g-1 d-1]

    Returns
    -------
    drawn : float
        [g m-2 d-1]

    Source
    ------
    [@knollenberg1985] for the rate; the response to warmth and water is judgement.

    Holds for
    ---------
    2-30 °C.

    Examples
    --------
    >>> round(worm_intake(50.0, 1.0, 16.0), 2)
    0.55
    """
    relative = (temperature - 16.0) / 14.0
    return live_mass * per_mass * moisture * max(1.0 - relative * relative, 0.0)


@equation
def worm_share(intake, palatability, mass, highest=0.2):
    """Share of the lowest sublayer moved into the soil by worms ([@mullbed_model] eq. 24).

    Parameters
    ----------
    intake : float
        [g m-2 d-1]
    palatability : float
        1 greens, 0.6 leaves, 0.4 straw, 0.05 wood. [1]
    mass : float
        Dry matter of the sublayer. [kg m-2]
    highest : float
        [d-1]

    Returns
    -------
    share : float
        [d-1]

    Source
    ------
    [@mullbed_model] eq. 24, judgement.

    Holds for
    ---------
    Masses above zero.

    Examples
    --------
    >>> worm_share(0.5, 1.0, 0.25)
    0.002
    """
    return 0.0 if mass <= 0.0 else min(intake * palatability / (1000.0 * mass), highest)


@equation
def mixed_share(warmth, moisture, distance, rate=0.0015):
    """Share of a sublayer that crumbles into the soil in a day ([@mullbed_model] eq. 24).

    Parameters
    ----------
    warmth : float
        Warmth factor of 0-5 cm. [1]
    moisture : float
        Water of 0-5 cm between half wilting point and field capacity. [1]
    distance : float
        Dry matter from the sublayer's middle down to the soil. [kg m-2]
    rate : float
        [d-1]

    Returns
    -------
    share : float
        [d-1]

    Source
    ------
    [@mullbed_model] eq. 24, judgement.

    Holds for
    ---------
    Any layer.

    Examples
    --------
    >>> mixed_share(1.0, 1.0, 0.0)
    0.0015
    """
    return rate * warmth * moisture * math.exp(-distance / 0.5)
