"""Whether a garden was begun and nothing more: no work, no note, nothing seen."""

from __future__ import annotations

from mullbed.domain.record_kinds import Kind
from mullbed.store.database import Transaction
from mullbed.store.journal import entries

BEGUN = frozenset(
    {
        Kind.SITE,
        Kind.BED,
        Kind.CONTAINER,
        Kind.SUPPLY,
        Kind.CROP,
        Kind.IRRIGATION,
        Kind.GARDEN_FILE,
        Kind.PLAN,
        Kind.FORECAST,
        Kind.LEARNT,
        Kind.TAKEN_BACK,
    }
)
"""Kinds of entry that beginning and planning write."""


def only_begun(transaction: Transaction, garden: str) -> bool:
    """Tell whether nothing stands in a garden but what beginning and planning wrote."""
    return not entries(transaction, garden, kinds=[kind for kind in Kind if kind not in BEGUN], newest=1)
