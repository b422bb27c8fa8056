"""Findings of a mix check as sentences, by code; the facts are in their values."""

from __future__ import annotations

from mullbed.domain.garden import UnitSystem
from mullbed.domain.mix import Finding
from mullbed.reports.words import capital, number


def finding_words(finding: Finding, units: UnitSystem) -> str:
    """Return a finding as a sentence; a code without its own sentence is said with its values."""
    code = finding.code.replace("_", " ")
    told = ", ".join(
        f"{key.replace('_', ' ')} {number(value) if isinstance(value, (int, float)) else value}"
        for key, value in finding.values.items()
    )
    return f"{capital(code)}: {told}." if told else f"{capital(code)}."
