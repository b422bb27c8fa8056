"""Intake verdicts, what counts as hot enough, bean tests, seed after soft fresh layers, loads."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from tests.unit.safety import invented as here

from mullbed.domain.garden import Danger, Limits, Profile
from mullbed.domain.layer import Layer
from mullbed.domain.record_batches import Answer, BeanTestRead, Decision, TestVerdict
from mullbed.domain.safety import Heated, IntakeAnswers
from mullbed.domain.spread import Spread
from mullbed.domain.supply import Container
from mullbed.reference.containers import find_container
from mullbed.reference.residues import all_residues
from mullbed.safety.bean_test import bean_test, judged, reading_verdict
from mullbed.safety.hygiene import intake_verdict
from mullbed.safety.lead import lead_rules
from mullbed.safety.lifting import load_of
from mullbed.safety.refusals import sowing_is_refused
from mullbed.safety.waits import is_hot_enough

NO, YES, UNKNOWN = Answer.NO, Answer.YES, Answer.NOT_KNOWN
KNOWN = IntakeAnswers(NO, NO, NO, NO)
DAY = here.DAY


@pytest.mark.parametrize(
    ("answers", "decision", "rule"),
    [
        (KNOWN, Decision.KEEP, None),
        (IntakeAnswers(), Decision.HOLD_AND_TEST, "herbicide_unknown"),
        (IntakeAnswers(own=True), Decision.KEEP, None),
        (replace(KNOWN, sprayed=YES), Decision.SEND_BACK, "herbicide_unknown"),
        (replace(KNOWN, sprayed=YES, own=True), Decision.HOLD_AND_TEST, "herbicide_unknown"),
        (replace(KNOWN, sprayed=YES, mowings_since_spraying=6), Decision.HOLD_AND_TEST, "herbicide_unknown"),
        (replace(KNOWN, sprayed=YES, weedkiller="QUINCLORAC 75"), Decision.SEND_BACK, "lasting_weedkiller"),
        (replace(KNOWN, weedkiller="aminopyralid, the field next door"), Decision.SEND_BACK, "lasting_weedkiller"),
        (replace(KNOWN, diseased=YES), Decision.SEND_BACK, "diseased_batch"),
        (replace(KNOWN, jumping_worms=YES), Decision.SEND_BACK, "jumping_worms_seen"),
        (replace(KNOWN, seeded=YES, diseased=YES), Decision.SEND_BACK, "diseased_batch"),
        (replace(KNOWN, seeded=YES, heated=Heated(True, 55.0, 3)), Decision.KEEP, None),
    ],
)
def test_the_intake_check_keeps_holds_or_sends_back(
    answers: IntakeAnswers, decision: Decision, rule: str | None
) -> None:
    verdict = intake_verdict(answers, all_residues()["fym_horse"], "heap")
    assert verdict.decision is decision
    assert (verdict.refusals[0].rule if verdict.refusals else None) == rule
    assert verdict.reason


def test_where_jumping_worms_live_not_knowing_where_it_lay_holds_a_batch() -> None:
    answers = replace(KNOWN, stored_on_soil=UNKNOWN)
    leaves = all_residues()["leaf_walnut"]
    there = here.site(Profile.HOME, Danger.JUMPING_WORMS)
    assert intake_verdict(answers, leaves, site=there).refusals[0].rule == "stored_on_soil"
    assert intake_verdict(answers, leaves, site=here.site()).decision is Decision.KEEP


@pytest.mark.parametrize(
    ("heated", "enough"),
    [
        (Heated(True, 55.0, 3), True),
        (Heated(True, 54.9, 30), False),
        (Heated(True, 60.0, 2), False),
        (Heated(False, 55.0, 15, 5), True),
        (Heated(False, 55.0, 15, 4), False),
        (Heated(False, 55.0, 14, 5), False),
        (None, False),
    ],
)
def test_compost_is_hot_enough_by_the_published_times(heated: Heated | None, enough: bool) -> None:
    """7 CFR 205.203: 55 °C, 3 days in a vessel; 15 days and 5 turns in a windrow."""
    assert is_hot_enough(heated) is enough


def test_a_bean_test_has_clean_pots_and_two_reading_days() -> None:
    test = bean_test(date(2027, 4, 1))
    assert (test.pots, test.control_pots, test.beans_in_pot) == (3, 3, 3)
    assert test.due == (date(2027, 4, 15), date(2027, 4, 22))
    assert bean_test(DAY, 6).control_pots == 6
    for wrong in (2, 7):
        with pytest.raises(ValueError, match="3 to 6"):
            bean_test(DAY, wrong)


@pytest.mark.parametrize(
    ("counts", "verdict"),
    [
        ((0, 9, 0, 9), TestVerdict.CLEAR),
        ((5, 4, 0, 9), TestVerdict.HARMED),
        ((9, 0, 9, 0), TestVerdict.UNCLEAR),  # salts, slugs or old seed: the clean pots failed too
        ((1, 8, 1, 8), TestVerdict.CLEAR),
        ((0, 0, 0, 9), TestVerdict.UNCLEAR),
    ],
)
def test_a_reading_is_judged_beside_its_controls(counts: tuple[int, int, int, int], verdict: TestVerdict) -> None:
    found, why = reading_verdict(*counts)
    assert found is verdict and why


def test_a_batch_is_cleared_on_the_last_day_never_before_and_refused_at_once() -> None:
    test = bean_test(DAY)
    first, last = test.due
    clear, harmed = BeanTestRead("t", TestVerdict.CLEAR), BeanTestRead("t", TestVerdict.HARMED)
    unclear = BeanTestRead("t", TestVerdict.UNCLEAR)
    assert judged(test, ()).again_on == first
    early = judged(test, ((first, clear),))
    assert (early.decision, early.again_on) == (Decision.HOLD_AND_TEST, last)
    assert judged(test, ((last, clear), (first, clear))).decision is Decision.KEEP
    assert judged(test, ((first, harmed), (last, clear))).decision is Decision.SEND_BACK
    again = judged(test, ((last + timedelta(days=2), unclear),))
    assert (again.decision, again.again_on) == (Decision.HOLD_AND_TEST, None)


def test_seed_waits_after_a_soft_fresh_layer_unless_its_slot_is_cleared() -> None:
    green = Layer("Wall", DAY, (here.lift("scrap_cabbage", fresh=True),), 0.0)
    bed = here.bed(layers=(green,))

    def refused(crop: str, days: int, **more: object) -> bool:
        return bool(sowing_is_refused(crop, bed, DAY + timedelta(days=days), here.site(), **more))  # type: ignore[arg-type]

    assert refused("bush_snap_bean", 20) and not refused("bush_snap_bean", 21)
    assert refused("carrot_bunched", 34) and not refused("carrot_bunched", 35)
    assert not refused("carrot_bunched", 1, in_cleared_slot=YES)
    assert not refused("carrot_bunched", 10, limits=Limits(days_before_fine_seed=10))
    (told,) = sowing_is_refused("bush_snap_bean", bed, DAY, here.site())
    assert told.until == DAY + timedelta(days=21)


def test_lead_calls_up_the_band_it_lies_in() -> None:
    keys = {mg: [rule.key for rule in lead_rules(mg, here.site())] for mg in (30.0, 31.0, 100.0, 400.0, 401.0)}
    assert keys[30.0] == []
    assert keys[31.0] == ["lead_covered"]
    assert keys[100.0] == keys[400.0] == ["lead_leaf_and_root", "lead_covered"]
    assert keys[401.0][0] == "lead_no_food"


def test_a_heavy_barrow_is_halved_and_a_weighing_decides() -> None:
    manure, barrow = all_residues()["fym_cattle"], find_container("barrow")
    full = load_of(manure, barrow)
    assert full.usual_kg > 25.0 and full.usual_kg / full.parts <= full.limit_kg
    assert full.fill == 1.0 / full.parts < 1.0
    light = Container("pail", Spread(10.0, 10.0, 10.0, "L", barrow.litres.evidence), ((manure.key, 6.0),))
    weighed = load_of(manure, light)
    assert (weighed.usual_kg, weighed.parts) == (6.0, 1)
