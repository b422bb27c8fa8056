"""From filled containers to lifts."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mullbed.domain.filling import (
    WEIGHING_LOG_SD,
    container_mass,
    fill,
    lift_from_depth,
    lift_from_mass,
    lift_from_volume,
    log_sd,
    wilted_thickness,
)
from mullbed.domain.residue import Residue
from mullbed.domain.spread import Evidence, Spread
from mullbed.domain.supply import Container
from mullbed.reference.residues import find_residue

GRASS, LEAVES, STRAW = find_residue("grass clippings"), find_residue("dry leaves"), find_residue("straw")
BUCKET = Container("bucket", Spread(9.0, 12.0, 15.0, "L", Evidence.GUESS))
WEIGHED = Container("bucket", BUCKET.litres, ((GRASS.key, 3.1),))
BARROW = Container("barrow", Spread(60.0, 72.0, 90.0, "L", Evidence.GUESS))


def dry_share(residue: Residue) -> float:
    """Return the dry matter per fresh mass."""
    return 1.0 - residue.moisture.mid


def test_a_weighed_bucket_gives_the_mass_that_was_weighed() -> None:
    # known: 4 x 3.1 kg on 2 m2
    lift = fill(GRASS, WEIGHED, 4, 2.0)
    assert lift.dry_matter == pytest.approx(4 * 3100 * dry_share(GRASS) / 2)
    assert lift.thickness == pytest.approx(4 * 0.012 / 2)


def test_the_supply_s_own_weighing_goes_before_the_container_s() -> None:
    assert container_mass(GRASS, WEIGHED, weighed_kg=2.5).fresh_kg == 2.5
    assert container_mass(GRASS, WEIGHED).fresh_kg == 3.1


def test_a_weighing_in_another_container_is_scaled_by_litres() -> None:
    mass = container_mass(GRASS, BARROW, others=(LEAVES_BUCKET, WEIGHED))
    assert mass.fresh_kg == pytest.approx(3.1 * 72 / 12)  # known
    assert mass.weighed
    assert mass.evidence is Evidence.WORKED_OUT


LEAVES_BUCKET = Container("sack", BARROW.litres, ((LEAVES.key, 5.0),))


def test_without_any_weighing_the_table_s_density_counts() -> None:
    mass = container_mass(LEAVES, BUCKET)
    assert mass.fresh_kg == pytest.approx(0.012 * LEAVES.loose_density.mid)
    assert not mass.weighed


def test_a_weighing_narrows_the_doubt_and_strengthens_the_evidence() -> None:
    weighed, table = fill(GRASS, WEIGHED, 4, 2.0), fill(GRASS, BUCKET, 4, 2.0)
    assert weighed.dry_matter_log_sd < 0.75 * table.dry_matter_log_sd
    assert weighed.dry_matter_evidence.rank < table.dry_matter_evidence.rank
    assert container_mass(GRASS, WEIGHED).log_sd == WEIGHING_LOG_SD


def test_water_of_fresh_tissue_is_inside_and_of_dry_pieces_outside() -> None:
    grass, leaves = fill(GRASS, BUCKET, 1, 1.0), fill(LEAVES, BUCKET, 1, 1.0)
    wet = GRASS.moisture.mid / dry_share(GRASS)
    assert grass.tissue_water == pytest.approx(grass.dry_matter / 1000 * wet)
    assert grass.free_water == 0.0
    assert leaves.tissue_water == 0.0
    assert leaves.free_water > 0.0


def test_drying_keeps_the_dry_matter_and_loses_water_and_height() -> None:
    fresh, dried = fill(GRASS, WEIGHED, 4, 2.0), fill(GRASS, WEIGHED, 4, 2.0, dried=True)
    assert dried.dry_matter == fresh.dry_matter
    assert not dried.fresh
    assert dried.tissue_water == 0.0
    assert dried.free_water < 0.1 * fresh.tissue_water
    assert dried.thickness < fresh.thickness


def test_a_bale_is_dense_and_springs_open() -> None:
    bale = Container("bale", Spread(150.0, 170.0, 190.0, "L", Evidence.GUESS), pressed=True)
    lift = fill(STRAW, bale, 1, 10.0)
    assert 10.0 < lift.dry_matter * 10.0 / 1000.0 < 25.0  # from memory: a small bale of straw weighs 15-20 kg
    assert lift.thickness > 0.017
    heavy = fill(STRAW, Container("sack", bale.litres), 1, 10.0, weighed_kg=40.0)
    assert heavy.thickness == pytest.approx(40.0 / STRAW.loose_density.mid / 10.0)


def test_depth_volume_and_mass_agree() -> None:
    by_depth = lift_from_depth(LEAVES, 0.025, 4.0)
    by_volume = lift_from_volume(LEAVES, 100.0, 4.0)
    by_mass = lift_from_mass(LEAVES, 0.1 * LEAVES.loose_density.mid, 4.0)
    for lift in (by_volume, by_mass):
        assert lift.dry_matter == pytest.approx(by_depth.dry_matter)
        assert lift.thickness == pytest.approx(0.025)
    assert by_mass.dry_matter_log_sd < by_depth.dry_matter_log_sd
    assert (by_depth.container, by_depth.count) == ("L", pytest.approx(100.0))


def test_wilting_takes_height_from_soft_residues_only() -> None:
    grass, straw = lift_from_depth(GRASS, 0.05), lift_from_depth(STRAW, 0.05)
    assert 0.2 * 0.05 < wilted_thickness(GRASS, grass) < 0.05
    assert wilted_thickness(STRAW, straw) == straw.thickness


def test_the_log_sd_of_a_range_puts_its_ends_at_the_deciles() -> None:
    doubt = log_sd(Spread(1.0, 2.0, 4.0, "1", Evidence.GUESS))
    assert 2.0 * math.exp(1.2815515655446004 * doubt) == pytest.approx(4.0)
    assert log_sd(Spread(2.0, 2.0, 2.0, "1", Evidence.GUESS)) == 0.0


@given(count=st.floats(0.0, 1e4), area=st.floats(0.01, 1e4))
def test_doubled_area_halves_the_lift_and_doubled_count_doubles_it(count: float, area: float) -> None:
    lift = fill(GRASS, WEIGHED, count, area)
    assert fill(GRASS, WEIGHED, count, 2 * area).dry_matter == pytest.approx(lift.dry_matter / 2)
    assert fill(GRASS, WEIGHED, 2 * count, area).thickness == pytest.approx(2 * lift.thickness)


@pytest.mark.parametrize(("count", "area"), [(1.0, 0.0), (1.0, -2.0), (1.0, math.nan), (-1.0, 2.0), (math.nan, 2.0)])
def test_no_area_and_negative_counts_are_refused(count: float, area: float) -> None:
    with pytest.raises(ValueError, match="zero"):
        fill(GRASS, BUCKET, count, area)
