"""Follow one measure of one bed over years without a control beside it; reads nothing but what was typed."""

from __future__ import annotations

from collections.abc import Sequence

from mullbed.errors import Fault, InputFault
from mullbed.trials.trend import ORGANIC_MATTER_FLOOR, Trend, trend


def follow_trend(values: Sequence[str], *, organic_matter: bool = False) -> Trend:
    """Return the trend of values such as "2026=3.1"; it is labelled weak.

    Raises
    ------
    InputFault
        With every value that is none, or when two different years are missing.
    """
    faults, years, means = [], [], []
    for text in values:
        year, _, value = text.partition("=")
        try:
            years.append(float(year))
            means.append(float(value.replace(",", ".")))
        except ValueError:
            faults.append(Fault("value", f"'{text}'", "YEAR=NUMBER, such as 2026=3.1", "Put = between."))
    if not faults and len(set(years)) < 2:
        faults.append(Fault("values", f"{len(values)}", "two different years at least", "Add another year."))
    if faults:
        raise InputFault(faults)
    return trend(years, means, floor=ORGANIC_MATTER_FLOOR[1] if organic_matter else 0.0)
