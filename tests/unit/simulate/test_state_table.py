"""The table of pools and the engine's arrays are one: each pool has its column, in the table's order."""

from __future__ import annotations

import pytest

from mullbed.domain.state import STATE, Place, Pool
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par

ARRAYS = {Place.COHORT: at.COHORT_POOLS, Place.SUBLAYER: at.SUBLAYER_VALUES, Place.COLUMN: at.SOIL_POOLS}


@pytest.mark.parametrize("pool", [one for one in STATE if one.place in ARRAYS and one.name != "snow"], ids=str)
def test_every_pool_has_its_column(pool: Pool) -> None:
    assert 0 <= getattr(at, pool.name.upper()) < ARRAYS[pool.place]


@pytest.mark.parametrize("place", list(Place))
def test_pools_of_a_place_stand_in_order(place: Place) -> None:
    columns = [getattr(at, one.name.upper(), None) for one in STATE if one.place is place]
    known = [column for column in columns if column is not None]
    assert known == list(range(len(known)))


def test_names_are_unique_and_every_unit_is_canonical() -> None:
    assert len({pool.name for pool in STATE}) == len(STATE)
    assert {pool.unit for pool in STATE} <= {"g C m-2", "g N m-2", "g m-2", "mm", "°C", "d", "kg m-3"}
    assert [pool.name for pool in STATE if not pool.bounded] == ["warmth", "soil_warmth"]


def test_parameter_columns_follow_the_table() -> None:
    for name, column in par.COLUMN.items():
        assert getattr(par, name.upper()) == column
    for parameter in par.PARAMETERS:
        assert parameter.lowest <= parameter.middle <= parameter.highest, parameter.name
        assert (parameter.spread > 0.0) == (parameter.kind != ""), parameter.name
