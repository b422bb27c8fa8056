"""From a residue's chemistry to its pools and to what its decomposers are made of."""

from __future__ import annotations

from mullbed.compiled import equation


@equation
def residue_pools(nitrogen, lignin, soluble_base=0.031, soluble_slope=0.119, resistant_base=0.06, resistant_slope=1.47):
    """Shares of a residue's carbon in the soluble, main and resistant pool ([@mullbed_model] eq. 1).

    Parameters
    ----------
    nitrogen : float
        Nitrogen of the dry matter at laying. [%]
    lignin : float
        Lignin of the dry matter at laying. [%]
    soluble_base : float
        Soluble share without nitrogen. [1]
    soluble_slope : float
        Gain of the soluble share per % nitrogen. [1]
    resistant_base : float
        Resistant share without lignin. [1]
    resistant_slope : float
        Gain of the resistant share per unit of lignin. [1]

    Returns
    -------
    soluble, main, resistant : tuple of float
        Adding up to 1. [1]

    Source
    ------
    [@mullbed_model] eq. 1, fitted on open litter data.

    Holds for
    ---------
    Nitrogen 0.1-6 %, lignin 1-50 %.

    Examples
    --------
    >>> [round(share, 3) for share in residue_pools(4.0, 4.0)]
    [0.507, 0.374, 0.119]
    """
    resistant = min(resistant_base + resistant_slope * lignin / 100.0, 0.85)
    soluble = min(min(max(soluble_base + soluble_slope * nitrogen, 0.01), 0.7), 0.95 - resistant)
    return soluble, 1.0 - soluble - resistant, resistant


@equation
def pools_from_soluble(
    water_soluble,
    lignin,
    ethanol_soluble=0.0,
    soluble_share=0.20,
    resistant_base=0.06,
    resistant_slope=1.47,
    ethanol_slope=0.90,
):
    """Shares of carbon in the three pools where soluble fractions were measured ([@mullbed_model] eq. 1).

    Parameters
    ----------
    water_soluble : float
        Water-soluble share of the dry matter. [1]
    lignin : float
        Lignin of the dry matter. [%]
    ethanol_soluble : float
        Ethanol-soluble share of the dry matter. [1]
    soluble_share : float
        Soluble pool per water-soluble share. [1]
    resistant_base : float
        Resistant share without lignin. [1]
    resistant_slope : float
        Gain of the resistant share per unit of lignin. [1]
    ethanol_slope : float
        Gain of the resistant share per unit of ethanol-soluble matter. [1]

    Returns
    -------
    soluble, main, resistant : tuple of float
        Adding up to 1. [1]

    Source
    ------
    [@mullbed_model] eq. 1, variant with measured fractions.

    Holds for
    ---------
    Water-soluble share 0.05-0.6.

    Examples
    --------
    >>> [round(share, 2) for share in pools_from_soluble(0.2, 10.0)]
    [0.04, 0.75, 0.21]
    """
    resistant = min(resistant_base + resistant_slope * lignin / 100.0 + ethanol_slope * ethanol_soluble, 0.85)
    soluble = min(min(max(soluble_share * water_soluble, 0.01), 0.7), 0.95 - resistant)
    return soluble, 1.0 - soluble - resistant, resistant


@equation
def soluble_nitrogen_share(nitrogen, slope=0.151, threshold=2.01, lowest=0.02, highest=0.263):
    """Share of a fresh residue's nitrogen that is mineral or soluble ([@mullbed_model] eq. 2).

    Parameters
    ----------
    nitrogen : float
        Nitrogen of the dry matter. [%]
    slope : float
        Gain per % nitrogen. [1]
    threshold : float
        Nitrogen at which the line crosses zero. [%]
    lowest : float
        Least share. [1]
    highest : float
        Largest share. [1]

    Returns
    -------
    share : float
        Between ``lowest`` and ``highest``. [1]

    Source
    ------
    [@mullbed_model] eq. 2; rests on four residues of one species.

    Holds for
    ---------
    Nitrogen 1.5-4.1 %.

    Examples
    --------
    >>> soluble_nitrogen_share(1.0)
    0.02
    """
    return min(max(slope * (nitrogen - threshold), lowest), highest)


@equation
def quality_factor(nitrogen, half_effect=4.21):
    """How much nitrogen hastens the main pool, 1 at 1.5 % ([@mullbed_model] eq. 3).

    Parameters
    ----------
    nitrogen : float
        Nitrogen of the dry matter. [%]
    half_effect : float
        Nitrogen at half of the full effect. [%]

    Returns
    -------
    factor : float
        Zero or more. [1]

    Source
    ------
    [@mullbed_model] eq. 3.

    Holds for
    ---------
    Nitrogen 0.2-4.5 %.

    Examples
    --------
    >>> round(quality_factor(1.5), 3)
    1.0
    """
    return nitrogen / (nitrogen + half_effect) * (1.5 + half_effect) / 1.5


@equation
def biomass_carbon_to_nitrogen(nitrogen, on_surface, base=11.8, slope=1.84, surface_addition=9.0):
    """Preferred C:N of new decomposer biomass ([@mullbed_model] eq. 4).

    Parameters
    ----------
    nitrogen : float
        Nitrogen of the dry matter at laying. [%]
    on_surface : float
        1 on the surface, 0 dug in. [1]
    base : float
        C:N dug in at 1.5 % nitrogen. [g g-1]
    slope : float
        Fall per % nitrogen. [g g-1]
    surface_addition : float
        Addition on the surface for the poorest residues. [g g-1]

    Returns
    -------
    ratio : float
        6 to 39. [g g-1]

    Source
    ------
    [@mullbed_model] eq. 4; taper and floor are judgement.

    Holds for
    ---------
    Nitrogen 0.2-4.5 %.

    Examples
    --------
    >>> round(biomass_carbon_to_nitrogen(1.5, 0.0), 1)
    11.8
    """
    taper = min(max((3.5 - nitrogen) / 2.5, 0.0), 1.0)
    buried = min(max(base - slope * (nitrogen - 1.5), 6.0), 30.0)
    surface = max(buried + surface_addition * taper, 10.0)
    return surface if on_surface > 0.5 else buried


@equation
def product_carbon_to_nitrogen(nitrogen, on_surface, base=8.0, surface_addition=4.0):
    """C:N of humified products ([@mullbed_model] eq. 4).

    Parameters
    ----------
    nitrogen : float
        Nitrogen of the dry matter at laying. [%]
    on_surface : float
        1 on the surface, 0 dug in. [1]
    base : float
        C:N dug in. [g g-1]
    surface_addition : float
        Addition on the surface for the poorest residues. [g g-1]

    Returns
    -------
    ratio : float
        [g g-1]

    Source
    ------
    [@mullbed_model] eq. 4.

    Holds for
    ---------
    Nitrogen 0.2-4.5 %.

    Examples
    --------
    >>> product_carbon_to_nitrogen(4.0, 1.0)
    8.0
    """
    taper = min(max((3.5 - nitrogen) / 2.5, 0.0), 1.0)
    return base + surface_addition * taper * on_surface


@equation
def carbon_density(carbon):
    """Carbon per organic dry matter used to turn carbon back into mass ([@mullbed_model] section 2).

    Parameters
    ----------
    carbon : float
        Carbon of the dry matter at laying. [fraction]

    Returns
    -------
    density : float
        0.47, or the residue's own share where that is higher. [fraction]

    Source
    ------
    [@mullbed_model] section 2.

    Holds for
    ---------
    Carbon 0.2-0.6.

    Examples
    --------
    >>> carbon_density(0.44)
    0.47
    """
    return max(carbon, 0.47)


@equation
def laid_ash(dry_matter, carbon):
    """Mineral matter of a residue at laying ([@mullbed_model] section 2).

    Parameters
    ----------
    dry_matter : float
        Dry matter laid. [g m-2]
    carbon : float
        Carbon of it. [fraction]

    Returns
    -------
    ash : float
        Zero or more. [g m-2]

    Source
    ------
    [@mullbed_model] section 2.

    Holds for
    ---------
    Carbon 0.2-0.6.

    Examples
    --------
    >>> round(laid_ash(100.0, 0.423), 6)
    10.0
    """
    return max(dry_matter * (1.0 - carbon / max(carbon, 0.47)), 0.0)
