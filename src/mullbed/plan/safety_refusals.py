"""Which rules of safety kept layers out of a plan or a design, from what turned candidates away."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from mullbed.domain.refusal import Refusal
from mullbed.plan.layer_checks import SOW_AFTER_GREEN
from mullbed.plan.ready_made import Refusals
from mullbed.plan.terms import PlanTerms

#: Planning rules that keep a wait of safety, and the key of the safety rule.
WAITS = {"R13": SOW_AFTER_GREEN, "R15": "raw_manure_wait"}


def waits_kept(terms: PlanTerms, counts: Mapping[str, int]) -> tuple[Refusal, ...]:
    """Return the waits that turned candidates away."""
    kept = [terms.safety.waits.get(key) for rule, key in WAITS.items() if counts.get(rule)]
    return tuple(one for one in kept if one is not None)


def layer_refusals(terms: PlanTerms, counts: Counter[str]) -> tuple[Refusal, ...]:
    """Return what rules of safety kept out of the one bed of a layer design: holds, bars of the bed, waits."""
    bed = terms.beds[0].name
    barred = [
        bar.refusal
        for bar in terms.safety.bars
        if (counts.get("R3") and bar.supply is not None and bar.bed is None) or (counts.get("R22") and bar.bed == bed)
    ]
    if not counts:  # nothing at all was in hand
        barred = [bar.refusal for bar in terms.safety.bars if bar.bed is None]
    return (*dict.fromkeys(barred), *waits_kept(terms, counts))


def plan_refusals(terms: PlanTerms, refusals: Refusals) -> tuple[Refusal, ...]:
    """Return what rules of safety kept out of a whole plan, each once."""
    all_counts: Counter[str] = Counter()
    for counts in refusals.by_bed.values():
        all_counts.update(counts)
    barred = dict.fromkeys(bar.refusal for bar in terms.safety.bars)
    return (*barred, *waits_kept(terms, all_counts))


def held_because(name: str, reason: str | None, terms: PlanTerms) -> str:
    """Return why a supply is held: the grower's own reason, else what the rule says."""
    if reason is not None:
        return reason
    held = terms.safety.held(name)
    return held[0].refusal.sentence if held else "not allowed here"
