"""Mineral nitrogen that spreads between neighbouring sublayers and into the soil."""

from __future__ import annotations

from mullbed.compiled import equation


@equation
def exchange_coefficient(upper_mass, lower_mass, diffusivity=0.03):
    """Coefficient of exchange between two neighbouring sublayers ([@mullbed_model] eq. 12).

    The flux is this coefficient times the difference of their concentrations in g per kg.

    Parameters
    ----------
    upper_mass : float
        Dry matter of the upper one. [kg m-2]
    lower_mass : float
        Dry matter of the lower one; zero for soil below. [kg m-2]
    diffusivity : float
        [kg2 m-4 d-1]

    Returns
    -------
    coefficient : float
        [kg m-2 d-1]

    Source
    ------
    [@mullbed_model] eq. 12, judgement.

    Holds for
    ---------
    Masses above zero together.

    Examples
    --------
    >>> exchange_coefficient(0.25, 0.25)
    0.12
    """
    return diffusivity * 2.0 / (upper_mass + lower_mass)
