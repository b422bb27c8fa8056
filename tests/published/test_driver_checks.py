"""Checks P41, P58 and P60: soil temperature of a station, the shared moisture driver, field cases of soft residue."""

from __future__ import annotations

import csv

import numpy as np
import pytest
from numbered import expected, tolerance

from mullbed.evidence.forcing import Climate, daily_weather, drive
from mullbed.processes.soil_temperature import damping, soil_temperature_step, surface_temperature
from season_bed import LEAVES, column, lift, run

STILL = {
    "soluble_rate": 0.0,
    "main_rate": 0.0,
    "resistant_rate": 0.0,
    "wash_out": 0.0,
    "worm_mass": 0.0,
    "mixing": 0.0,
    "soluble_release": 0.0,
}


def rows(path):
    lines = path.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def test_p41_soil_temperature_of_a_grass_station(shared_data) -> None:
    days = rows(shared_data / "soil_uscrn_manhattan_ks.csv")
    temperature = np.full(3, 20.0)
    predicted, seen = [], []
    radiation = 15.0
    for row in days:
        if not row["tmin_c"] or not row["tmax_c"]:
            continue
        radiation = float(row["srad_mj_m2"]) if row["srad_mj_m2"] else radiation
        air = 0.5 * (float(row["tmin_c"]) + float(row["tmax_c"]))
        surface = surface_temperature(air, radiation, 0.0, 0.0, 0.02, 0.0)
        for k, depth in enumerate((2.5, 10.0, 30.0)):
            temperature[k] += soil_temperature_step(temperature[k], surface, depth, damping(0.0, 0.0))
        at_five = temperature[0] + (temperature[1] - temperature[0]) / 3.0
        at_twenty = 0.5 * (temperature[1] + temperature[2])
        predicted.append((at_five, temperature[1], at_twenty))
        columns = ("soil_temp_5cm_c", "soil_temp_10cm_c", "soil_temp_20cm_c")
        seen.append([float(row[c]) if row[c] else np.nan for c in columns])
    error = np.sqrt(np.nanmean((np.array(predicted)[60:] - np.array(seen)[60:]) ** 2, axis=0))
    for found, most in zip(error, expected("P41"), strict=True):
        assert found <= most


@pytest.mark.parametrize("number", range(3))
def test_p58_column_and_driver_agree(number: int) -> None:
    temperature, half_range, rain, latitude = ((10, 9, 2, 40), (25, 2, 5, 10), (15, 8, 1.1, 30))[number]
    sky = daily_weather(Climate(temperature, half_range, rain, latitude))
    driver = drive(sky).surface.mean()
    value = expected("P58")[number]
    start = column(float(0.5 * (sky.low[0, :30] + sky.high[0, :30]).mean()))
    fixed = run(sky, lift(LEAVES, 0.25), soil=start, override=STILL).daily["decay_modifier"][0]
    assert np.nanmean(fixed) == pytest.approx(driver, rel=tolerance("P58") / 100.0)
    assert driver == pytest.approx(value, rel=0.05)
    decaying = run(sky, lift(LEAVES, 0.25), soil=start).daily["decay_modifier"][0]
    assert np.nanmean(decaying) == pytest.approx(driver, rel=0.05)


def test_p60_field_cases_of_soft_residue(shared_data) -> None:
    from mullbed.evidence.field_cases import field_cases

    cases = field_cases(rows(shared_data / "field_green_mulch.csv"))
    most_mass, _, most_nitrogen, _ = expected("P60")
    for quantity, most in (("mass_remaining", most_mass), ("n_remaining", most_nitrogen)):
        errors = [100.0 * case.error for case in cases if case.quantity == quantity]
        assert len(errors) >= 17
        assert abs(np.mean(errors)) <= most
