"""Ammonium turned to nitrate, with a little nitrous oxide."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def layer_nitrification_rate(warmth, wet, rate=0.0225):
    """Rate of nitrification in a layer ([@mullbed_model] eq. 21).

    Parameters
    ----------
    warmth : float
        Warmth factor. [1]
    wet : float
        Wetness without a floor. [1]
    rate : float
        Rate at 15 °C, wet. [d-1]

    Returns
    -------
    rate : float
        [d-1]

    Source
    ------
    [@mullbed_model] eq. 21, judgement.

    Holds for
    ---------
    0-35 °C.

    Examples
    --------
    >>> layer_nitrification_rate(1.0, 1.0)
    0.0225
    """
    return rate * warmth * wet


@equation
def soil_nitrification(ammonium, warmth, moisture, rate=0.15):
    """Ammonium nitrified in a horizon in a day ([@mullbed_model] eq. 23).

    Parameters
    ----------
    ammonium : float
        [g N m-2]
    warmth : float
        Warmth factor. [1]
    moisture : float
        Water between dry limit and field capacity. [1]
    rate : float
        Rate at 15 °C and field capacity. [d-1]

    Returns
    -------
    nitrified : float
        [g N m-2 d-1]

    Source
    ------
    [@mullbed_model] eq. 23.

    Holds for
    ---------
    0-35 °C.

    Examples
    --------
    >>> soil_nitrification(1.0, 0.0, 1.0)
    0.0
    """
    return ammonium * (1.0 - math.exp(-rate * warmth * moisture))


@equation
def nitrous_oxide_of_nitrification(nitrified, share=0.006):
    """Nitrous-oxide nitrogen that escapes while ammonium is nitrified ([@ipcc2019]; [@mullbed_model] eq. 23).

    Parameters
    ----------
    nitrified : float
        [g N m-2 d-1]
    share : float
        Share that escapes. [1]

    Returns
    -------
    escaped : float
        [g N m-2 d-1]

    Source
    ------
    [@ipcc2019] vol. 4 ch. 11, default for organic inputs in wet climates.

    Holds for
    ---------
    Shares 0.001-0.03.

    Examples
    --------
    >>> round(nitrous_oxide_of_nitrification(10.0), 6)
    0.06
    """
    return share * nitrified
