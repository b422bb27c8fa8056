"""Join many gardens' trials from their files, without names, and analyse them as one trial of blocks.

Reads the files, writes nothing. A file that fits no other is left out and that is said; raises InputFault when fewer
than two are left, or one cannot be read at all.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from mullbed.domain.kept_trial import JoinedTrial, WorkOnBed
from mullbed.domain.trial_answers import AnalysedTrial
from mullbed.errors import Fault, InputFault
from mullbed.files.trial_share import SharedBlock, read_shared
from mullbed.trials.analysis import analyse
from mullbed.trials.many_gardens import joined_plan, joined_readings, letter_of

MOST_GARDENS = 2000


def join_trials(paths: Sequence[Path]) -> JoinedTrial:
    """Return many gardens as one trial: the ways, control and first measure that most of them share."""
    faults: list[Fault] = []
    blocks: list[SharedBlock] = []
    for path in paths[:MOST_GARDENS]:
        try:
            blocks.append(read_shared(path))
        except InputFault as told:
            faults += told.faults
    if faults:
        raise InputFault(faults[:60])
    usual = Counter(map(_kind, blocks)).most_common(1)
    kept = [one for one in blocks if usual and _kind(one) == usual[0][0]]
    left = tuple(
        f"{letter_of(number)}: {_why(one, kept[0])}" for number, one in enumerate(blocks) if one not in kept
    ) + tuple("read twice" for _ in range(len(kept) - len(set(kept))))
    kept = list(dict.fromkeys(kept))
    if len(kept) < 2:
        allowed = "two gardens or more with the same ways, control, fairness and first measure"
        raise InputFault([Fault("gardens", f"{len(kept)} that fit together", allowed, "Ask more gardens for theirs.")])
    first = kept[0]
    shared = [one for one in first.measures if all(one.key in {m.key for m in other.measures} for other in kept)]
    plan = joined_plan(
        first.question,
        first.treatments,
        first.control,
        first.fairness,
        shared,
        first.alpha,
        first.worthwhile,
        len(kept),
    )
    readings = [one for one in joined_readings([one.values for one in kept]) if one.measure in {m.key for m in shared}]
    seen = []
    open_ones = sum(not one.locked or not one.seal_held for one in kept)
    if open_ones:
        seen.append(f"{open_ones} of {len(kept)} gardens did not lock their plan, or changed it afterwards.")
    changed = sum(one.changed > 0 for one in kept)
    if changed:
        seen.append(f"{changed} of {len(kept)} gardens wrote down something done otherwise.")
    outcome = AnalysedTrial(analyse(plan, readings), open_ones == 0, open_ones == 0, tuple(readings), tuple(seen))
    work = tuple(
        WorkOnBed(f"Garden {letter_of(number)}", one.hours or 0.0, one.harvested or 0.0, one.area)
        for number, one in enumerate(kept)
        if one.hours is not None or one.harvested is not None
    )
    return JoinedTrial(outcome, len(kept), left, work)


def _kind(one: SharedBlock) -> tuple[object, ...]:
    first = one.measures[0] if one.measures else None
    return (
        tuple((treatment.code, treatment.way) for treatment in one.treatments),
        one.control,
        one.fairness,
        (first.key, first.unit, first.scale) if first is not None else None,
    )


def _why(one: SharedBlock, usual: SharedBlock) -> str:
    """Return why a garden does not fit, in words."""
    if [t.way for t in one.treatments] != [t.way for t in usual.treatments] or one.control != usual.control:
        return "compares other ways"
    if one.fairness is not usual.fairness:
        return f"fair means there: {one.fairness.value}"
    return "measures something else first"
