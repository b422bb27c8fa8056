"""How a lift sinks."""

from __future__ import annotations

from mullbed.compiled import equation


@equation
def settled_density(density, laid_density, remaining, wet, dry_pace=0.03, wet_pace=0.1):
    """Density of a lift after one more day ([@mullbed_model] eq. 27).

    Parameters
    ----------
    density : float
        Dry matter per volume yesterday. [kg m-3]
    laid_density : float
        The same as laid. [kg m-3]
    remaining : float
        Share of the dry matter that is left. [1]
    wet : float
        Wetness without a floor. [1]
    dry_pace : float
        Plain daily share in dry matter. [d-1]
    wet_pace : float
        Plain daily share in wet matter. [d-1]

    Returns
    -------
    density : float
        [kg m-3]

    Source
    ------
    [@mullbed_model] eq. 27, judgement; learn it from measured heights.

    Holds for
    ---------
    Remaining 0-1.

    Examples
    --------
    >>> round(settled_density(40.0, 40.0, 1.0, 1.0), 6)
    44.0
    """
    target = laid_density * (2.0 + 2.0 * (1.0 - min(remaining, 1.0)))
    return density + (dry_pace + (wet_pace - dry_pace) * wet) * (target - density)


@equation
def lift_thickness(dry_matter, density):
    """Thickness of a lift ([@mullbed_model] eq. 27).

    Parameters
    ----------
    dry_matter : float
        [g m-2]
    density : float
        Dry matter per volume. [kg m-3]

    Returns
    -------
    thickness : float
        [m]

    Source
    ------
    [@mullbed_model] eq. 27.

    Holds for
    ---------
    Densities above zero.

    Examples
    --------
    >>> lift_thickness(1000.0, 40.0)
    0.025
    """
    return dry_matter / (1000.0 * density)
