"""Edges of chemistry: woody, very rich, and ash."""

from __future__ import annotations

import pytest

from mullbed.processes import residue_quality
from plain_form import plain

pools = plain(residue_quality.residue_pools)
ratio = plain(residue_quality.biomass_carbon_to_nitrogen)


def test_the_woodiest_matter_leaves_some_room_for_the_other_pools() -> None:
    soluble, main, resistant = pools(0.2, 60.0)
    assert resistant == 0.85
    assert soluble == pytest.approx(0.0548)
    assert main == pytest.approx(0.0952)
    assert pools(6.0, 60.0) == pytest.approx((0.10, 0.05, 0.85))


def test_the_richest_matter_has_at_most_seven_tenths_soluble() -> None:
    assert pools(14.0, 1.0)[0] == 0.7


@pytest.mark.parametrize(
    ("nitrogen", "buried", "surface"), [(0.1, 14.376, 23.376), (5.0, 6.0, 10.0), (3.5, 8.12, 10.0)]
)
def test_microbes_of_the_surface_are_poorer_but_never_below_ten(nitrogen, buried, surface) -> None:
    assert ratio(nitrogen, 0.0) == pytest.approx(buried)
    assert ratio(nitrogen, 1.0) == pytest.approx(surface)


def test_soluble_nitrogen_is_held_between_two_and_twenty_six_percent() -> None:
    share = plain(residue_quality.soluble_nitrogen_share)
    assert [share(one) for one in (0.5, 2.0, 4.5)] == [0.02, 0.02, 0.263]
    assert share(3.0) == pytest.approx(0.151 * 0.99)


@pytest.mark.parametrize("carbon", [0.20, 0.35, 0.47, 0.55])
def test_dry_matter_is_organic_matter_and_ash(carbon: float) -> None:
    ash = plain(residue_quality.laid_ash)(100.0, carbon)
    organic = 100.0 * carbon / plain(residue_quality.carbon_density)(carbon)
    assert ash + organic == pytest.approx(100.0)
    assert ash >= 0.0
