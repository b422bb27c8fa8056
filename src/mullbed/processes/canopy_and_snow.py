"""Rain that leaves hold, snow that lies and melts, and water that runs off."""

from __future__ import annotations

from mullbed.compiled import equation


@equation
def canopy_interception(rain, cover, capacity=1.0):
    """Rain held by the crop's leaves, gone the same day ([@mullbed_model] eq. 13a).

    Parameters
    ----------
    rain : float
        [mm d-1]
    cover : float
        Share of ground under crop leaves. [1]
    capacity : float
        Held by a full canopy. [mm]

    Returns
    -------
    held : float
        [mm d-1]

    Source
    ------
    [@mullbed_model] eq. 13a, judgement.

    Holds for
    ---------
    Covers 0-1.

    Examples
    --------
    >>> canopy_interception(5.0, 0.5)
    0.5
    """
    return min(rain, capacity * cover)


@equation
def snow_fall(precipitation, air, threshold=-1.0):
    """Precipitation that lies as snow ([@mullbed_model] eq. 13a).

    Parameters
    ----------
    precipitation : float
        [mm d-1]
    air : float
        Mean air temperature. [°C]
    threshold : float
        Below it all falls as snow. [°C]

    Returns
    -------
    snow : float
        [mm d-1]

    Source
    ------
    [@mullbed_model] eq. 13a, judgement.

    Holds for
    ---------
    Any temperature.

    Examples
    --------
    >>> snow_fall(4.0, 2.0)
    0.0
    """
    return precipitation if air < threshold else 0.0 * precipitation


@equation
def snow_melt(snow, air, degree_day=3.0):
    """Snow that melts in a day ([@mullbed_model] eq. 13a).

    Parameters
    ----------
    snow : float
        Lying snow as water. [mm]
    air : float
        Mean air temperature. [°C]
    degree_day : float
        [mm °C-1 d-1]

    Returns
    -------
    melt : float
        Not more than ``snow``. [mm d-1]

    Source
    ------
    [@mullbed_model] eq. 13a, judgement.

    Holds for
    ---------
    Any temperature.

    Examples
    --------
    >>> snow_melt(10.0, 2.0)
    6.0
    """
    return min(snow, degree_day * max(air, 0.0))


@equation
def runoff(reaching, covering, intake=50.0):
    """Water that runs off because it comes faster than the soil takes it ([@mullbed_model] eq. 13b).

    Parameters
    ----------
    reaching : float
        Water reaching the soil. [mm d-1]
    covering : float
        exp(-sum of interception times mass), 1 bare and near 0 covered. [1]
    intake : float
        Taken in by bare soil in a day. [mm d-1]

    Returns
    -------
    off : float
        [mm d-1]

    Source
    ------
    [@mullbed_model] eq. 13b, judgement; slopes and crusts need a value of the site.

    Holds for
    ---------
    Level ground.

    Examples
    --------
    >>> runoff(60.0, 1.0)
    10.0
    """
    return max(reaching - intake * (2.0 - covering), 0.0)
