"""Plans with little in them still give whole outputs: no layer, no forecast, nothing but gaps, many beds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from season_sample import DAYS, FIRST, GARDEN, PLAN

from mullbed.domain.forecast import Band
from mullbed.domain.garden import UnitSystem
from mullbed.reports.plan_outputs import plan_outputs
from mullbed.reports.terminal_plan import plan_text

METRIC = UnitSystem.METRIC
EMPTY = replace(
    PLAN, layers=(), gather=(), forecasts={}, promise={}, rehearsal={}, budget={}, unmet={}, shortages=(), held=(),
    supply_left={},
)  # fmt: skip


def test_a_plan_without_layers_says_so_everywhere() -> None:
    made = plan_outputs(EMPTY, GARDEN, made_on=FIRST)
    assert "Nothing is in hand to lay this season." in str(made["report.html"])
    assert (
        plan_text(EMPTY, GARDEN, units=METRIC, made_on=FIRST).splitlines()[2]
        == "Nothing is in hand to lay this season."
    )
    assert len(str(made["layers.csv"]).splitlines()) == 1


def test_a_plan_without_forecasts_still_has_its_cards_and_cuts() -> None:
    made = plan_outputs(replace(PLAN, forecasts={}), GARDEN, made_on=FIRST)
    assert "Lying now" in str(made["report.html"])
    assert bytes(made["cards.pdf"]).startswith(b"%PDF-")  # type: ignore[arg-type]


def test_gaps_in_a_forecast_are_left_out_and_never_drawn() -> None:
    holes = np.full(DAYS, np.nan)
    broken = {
        name: replace(
            one,
            series={key: Band(holes, holes, holes) for key in one.series},
            lifts=tuple(replace(lift, thickness=holes, carbon_gone=holes, moisture=holes) for lift in one.lifts),
        )
        for name, one in PLAN.forecasts.items()
    }
    made = plan_outputs(replace(PLAN, forecasts=broken), GARDEN, made_on=FIRST)
    assert "nan" not in str(made["report.html"]).lower().replace("nancy", "")
    assert plan_text(replace(PLAN, forecasts=broken), GARDEN, units=METRIC, made_on=FIRST)


def test_outputs_of_one_plan_are_the_same_each_time() -> None:
    assert plan_outputs(PLAN, GARDEN, made_on=FIRST) == plan_outputs(PLAN, GARDEN, made_on=FIRST)
