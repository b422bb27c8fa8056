"""Carbon lost from the pools of one cohort in a day, and the same in closed form."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def daily_loss(pool, rate, modifier):
    """Amount a pool loses in a day ([@mullbed_model] eq. 8).

    Parameters
    ----------
    pool : float
        Carbon in the pool, zero or more. [g C m-2]
    rate : float
        Rate at 15 °C and moist, placement and quality included. [d-1]
    modifier : float
        Product of the warmth and the wetness factor. [1]

    Returns
    -------
    lost : float
        Between zero and ``pool``. [g C m-2 d-1]

    Source
    ------
    [@mullbed_model] eq. 8.

    Holds for
    ---------
    Any rate, zero or more.

    Examples
    --------
    >>> daily_loss(10.0, 0.0, 1.0)
    0.0
    """
    return pool * (1.0 - math.exp(-rate * modifier))


@equation
def biomass_turnover(biomass, rate, modifier, rewetting):
    """Carbon that decomposer biomass loses in a day, by turnover and by rain on moist residue ([@mullbed_model] eq. 8).

    Parameters
    ----------
    biomass : float
        Carbon in it, zero or more. [g C m-2]
    rate : float
        Turnover at 15 °C and moist. [d-1]
    modifier : float
        Product of the warmth and the wetness factor. [1]
    rewetting : float
        Loss by re-wetting, from :func:`rewetting_turnover`. [d-1]

    Returns
    -------
    lost : float
        Between zero and ``biomass``. [g C m-2 d-1]

    Source
    ------
    [@mullbed_model] eq. 8; the part of re-wetting is ours, fitted on open data.

    Holds for
    ---------
    Any rates, zero or more.

    Examples
    --------
    >>> biomass_turnover(10.0, 0.0, 1.0, 0.0)
    0.0
    """
    return biomass * (1.0 - math.exp(-rate * modifier - rewetting))


@equation
def rewetted_share(refilled, before, holding, dry_end=0.3, wet_end=1.8):
    """How much of its capacity rain refills in residue that is still moist.

    Rain on residue that dried out counts for nothing, and so does rain that runs through residue that is full.

    Parameters
    ----------
    refilled : float
        Water kept today per dry matter. [g g-1]
    before : float
        Free water before the rain per dry matter, that inside fresh tissue left out. [g g-1]
    holding : float
        Free water it can hold per dry matter. [g g-1]
    dry_end : float
        Water below which nothing lives actively. [g g-1]
    wet_end : float
        Water above which it is moist. [g g-1]

    Returns
    -------
    share : float
        Between 0 and 1. [1]

    Source
    ------
    [@mullbed_model] section 11 names the gap; form by judgement, strength worked out here on open data.

    Holds for
    ---------
    0 to 3.6 g g-1.

    Examples
    --------
    >>> rewetted_share(1.3, 1.8, 2.6)
    0.5
    """
    return refilled / holding * min(max((before - dry_end) / (wet_end - dry_end), 0.0), 1.0)


@equation
def rewetting_turnover(rewetted, warmth, strength):
    """Loss of decomposer biomass on the surface by rain on moist residue, nothing in frost.

    Parameters
    ----------
    rewetted : float
        Share of its capacity refilled, from :func:`rewetted_share`. [1]
    warmth : float
        Warmth factor. [1]
    strength : float
        Loss when all is refilled, richness of the residue included. [1]

    Returns
    -------
    loss : float
        Zero or more. [d-1]

    Source
    ------
    [@mullbed_model] section 11 names the gap; form by judgement, strength worked out here on open data.

    Holds for
    ---------
    Any inputs of zero or more.

    Examples
    --------
    >>> rewetting_turnover(0.5, 2.0, 0.2)
    0.1
    """
    return strength * rewetted * min(warmth, 1.0)


@equation
def carbon_uptake(soluble_lost, main_lost, resistant_lost, efficiency=0.50, resistant_efficiency=0.12):
    """Carbon that becomes new decomposer biomass ([@mullbed_model] eq. 9).

    Parameters
    ----------
    soluble_lost : float
        Carbon lost by the soluble pool. [g C m-2 d-1]
    main_lost : float
        Carbon lost by the main pool. [g C m-2 d-1]
    resistant_lost : float
        Carbon lost by the resistant pool. [g C m-2 d-1]
    efficiency : float
        Share of soluble and main carbon taken up. [1]
    resistant_efficiency : float
        Share of resistant carbon taken up. [1]

    Returns
    -------
    uptake : float
        [g C m-2 d-1]

    Source
    ------
    [@mullbed_model] eq. 9.

    Holds for
    ---------
    Losses of zero or more.

    Examples
    --------
    >>> carbon_uptake(1.0, 1.0, 0.0)
    1.0
    """
    return efficiency * (soluble_lost + main_lost) + resistant_efficiency * resistant_lost


@equation
def carbon_dioxide(residue_lost, uptake, biomass_lost, product_lost, product_share=0.434):
    """Carbon respired in a day ([@mullbed_model] eq. 9).

    Parameters
    ----------
    residue_lost : float
        Carbon lost by the three residue pools. [g C m-2 d-1]
    uptake : float
        Carbon that became biomass. [g C m-2 d-1]
    biomass_lost : float
        Carbon lost by biomass. [g C m-2 d-1]
    product_lost : float
        Carbon lost by humified products. [g C m-2 d-1]
    product_share : float
        Share of dead biomass that becomes product. [1]

    Returns
    -------
    respired : float
        [g C m-2 d-1]

    Source
    ------
    [@mullbed_model] eq. 9.

    Holds for
    ---------
    Losses of zero or more.

    Examples
    --------
    >>> carbon_dioxide(2.0, 1.0, 0.0, 0.0)
    1.0
    """
    return residue_lost - uptake + (1.0 - product_share) * biomass_lost + product_lost


@equation
def pool_left(initial, loss_rate, days):
    """Carbon left of a pool after normalised days ([@mullbed_model] section 4.2, closed form).

    Parameters
    ----------
    initial : float
        Carbon at the start. [g C m-2]
    loss_rate : float
        Decay and wash-out together. [d-1]
    days : float
        Normalised days, at 15 °C and moist. [d]

    Returns
    -------
    left : float
        [g C m-2]

    Source
    ------
    [@mullbed_model] section 4.2.

    Holds for
    ---------
    Constant conditions and unlimited nitrogen.

    Examples
    --------
    >>> pool_left(2.0, 0.0, 10.0)
    2.0
    """
    return initial * math.exp(-loss_rate * days)


@equation
def biomass_from_pool(initial, decay_rate, loss_rate, efficiency, turnover_rate, days):
    """Biomass carbon that one pool has built up after normalised days ([@mullbed_model] section 4.2).

    Parameters
    ----------
    initial : float
        Carbon of the pool at the start. [g C m-2]
    decay_rate : float
        Decay of the pool. [d-1]
    loss_rate : float
        Decay and wash-out of the pool together. [d-1]
    efficiency : float
        Share of decayed carbon taken up. [1]
    turnover_rate : float
        Turnover of biomass. [d-1]
    days : float
        Normalised days. [d]

    Returns
    -------
    biomass : float
        [g C m-2]

    Source
    ------
    [@mullbed_model] section 4.2, closed form.

    Holds for
    ---------
    ``turnover_rate`` different from ``loss_rate``.

    Examples
    --------
    >>> abs(biomass_from_pool(1.0, 0.1, 0.1, 0.5, 0.0085, 0.0))
    0.0
    """
    made = math.exp(-loss_rate * days) - math.exp(-turnover_rate * days)
    return efficiency * decay_rate * initial * made / (turnover_rate - loss_rate)


@equation
def product_from_pool(initial, decay_rate, loss_rate, efficiency, turnover_rate, product_share, product_rate, days):
    """Product carbon that one pool has built up after normalised days ([@mullbed_model] section 4.2).

    Parameters
    ----------
    initial : float
        Carbon of the pool at the start. [g C m-2]
    decay_rate : float
        Decay of the pool. [d-1]
    loss_rate : float
        Decay and wash-out of the pool together. [d-1]
    efficiency : float
        Share of decayed carbon taken up. [1]
    turnover_rate : float
        Turnover of biomass. [d-1]
    product_share : float
        Share of dead biomass that becomes product. [1]
    product_rate : float
        Decay of products. [d-1]
    days : float
        Normalised days. [d]

    Returns
    -------
    product : float
        [g C m-2]

    Source
    ------
    [@mullbed_model] section 4.2, closed form.

    Holds for
    ---------
    Three different rates.

    Examples
    --------
    >>> abs(round(product_from_pool(1.0, 0.1, 0.1, 0.5, 0.0085, 0.434, 0.00125, 0.0), 12))
    0.0
    """
    a, b, c = loss_rate, turnover_rate, product_rate
    shape = (
        math.exp(-a * days) / ((b - a) * (c - a))
        + math.exp(-b * days) / ((a - b) * (c - b))
        + math.exp(-c * days) / ((a - c) * (b - c))
    )
    return efficiency * decay_rate * initial * product_share * b * shape
