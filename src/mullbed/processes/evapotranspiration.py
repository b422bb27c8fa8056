"""Reference evapotranspiration, step by step, and what to do where data are missing."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def saturation_vapour_pressure(temperature):
    """Vapour pressure of saturated air ([@allen1998] eq. 11).

    Parameters
    ----------
    temperature : float
        [°C]

    Returns
    -------
    pressure : float
        [kPa]

    Source
    ------
    [@allen1998] eq. 11.

    Holds for
    ---------
    -40 to 50 °C.

    Examples
    --------
    >>> round(saturation_vapour_pressure(24.5), 3)
    3.075
    """
    return 0.6108 * math.exp(17.27 * temperature / (temperature + 237.3))


@equation
def vapour_pressure_slope(temperature):
    """Slope of the saturation vapour pressure curve ([@allen1998] eq. 13).

    Parameters
    ----------
    temperature : float
        [°C]

    Returns
    -------
    slope : float
        [kPa °C-1]

    Source
    ------
    [@allen1998] eq. 13.

    Holds for
    ---------
    -40 to 50 °C.

    Examples
    --------
    >>> round(vapour_pressure_slope(16.9), 3)
    0.122
    """
    shifted = temperature + 237.3
    return 4098.0 * 0.6108 * math.exp(17.27 * temperature / shifted) / (shifted * shifted)


@equation
def air_pressure(elevation):
    """Air pressure at an elevation ([@allen1998] eq. 7).

    Parameters
    ----------
    elevation : float
        [m]

    Returns
    -------
    pressure : float
        [kPa]

    Source
    ------
    [@allen1998] eq. 7.

    Holds for
    ---------
    -400 to 5000 m.

    Examples
    --------
    >>> round(air_pressure(1800.0), 1)
    81.8
    """
    return 101.3 * ((293.0 - 0.0065 * elevation) / 293.0) ** 5.26


@equation
def psychrometric_constant(pressure):
    """Psychrometric constant ([@allen1998] eq. 8).

    Parameters
    ----------
    pressure : float
        [kPa]

    Returns
    -------
    constant : float
        [kPa °C-1]

    Source
    ------
    [@allen1998] eq. 8.

    Holds for
    ---------
    50-110 kPa.

    Examples
    --------
    >>> round(psychrometric_constant(81.8), 3)
    0.054
    """
    return 0.000665 * pressure


@equation
def wind_at_two_metres(wind, height):
    """Wind speed at 2 m from another height ([@allen1998] eq. 47).

    Parameters
    ----------
    wind : float
        [m s-1]
    height : float
        [m]

    Returns
    -------
    wind : float
        [m s-1]

    Source
    ------
    [@allen1998] eq. 47.

    Holds for
    ---------
    Heights above 0.1 m over short grass.

    Examples
    --------
    >>> round(wind_at_two_metres(3.2, 10.0), 1)
    2.4
    """
    return wind * 4.87 / math.log(67.8 * height - 5.42)


@equation
def extraterrestrial_radiation(latitude, day_of_year):
    """Radiation above the air for a day ([@allen1998] eq. 21-25).

    Parameters
    ----------
    latitude : float
        North positive. [degrees]
    day_of_year : float
        [d]

    Returns
    -------
    radiation : float
        Zero in polar night. [MJ m-2 d-1]

    Source
    ------
    [@allen1998] eq. 21-25.

    Holds for
    ---------
    -90 to 90 degrees; the sunset angle is held at midnight sun and polar night.

    Examples
    --------
    >>> round(extraterrestrial_radiation(-20.0, 246.0), 1)
    32.2
    """
    turn = 2.0 * math.pi * day_of_year / 365.0
    distance = 1.0 + 0.033 * math.cos(turn)
    declination = 0.409 * math.sin(turn - 1.39)
    angle = math.radians(latitude)
    sunset = math.acos(min(max(-math.tan(angle) * math.tan(declination), -1.0), 1.0))
    height = sunset * math.sin(angle) * math.sin(declination)
    height += math.cos(angle) * math.cos(declination) * math.sin(sunset)
    return max(24.0 * 60.0 / math.pi * 0.0820 * distance * height, 0.0)


@equation
def daylight_hours(latitude, day_of_year):
    """Length of the day ([@allen1998] eq. 34).

    Parameters
    ----------
    latitude : float
        [degrees]
    day_of_year : float
        [d]

    Returns
    -------
    hours : float
        [h]

    Source
    ------
    [@allen1998] eq. 34.

    Holds for
    ---------
    -90 to 90 degrees.

    Examples
    --------
    >>> round(daylight_hours(-20.0, 246.0), 1)
    11.7
    """
    declination = 0.409 * math.sin(2.0 * math.pi * day_of_year / 365.0 - 1.39)
    cosine = min(max(-math.tan(math.radians(latitude)) * math.tan(declination), -1.0), 1.0)
    return 24.0 / math.pi * math.acos(cosine)


@equation
def radiation_from_sunshine(hours, daylight, extraterrestrial):
    """Solar radiation from hours of sunshine ([@allen1998] eq. 35).

    Parameters
    ----------
    hours : float
        Hours of bright sunshine. [h]
    daylight : float
        Length of the day. [h]
    extraterrestrial : float
        [MJ m-2 d-1]

    Returns
    -------
    radiation : float
        [MJ m-2 d-1]

    Source
    ------
    [@allen1998] eq. 35.

    Holds for
    ---------
    Hours up to the length of the day.

    Examples
    --------
    >>> round(radiation_from_sunshine(7.1, 10.9, 25.1), 2)
    14.45
    """
    return (0.25 + 0.50 * hours / daylight) * extraterrestrial


@equation
def radiation_from_range(high, low, extraterrestrial, coefficient=0.16):
    """Solar radiation from the daily range of temperature ([@allen1998] eq. 50).

    Parameters
    ----------
    high : float
        [°C]
    low : float
        [°C]
    extraterrestrial : float
        [MJ m-2 d-1]
    coefficient : float
        0.16 inland, 0.19 at the coast. [°C-0.5]

    Returns
    -------
    radiation : float
        [MJ m-2 d-1]

    Source
    ------
    [@allen1998] eq. 50.

    Holds for
    ---------
    Places without data of their own.

    Examples
    --------
    >>> round(radiation_from_range(34.8, 25.6, 40.6, 0.19), 1)
    23.4
    """
    return min(coefficient * math.sqrt(max(high - low, 0.0)) * extraterrestrial, 0.75 * extraterrestrial)


@equation
def net_radiation(radiation, extraterrestrial, high, low, vapour_pressure, elevation, albedo=0.23):
    """Net radiation of the reference grass ([@allen1998] eq. 37-40).

    Parameters
    ----------
    radiation : float
        Solar radiation. [MJ m-2 d-1]
    extraterrestrial : float
        [MJ m-2 d-1]
    high : float
        [°C]
    low : float
        [°C]
    vapour_pressure : float
        Actual. [kPa]
    elevation : float
        [m]
    albedo : float
        [1]

    Returns
    -------
    net : float
        [MJ m-2 d-1]

    Source
    ------
    [@allen1998] eq. 37-40.

    Holds for
    ---------
    Clear-sky radiation above zero.

    Examples
    --------
    >>> round(net_radiation(14.5, 25.1, 25.1, 19.1, 2.1, 0.0), 1)
    7.6
    """
    clear = (0.75 + 0.00002 * elevation) * extraterrestrial
    relative = 0.7 if clear <= 0.0 else min(max(radiation / clear, 0.3), 1.0)
    black = 4.903e-9 * 0.5 * ((high + 273.16) ** 4 + (low + 273.16) ** 4)
    long_wave = black * (0.34 - 0.14 * math.sqrt(max(vapour_pressure, 0.0))) * (1.35 * relative - 0.35)
    return (1.0 - albedo) * radiation - long_wave


@equation
def reference_evaporation(net, temperature, wind, saturation, vapour_pressure, slope, psychrometric, soil_heat=0.0):
    """Reference evapotranspiration of grass, Penman-Monteith ([@allen1998] eq. 6).

    Parameters
    ----------
    net : float
        Net radiation. [MJ m-2 d-1]
    temperature : float
        Mean air temperature. [°C]
    wind : float
        At 2 m. [m s-1]
    saturation : float
        Saturation vapour pressure. [kPa]
    vapour_pressure : float
        Actual. [kPa]
    slope : float
        [kPa °C-1]
    psychrometric : float
        [kPa °C-1]
    soil_heat : float
        [MJ m-2 d-1]

    Returns
    -------
    evaporation : float
        Zero or more. [mm d-1]

    Source
    ------
    [@allen1998] eq. 6.

    Holds for
    ---------
    Daily means.

    Examples
    --------
    >>> round(reference_evaporation(13.28, 16.9, 2.078, 1.997, 1.409, 0.122, 0.0666), 1)
    3.9
    """
    energy = 0.408 * slope * (net - soil_heat)
    drying = psychrometric * 900.0 / (temperature + 273.0) * wind * (saturation - vapour_pressure)
    return max((energy + drying) / (slope + psychrometric * (1.0 + 0.34 * wind)), 0.0)


@equation
def reference_evaporation_hargreaves(high, low, extraterrestrial):
    """Reference evapotranspiration from temperature alone ([@allen1998] eq. 52).

    Parameters
    ----------
    high : float
        [°C]
    low : float
        [°C]
    extraterrestrial : float
        [MJ m-2 d-1]

    Returns
    -------
    evaporation : float
        Zero or more. [mm d-1]

    Source
    ------
    [@allen1998] eq. 52.

    Holds for
    ---------
    Weekly means better than single days.

    Examples
    --------
    >>> round(reference_evaporation_hargreaves(26.6, 14.8, 40.55), 1)
    5.0
    """
    span = max(high - low, 0.0)
    return max(0.0023 * 0.408 * extraterrestrial * (0.5 * (high + low) + 17.8) * math.sqrt(span), 0.0)
