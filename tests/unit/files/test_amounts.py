"""Amounts of the garden file: canonical, within sense, or refused with a remedy."""

from __future__ import annotations

from typing import Any

import pytest

from mullbed.files import amounts
from mullbed.files.outline import edges_cross, outline_area
from mullbed.units import Kind


def test_amounts_become_canonical() -> None:
    assert amounts.area("1.2 m x 6 m") == pytest.approx(7.2)
    assert amounts.content("5 gal") == pytest.approx(18.927, abs=0.001)
    assert amounts.mass("7 lb") == pytest.approx(3.175, abs=0.001)
    assert amounts.lift_limit("1 in") == pytest.approx(0.0254)
    assert amounts.nutrient_load("170 kg/ha") == pytest.approx(17.0)
    assert amounts.height(120) == 120.0
    assert amounts.days("2 weeks") == 14
    assert amounts.days(10) == 10
    assert amounts.share("35 %") == pytest.approx(0.35)
    assert amounts.share(0.35) == 0.35
    assert amounts.weekly_water("72 L", 7.2) == pytest.approx(10.0)
    assert amounts.counted("3 barrows", "").container == "barrow"
    assert amounts.counted("50 mm", "").kind is Kind.LENGTH


REFUSED: list[tuple[Any, Any]] = [
    (amounts.area, 7),
    (amounts.area, "7 m"),
    (amounts.area, "0 m2"),
    (amounts.area, "3 ha"),
    (amounts.mass, "0 kg"),
    (amounts.mass, "3 L"),
    (amounts.mass, "nan kg"),
    (amounts.height, "9000 m"),
    (amounts.height, float("nan")),
    (amounts.days, 0),
    (amounts.days, "10 kg"),
    (amounts.share, 1.2),
    (amounts.share, "120 %"),
    (amounts.share, "a third"),
    (amounts.share, True),
    (amounts.ceiling, "0 g/m2"),
    (amounts.nutrient_load, "9000 kg/ha"),
]


@pytest.mark.parametrize(("read", "written"), REFUSED)
def test_what_makes_no_sense_is_refused_with_a_remedy(read: Any, written: Any) -> None:
    with pytest.raises(ValueError, match=r"\w+ \w+"):
        read(written)


def test_water_that_would_drown_the_bed_is_refused() -> None:
    with pytest.raises(ValueError, match="1000 mm a week"):
        amounts.weekly_water("1000 L", 1.0)


def test_rings_of_corners() -> None:
    square = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]
    assert outline_area(square) == 4.0  # known
    assert outline_area(square[::-1]) == 4.0
    assert not edges_cross(square)
    assert edges_cross([square[0], square[2], square[1], square[3]])
    inward = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (2.0, 1.0), (0.0, 4.0)]
    assert not edges_cross(inward)
    assert outline_area(inward) == 10.0  # known: 16 less the triangle of 4 by 3
