"""Pages of the terminal: order, width, plain ASCII."""

from __future__ import annotations

import re
from datetime import date

import pytest
from season_sample import BALANCE, CHECK, FIRST, GARDEN, PLAN, PLANNED

from mullbed.domain.garden import UnitSystem
from mullbed.domain.spread import Evidence, Spread
from mullbed.reports.cut_scene import planned_cut
from mullbed.reports.terminal_check import check_text
from mullbed.reports.terminal_cut import CUT_WIDTH, cut_lines
from mullbed.reports.terminal_forecast import forecast_text
from mullbed.reports.terminal_layer import layer_text
from mullbed.reports.terminal_plan import plan_text
from mullbed.reports.terminal_style import Style

METRIC, US = UnitSystem.METRIC, UnitSystem.US


def pages(units: UnitSystem, style: Style) -> dict[str, str]:
    return {
        "layer": layer_text(
            PLANNED[0], GARDEN.bed("Wall"), PLAN.forecasts["Wall"], units=units, made_on=FIRST, style=style,
            carbon_to_nitrogen=Spread(18, 24, 31, "1", Evidence.WORKED_OUT), traded=("Thickness for nitrogen.",),
        ),
        "plan": plan_text(PLAN, GARDEN, units=units, made_on=FIRST, today=date(2027, 4, 10), style=style),
        "check": check_text(CHECK, units=units, style=style),
        "forecast": forecast_text(PLAN.forecasts, BALANCE, units=units, style=style),
    }  # fmt: skip


@pytest.mark.parametrize("units", [METRIC, US])
@pytest.mark.parametrize("plain", [False, True])
def test_no_page_is_wider_than_eighty_columns(units: UnitSystem, plain: bool) -> None:
    for name, page in pages(units, Style(plain=plain)).items():
        wide = [line for line in page.splitlines() if len(line) > 80]
        assert not wide, (name, wide)


def test_plain_is_ascii_and_loses_no_line() -> None:
    plain, full = pages(METRIC, Style(plain=True)), pages(METRIC, Style())
    for name, page in plain.items():
        page.encode("ascii")
        assert "?" not in page, name
        assert len(page.splitlines()) == len(full[name].splitlines())


def test_colour_is_only_paint() -> None:
    painted, bare = pages(METRIC, Style(colour=True)), pages(METRIC, Style())
    for name, page in bare.items():
        assert "\x1b" not in page
        assert "\x1b[" in painted[name]
        assert re.sub(r"\x1b\[[\d;]*m", "", painted[name]) == page


def test_a_layer_is_told_in_the_order_of_the_work() -> None:
    page = pages(METRIC, Style())["layer"]
    places = [page.index(f"\n  {word}") for word in ("LAY", "WHY", "DON'T", "GIVES", "COSTS", "CARE")]
    assert places == sorted(places)
    assert "3 buckets of fresh grass clippings, then 2 bags of shredded autumn" in page


def test_the_cut_has_a_row_a_centimetre() -> None:
    cut = planned_cut(PLANNED[0], GARDEN.bed("Wall"), PLAN.forecasts["Wall"], METRIC)
    lines = cut_lines(cut, Style())
    total = sum(lift.centimetres for lift in cut.lifts)
    above = [line for line in lines if "│" in line][:-1]
    assert len(above) == round(total)
    assert sum("━" in line for line in lines) == 1
    assert all(len(line[8 : 8 + CUT_WIDTH]) == CUT_WIDTH for line in lines)


def test_the_plan_answers_first_and_names_what_is_short() -> None:
    page = pages(METRIC, Style())["plan"]
    assert page.splitlines()[2] == "Shredded autumn leaves run short in July: 2 bags."
    assert "Gate & <Arch> bed stays short of nitrogen" in page
    assert "1.8 % of the best" in page
    assert "41,472 simulated seasons" in page
    assert page.count("┃") == len(GARDEN.beds)


def test_a_check_says_far_too_much_first() -> None:
    from dataclasses import replace

    from mullbed.domain.mix import Finding

    finding = Finding(
        "more_nitrogen_than_any_crop_wants",
        {"nitrogen": 736.0, "times_most": 21.0, "times_middle": 46.0, "layers": 8.0}, Evidence.WORKED_OUT,
    )  # fmt: skip
    assert check_text(replace(CHECK, findings=(finding,)), units=METRIC).startswith("Too much for any crop")
    assert check_text(CHECK, units=METRIC).startswith("One layer feeds")


def test_a_robbing_mix_is_called_so() -> None:
    from dataclasses import replace

    taken = tuple(Spread(-spread.high - 1, -spread.mid - 0.5, -spread.low - 0.2, spread.unit, spread.evidence)
                  for spread in CHECK.net_nitrogen)  # fmt: skip
    assert check_text(replace(CHECK, net_nitrogen=taken), units=METRIC).startswith("One layer robs")


def test_us_pages_hold_no_metric_units() -> None:
    for name, page in pages(US, Style()).items():
        page = page.split("\n  CARE")[0]  # cautions are quoted from their table as they stand
        assert not re.search(r"\d (cm|kg|mm|L|m²)\b", page), name
