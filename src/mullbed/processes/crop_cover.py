"""How a crop grows over the ground through the season."""

from __future__ import annotations

from mullbed.compiled import equation


@equation
def basal_coefficient(day, initial, development, middle, late, at_middle, at_end, at_start=0.15):
    """Basal crop coefficient on a day after planting ([@allen1998] ch. 7).

    Parameters
    ----------
    day : float
        Days since planting. [d]
    initial : float
        Length of the initial stage. [d]
    development : float
        Length of the development stage. [d]
    middle : float
        Length of the mid-season stage. [d]
    late : float
        Length of the late stage. [d]
    at_middle : float
        Coefficient in mid-season. [1]
    at_end : float
        Coefficient at the end. [1]
    at_start : float
        Coefficient in the initial stage and of bare ground. [1]

    Returns
    -------
    coefficient : float
        [1]

    Source
    ------
    [@allen1998] eq. 66 and Table 17.

    Holds for
    ---------
    Stage lengths above zero.

    Examples
    --------
    >>> basal_coefficient(0.0, 20.0, 30.0, 40.0, 20.0, 1.1, 0.8)
    0.15
    """
    rising = at_start + (at_middle - at_start) * min(max((day - initial) / development, 0.0), 1.0)
    falling = (at_end - at_middle) * min(max((day - initial - development - middle) / late, 0.0), 1.0)
    return max(rising + falling, at_start)


@equation
def crop_ground_cover(coefficient):
    """Share of ground under crop leaves ([@mullbed_model] eq. 14).

    Parameters
    ----------
    coefficient : float
        Basal crop coefficient. [1]

    Returns
    -------
    cover : float
        Between 0 and 0.95. [1]

    Source
    ------
    [@mullbed_model] eq. 14, judgement.

    Holds for
    ---------
    Coefficients 0-1.3.

    Examples
    --------
    >>> crop_ground_cover(0.15)
    0.0
    """
    return min(max(coefficient - 0.15, 0.0), 0.95)


@equation
def evaporation_demand(coefficient, reference):
    """Demand left for the layer and the soil beside what the crop drinks ([@allen1998] eq. 71-72).

    Parameters
    ----------
    coefficient : float
        Basal crop coefficient. [1]
    reference : float
        Reference evapotranspiration. [mm d-1]

    Returns
    -------
    demand : float
        [mm d-1]

    Source
    ------
    [@allen1998] eq. 71-72 in the short form of [@mullbed_model] eq. 14.

    Holds for
    ---------
    Coefficients 0-1.3.

    Examples
    --------
    >>> round(evaporation_demand(0.15, 4.0), 6)
    4.2
    """
    return (max(coefficient + 0.05, 1.2) - coefficient) * reference
