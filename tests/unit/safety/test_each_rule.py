"""Every rule that forbids, with a case it refuses; each case is let through when the rule is taken out."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from tests.unit.safety import invented as here

from mullbed.domain.bed import Near
from mullbed.domain.garden import Danger, Profile
from mullbed.domain.record_batches import Answer, Decision, TestVerdict
from mullbed.domain.refusal import Refusal
from mullbed.domain.safety import BatchState, Force, IntakeAnswers
from mullbed.reference.residues import all_residues
from mullbed.reference.safety_rules import all_safety_rules
from mullbed.safety.hygiene import intake_verdict
from mullbed.safety.refusals import refusals, sowing_is_refused

DAY = here.DAY
LATER = DAY + timedelta(days=400)
CLEAN = IntakeAnswers(Answer.NO, Answer.NO, Answer.NO, Answer.NO)


def log(
    residue: str,
    where: object = None,
    near: Near | None = None,
    *crops: object,
    batch: BatchState | None = None,
    fresh: bool = False,
) -> tuple[Refusal, ...]:
    """What refuses one lift on the bed by the wall."""
    bed = here.bed(*crops, near=near)  # type: ignore[arg-type]
    named = {} if batch is None else {batch.name: batch}
    layer = here.laid(residue, batch=batch.name if batch else None, fresh=fresh)
    return refusals(layer, named, bed, DAY, where or here.site())  # type: ignore[arg-type]


def taken(residue: str = "hay_grass", **answers: object) -> tuple[Refusal, ...]:
    """What speaks against a batch of which everything else is known to be sound."""
    fields = {"sprayed": Answer.NO, "seeded": Answer.NO, "diseased": Answer.NO, "stored_on_soil": Answer.NO}
    return intake_verdict(IntakeAnswers(**{**fields, **answers}), all_residues()[residue]).refusals  # type: ignore[arg-type]


def held(decision: Decision = Decision.HOLD_AND_TEST, **changes: object) -> BatchState:
    fields: dict[str, object] = {"answers": CLEAN}
    return BatchState("heap", "straw_wheat", decision, **{**fields, **changes})  # type: ignore[arg-type]


def lettuce(days: int) -> object:
    return here.crop("lettuce_butterhead", date(2027, 3, 1), DAY + timedelta(days=days))


YES = Answer.YES
CASES: dict[str, Callable[[], tuple[Refusal, ...]]] = {
    "suspect_batch": lambda: log("straw_wheat", batch=held(hold_until=DAY + timedelta(days=1))),
    "herbicide_unknown": lambda: taken("straw_wheat", sprayed=Answer.NOT_KNOWN),
    "herbicide_found": lambda: log("straw_wheat", batch=held(Decision.KEEP, test=TestVerdict.HARMED)),
    "sprayed_lawn": lambda: taken("straw_wheat", sprayed=YES, weedkiller="2,4-D", mowings_since_spraying=3),
    "lasting_weedkiller": lambda: taken("straw_wheat", sprayed=YES, weedkiller="Clopyralid", mowings_since_spraying=9),
    "seeded_batch": lambda: taken("straw_wheat", seeded=YES),
    "diseased_batch": lambda: taken("straw_wheat", diseased=YES),
    "stored_on_soil": lambda: taken("straw_wheat", stored_on_soil=YES),
    "raw_manure_wait": lambda: log("fym_horse", None, None, lettuce(119)),
    "manure_near_children": lambda: log("fym_horse", here.site(Profile.SCHOOL)),
    "scraps_near_livestock": lambda: log("scrap_cabbage", here.site(Profile.LIVESTOCK)),
    "scraps_at_school": lambda: log("scrap_cabbage", here.site(Profile.SCHOOL)),
    "scraps_from_elsewhere": lambda: log(
        "scrap_cabbage", here.site(Profile.SHARED), batch=BatchState("tub", "scrap_cabbage", Decision.KEEP)
    ),
    "sewage_on_food": lambda: log("biosolid_cake"),
    "sow_after_green": lambda: log(
        "scrap_cabbage", None, None, here.crop("bush_snap_bean", DAY + timedelta(days=20), LATER, True), fresh=True
    ),
    "lead_leaf_and_root": lambda: sowing_is_refused("carrot_bunched", here.bed(lead=100.0), DAY, here.site()),
    "lead_no_food": lambda: sowing_is_refused("tomato", here.bed(lead=401.0), DAY, here.site()),
    "fire_strip": lambda: log("straw_wheat", here.site(Profile.HOME, Danger.FIRE), Near(building=1.4)),
    "termite_gap": lambda: log("straw_wheat", here.site(Profile.HOME, Danger.TERMITES), Near(building=0.1)),
    "water_setback": lambda: log("scrap_cabbage", None, Near(water=9.9)),
    "jumping_worms": lambda: log(
        "leaf_walnut",
        here.site(Profile.HOME, Danger.JUMPING_WORMS),
        batch=BatchState("bags", "leaf_walnut", Decision.KEEP),
    ),
    "jumping_worms_seen": lambda: taken("straw_wheat", jumping_worms=YES),
    "toxic_clippings": lambda: log("bracken_green", here.site(Profile.SCHOOL)),
    "juglone": lambda: log("leaf_walnut", None, None, here.crop("tomato", DAY, LATER)),
}


def test_every_rule_that_forbids_has_its_case() -> None:
    assert set(CASES) == {key for key, rule in all_safety_rules().items() if rule.force is Force.FORBIDS}


@pytest.mark.parametrize("key", CASES)
def test_a_rule_refuses_its_case_and_names_itself(key: str) -> None:
    refused = {one.rule: one for one in CASES[key]()}
    assert key in refused
    told, rule = refused[key].told(), all_safety_rules()[key]
    for part in (f"rule {key}", f"source {rule.source}", rule.checked.isoformat(), "Local codes decide."):
        assert part in told


@pytest.mark.parametrize("key", CASES)
def test_without_the_rule_its_case_is_not_refused_by_it(key: str) -> None:
    with here.rules_without(key):
        assert key not in {one.rule for one in CASES[key]()}


SOUND: dict[str, Callable[[], tuple[Refusal, ...]]] = {
    "a hold that ended": lambda: log("straw_wheat", batch=held(hold_until=DAY)),
    "a batch that is kept": lambda: log("straw_wheat", batch=held(Decision.KEEP)),
    "a lawn mown four times since a weedkiller that does not last": lambda: taken(
        "straw_wheat", sprayed=YES, weedkiller="2,4-D", mowings_since_spraying=4
    ),
    "own straw nobody sprayed": lambda: taken("straw_wheat"),
    "manure 120 days before harvest": lambda: log("fym_horse", None, None, lettuce(120)),
    "manure 90 days before beans on poles": lambda: log(
        "fym_horse", None, None, here.crop("pole_runner_bean", DAY, DAY + timedelta(days=90))
    ),
    "manure after harvest": lambda: log("fym_horse", None, None, lettuce(-1)),
    "plants alone just before harvest": lambda: log("straw_wheat", None, None, lettuce(3)),
    "own scraps at home": lambda: log("scrap_cabbage"),
    "fresh matter 21 days before robust seed": lambda: log(
        "scrap_cabbage", None, None, here.crop("bush_snap_bean", DAY + timedelta(days=21), LATER, True), fresh=True
    ),
    "fresh matter before planting": lambda: log(
        "scrap_cabbage", None, None, here.crop("tomato", DAY + timedelta(days=2), LATER), fresh=True
    ),
    "tomatoes at 400 mg of lead": lambda: sowing_is_refused("tomato", here.bed(lead=400.0), DAY, here.site()),
    "carrots at 99 mg of lead": lambda: sowing_is_refused("carrot_bunched", here.bed(lead=99.0), DAY, here.site()),
    "carrots in soil nobody tested": lambda: sowing_is_refused("carrot_bunched", here.bed(), DAY, here.site()),
    "a building 1.5 m away": lambda: log("straw_wheat", here.site(Profile.HOME, Danger.FIRE), Near(building=1.5)),
    "a building where nothing burns": lambda: log("straw_wheat", None, Near(building=0.2)),
    "straw beside a pond": lambda: log("straw_wheat", None, Near(water=1.0, drain=0.5, well=3.0)),
    "scraps 50 m from a well": lambda: log("scrap_cabbage", None, Near(well=50.0, water=10.0, drain=2.0)),
    "own leaves where worms jump": lambda: log("leaf_walnut", here.site(Profile.HOME, Danger.JUMPING_WORMS)),
    "walnut on cabbages": lambda: log("leaf_walnut", None, None, here.crop("kale", DAY, LATER)),
    "walnut after the tomatoes": lambda: log(
        "leaf_walnut", None, None, here.crop("tomato", date(2027, 3, 1), DAY - timedelta(days=1))
    ),
    "bracken at home": lambda: log("bracken_green"),
}


@pytest.mark.parametrize("what", SOUND)
def test_what_no_rule_speaks_against_is_let_through(what: str) -> None:
    assert SOUND[what]() == ()


def test_a_layer_may_break_several_rules_and_each_is_told_once() -> None:
    where = here.site(Profile.SCHOOL, Danger.FIRE)
    bed = here.bed(lettuce(30), near=Near(building=1.0, well=20.0))  # type: ignore[arg-type]
    broken = [one.rule for one in refusals(here.laid("fym_horse", "fym_horse"), {}, bed, DAY, where)]
    assert sorted(broken) == ["fire_strip", "manure_near_children", "raw_manure_wait", "water_setback"]
