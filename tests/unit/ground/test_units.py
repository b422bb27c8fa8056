"""Amounts are read as growers write them and shown as growers read them."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mullbed import units
from mullbed.errors import InputFault
from mullbed.units import Kind, Quantity, format_quantity, parse_as, parse_number, parse_quantity

ORACLE = pint.UnitRegistry()
PINT_NAMES = {
    "L": "litre", "mL": "millilitre", "m2": "m**2", "cm2": "cm**2", "in2": "inch**2", "ft2": "ft**2", "yd2": "yd**2",
    "ac": "4840*yard**2", "ha": "hectare", "in": "inch", "m3": "m**3", "gal": "gallon", "qt": "quart",
    "imp gal": "imperial_gallon", "ft3": "ft**3", "yd3": "yd**3", "t": "tonne", "oz": "ounce", "lb": "pound",
    "short ton": "short_ton", "g/m2": "g/m**2", "kg/m2": "kg/m**2", "kg/ha": "kg/hectare", "t/ha": "tonne/hectare",
    "lb/ac": "pound/(4840*yard**2)", "lb/1000ft2": "pound/(1000*ft**2)", "d": "day", "week": "week", "h": "hour",
    "min": "minute", "year": "julian_year", "month": "julian_year/12",
}  # fmt: skip
ALL_UNITS = sorted(unit for factors in units._TABLE.values() for unit in factors)


@pytest.mark.parametrize(
    ("text", "kind", "value", "container"),
    [  # known, by hand
        ("25mm", Kind.LENGTH, 0.025, None),
        ("2,5 cm", Kind.LENGTH, 0.025, None),
        ("2 in", Kind.LENGTH, 0.0508, None),
        ('2"', Kind.LENGTH, 0.0508, None),
        ("3 buckets", Kind.COUNT, 3.0, "bucket"),
        ("1.5 barrow", Kind.COUNT, 1.5, "barrow"),
        ("half a bucket", Kind.COUNT, 0.5, "bucket"),
        ("a leaf bag", Kind.COUNT, 1.0, "leaf bag"),
        ("1½ boxes", Kind.COUNT, 1.5, "box"),
        ("40 L", Kind.VOLUME, 40.0, None),
        ("1 cubic yard", Kind.VOLUME, 764.554857984, None),
        ("3.1kg", Kind.MASS, 3.1, None),
        ("1e2 kg", Kind.MASS, 100.0, None),
        ("3.5 weeks", Kind.TIME, 24.5, None),
        ("26 weeks", Kind.TIME, 182.0, None),
        ("50 °F", Kind.TEMPERATURE, 10.0, None),
        ("-40 F", Kind.TEMPERATURE, -40.0, None),
        ("100 kg/ha", Kind.RATE, 10.0, None),
        ("1 1/2 ft", Kind.LENGTH, 0.4572, None),
        ("1,250.5 L", Kind.VOLUME, 1250.5, None),
    ],
)
def test_amounts_are_read_as_growers_write_them(text: str, kind: Kind, value: float, container: str | None) -> None:
    quantity = parse_quantity(text)
    assert (quantity.kind, quantity.container) == (kind, container)
    assert quantity.value == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    "text",
    ["", "nan kg", "inf L", "-2 L", "5", "1.2.3 kg", "3 $$", "∞ L", "kg", "1,000 L", "--3 kg", "1e308 t", "9/0 L"],
)
def test_what_cannot_be_read_in_one_way_is_refused_with_place_and_remedy(text: str) -> None:
    with pytest.raises(InputFault) as caught:
        parse_quantity(text, place="--lift 'straw'")
    (fault,) = caught.value.faults
    assert fault.place == "--lift 'straw'"
    assert fault.allowed
    assert fault.remedy.endswith(".")


def test_an_amount_of_another_kind_is_refused_and_the_units_are_named() -> None:
    with pytest.raises(InputFault, match="ft2"):
        parse_as("5 L", Kind.AREA)


@pytest.mark.parametrize(
    ("text", "square_metres"),  # known
    [
        ("1m2", 1.0),
        ("1.2 m x 2.4 m", 2.88),
        ("4 x 8 ft", 32 * 0.09290304),
        ("30 in × 50 ft", 11.612880),
        ("10 sq ft", 0.9290304),
    ],
)
def test_an_area_may_be_given_by_its_sides(text: str, square_metres: float) -> None:
    assert parse_as(text, Kind.AREA) == pytest.approx(square_metres, rel=1e-12)


def test_a_default_unit_is_used_only_where_none_is_written() -> None:
    assert parse_as("2", Kind.LENGTH, default_unit="mm") == pytest.approx(0.002)
    assert parse_as("2 cm", Kind.LENGTH, default_unit="mm") == pytest.approx(0.02)


@pytest.mark.parametrize("unit", ALL_UNITS)
def test_every_factor_agrees_with_an_independent_unit_library(unit: str) -> None:
    kind = units._KIND_OF[unit]
    if kind is Kind.TEMPERATURE:
        ours = units.to_canonical(77.0, unit)
        theirs = ORACLE.Quantity(77.0, unit).to("degC").magnitude
    else:
        canonical = units.canonical_unit(kind)
        ours = units.to_canonical(1.0, unit)
        theirs = ORACLE(PINT_NAMES.get(unit, unit)).to(PINT_NAMES.get(canonical, canonical)).magnitude
    assert ours == pytest.approx(theirs, rel=1e-9)


@given(st.sampled_from(ALL_UNITS), st.floats(0, 1e9))
def test_there_and_back_is_the_same_amount(unit: str, value: float) -> None:
    assert units.from_canonical(units.to_canonical(value, unit), unit) == pytest.approx(value, rel=1e-12, abs=1e-12)


@given(st.sampled_from(sorted(units._SPELLINGS)), st.floats(0, 1e6).map(lambda value: round(value, 4)))
def test_every_spelling_is_read_as_its_unit(spelling: str, value: float) -> None:
    quantity = parse_quantity(f"{value:f} {spelling}")
    expected = units.to_canonical(float(f"{value:f}"), units._SPELLINGS[spelling])
    assert quantity.container is None
    assert quantity.value == pytest.approx(expected, rel=1e-12)


@given(st.integers(0, 10**6), st.integers(0, 999))
def test_decimal_comma_and_decimal_point_mean_the_same(whole: int, thousandths: int) -> None:
    text = f"{whole}.{thousandths:03d}0"
    assert parse_number(text.replace(".", ",")) == parse_number(text) == pytest.approx(whole + thousandths / 1000)


@given(
    st.sampled_from([kind for kind in Kind if kind is not Kind.COUNT]),
    st.floats(1e-3, 1e6),
    st.sampled_from(["metric", "us"]),
)
def test_what_is_shown_reads_back_within_its_rounding(kind: Kind, value: float, system: str) -> None:
    shown = format_quantity(Quantity(kind, value), system)
    again = parse_quantity(shown.replace(",", ""))
    assert again.kind is kind
    tolerance = {"rel": 0.006} if kind is not Kind.TEMPERATURE else {"rel": 0.006, "abs": 0.3}
    assert again.value == pytest.approx(value, **tolerance)


@pytest.mark.parametrize(
    ("quantity", "metric", "us"),
    [  # known
        (Quantity(Kind.LENGTH, 0.0254), "2.54 cm", "1 in"),
        (Quantity(Kind.VOLUME, 18.927), "18.9 L", "5 gal"),
        (Quantity(Kind.AREA, 2.88), "2.88 m2", "31 ft2"),
        (Quantity(Kind.MASS, 3.1), "3.1 kg", "6.83 lb"),
        (Quantity(Kind.COUNT, 1.5, "bucket"), "1.5 bucket", "1.5 bucket"),
    ],
)
def test_amounts_are_shown_in_the_unit_that_reads_kindest(quantity: Quantity, metric: str, us: str) -> None:
    assert (format_quantity(quantity), format_quantity(quantity, "us")) == (metric, us)


def test_the_conversions_of_the_open_table_are_met(shared_data: Path) -> None:
    """Published conversions of materials_units.csv, to the digits it carries."""
    names = {
        "inch": "in", "foot": "ft", "square foot": "ft2", "acre": "ac", "cubic foot": "ft3", "cubic yard": "yd3",
        "US gallon": "gal", "imperial gallon": "imp gal",
    }  # fmt: skip
    met = set()
    with (shared_data / "materials_units.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["unit"] in names:
                factor = units.to_canonical(1.0, names[row["unit"]]) / units.to_canonical(1.0, row["si_unit"])
                assert factor == pytest.approx(float(row["value"]), rel=2e-6), row["unit"]
                met.add(row["unit"])
    assert met == set(names)


def test_rounding_keeps_whole_digits() -> None:
    assert units.rounded(11023.1) == "11023"
    assert units.rounded(0.0) == "0"
    assert units.rounded(math.inf) == "inf"
