"""Design one layer of the bundled garden from what is in hand."""

from __future__ import annotations

from datetime import date

import pytest

from mullbed.errors import InputFault, NoPlan
from mullbed.files.bundled_garden import bundled_garden
from mullbed.usecases.design_layer import DesignedLayer, design_layer


@pytest.fixture(scope="module")
def designed() -> DesignedLayer:
    return design_layer(bundled_garden(), "gate bed", today=date(2027, 4, 1), day=date(2027, 4, 26), members=32)


def test_the_layer_is_whole_containers_under_a_dry_cap(designed: DesignedLayer) -> None:
    layer = designed.planned.layer
    assert layer.bed == "Gate Bed" and layer.day == date(2027, 4, 26)
    assert all(lift.count == int(lift.count) for lift in layer.lifts)
    assert any(lift.fresh for lift in layer.lifts)
    assert not layer.cap.fresh
    assert designed.planned.litres == pytest.approx(layer.water * 7.2)


def test_it_feeds_a_hungry_crop_and_says_why(designed: DesignedLayer) -> None:
    assert designed.planned.net_nitrogen_28d.mid > 0.0
    assert any(reason.code == "feeds when the crop wants" for reason in designed.planned.reasons)


def test_goals_that_were_missed_are_told(designed: DesignedLayer) -> None:
    assert designed.traded == tuple(goal for goal in designed.design.goals if goal.missed)
    moisture = next(goal for goal in designed.design.goals if goal.goal == "moisture")
    assert moisture.missed == (not 0.5 - 1e-9 <= moisture.got <= 0.65 + 1e-9)
    assert designed.design.tried > designed.design.simulated >= 1


def test_the_ratio_lies_in_its_own_range(designed: DesignedLayer) -> None:
    ratio = designed.carbon_to_nitrogen
    assert ratio.low < ratio.mid < ratio.high


def test_seedlings_forbid_any_layer_and_the_answer_says_so() -> None:
    with pytest.raises(NoPlan, match="seedlings"):
        design_layer(bundled_garden(), "Gate Bed", today=date(2027, 4, 1), day=date(2027, 4, 10), members=16)


def test_every_fault_of_the_question_is_told_at_once() -> None:
    with pytest.raises(InputFault) as told:
        design_layer(bundled_garden(), "Nowhere", today=date(2027, 4, 1), day=date(2031, 1, 1))
    assert {fault.place for fault in told.value.faults} == {"--bed", "--day"}
