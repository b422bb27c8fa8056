"""Ammonia that escapes from a layer."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def richness(nitrogen):
    """How rich in nitrogen a sublayer is, 0 for browns and 1 for rich greens ([@mullbed_model] eq. 21).

    Parameters
    ----------
    nitrogen : float
        Organic nitrogen per dry matter now. [%]

    Returns
    -------
    richness : float
        Between 0 and 1. [1]

    Source
    ------
    [@mullbed_model] eq. 21, judgement.

    Holds for
    ---------
    0-6 % nitrogen.

    Examples
    --------
    >>> richness(1.2)
    0.0
    """
    return min(max((nitrogen - 1.2) / 1.2, 0.0), 1.0)


@equation
def alkaline_share(age, rich, pace=12.0):
    """Share of the ammonium that alkaline rotting exposes ([@mullbed_model] eq. 21).

    Parameters
    ----------
    age : float
        Normalised age, dry-matter weighted. [d]
    rich : float
        Richness of the sublayer. [1]
    pace : float
        Normalised age at which two thirds of the effect is reached. [d]

    Returns
    -------
    share : float
        Between 0 and 1. [1]

    Source
    ------
    [@mullbed_model] eq. 21; nothing in the first days as seen by [@whitehead1988].

    Holds for
    ---------
    Ages of zero or more.

    Examples
    --------
    >>> alkaline_share(0.0, 1.0)
    0.0
    """
    relative = age / pace
    return (1.0 - math.exp(-(relative * relative * relative))) * rich


@equation
def trap_strength(rich):
    """How strongly matter lying above holds back ammonia ([@mullbed_model] eq. 22).

    Parameters
    ----------
    rich : float
        Richness of the matter above. [1]

    Returns
    -------
    strength : float
        0.2 for rotting greens to 2 for browns. [m2 kg-1]

    Source
    ------
    [@mullbed_model] eq. 22, judgement.

    Holds for
    ---------
    0 to 1.

    Examples
    --------
    >>> trap_strength(0.0)
    2.0
    """
    return 2.0 - 1.8 * rich


@equation
def volatilisation_rate(alkaline, temperature, wet, trapped, highest=4.0):
    """Rate at which a sublayer's ammonium escapes as ammonia ([@mullbed_model] eq. 21).

    Parameters
    ----------
    alkaline : float
        Share exposed by alkaline rotting. [1]
    temperature : float
        Temperature of the sublayer. [°C]
    wet : float
        Wetness without a floor. [1]
    trapped : float
        Sum of trap strength times dry matter above. [1]
    highest : float
        Rate at 20 °C, wet, old, rich and uncovered. [d-1]

    Returns
    -------
    rate : float
        Zero or more. [d-1]

    Source
    ------
    [@mullbed_model] eq. 21-22, set to the range of [@whitehead1988]; the model in use takes 2.0, see decision 0008.

    Holds for
    ---------
    0-35 °C.

    Examples
    --------
    >>> volatilisation_rate(1.0, 20.0, 1.0, 0.0)
    4.0
    """
    return highest * alkaline * math.exp(math.log(2.0) * (temperature - 20.0) / 10.0) * wet * wet * math.exp(-trapped)


@equation
def competing_losses(stock, first_rate, second_rate):
    """Amounts two competing rates take from one stock in a day ([@mullbed_model] eq. 21).

    Parameters
    ----------
    stock : float
        What is there. [g N m-2]
    first_rate : float
        [d-1]
    second_rate : float
        [d-1]

    Returns
    -------
    first, second : tuple of float
        Together not more than ``stock``. [g N m-2 d-1]

    Source
    ------
    [@mullbed_model] eq. 21.

    Holds for
    ---------
    Rates of zero or more.

    Examples
    --------
    >>> competing_losses(1.0, 0.0, 0.0)
    (0.0, 0.0)
    """
    total = first_rate + second_rate
    lost = stock * (1.0 - math.exp(-total))
    first = lost * first_rate / total if total > 0.0 else 0.0 * lost
    return first, lost - first
