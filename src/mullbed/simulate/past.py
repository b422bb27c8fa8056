"""Pasts that were run already: a bed is looked at anew whenever something is written, and only its last days differ.

A past is known by all that can touch its days: weather, crops, soil, what was laid, poured, raked and dug in before,
and every draw of its members. A run that goes on from it gives the very bits of a whole run.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import blake2b
from threading import Lock
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

MOST_BYTES = 48 * 1024 * 1024
"""All that is kept. [bytes]"""
LEAST_DAYS = 30
"""A shorter past is run again: it is sooner done than looked up. [d]"""


@dataclass(frozen=True, slots=True)
class KeptState:
    """All members as a day began, from which later days can be run without the earlier ones; first axis blocks."""

    day: int
    column: Array
    slots: Array
    buried: Array
    marks: NDArray[np.int64]

    @property
    def bytes(self) -> int:
        """What it takes."""
        return self.column.nbytes + self.slots.nbytes + self.buried.nbytes + self.marks.nbytes


_LOCK = Lock()
_KEPT: OrderedDict[str, KeptState] = OrderedDict()


def name_of(touching: Sequence[NDArray[Any]]) -> str:
    """Return what a past is called: a digest of all that touches its days."""
    digest = blake2b(digest_size=32)
    for one in touching:
        digest.update(f"{one.dtype.str}{one.shape}".encode())
        digest.update(np.ascontiguousarray(one).tobytes())
    return digest.hexdigest()


def past_called(name: str) -> KeptState | None:
    """Return the state a past led to; None where it is not kept."""
    with _LOCK:
        found = _KEPT.get(name)
        if found is not None:
            _KEPT.move_to_end(name)
    return found


def remember(name: str, state: KeptState) -> None:
    """Keep the state a past led to; those not asked for longest go."""
    if state.bytes > MOST_BYTES:
        return
    with _LOCK:
        _KEPT[name] = state
        while sum(one.bytes for one in _KEPT.values()) > MOST_BYTES:
            _KEPT.popitem(last=False)


def forget() -> None:
    """Keep nothing."""
    with _LOCK:
        _KEPT.clear()
