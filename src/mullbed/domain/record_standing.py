"""What holds now: every entry with its corrections and withdrawals folded together.

Rules
-----
S1 An entry that nobody corrected or took back holds.
S2 A correction holds in place of what it corrects, and of what that corrected.
S3 Of two corrections of the same entry the one written later holds; of two written at once, the larger id.
S4 Taking back an entry takes back all its corrections; taking back a correction lets the one before it hold again.
S5 Taking back a withdrawal lets what it took back hold again.
S6 The order in which entries arrive does not matter, nor do clocks within one chain of corrections.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from mullbed.domain.record import Entry


def in_order(entry: Entry) -> tuple[object, ...]:
    """Key that sorts entries by day, then by moment of writing, then by id."""
    return (entry.day, entry.written_at, entry.id)


def standing(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return the entries that hold now, by day; withdrawals themselves are not among them.

    An entry whose target is not given is read as if it stood alone.
    """
    by_id = {entry.id: entry for entry in entries}
    withdrawals: dict[str, list[str]] = defaultdict(list)
    corrections: dict[str, list[str]] = defaultdict(list)
    for entry in by_id.values():
        if entry.withdraws is not None:
            withdrawals[entry.withdraws].append(entry.id)
        if entry.corrects in by_id:
            corrections[str(entry.corrects)].append(entry.id)
    taken_back = _taken_back(by_id, withdrawals)
    holding = []
    for entry in by_id.values():
        if entry.withdraws is None and entry.corrects not in by_id and entry.id not in taken_back:
            holding.append(_last_word(entry, by_id, corrections, taken_back))
    return tuple(sorted(holding, key=in_order))


def _taken_back(by_id: Mapping[str, Entry], withdrawals: Mapping[str, list[str]]) -> set[str]:
    """Return the ids of what is taken back by a withdrawal that holds itself."""
    decided: dict[str, bool] = {}
    for first in withdrawals:
        chain = [first]
        while chain:
            open_ones = [one for one in withdrawals.get(chain[-1], ()) if one not in decided and one not in chain]
            if open_ones:
                chain.append(open_ones[0])
                continue
            last = chain.pop()
            decided[last] = any(not decided.get(one, False) for one in withdrawals.get(last, ()))
    return {one for one, back in decided.items() if back}


def _last_word(
    root: Entry, by_id: Mapping[str, Entry], corrections: Mapping[str, list[str]], taken_back: set[str]
) -> Entry:
    """Return the correction that holds in place of an entry, or the entry itself."""
    last_words = []
    waiting: list[tuple[Entry, Entry]] = [(root, root)]
    while waiting:
        at, holds = waiting.pop()
        followers = [by_id[one] for one in corrections.get(at.id, ())]
        if not any(_speaks(one, by_id, corrections, taken_back) for one in followers):
            last_words.append(holds)
        for one in followers:
            waiting.append((one, holds if one.id in taken_back else one))
    best = [one for one in last_words if one is not root] or [root]
    return max(best, key=lambda one: (one.written_at, one.id))


def _speaks(
    entry: Entry, by_id: Mapping[str, Entry], corrections: Mapping[str, list[str]], taken_back: set[str]
) -> bool:
    """True if an entry or a correction of it holds."""
    waiting = [entry.id]
    while waiting:
        one = waiting.pop()
        if one not in taken_back:
            return True
        waiting += corrections.get(one, ())
    return False
