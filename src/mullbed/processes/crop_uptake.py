"""Nitrogen a crop wants and takes."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def wanted_by(stage, season_want, steepness=10.0, steepest=0.5):
    """Nitrogen wanted from planting up to a stage of the season ([@mullbed_model] eq. 26).

    Parameters
    ----------
    stage : float
        Share of the time from planting to harvest. [1]
    season_want : float
        Want of the whole season. [g N m-2]
    steepness : float
        How suddenly it is wanted; near zero means evenly all season. [1]
    steepest : float
        Stage at which it is wanted fastest. [1]

    Returns
    -------
    wanted : float
        0 at planting, ``season_want`` at harvest. [g N m-2]

    Source
    ------
    [@mullbed_model] eq. 26, judgement. Differs: the steepest point may lie off the middle.

    Holds for
    ---------
    Stages 0-1, steepness above 0, steepest 0-1.

    Examples
    --------
    >>> round(wanted_by(0.5, 10.0), 6)
    5.0
    """
    held = min(max(stage, 0.0), 1.0)
    low = 1.0 / (1.0 + math.exp(steepness * steepest))
    high = 1.0 / (1.0 + math.exp(-steepness * (1.0 - steepest)))
    return season_want * (1.0 / (1.0 + math.exp(-steepness * (held - steepest))) - low) / (high - low)


@equation
def reachable_nitrogen(nitrate, ammonium):
    """Mineral nitrogen roots can reach ([@mullbed_model] eq. 26).

    Parameters
    ----------
    nitrate : float
        [g N m-2]
    ammonium : float
        [g N m-2]

    Returns
    -------
    reachable : float
        [g N m-2]

    Source
    ------
    [@mullbed_model] eq. 26, judgement.

    Holds for
    ---------
    0-60 cm.

    Examples
    --------
    >>> reachable_nitrogen(1.0, 1.0)
    1.4
    """
    return 0.9 * nitrate + 0.5 * ammonium


@equation
def crop_uptake(wanted, reachable, daily_share=0.3):
    """Nitrogen a crop takes in a day ([@mullbed_model] eq. 26).

    Parameters
    ----------
    wanted : float
        Want of the day and what is carried over. [g N m-2]
    reachable : float
        Mineral nitrogen in reach. [g N m-2]
    daily_share : float
        Share of it taken at most in a day. [d-1]

    Returns
    -------
    taken : float
        [g N m-2 d-1]

    Source
    ------
    [@mullbed_model] eq. 26, judgement.

    Holds for
    ---------
    Inputs of zero or more.

    Examples
    --------
    >>> crop_uptake(1.0, 1.0)
    0.3
    """
    return min(wanted, daily_share * reachable)
