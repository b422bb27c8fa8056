"""One number of a table in words: value, range, how it is known and where it was published."""

from __future__ import annotations

from mullbed.domain.spread import Spread
from mullbed.reference.tables import sources
from mullbed.reports.words import evidence_words, spread_words

Json = dict[str, object]


def shown_spread(spread: Spread | None, factor: float = 1.0, unit: str = "") -> str:
    """Return "0.9 (0.7 to 1.8) %"; the word unknown for a missing number."""
    return "unknown" if spread is None else spread_words(spread.scaled(factor), unit)


def known_how(spread: Spread | None) -> str:
    """Return how a number is known and its source key, and that its range is judged where it is."""
    if spread is None:
        return ""
    judged = "" if spread.range_evidence in (None, spread.evidence) else "; range judged"
    return f"{evidence_words(spread.evidence)}, {spread.source}".rstrip(", ") + judged


def spread_document(spread: Spread | None) -> Json | None:
    """Return a number as the documents hold it; null where unknown."""
    if spread is None:
        return None
    return {
        "low": spread.low,
        "mid": spread.mid,
        "high": spread.high,
        "unit": spread.unit,
        "evidence": str(spread.evidence),
        "range_evidence": str(spread.range_evidence or spread.evidence),
        "source": spread.source,
    }


def publication(key: str) -> str:
    """Return a publication as it is cited: authors, year, title, address, and that it is from memory if it is."""
    row = sources().get(key)
    if row is None:
        return key
    who = [str(row["authors"])] if row["authors"] not in {"", "none"} else []
    year = [str(row["year"])] if row["year"] else []
    told = ". ".join([*[" ".join([*who, *year])][: bool(who or year)], str(row["title"])])
    address = f". {row['address']}" if row["address"] else ""
    seen = "" if row["seen"] == "read" else f" ({row['seen']})"
    return f"{key}: {told}{address}{seen}"


def publications(keys: set[str]) -> list[str]:
    """Return every publication named, in the order of their keys."""
    return [publication(key) for key in sorted(keys) if key]
