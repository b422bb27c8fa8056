"""Amounts of the garden file in the grower's units, to canonical ones and within sense.

Each function takes what stands in the file and returns a canonical number; its ValueError says how to write it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from mullbed.errors import InputFault
from mullbed.files.reading import LONGEST_TEXT, finite
from mullbed.units import Kind, Quantity, parse_as, parse_number, parse_quantity


def written(value: Any, example: str) -> str:
    """Return an amount's text.

    Raises
    ------
    ValueError
        When it is not a short text.
    """
    if isinstance(value, str) and 0 < len(value.strip()) <= LONGEST_TEXT and value.isprintable():
        return value.strip()
    raise ValueError(f'Write it with its unit in quotes, such as "{example}".')


def _within(value: Any, kind: Kind, lowest: float, highest: float, example: str, outside: str | None) -> float:
    text = written(value, example)
    try:
        amount = parse_as(text, kind)
    except (InputFault, OverflowError) as error:
        raise ValueError(_remedy(error, example)) from error
    if not lowest <= amount <= highest:
        raise ValueError(outside or f'Check number and unit; "{example}" would be a usual amount.')
    return amount


def _remedy(error: Exception, example: str) -> str:
    said = error.faults[0].remedy if isinstance(error, InputFault) else "Check the number."
    return f'{said} For example "{example}".'


def _reader(
    kind: Kind, lowest: float, highest: float, example: str, outside: str | None = None
) -> Callable[[Any], float]:
    def read(value: Any) -> float:
        return _within(value, kind, lowest, highest, example, outside)

    return read


_height: Callable[[Any], float] = _reader(Kind.LENGTH, 0.0, 6000.0, "120 m")
lift_limit: Callable[[Any], float] = _reader(Kind.LENGTH, 0.002, 1.0, "30 mm")
"""Thickest lift or cover that is allowed. [m]"""
distance: Callable[[Any], float] = _reader(Kind.LENGTH, 0.0, 10_000.0, "1.5 m")
"""How far something is from a bed. [m]"""
content: Callable[[Any], float] = _reader(Kind.VOLUME, 0.1, 10_000.0, "12 L")
"""What a container holds. [L]"""
water: Callable[[Any], float] = _reader(Kind.VOLUME, 1.0, 100_000.0, "120 L")
"""Water that can be carried. [L]"""
mass: Callable[[Any], float] = _reader(Kind.MASS, 0.01, 2_000.0, "3.1 kg")
"""Fresh mass of one filled container. [kg]"""
area: Callable[[Any], float] = _reader(Kind.AREA, 0.01, 10_000.0, "1.2 m x 6 m")
"""Area of a bed, at most a hectare. [m2]"""
nutrient_load: Callable[[Any], float] = _reader(Kind.RATE, 0.0, 200.0, "12 g/m2")
"""Nitrogen or phosphorus per area. [g m-2]"""
ceiling: Callable[[Any], float] = _reader(
    Kind.RATE, 0.1, 200.0, "17 g/m2", "Raise it or remove the line; under a ceiling of zero nothing may be laid."
)
"""Most nitrogen or phosphorus per area; a ceiling of zero would leave nothing to plan. [g m-2]"""
crop_yield: Callable[[Any], float] = _reader(Kind.RATE, 1.0, 60_000.0, "3 kg/m2")
"""Fresh yield per area. [g m-2]"""
_period: Callable[[Any], float] = _reader(Kind.TIME, 1.0, 1100.0, "10 days")


def height(value: Any) -> float:
    """Return the height above the sea, from a plain number of metres or a text such as "390 ft". [m]

    Raises
    ------
    ValueError
        When it is no height on land.
    """
    number = finite(value)
    if number is None:
        number = _height(value)
    if not -450.0 <= number <= 6000.0:
        raise ValueError('Write metres above the sea, such as 120, or "390 ft".')
    return number


def weekly_water(value: Any, area_m2: float) -> float:
    """Return water a week from litres for the bed or a depth. [mm per week]

    Raises
    ------
    ValueError
        When it is neither, or more than 300 mm a week.
    """
    text = written(value, "40 L")
    try:
        quantity = parse_quantity(text)
    except (InputFault, OverflowError) as error:
        raise ValueError(_remedy(error, "40 L")) from error
    if quantity.kind is Kind.VOLUME:
        millimetres = quantity.value / area_m2
    elif quantity.kind is Kind.LENGTH:
        millimetres = quantity.value * 1000.0
    else:
        raise ValueError('Write litres for the whole bed, such as "40 L", or a depth, such as "25 mm".')
    if not millimetres <= 300.0:
        raise ValueError(f"That is {millimetres:.0f} mm a week on this bed; check the number and the bed's area.")
    return millimetres


def days(value: Any) -> int:
    """Return a period in whole days, from a plain number of days or a text such as "2 weeks".

    Raises
    ------
    ValueError
        When it is no period of a day to three years.
    """
    number = finite(value)
    if number is None:
        number = _period(value)
    if not 1.0 <= number <= 1100.0:
        raise ValueError('Write a period, such as "10 days" or "2 weeks".')
    return max(1, round(number))


def share(value: Any) -> float:
    """Return a share of one, from a number 0-1 or a text such as "35 %".

    Raises
    ------
    ValueError
        When it is no share between none and all.
    """
    number = finite(value)
    remedy = 'Write a number from 0 to 1, or a percentage in quotes such as "35 %".'
    if number is None:
        text = written(value, "35 %")
        if not text.endswith("%"):
            raise ValueError(remedy)
        try:
            number = parse_number(text[:-1]) / 100.0
        except (InputFault, OverflowError) as error:
            raise ValueError(remedy) from error
    if not 0.0 <= number <= 1.0:
        raise ValueError(remedy)
    return number


def counted(value: Any, example: str) -> Quantity:
    """Return an amount of residue: a count of containers, a volume, a mass or a depth.

    Raises
    ------
    ValueError
        When it is none of them.
    """
    text = written(value, example)
    try:
        quantity = parse_quantity(text)
    except (InputFault, OverflowError) as error:
        raise ValueError(_remedy(error, example)) from error
    if quantity.kind not in (Kind.COUNT, Kind.VOLUME, Kind.MASS, Kind.LENGTH):
        raise ValueError(f'Count it in containers, or give a volume or a mass, such as "{example}".')
    return quantity
