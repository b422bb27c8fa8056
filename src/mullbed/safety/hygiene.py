"""The intake check of a batch, and what a held batch forbids."""

from __future__ import annotations

from datetime import date

from mullbed.domain.garden import Danger, Site
from mullbed.domain.record_batches import Answer, Decision, TestVerdict
from mullbed.domain.refusal import Refusal
from mullbed.domain.residue import Residue
from mullbed.domain.safety import BatchState, IntakeAnswers, IntakeVerdict
from mullbed.reference.safety_rules import all_safety_rules
from mullbed.safety.rules import refused_by
from mullbed.safety.waits import is_hot_enough

#: Rules that send a batch back rather than hold it.
SENT_BACK = ("lasting_weedkiller", "jumping_worms_seen", "diseased_batch", "herbicide_found")


def intake_verdict(answers: IntakeAnswers, residue: Residue, name: str = "", site: Site | None = None) -> IntakeVerdict:
    """Return what becomes of a batch by what was answered, with every rule that speaks against keeping it.

    Not knowing counts as it would hurt: what may carry lasting weedkiller is held until a bean test clears it, and so
    is what may bear seed or disease of outside plants. What came sprayed, nobody knows with what, goes back. Where
    jumping worms live, not knowing where it lay holds it too.
    """
    worms = site is not None and Danger.JUMPING_WORMS in site.dangers
    against = [*_weedkiller(answers, residue), *_grown(answers, residue), *_animals(answers, worms)]
    refusals = tuple(
        refused_by(all_safety_rules()[key], what, subject=name or residue.key)
        for key, what in against
        if key in all_safety_rules()
    )
    gravest_first = tuple(sorted(refusals, key=lambda one: one.rule not in SENT_BACK))
    nothing_known = not answers.weedkiller and answers.mowings_since_spraying is None
    sprayed_outside = answers.sprayed is Answer.YES and not answers.own and nothing_known
    if sprayed_outside or any(one.rule in SENT_BACK for one in refusals):
        return IntakeVerdict(Decision.SEND_BACK, gravest_first)
    return IntakeVerdict(Decision.HOLD_AND_TEST if refusals else Decision.KEEP, gravest_first)


def _weedkiller(answers: IntakeAnswers, residue: Residue) -> list[tuple[str, str]]:
    lasting = all_safety_rules().get("lasting_weedkiller")
    told = (answers.weedkiller or "").casefold()
    if lasting is not None and any(word in told for word in lasting.words):
        return [("lasting_weedkiller", f"Sprayed with {answers.weedkiller}")]
    lawn = all_safety_rules().get("sprayed_lawn")
    if answers.sprayed is Answer.YES:
        mowings = answers.mowings_since_spraying
        if mowings is None or lawn is None:
            return [("herbicide_unknown", "Sprayed")]
        if mowings < lawn.number("mowings"):
            return [("sprayed_lawn", f"Sprayed, mown {mowings} times since")]
        return [] if told else [("herbicide_unknown", f"Sprayed with nobody knows what, mown {mowings} times since")]
    carries = all_safety_rules().get("herbicide_unknown")
    if answers.sprayed is Answer.NOT_KNOWN and not answers.own and carries is not None and carries.concerns(residue):
        return [("herbicide_unknown", "Nobody knows whether it was sprayed")]
    return []


def _grown(answers: IntakeAnswers, residue: Residue) -> list[tuple[str, str]]:
    if is_hot_enough(answers.heated):
        return []
    found = []
    unknown = Answer.NOT_KNOWN
    if answers.seeded is Answer.YES:
        found.append(("seeded_batch", "It bears seed or running roots"))
    elif answers.seeded is unknown and not answers.own and "seeding" in residue.cautions:
        found.append(("seeded_batch", "Nobody knows whether it bears ripe seed"))
    if answers.diseased is Answer.YES:
        found.append(("diseased_batch", "It is of sick plants"))
    elif answers.diseased is unknown and not answers.own and "plant_disease" in residue.cautions:
        found.append(("suspect_batch", "Nobody knows whether the plants were sick"))
    return found


def _animals(answers: IntakeAnswers, worms: bool) -> list[tuple[str, str]]:
    if answers.jumping_worms is Answer.YES:
        return [("jumping_worms_seen", "Jumping worms were seen in it")]
    if answers.own or is_hot_enough(answers.heated):
        return []
    if answers.stored_on_soil is Answer.YES:
        return [("stored_on_soil", "It lay on bare soil")]
    unknown = worms and answers.stored_on_soil is Answer.NOT_KNOWN
    return (
        [("stored_on_soil", "Nobody knows whether it lay on bare soil, and jumping worms live here")] if unknown else []
    )


def batch_refusals(batch: BatchState, day: date) -> tuple[Refusal, ...]:
    """Return what keeps a batch off every bed on a day."""
    rules = all_safety_rules()
    if batch.test is TestVerdict.HARMED and "herbicide_found" in rules:
        return (refused_by(rules["herbicide_found"], f"{batch.name} harmed beans", subject=batch.name),)
    over = batch.hold_until is not None and day >= batch.hold_until
    if batch.decision is Decision.KEEP or (batch.decision is Decision.HOLD_AND_TEST and over):
        return ()
    return held_refusals(batch.name, batch.reason or str(batch.decision), batch.hold_until)


def held_refusals(name: str, because: str, until: date | None) -> tuple[Refusal, ...]:
    """Return the refusal of something that is held for a reason."""
    rule = all_safety_rules().get("suspect_batch")
    if rule is None:
        return ()
    end = "" if until is None else f" until {until.isoformat()}"
    return (refused_by(rule, f"{name} is held{end}: {because}", subject=name, until=until),)
