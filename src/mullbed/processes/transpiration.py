"""What a crop drinks."""

from __future__ import annotations

from mullbed.compiled import equation


@equation
def transpiration(basal_coefficient, reference, available, total_available):
    """Water a crop takes from the root zone ([@allen1998] ch. 7-8; [@mullbed_model] eq. 16).

    Parameters
    ----------
    basal_coefficient : float
        Basal crop coefficient. [1]
    reference : float
        Reference evapotranspiration. [mm d-1]
    available : float
        Water above wilting point, 0-60 cm. [mm]
    total_available : float
        The same at field capacity. [mm]

    Returns
    -------
    taken : float
        Not more than ``available``. [mm d-1]

    Source
    ------
    [@allen1998] ch. 7-8; stress below half of the available water is judgement.

    Holds for
    ---------
    Annual crops.

    Examples
    --------
    >>> transpiration(1.0, 4.0, 90.0, 90.0)
    4.0
    """
    held = max(available, 0.0)
    return min(basal_coefficient * reference * min(2.0 * held / total_available, 1.0), held)
