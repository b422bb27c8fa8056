"""Nitrogen that leaves wet soil as gas."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def denitrified(nitrate, warmth, drained, rate=0.05):
    """Nitrate a horizon loses as gas while it drains ([@mullbed_model] eq. 17).

    Parameters
    ----------
    nitrate : float
        [g N m-2]
    warmth : float
        Warmth factor of yesterday. [1]
    drained : float
        Water above field capacity. [mm]
    rate : float
        [d-1]

    Returns
    -------
    lost : float
        [g N m-2 d-1]

    Source
    ------
    [@mullbed_model] eq. 17, judgement.

    Holds for
    ---------
    Drainage of zero or more.

    Examples
    --------
    >>> denitrified(1.0, 1.0, 0.0)
    0.0
    """
    return nitrate * (1.0 - math.exp(-rate * warmth * min(drained / 20.0, 1.0)))


@equation
def nitrous_oxide_of_denitrification(lost, share=0.1):
    """Part of it that is nitrous oxide; the rest is dinitrogen ([@mullbed_model] eq. 17).

    Parameters
    ----------
    lost : float
        [g N m-2 d-1]
    share : float
        [1]

    Returns
    -------
    escaped : float
        [g N m-2 d-1]

    Source
    ------
    [@mullbed_model] eq. 17, judgement.

    Holds for
    ---------
    Shares 0-1.

    Examples
    --------
    >>> nitrous_oxide_of_denitrification(1.0)
    0.1
    """
    return share * lost
