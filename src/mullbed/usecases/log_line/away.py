"""Keep that nobody will be there for some days."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from mullbed.domain.record_ground import SiteTold
from mullbed.domain.record_kinds import Kind
from mullbed.domain.signing import Kept
from mullbed.errors import Fault, InputFault
from mullbed.usecases.log_line.opening import Line, keep, opened


def log_away(line: Line, first: date, last: date) -> Kept:
    """Keep an absence: the place with one more, in time.

    Raises
    ------
    InputFault
        When its last day is before its first.
    """
    if last < first:
        raise InputFault(
            [Fault("days", f"{first}..{last}", "first and last day in order", "Write the first day first.")]
        )
    with opened(line) as at:
        site = at.garden.site
        away = tuple(sorted({*site.weeks_away, (first, last)}))
        return keep(at, Kind.SITE, SiteTold(replace(site, weeks_away=away), at.garden.limits))
