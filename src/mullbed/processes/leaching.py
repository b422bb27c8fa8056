"""What passing water carries down."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def washed_share(passing, water, mass, mobility=1.0):
    """Share of a sublayer's mineral nitrogen that passing water carries down ([@mullbed_model] eq. 13).

    Parameters
    ----------
    passing : float
        Water leaving the sublayer downward. [mm]
    water : float
        Free water in it after keeping. [mm]
    mass : float
        Dry matter of it. [kg m-2]
    mobility : float
        1 for nitrate, 0.5 for ammonium. [1]

    Returns
    -------
    share : float
        Between 0 and 1. [1]

    Source
    ------
    [@mullbed_model] eq. 13, judgement.

    Holds for
    ---------
    Passing water of zero or more.

    Examples
    --------
    >>> washed_share(0.0, 1.0, 0.5)
    0.0
    """
    room = water + 0.8 * mass
    return 1.0 if room <= 0.0 else 1.0 - math.exp(-mobility * passing / room)


@equation
def washed_out_share(passing, openness, strength=0.0486):
    """Share of soluble carbon and its nitrogen that passing water washes out ([@mullbed_model] eq. 7).

    Parameters
    ----------
    passing : float
        Water leaving the sublayer downward. [mm]
    openness : float
        1 for tissue that was ever dry, 0.5 for tissue laid fresh. [1]
    strength : float
        [mm-1]

    Returns
    -------
    share : float
        Between 0 and 1. [1]

    Source
    ------
    [@mullbed_model] eq. 7, fitted on field cases of soft residue.

    Holds for
    ---------
    0-50 mm a day.

    Examples
    --------
    >>> round(100 * washed_out_share(20.0, 1.0), 1)
    62.2
    """
    return 1.0 - math.exp(-strength * openness * passing)


@equation
def leached_share(drained, field_capacity, depth):
    """Share of a horizon's nitrate that draining water carries on ([@mullbed_model] eq. 17).

    Parameters
    ----------
    drained : float
        Water leaving the horizon. [mm]
    field_capacity : float
        [m3 m-3]
    depth : float
        Thickness of the horizon. [mm]

    Returns
    -------
    share : float
        Between 0 and 1. [1]

    Source
    ------
    [@mullbed_model] eq. 17.

    Holds for
    ---------
    Drainage of zero or more.

    Examples
    --------
    >>> round(leached_share(10.0, 0.28, 300.0), 4)
    0.1122
    """
    return 1.0 - math.exp(-drained / (field_capacity * depth))
