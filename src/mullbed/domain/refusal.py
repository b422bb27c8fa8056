"""Something a rule of safety refuses, and a person's reason to set the rule aside."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

LOCAL_CODES = "Local codes decide."
"""Said with everything that law may rule."""


class Mark(StrEnum):
    """How a rule's figures are known."""

    PUBLISHED = "published"
    MEMORY = "from memory"
    JUDGEMENT = "judgement"


@dataclass(frozen=True, slots=True)
class Refusal:
    """Something a rule refuses: which rule, why, how we know it, and whether a person may set it aside."""

    rule: str
    sentence: str
    source: str
    """Key of sources.toml."""
    checked: date
    override_allowed: bool
    mark: Mark = Mark.JUDGEMENT
    bed: str | None = None
    subject: str = ""
    """What is refused: name of a supply or batch, key of a residue or a crop; empty for the whole layer."""
    until: date | None = None
    """First day on which it is not refused; None where no day is known."""

    def told(self) -> str:
        """Return the refusal in one line, with rule, source, date and who decides."""
        allowed = "" if self.override_allowed else " It cannot be set aside here."
        return (
            f"{self.sentence} [rule {self.rule}; source {self.source}, {self.mark}; "
            f"checked {self.checked.isoformat()}] {LOCAL_CODES}{allowed}"
        )


@dataclass(frozen=True, slots=True)
class Override:
    """A rule that a person sets aside, and why; kept with the garden."""

    rule: str
    reason: str
    who: str
    day: date
    bed: str | None = None
    """Only on this bed; None for the whole garden."""
    subject: str | None = None
    """Only for this supply, batch, residue or crop; None for all."""

    def __post_init__(self) -> None:
        if not self.reason.strip() or not self.who.strip():
            raise ValueError("setting a rule aside needs a reason and a name")

    def covers(self, refusal: Refusal) -> bool:
        """Say whether it sets a refusal aside."""
        return (
            refusal.override_allowed
            and self.rule == refusal.rule
            and (self.bed is None or (refusal.bed is not None and self.bed.casefold() == refusal.bed.casefold()))
            and (self.subject is None or self.subject == refusal.subject)
        )


def parted(
    refusals: Iterable[Refusal], overrides: Iterable[Override]
) -> tuple[tuple[Refusal, ...], tuple[tuple[Refusal, Override], ...]]:
    """Return what stays refused, and what was set aside with the override that did it."""
    known = tuple(overrides)
    stay: list[Refusal] = []
    aside: list[tuple[Refusal, Override]] = []
    for refusal in refusals:
        by = next((one for one in known if one.covers(refusal)), None)
        if by is None:
            stay.append(refusal)
        else:
            aside.append((refusal, by))
    return tuple(stay), tuple(aside)
