"""The bean test of a suspect batch: when to read it, which pots, and what the readings say."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from mullbed.domain.record_batches import BeanTestRead, BeanTestSetUp, Decision, TestVerdict
from mullbed.reference.safety_rules import all_safety_rules

RULE = "bean_test"


@dataclass(frozen=True, slots=True)
class Judged:
    """What the readings of a test say of a batch so far."""

    verdict: TestVerdict
    decision: Decision
    """KEEP when cleared, SEND_BACK when refused, HOLD_AND_TEST until then."""
    why: str
    again_on: date | None = None
    """Next day to read it; None when it is settled, or has to be set up anew."""


def reading_days() -> tuple[int, int]:
    """Return after how many days a test is read, first and last. [d]"""
    rule = all_safety_rules()[RULE]
    return int(rule.number("first_reading")), int(rule.number("last_reading"))


def bean_test(set_up_on: date, pots: int | None = None) -> BeanTestSetUp:
    """Return a test set up on a day: pots with the batch, as many clean ones, beans in each, days to read it.

    Parameters
    ----------
    set_up_on : date
        Day of sowing.
    pots : int, optional
        Pots with the batch; the fewest the rule allows where left out.

    Raises
    ------
    ValueError
        When there are fewer or more pots than the rule asks for.
    """
    rule = all_safety_rules()[RULE]
    fewest, most = int(rule.number("fewest_pots")), int(rule.number("most_pots"))
    wanted = fewest if pots is None else pots
    if not fewest <= wanted <= most:
        raise ValueError(f"{wanted} pots; a test has {fewest} to {most}, and as many clean ones")
    words = (
        f"{rule.number('parts_batch'):g} parts batch to {rule.number('parts_mix'):g} part potting mix; "
        "each pot on its own saucer, the clean ones apart"
    )
    due = tuple(set_up_on + timedelta(days=one) for one in reading_days())
    return BeanTestSetUp(wanted, wanted, int(rule.number("beans_in_pot")), due, words)


def reading_verdict(harmed: int, healthy: int, control_harmed: int, control_healthy: int) -> tuple[TestVerdict, str]:
    """Return what one reading says, from seedlings counted in pots with the batch and in clean pots.

    Beans that never came up count as harmed. Controls that did badly themselves tell nothing.

    Raises
    ------
    ValueError
        When a count is below zero.
    """
    if min(harmed, healthy, control_harmed, control_healthy) < 0:
        raise ValueError("seedlings are counted from zero")
    rule = all_safety_rules()[RULE]
    if harmed + healthy == 0 or control_harmed + control_healthy == 0:
        return TestVerdict.UNCLEAR, "nothing was counted in one kind of pot"
    share = harmed / (harmed + healthy)
    control_share = control_harmed / (control_harmed + control_healthy)
    if 1.0 - control_share < rule.number("healthy_controls"):
        return TestVerdict.UNCLEAR, "the clean pots did badly too"
    if share - control_share > rule.number("harmed_beyond_controls"):
        return TestVerdict.HARMED, f"{harmed} of {harmed + healthy} harmed, {control_harmed} in the clean pots"
    return TestVerdict.CLEAR, f"{healthy} of {harmed + healthy} healthy"


def judged(set_up: BeanTestSetUp, readings: tuple[tuple[date, BeanTestRead], ...]) -> Judged:
    """Return what becomes of a batch by all readings of its test so far.

    One harmed reading refuses it. It is cleared by a clear reading on or after the last day due, never before.

    Parameters
    ----------
    set_up : BeanTestSetUp
    readings : tuple
        Days and readings, in any order.
    """
    by_day = sorted(readings, key=lambda pair: pair[0])
    if any(read.verdict is TestVerdict.HARMED for _, read in by_day):
        return Judged(TestVerdict.HARMED, Decision.SEND_BACK, "beans grew twisted or stunted in it")
    last_due = set_up.due[-1]
    if by_day and by_day[-1][0] >= last_due:
        if by_day[-1][1].verdict is TestVerdict.CLEAR:
            return Judged(TestVerdict.CLEAR, Decision.KEEP, "beans grew as well in it as in clean pots")
        return Judged(TestVerdict.UNCLEAR, Decision.HOLD_AND_TEST, "the test told nothing: set it up anew")
    seen = by_day[-1][0] if by_day else None
    again = next(day for day in set_up.due if seen is None or day > seen)
    return Judged(TestVerdict.UNCLEAR, Decision.HOLD_AND_TEST, f"to be read on {again.isoformat()}", again)
