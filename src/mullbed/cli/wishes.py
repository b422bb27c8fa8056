"""What a grower wishes of a plan, as it is typed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from mullbed.domain.wishes import Keep, NotOn, Wishes
from mullbed.errors import Fault, InputFault

_DAYS = 'a bed and days, such as "Gate Bed: 2027-06-07..2027-06-13"'
_DAY = 'a bed and a day, such as "Gate Bed: 2027-06-12"'


def wishes_typed(not_on: Sequence[str], keep: Sequence[str], first: Sequence[str], as_done: bool) -> Wishes:
    """Return the wishes of a command line.

    Raises
    ------
    InputFault
        With everything that cannot be read, or when layers are to be kept and there is no plan to keep them of.
    """
    faults: list[Fault] = []
    left_alone, kept = [], []
    for text in not_on:
        bed, days = _parted(text)
        first_day, last_day = _span(days)
        if not bed or first_day is None or last_day is None or last_day < first_day:
            faults.append(Fault("--not-on", f"'{text}'", _DAYS, "Write the bed, a colon and the days."))
        else:
            left_alone.append(NotOn(bed, first_day, last_day))
    for text in keep:
        bed, day = _parted(text)
        on = _day(day)
        if not bed or on is None:
            faults.append(Fault("--keep", f"'{text}'", _DAY, "Write the bed, a colon and the day of the layer."))
        else:
            kept.append(Keep(bed, on))
    if keep and not as_done:
        faults.append(
            Fault(
                "--keep", "no plan so far", "a layer of the plan in the record", "Add --as-done, or leave --keep out."
            )
        )
    if faults:
        raise InputFault(faults)
    return Wishes(tuple(left_alone), tuple(kept), tuple(first))


def span_typed(place: str, text: str) -> tuple[date, date]:
    """Return first and last day, from "2027-08-09..2027-08-22" or one day.

    Raises
    ------
    InputFault
        When they cannot be read.
    """
    first, last = _span(text)
    if first is None or last is None:
        raise InputFault([Fault(place, f"'{text}'", "days such as 2027-08-09..2027-08-22", "Write two days, or one.")])
    return first, last


def _span(text: str) -> tuple[date | None, date | None]:
    first, _, last = text.partition("..")
    return _day(first), _day(last or first)


def _parted(text: str) -> tuple[str, str]:
    bed, _, rest = text.rpartition(":")
    return bed.strip(), rest.strip()


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        return None
