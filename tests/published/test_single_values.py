"""Single published values that an equation must meet, each under the key of its source in sources.toml."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from mullbed.processes.fauna import worm_intake
from mullbed.processes.layer_heat import heat_power
from mullbed.processes.nitrification import nitrous_oxide_of_nitrification
from mullbed.processes.soil_carbon import inert_carbon, respired_to_retained, soil_carbon_moisture, soil_carbon_warmth
from mullbed.processes.soil_temperature import damping, soil_temperature_step
from plain_form import plain

DAY = 86_400.0
"""[s]"""


def test_albers1995_heat_of_rotting() -> None:
    # published: 434 kJ for each mol of oxygen, and so of carbon dioxide; 12.011 g of carbon a mol
    per_gram = plain(heat_power)(1.0) * DAY / 1000.0
    assert per_gram == pytest.approx(434.0 / 12.011, rel=0.005)


def test_coleman2024_warmth_is_one_at_the_mean_of_rothamsted() -> None:
    # published: the rate constants hold at 9.25 degC, the annual mean where the model was made
    assert plain(soil_carbon_warmth)(9.25) == pytest.approx(1.0, abs=0.01)


def test_coleman2024_clay_of_rothamsted_keeps_a_fifth() -> None:
    # published: 23.4 % clay; retained 1 / (1 + x)
    assert 1.0 / (1.0 + plain(respired_to_retained)(23.4)) == pytest.approx(0.222, abs=0.001)
    assert plain(soil_carbon_moisture)(0.0) == pytest.approx(0.2)


def test_falloon1998_inert_carbon_of_the_reference_run(shared_data: Path) -> None:
    # published: reference run A holds 3.0041 t/ha inert carbon and 37.21 t/ha in all at equilibrium
    text = (shared_data / "rothc_a_yearly.csv").read_text(encoding="utf-8").splitlines()
    first = next(iter(csv.DictReader(line for line in text if not line.startswith("#"))))
    found = plain(inert_carbon)(float(first["soc_t_c_ha"]))
    assert found == pytest.approx(float(first["iom_t_c_ha"]), rel=0.01)


def test_ipcc2019_nitrous_oxide_of_organic_nitrogen() -> None:
    # published: 0.006 of nitrogen added in organic form in wet climates
    assert plain(nitrous_oxide_of_nitrification)(1000.0) == pytest.approx(6.0)


def test_knollenberg1985_worms_draw_in_a_hundredth_of_their_mass_a_day() -> None:
    # published: 11 mg dry leaf for each g of live worm a day; no more where it is cold or dry
    assert plain(worm_intake)(1.0, 1.0, 16.0) == pytest.approx(0.011)
    assert plain(worm_intake)(1.0, 1.0, 2.0) == 0.0
    assert plain(worm_intake)(1.0, 0.0, 16.0) == 0.0


def test_kaetterer2009_leaves_slow_the_warming_of_soil() -> None:
    # from memory: each unit of green area weakens the daily step by exp(-0.15), depth weakens it exponentially;
    # full cover stands for a green area of 3. The constants of depth are our own fit (check P41).
    assert plain(damping)(1.0, 0.0) == pytest.approx(math.exp(-0.15 * 3.0))
    step = [plain(soil_temperature_step)(10.0, 20.0, depth, 1.0) for depth in (0.0, 10.0, 20.0)]
    assert step[1] / step[0] == pytest.approx(step[2] / step[1])
    assert step[0] > step[1] > step[2] > 0.0
