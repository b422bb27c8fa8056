"""Domain words as plain values, for the open files; the record keeps them the same way."""

from __future__ import annotations

from mullbed.domain.plain_values import from_plain, to_plain

__all__ = ["from_plain", "to_plain"]
