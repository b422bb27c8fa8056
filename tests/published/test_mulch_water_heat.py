"""What published measurements of mulch say about water held, cover, shading, dryness, wetness and heat.

Ranges, not fits: each test says which default of ours a published range allows, and where it does not, both
numbers stand here. Values are read from the open table; its ``source`` column names each publication, among them
those the equations cite: [@spiehs2013] and [@iqbal2013].
"""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.spread import Evidence
from mullbed.processes.layer_water import demand_passed
from mullbed.processes.rate_modifiers import layer_moisture_response
from mullbed.reference.residues import find_residue
from mullbed.simulate import layout as at
from mullbed.simulate.parameters import PARAMETERS
from season_bed import LEAVES, lift, run

MIDDLE = {one.name: one.middle for one in PARAMETERS}
STILL = dict.fromkeys(
    ("soluble_rate", "main_rate", "resistant_rate", "wash_out", "worm_mass", "mixing", "soluble_release"), 0.0
)


def table(shared_data: Path) -> list[dict[str, str]]:
    text = (shared_data / "et0_mulch_water_heat.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


def published(shared_data: Path, quantity: str, material: str = "", source: str = "") -> list[float]:
    """Return the values, and upper values where given, of the rows that hold these words."""
    found = [
        float(value)
        for row in table(shared_data)
        if quantity in row["quantity"] and material in row["material"] and source in row["source"]
        for value in (row["value"], row["upper_value"])
        if value
    ]
    assert found, f"no row holds {quantity} {material} {source}"
    return found


def wet_basis_to_dry(moisture: float) -> float:
    return moisture / (1.0 - moisture)


def test_saturation_is_what_soaked_straw_held(shared_data: Path) -> None:
    # published: Spiehs et al. 2013, straw and stover soaked for 72 h. [g g-1]
    assert set(published(shared_data, "water holding capacity, submerged")) == {3.6}
    full = layer_moisture_response(0.8 * 3.6)  # the lack of air begins at 80 % of it
    assert full == pytest.approx(1.0)
    assert layer_moisture_response(3.6) == pytest.approx(0.5)


def test_water_a_lift_holds_lies_between_drained_and_soaked(shared_data: Path) -> None:
    drained = published(shared_data, "after free drainage") + published(shared_data, "field storage")
    soaked = published(shared_data, "submerged") + published(shared_data, "soaked") + published(shared_data, "saturat")
    for name in ("straw", "dry leaves", "hay", "grass clippings", "cardboard"):
        held = find_residue(name).water_held
        assert min(drained) < held < np.median(soaked), name
    assert np.mean(drained) == pytest.approx(2.6, abs=0.3)  # the default, 2.6
    bark = published(shared_data, "saturated mulch water", "bark")
    assert find_residue("bark, hardwood").water_held <= bark[0]


@pytest.mark.parametrize(
    ("name", "material"),
    [
        ("dry leaves", "generic residue"),
        ("straw", "wheat straw"),
        ("green rye", "green manure"),
        ("bark, hardwood", "bark"),
        ("hay", "grass"),
    ],
)
def test_cover_by_mass_is_the_published_area(shared_data: Path, name: str, material: str) -> None:
    area = published(shared_data, "area covered per mass", material)[0]
    assert find_residue(name).interception == pytest.approx(area, rel=0.20)  # our classes are coarser: 7, 3.7, 0.4


def test_shading_lies_between_the_two_published_covers(shared_data: Path) -> None:
    areas = {
        row["material"]: float(row["value"]) for row in table(shared_data) if row["quantity"] == "area index per mass"
    }
    through = {
        row["material"]: float(row["value"])
        for row in table(shared_data)
        if row["quantity"] == "extinction coefficient"
    }
    # derived: area times extinction of Scopel et al. 1998 and Macena et al. 2003; 1.8 and 3.0 m2 kg-1
    products = sorted(areas[name] * through[name] for name in areas)
    assert len(products) == 2
    assert products[0] < MIDDLE["shading"] < products[1]


def test_straw_saves_more_water_the_thicker_it_lies_and_ours_saves_at_most_as_bare_shade(shared_data: Path) -> None:
    seen = [published(shared_data, "evaporation reduction", "straw 1 cm")[0]]
    seen += [float(row["value"]) for row in table(shared_data) if row["material"] in ("straw 2 cm", "straw 3 cm")]
    straw = find_residue("straw")
    ours = [1.0 - demand_passed(1.0, straw.laid_density * 0.01 * depth, MIDDLE["shading"]) for depth in (1, 2, 3)]
    assert seen == sorted(seen)
    assert ours == sorted(ours)
    # a known gap: shade counts demand, the trials count water lost over months of freezing; ours is 0.60, 0.84, 0.94
    # against 0.40, 0.53, 0.65, so a thin straw cover may save less than we say.
    assert [round(a - b, 1) for a, b in zip(ours, seen, strict=True)] == [0.2, 0.3, 0.3]


def test_air_dry_matter_keeps_the_published_water(shared_data: Path) -> None:
    stover = published(shared_data, "equilibrium moisture", "maize stover")
    assert min(stover) <= MIDDLE["dry_water"] <= max(stover)


def test_decay_is_slow_where_composting_is_greatly_reduced_and_full_where_it_is_ideal(shared_data: Path) -> None:
    stop = published(shared_data, "virtually stops below")[0]
    slow = published(shared_data, "greatly reduced below")
    ideal = published(shared_data, "acceptable / ideal")
    assert layer_moisture_response(wet_basis_to_dry(stop)) < 0.15
    assert all(layer_moisture_response(wet_basis_to_dry(one)) < 0.30 for one in slow)
    assert layer_moisture_response(wet_basis_to_dry(max(ideal))) > 0.80
    # a pile goes airless above 55-60 %; a thin layer on soil stays open to 2.9 g per g, 74 % (judgement)
    assert layer_moisture_response(wet_basis_to_dry(0.70)) == pytest.approx(1.0)


def test_heat_passes_a_layer_as_it_passes_published_bulks(shared_data: Path) -> None:
    bulk = published(shared_data, "thermal conductivity over moisture")
    assert min(bulk) <= MIDDLE["conductivity"] <= max(published(shared_data, "thermal conductivity"))


def seattle(shared_data: Path) -> WeatherYears:
    text = (shared_data / "et0_daily_seattle_wa_2012_2015.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    column = {
        name: np.array([[float(row[name]) for row in rows]])
        for name in ("tmin_c", "tmax_c", "rain_mm", "et0_hargreaves_mm")
    }
    return WeatherYears(
        date.fromisoformat(rows[0]["date"]), column["tmin_c"], column["tmax_c"], column["rain_mm"],
        column["et0_hargreaves_mm"], np.full_like(column["tmin_c"], 12.0), ("2012-2015",), "Seattle", Evidence.MEASURED,
    )  # fmt: skip


def test_most_rain_passes_a_litter_layer(shared_data: Path) -> None:
    # published: 0.837 and 0.845 of rain passed oak and pine litter, Forests 2023, 14:478, over single rains
    seen = published(shared_data, "rain passing through")
    outcome = run(seattle(shared_data), lift(LEAVES, 1.2), override=STILL)
    rain = float(outcome.final(at.RAIN)[0])
    passed = 1.0 - float(outcome.final(at.EVAP_LAYER)[0]) / rain
    assert passed == pytest.approx(np.mean(seen), abs=0.05)
