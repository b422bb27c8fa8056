"""Sets of soil: the reference run of the pools, incubations at several temperatures, a station's days."""

from __future__ import annotations

from math import log
from pathlib import Path

import numpy as np
import pytest

from mullbed.errors import InputFault
from mullbed.evidence.doubt import draw_ensemble
from mullbed.evidence.incubations import compare_incubations
from mullbed.evidence.soil_pools import compare_soil_pools
from mullbed.evidence.station import compare_station

HEAD = "year,month,pct_modern,temp_c,rain_mm,pan_evap_mm,c_input_t_ha,fym_t_ha,plant_cover,dpm_rpm\n"
POOLS = "year,month,dpm_t_c_ha,rpm_t_c_ha,bio_t_c_ha,hum_t_c_ha,iom_t_c_ha,soc_t_c_ha\n"


def invented_run(folder: Path, remark: str, manure: float = 0.0) -> None:
    rows = [(1, month, 0.0) for month in range(1, 13)] + [(2000, month, manure) for month in range(1, 13)]
    body = "".join(f"{year},{month},100,10,80,10,{0.2},{fym},1,1.44\n" for year, month, fym in rows)
    (folder / "rothc_x_input.csv").write_text(f"# {remark}\n{HEAD}{body}", encoding="utf-8")
    seen = "".join(f"2000,{month},0,0,0,0,2,2\n" for month in range(1, 13))
    (folder / "rothc_x_monthly.csv").write_text(POOLS + seen, encoding="utf-8")


def test_clay_depth_and_inert_carbon_are_read_from_the_head_of_a_run(tmp_path: Path) -> None:
    invented_run(tmp_path, "clay 20 %, depth 23 cm, IOM 2.0 t C/ha")
    (found,) = compare_soil_pools(tmp_path)
    whole = found.predicted[np.array(found.groups) == "soc"]
    parts = sum(found.predicted[np.array(found.groups) == pool] for pool in ("dpm", "rpm", "bio", "hum"))
    assert whole == pytest.approx(parts + 2.0)
    assert np.ptp(whole) < 1e-4  # a year like the one before it stays at rest


def test_manure_adds_its_carbon_to_the_pools(tmp_path: Path) -> None:
    invented_run(tmp_path, "clay 20 %, depth 23 cm, IOM 2.0 t C/ha", manure=1.0)
    (found,) = compare_soil_pools(tmp_path)
    whole = found.predicted[np.array(found.groups) == "soc"]
    assert whole[0] < whole[-1] < whole[0] + 12.0


def test_a_run_that_does_not_tell_its_soil_is_refused(tmp_path: Path) -> None:
    invented_run(tmp_path, "nothing told")
    with pytest.raises(InputFault, match="clay, depth or IOM"):
        compare_soil_pools(tmp_path)


def incubation(temperature: float, factor: float, unit: str, cumulative: bool) -> tuple[dict, list[dict]]:
    """Release of 1 - exp(-0.01 factor day), told as a sum or as a rate."""
    name = f"A:soil_{temperature:g}"
    days = [float(day) for day in range(1, 200, 4)]
    pace = 0.01 * factor
    values = [1 - np.exp(-pace * day) if cumulative else pace * np.exp(-pace * day) for day in days]
    series = {
        "study": "A", "series_id": name, "site": "here", "moisture": "60", "temp_c": f"{temperature:g}", "units": unit,
        "desc": "respiration", "temp_conflict": "False", "non_decreasing": str(cumulative),
    }  # fmt: skip
    return series, [{"series_id": name, "days": str(d), "value": str(v)} for d, v in zip(days, values, strict=True)]


@pytest.mark.parametrize(("unit", "cumulative"), [("mgC/gSoil", True), ("mgC/gSoil/d", False)])
def test_the_ratio_seen_is_how_much_faster_the_same_amount_is_released(unit: str, cumulative: bool) -> None:
    """Known: a soil three times as fast needs a third of the time, whatever was used up before."""
    cold, told = incubation(5.0, 1.0, unit, cumulative)
    warm, more = incubation(25.0, 3.0, unit, cumulative)
    (found,) = compare_incubations([warm, cold], told + more, draw_ensemble(20))
    assert found.seen == pytest.approx([log(3.0)], abs=0.05)
    assert found.predicted == pytest.approx([log(2.046 / 0.464)], abs=0.01)  # check P1


def test_series_whose_temperature_is_in_doubt_and_biomass_are_left_out() -> None:
    cold, told = incubation(5.0, 1.0, "mgC/gSoil", True)
    warm, more = incubation(25.0, 3.0, "mgC/gSoil", True)
    for change in ({"temp_conflict": "True"}, {"desc": "Soil microbial biomass"}):
        (found,) = compare_incubations([cold, {**warm, **change}], told + more, draw_ensemble(20))
        assert found.seen.size == 0


def test_a_station_is_scored_by_depth_and_missing_days_are_not_counted(shared_data: Path, tmp_path: Path) -> None:
    lines = (shared_data / "soil_uscrn_manhattan_ks.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (tmp_path / "soil_uscrn_part.csv").write_text("".join(lines[:300]), encoding="utf-8")
    warmth, water = compare_station(tmp_path, draw_ensemble(20))
    assert set(warmth.groups) == set(water.groups) == {"5 cm", "10 cm", "20 cm"}
    assert np.isfinite(warmth.seen).all()
    assert warmth.members is not None
    assert warmth.members.shape == (warmth.seen.size, 20)
    assert {"rmse_5cm", "rmse_10cm", "rmse_20cm"} <= set(warmth.further)
