"""Forecasts as an xarray dataset: beds, days and quantiles, with units and meanings at every variable.

xarray is loaded only here, when it is asked for.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import numpy as np

from mullbed.domain.forecast import Band, BedForecast
from mullbed.errors import Fault, InputFault

if TYPE_CHECKING:
    import xarray

MEANINGS: Mapping[str, tuple[str, str]] = {
    "ammonia_lost": ("g m-2", "nitrogen lost to the air as ammonia since the first day"),
    "cover": ("1", "share of the soil that is covered"),
    "layer_temperature": ("degC", "temperature of the layers"),
    "leached": ("g m-2", "nitrate nitrogen washed below the roots since the first day"),
    "mineral_nitrogen": ("g m-2", "mineral nitrogen in the upper 25 cm of soil"),
    "moisture": ("1", "water per fresh mass of the layers"),
    "net_nitrogen": ("g m-2", "nitrogen given by the layers to the soil since the first day; negative where tied up"),
    "soil_nitrogen": ("g m-2", "nitrogen given by the soil alone since the first day"),
    "soil_temperature": ("degC", "temperature of the soil beneath"),
    "thickness": ("m", "thickness of all that lies on the bed"),
    "weekly_nitrogen": ("g m-2", "nitrogen given by soil and layers in the seven days around each day"),
}
"""Unit and meaning of each series."""
QUANTILES = (0.1, 0.5, 0.9)


def dataset_of_forecasts(forecasts: Mapping[str, BedForecast]) -> xarray.Dataset:
    """Return forecasts of beds over the same days.

    Returns
    -------
    xarray.Dataset
        Dimensions bed, time and quantile (0.1, 0.5, 0.9); one variable a series, and crop_want without quantiles.

    Raises
    ------
    InputFault
        When there is none, or the beds have other days.
    """
    import xarray

    beds = list(forecasts.values())
    spans = {(one.first_day, one.crop_want.size) for one in beds}
    if len(spans) != 1:
        told = "no forecast" if not spans else "beds with other days"
        raise InputFault([Fault("forecasts", told, "forecasts of the same days", "Take those of one run.")])
    ((first, length),) = spans
    names = sorted(set.intersection(*(set(one.series) for one in beds)))
    variables: dict[str, Any] = {}
    for name in names:
        unit, meaning = MEANINGS[name]
        values = np.stack([_rows(one.series[name]) for one in beds])
        variables[name] = (("bed", "time", "quantile"), values, {"units": unit, "long_name": meaning})
    want = np.stack([np.asarray(one.crop_want, dtype=float) for one in beds])
    about = {"units": "g m-2 d-1", "long_name": "nitrogen the crop wants on a day"}
    variables["crop_want"] = (("bed", "time"), want, about)
    days = [np.datetime64(first + timedelta(days=number), "ns") for number in range(length)]
    coordinates = {
        "bed": ("bed", list(forecasts)),
        "time": ("time", days, {"standard_name": "time"}),
        "quantile": ("quantile", list(QUANTILES), {"units": "1", "long_name": "share of the members that lie below"}),
    }
    return xarray.Dataset(variables, coordinates, {"Conventions": "CF-1.8", "title": "Forecast of garden beds"})


def _rows(band: Band) -> np.ndarray[Any, Any]:
    return np.stack([band.p10, band.p50, band.p90], axis=-1)
