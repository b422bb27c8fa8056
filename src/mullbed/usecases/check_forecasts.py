"""Tell how well the forecasts kept in the record did.

Reads the record, writes nothing. Raises InputFault when no garden is kept in it, RecordError when it cannot be read.
"""

from __future__ import annotations

from dataclasses import dataclass

from mullbed.domain.honesty import ForecastCheck
from mullbed.domain.record_kinds import Kind
from mullbed.domain.signing import Where
from mullbed.files.kept_forecast import kept_forecasts, observations_in
from mullbed.learn.check import check_forecasts as held_against
from mullbed.store.database import open_record
from mullbed.store.journal import entries
from mullbed.store.which_garden import which_garden


@dataclass(frozen=True, slots=True)
class CheckedForecasts:
    """How the forecasts of a garden did."""

    garden: str
    """Its id in the record."""
    forecasts: int
    """Kept forecasts, one for each bed each time."""
    check: ForecastCheck


def check_forecasts(where: Where, *, bed: str | None = None) -> CheckedForecasts:
    """Return how kept forecasts did, of every bed or of one.

    Raises
    ------
    InputFault
        When no garden is kept in the record, or it is not said which.
    RecordError
        When the record cannot be read.
    """
    with open_record(where.record) as record, record.reading() as transaction:
        garden = which_garden(transaction, where.garden)
        found = entries(transaction, garden, kinds=(Kind.FORECAST, Kind.SEEN))
    asked = [one for one in found if bed is None or (one.bed or "").casefold() == bed.casefold()]
    kept = kept_forecasts(asked)
    return CheckedForecasts(garden, len(kept), held_against(kept, observations_in(asked)))
