"""A forecast as a dataset says the same numbers, with their units, and survives being written and read."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from mullbed.domain.forecast import Band, BedForecast, RelativeBalance
from mullbed.errors import InputFault
from mullbed.plan.bed_forecast import SERIES
from mullbed.reports.forecast_dataset import MEANINGS, dataset_of_forecasts


def forecast(bed: str, first: date = date(2027, 5, 1), days: int = 5) -> BedForecast:
    middle = np.arange(days, dtype=float)
    series = {name: Band(middle - 1.0, middle, middle + 2.0) for name in (*SERIES, "weekly_nitrogen")}
    return BedForecast(bed, first, series, (), np.full(days, 0.1), RelativeBalance(0.0, 0.0, 0.0), {})


def test_every_series_of_the_engine_has_a_unit_and_a_meaning() -> None:
    assert set(MEANINGS) == {*SERIES, "weekly_nitrogen"}


def test_beds_days_and_quantiles_are_where_they_belong() -> None:
    found = dataset_of_forecasts({"A": forecast("A"), "B": forecast("B")})
    assert dict(found.sizes) == {"bed": 2, "time": 5, "quantile": 3}
    one = found["net_nitrogen"].sel(bed="B", time="2027-05-03")
    assert one.values.tolist() == [[1.0, 2.0, 4.0]] or one.values.tolist() == [1.0, 2.0, 4.0]
    assert found["thickness"].attrs["units"] == "m" and found["crop_want"].dims == ("bed", "time")


def test_beds_with_other_days_are_not_put_together() -> None:
    with pytest.raises(InputFault, match="other days"):
        dataset_of_forecasts({"A": forecast("A"), "B": forecast("B", days=6)})
    with pytest.raises(InputFault, match="no forecast"):
        dataset_of_forecasts({})
