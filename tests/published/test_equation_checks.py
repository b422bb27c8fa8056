"""Checks P35-P37, P40, P44, P46-P49: single equations against the table, and the reference run of the soil pools."""

from __future__ import annotations

import csv
import math

import pytest
from numbered import checks, expected, numbers, tolerance

from mullbed.processes.fauna import worm_intake
from mullbed.processes.layer_heat import heat_power, warming
from mullbed.processes.layer_water import demand_passed, kept_water
from mullbed.processes.leaching import leached_share
from mullbed.processes.nitrification import nitrous_oxide_of_nitrification
from mullbed.processes.soil_carbon import (
    pool_decay,
    respired_to_retained,
    soil_carbon_deficit_moisture,
    soil_carbon_warmth,
)
from mullbed.processes.soil_water import contact_target


def test_p35_a_dry_sublayer_keeps_little_of_a_shower() -> None:
    kept, passed = expected("P35")
    found = kept_water(10.0, 0.03, 0.25, 3.7, 2.6)
    assert found == pytest.approx(kept, abs=tolerance("P35"))
    assert 10.0 - found == pytest.approx(passed, abs=tolerance("P35"))


def test_p36_demand_handed_down() -> None:
    found = [demand_passed(1.0, mass, 2.1) for mass in (0.4, 0.5)]
    assert found == pytest.approx(expected("P36"), abs=tolerance("P36"))


def test_p37_contact_target() -> None:
    found = [contact_target(1.0, moisture) for moisture in (0.0, 1.0)]
    assert found == pytest.approx(expected("P37")[:2], abs=tolerance("P37"))


def test_p40_nitrate_leached() -> None:
    assert leached_share(10.0, 0.28, 300.0) == pytest.approx(expected("P40")[0], abs=tolerance("P40"))


def test_p44_layer_warming() -> None:
    power, warmer = expected("P44")
    assert heat_power(10.0) == pytest.approx(power, abs=tolerance("P44"))
    assert warming(heat_power(10.0), 0.075, 0.5) == pytest.approx(warmer, abs=tolerance("P44"))


def test_p46_warmth_of_the_soil_pools() -> None:
    found = [soil_carbon_warmth(float(temperature)) for temperature in (5, 10, 15, 20)]
    assert found == pytest.approx(expected("P46"), abs=tolerance("P46"))


def test_p47_clay_parts_carbon() -> None:
    assert [respired_to_retained(clay) for clay in (23.4, 13.0)] == pytest.approx(expected("P47")[:2], abs=0.01)


def test_p47_reference_run_of_the_soil_pools(shared_data) -> None:
    """Reference run A, every month, with its own deficit (Coleman, Prout and Milne 2024)."""
    forcing = _rows(shared_data / "rothc_a_input.csv")
    wanted = _rows(shared_data / "rothc_a_monthly.csv")
    clay, depth, inert = 13.0, 25.0, 3.0041
    pools = [0.0, 0.0, 0.0, 0.0]
    deficit = 0.0
    spin, run = forcing[:12], forcing[12:]
    for _ in range(1656):
        for month in spin:
            pools, deficit = _month(pools, deficit, month, clay, depth)
    worst = 0.0
    for month, row in zip(run, wanted, strict=True):
        pools, deficit = _month(pools, deficit, month, clay, depth)
        worst = max(worst, abs(sum(pools) + inert - float(row["soc_t_c_ha"])))
    assert worst < numbers(checks()["P47"]["tolerance"])[1]


def _rows(path):
    lines = path.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def _month(pools, deficit, month, clay, depth):
    """One month of the reference model, its bare-soil deficit included (0.556 of the full one)."""
    full = -(20.0 + 1.3 * clay - 0.01 * clay**2) * depth / 23.0
    bare = 0.556 * full
    change = float(month["rain_mm"]) - 0.75 * float(month["pan_evap_mm"])
    covered = month["plant_cover"] == "1"
    lowest = full if covered else min(bare, deficit)
    deficit = min(0.0, max(lowest, deficit + change))
    modifier = soil_carbon_warmth(float(month["temp_c"])) * soil_carbon_deficit_moisture(deficit, full)
    modifier *= 0.6 if covered else 1.0
    lost = [
        pool_decay(pool, rate, modifier, 1.0 / 12.0) for pool, rate in zip(pools, (10.0, 0.3, 0.66, 0.02), strict=True)
    ]
    retained = sum(lost) / (1.0 + respired_to_retained(clay))
    left = [pool - one for pool, one in zip(pools, lost, strict=True)]
    ratio = float(month["dpm_rpm"])
    plant = float(month["c_input_t_ha"])
    left[0] += plant * ratio / (1.0 + ratio)
    left[1] += plant / (1.0 + ratio)
    left[2] += 0.46 * retained
    left[3] += 0.54 * retained
    return left, deficit


def test_p48_worms_at_their_optimum() -> None:
    value = expected("P48")[0]
    assert worm_intake(50.0, 1.0, 16.0) == pytest.approx(value, rel=tolerance("P48") / 100.0)


def test_p49_nitrous_oxide() -> None:
    value, low, high = expected("P49")
    found = nitrous_oxide_of_nitrification(10.0)
    assert math.isclose(found, value, rel_tol=1e-12)
    assert low <= found <= high
