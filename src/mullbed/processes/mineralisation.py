"""Nitrogen that decomposers free or take in a day, and what they do when there is too little."""

from __future__ import annotations

import math

from mullbed.compiled import equation


@equation
def turnover_nitrogen(biomass_lost_nitrogen, biomass_lost, product_lost_nitrogen, product_share, product_ratio):
    """Nitrogen freed by dying biomass and decaying products ([@mullbed_model] section 4.3).

    Parameters
    ----------
    biomass_lost_nitrogen : float
        Nitrogen of the biomass that died. [g N m-2 d-1]
    biomass_lost : float
        Carbon of the biomass that died. [g C m-2 d-1]
    product_lost_nitrogen : float
        Nitrogen of the products that decayed. [g N m-2 d-1]
    product_share : float
        Share of dead biomass that becomes product. [1]
    product_ratio : float
        C:N of products. [g g-1]

    Returns
    -------
    freed : float
        Zero or more. [g N m-2 d-1]

    Source
    ------
    [@mullbed_model] section 4.3.

    Holds for
    ---------
    Losses of zero or more.

    Examples
    --------
    >>> turnover_nitrogen(1.0, 8.0, 0.0, 0.5, 8.0)
    0.5
    """
    kept = min(product_share * biomass_lost / product_ratio, biomass_lost_nitrogen)
    return biomass_lost_nitrogen - kept + product_lost_nitrogen


@equation
def supply_ratio(supply, wanted):
    """Share of the takers' want that the supply meets ([@mullbed_model] eq. 10).

    Parameters
    ----------
    supply : float
        Nitrogen in reach, zero or more. [g N m-2]
    wanted : float
        What all takers want, zero or more. [g N m-2]

    Returns
    -------
    ratio : float
        Between 0 and 1. [1]

    Source
    ------
    [@mullbed_model] eq. 10.

    Holds for
    ---------
    Inputs of zero or more.

    Examples
    --------
    >>> supply_ratio(0.5, 2.0)
    0.25
    """
    return 1.0 if wanted <= 0.0 else min(supply / wanted, 1.0)


@equation
def slowed_share(freed, turned_over, taken, uptake, poorest_ratio=30.0):
    """Share of potential decay that the nitrogen in hand allows ([@mullbed_model] eq. 11).

    New biomass is first made poorer in nitrogen; only what is still short slows decay.

    Parameters
    ----------
    freed : float
        Nitrogen freed from the residue pools. [g N m-2 d-1]
    turned_over : float
        Nitrogen freed by turnover. [g N m-2 d-1]
    taken : float
        Nitrogen that could be taken from outside. [g N m-2 d-1]
    uptake : float
        Carbon wanted for new biomass. [g C m-2 d-1]
    poorest_ratio : float
        Highest C:N of new biomass. [g g-1]

    Returns
    -------
    share : float
        Between 0 and 1. [1]

    Source
    ------
    [@mullbed_model] eq. 11.

    Holds for
    ---------
    Inputs of zero or more.

    Examples
    --------
    >>> slowed_share(0.0, 0.0, 0.5, 30.0)
    0.5
    """
    least = uptake / poorest_ratio
    short = least - freed
    return 1.0 if freed + turned_over + taken >= least else min(max((turned_over + taken) / short, 0.0), 1.0)


@equation
def soluble_release_opening(wet, warmth):
    """How open fresh tissue stands for soluble nitrogen to leave, in drought and frost too ([@mullbed_model] eq. 2).

    Parameters
    ----------
    wet : float
        Wetness factor. [1]
    warmth : float
        Warmth factor. [1]

    Returns
    -------
    opening : float
        0.03 or more. [1]

    Source
    ------
    [@mullbed_model] eq. 2, judgement.

    Holds for
    ---------
    Factors of zero or more.

    Examples
    --------
    >>> soluble_release_opening(1.0, 1.0)
    1.0
    """
    return max(wet, 0.1) * max(warmth, 0.3)


@equation
def soluble_release_share(opening, pace=0.5):
    """Share of the soluble nitrogen of fresh tissue that comes free in a day ([@mullbed_model] eq. 2).

    Parameters
    ----------
    opening : float
        From :func:`soluble_release_opening`. [1]
    pace : float
        Rate at 15 °C and moist. [d-1]

    Returns
    -------
    share : float
        Between 0 and 1. [1]

    Source
    ------
    [@mullbed_model] eq. 2; rests on four residues of one species.

    Holds for
    ---------
    Inputs of zero or more.

    Examples
    --------
    >>> soluble_release_share(0.0)
    0.0
    """
    return 1.0 - math.exp(-pace * opening)


@equation
def given_nitrogen(freed, turned_over, demand):
    """Nitrogen a cohort gives, or takes where negative, with enough in reach ([@mullbed_model] section 4.3).

    Parameters
    ----------
    freed : float
        Nitrogen freed from the residue pools. [g N m-2 d-1]
    turned_over : float
        Nitrogen freed by turnover. [g N m-2 d-1]
    demand : float
        Nitrogen wanted for new biomass. [g N m-2 d-1]

    Returns
    -------
    given : float
        Positive gives, negative takes. [g N m-2 d-1]

    Source
    ------
    [@mullbed_model] section 4.3.

    Holds for
    ---------
    Inputs of zero or more.

    Examples
    --------
    >>> given_nitrogen(1.0, 0.5, 2.0)
    -0.5
    """
    return freed + turned_over - demand
