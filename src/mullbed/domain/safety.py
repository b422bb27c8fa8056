"""What safety asks: rules as data, what was answered of a batch, and the plain limits handed to those who plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from types import MappingProxyType

from mullbed.domain.garden import Danger, Profile
from mullbed.domain.record_batches import Answer, Decision, TestVerdict
from mullbed.domain.refusal import Mark, Override, Refusal
from mullbed.domain.residue import Residue
from mullbed.domain.spread import Evidence


class Force(StrEnum):
    """What a rule does."""

    FORBIDS = "forbids"
    """It binds layers, plans and the log."""
    ASKS = "asks"
    """It is told; nothing is refused."""


@dataclass(frozen=True, slots=True)
class RuleNumber:
    """One number of a rule."""

    value: float
    unit: str
    mark: Mark
    source: str
    """Key of sources.toml."""


@dataclass(frozen=True, slots=True)
class SafetyRule:
    """One rule."""

    key: str
    word: str
    force: Force
    says: str
    """What it forbids or asks, as a sentence with its numbers in it."""
    mark: Mark
    source: str
    """Key of sources.toml."""
    checked: date
    hazard: str
    """Key of the hazards table."""
    profiles: tuple[Profile, ...]
    place: str
    """Where its figures come from or are law, in words."""
    danger: Danger | None = None
    """It holds only where the site names this danger; None for anywhere."""
    override_allowed: bool = True
    numbers: Mapping[str, RuleNumber] = field(default_factory=lambda: MappingProxyType({}))
    cautions: tuple[str, ...] = ()
    """It concerns residues with one of these cautions; empty for no caution in particular."""
    residues: tuple[str, ...] = ()
    """It concerns residues by key."""
    crops: tuple[str, ...] = ()
    """It concerns crops by key or by family."""
    words: tuple[str, ...] = ()
    """Words it looks for in what is told, in small letters."""

    def number(self, name: str) -> float:
        """Return the value of one of its numbers."""
        return self.numbers[name].value

    def concerns(self, residue: Residue) -> bool:
        """Say whether a residue has one of its cautions or is named by it."""
        return residue.key in self.residues or any(key in residue.cautions for key in self.cautions)


@dataclass(frozen=True, slots=True)
class Heated:
    """How hot a batch of manure or compost got, for how long."""

    in_vessel: bool
    """True in a vessel or aerated pile that stays closed; False in a windrow."""
    temperature: float
    """Lowest in that time. [°C]"""
    days: int
    turns: int = 0


@dataclass(frozen=True, slots=True)
class IntakeAnswers:
    """What was answered when a batch came in."""

    sprayed: Answer = Answer.NOT_KNOWN
    seeded: Answer = Answer.NOT_KNOWN
    diseased: Answer = Answer.NOT_KNOWN
    stored_on_soil: Answer = Answer.NOT_KNOWN
    jumping_worms: Answer = Answer.NO
    """Thrashing worms with a smooth pale band, or from a place known to have them."""
    weedkiller: str | None = None
    """What it was sprayed with, as far as known."""
    mowings_since_spraying: int | None = None
    heated: Heated | None = None
    own: bool = False
    """True for what grew in this garden."""


@dataclass(frozen=True, slots=True)
class IntakeVerdict:
    """What becomes of a batch, and which rules say so; the gravest first."""

    decision: Decision
    refusals: tuple[Refusal, ...]
    """One for each rule that speaks against keeping it; empty when it may be kept."""

    @property
    def short(self) -> str:
        """What was the matter, in a few words that may follow "because"; empty when nothing was."""
        words = self.reason.split(". ")[0] if self.refusals else ""
        return words[:1].lower() + words[1:]

    @property
    def reason(self) -> str:
        """Why, in one line."""
        return self.refusals[0].sentence if self.refusals else "Nothing speaks against it."


@dataclass(frozen=True, slots=True)
class BatchState:
    """One batch as it stands on a day: what was decided, and until when it is held."""

    name: str
    residue: str
    """Key of the residue table."""
    decision: Decision
    hold_until: date | None = None
    reason: str = ""
    answers: IntakeAnswers = IntakeAnswers()
    test: TestVerdict | None = None
    """Verdict of its last bean test; None where none was read."""
    bought_in: bool = True


@dataclass(frozen=True, slots=True)
class HarvestWait:
    """Days that must pass between laying and harvest."""

    rule: str
    days_touching: int
    """Where the crop touches the soil. [d]"""
    days_clear: int
    """Where it does not. [d]"""
    clear_crops: frozenset[str]
    """Crops whose edible part does not touch soil or cover."""

    def days_for(self, crop: str) -> int:
        """Return the wait of one crop. [d]"""
        return self.days_clear if crop in self.clear_crops else self.days_touching


@dataclass(frozen=True, slots=True)
class Bar:
    """Something that may not be laid: which supply, on which bed, until when."""

    refusal: Refusal
    supply: str | None = None
    """Name of the supply; None for every supply."""
    bed: str | None = None
    """None for every bed."""
    until: date | None = None
    """First day on which it no longer bars; None for the whole season."""

    def bars(self, supply: str, bed: str, day: date) -> bool:
        """Say whether it bars a supply on a bed on a day."""
        return (
            (self.supply is None or self.supply == supply)
            and (self.bed is None or self.bed == bed)
            and (self.until is None or day < self.until)
        )


@dataclass(frozen=True, slots=True)
class SafetyLimits:
    """What safety hands to those who plan layers: plain days and bars; what was set aside is left out already."""

    days_before_direct_sowing: int = 0
    """No soft fresh layer so long before robust seed. [d]"""
    days_before_fine_seed: int = 0
    """[d]"""
    harvest_waits: Mapping[str, HarvestWait] = field(default_factory=lambda: MappingProxyType({}))
    """By name of the supply."""
    bars: tuple[Bar, ...] = ()
    waived: frozenset[tuple[str, str]] = frozenset()
    """Pairs of rule and bed where somebody set the rule of a wait aside."""
    waits: Mapping[str, Refusal] = field(default_factory=lambda: MappingProxyType({}))
    """By key of the rule, what to say where a wait turned layers away."""
    set_aside: tuple[tuple[Refusal, Override], ...] = ()
    """What would be refused had nobody set the rule aside."""

    def barred(self, supply: str, bed: str, day: date) -> Refusal | None:
        """Return what bars a supply on a bed on a day, or None."""
        return next((bar.refusal for bar in self.bars if bar.bars(supply, bed, day)), None)

    def held(self, supply: str) -> tuple[Bar, ...]:
        """Return what bars a supply from every bed."""
        return tuple(bar for bar in self.bars if bar.supply == supply and bar.bed is None)


@dataclass(frozen=True, slots=True)
class Load:
    """One filled container on the move."""

    heaviest_kg: float
    """At the high end of what is known, rained on. [kg]"""
    usual_kg: float
    limit_kg: float
    """What one person takes. [kg]"""
    parts: int
    """Trips one filled container is parted into, so that each stays within the limit."""
    evidence: Evidence
    source: str
    mark: Mark

    @property
    def fill(self) -> float:
        """How full to fill it. [fraction]"""
        return 1.0 / self.parts
