"""What the record keeps of residue batches: the intake check, the decision, bean tests, weighings of containers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from mullbed.domain.record_checks import checked


class Answer(StrEnum):
    """An answer to a question of the intake check; not knowing is an answer of its own."""

    YES = "yes"
    NO = "no"
    NOT_KNOWN = "not known"


class Decision(StrEnum):
    """What becomes of a batch."""

    KEEP = "keep"
    HOLD_AND_TEST = "hold and test"
    SEND_BACK = "send back"


class TestVerdict(StrEnum):
    """What a bean test said."""

    __test__ = False  # no test case, whatever its name

    CLEAR = "clear"
    HARMED = "harmed"
    UNCLEAR = "unclear"


@dataclass(frozen=True, slots=True)
class BatchTaken:
    """A batch of residue that was offered, the intake check and what was decided; the entry names the batch."""

    residue: str
    """Key of the residue table."""
    container: str
    count: float
    """Containers."""
    decision: Decision
    reason: str
    """Why so, in a few words or the key of a rule."""
    decided_by: str
    sprayed: Answer = Answer.NOT_KNOWN
    """Treated against weeds, on the field or the lawn."""
    seeded: Answer = Answer.NOT_KNOWN
    """Bears ripe seed or roots that sprout."""
    diseased: Answer = Answer.NOT_KNOWN
    stored_on_soil: Answer = Answer.NOT_KNOWN
    """Lay on bare ground, where worms and roots get in."""
    origin: str = ""
    fresh_kg: float | None = None
    """Whole batch, where weighed. [kg]"""
    hold_until: date | None = None

    def __post_init__(self) -> None:
        checked(count=self.count, fresh_kg=self.fresh_kg)


@dataclass(frozen=True, slots=True)
class BatchDecided:
    """A later decision on a batch, such as after its test; it holds from the entry's day on."""

    decision: Decision
    reason: str
    decided_by: str
    because_of: str | None = None
    """Id of the entry that decided it, such as the reading of a test."""
    hold_until: date | None = None


@dataclass(frozen=True, slots=True)
class BeanTestSetUp:
    """Pots with the batch and control pots without, sown with beans; the entry names the batch."""

    pots: int
    control_pots: int
    beans_in_pot: int
    due: tuple[date, ...]
    """Days on which to read it, earliest first."""
    words: str = ""

    def __post_init__(self) -> None:
        checked(pots=self.pots, control_pots=self.control_pots, beans_in_pot=self.beans_in_pot)
        if not self.due or list(self.due) != sorted(self.due):
            raise ValueError("a test has days on which it is due, earliest first")


@dataclass(frozen=True, slots=True)
class BeanTestRead:
    """One reading of a bean test."""

    set_up: str
    """Id of the entry that set it up."""
    verdict: TestVerdict
    harmed: int | None = None
    """Harmed seedlings in pots with the batch; None if not counted."""
    healthy: int | None = None
    control_harmed: int | None = None
    control_healthy: int | None = None
    last: bool = False
    """True when no further reading is due."""
    words: str = ""

    def __post_init__(self) -> None:
        checked(
            harmed=self.harmed, healthy=self.healthy,
            control_harmed=self.control_harmed, control_healthy=self.control_healthy,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class ContainerWeighed:
    """One full container of a residue on the scales."""

    container: str
    residue: str
    fresh_kg: float
    """What was in it, without the container. [kg]"""
    packed: bool = False
    """True if trodden or pressed down."""
    moisture_words: str = ""
    """Such as "rained on" or "wilted a day"."""
    dry_kg: float | None = None
    """After drying, where it was dried. [kg]"""

    def __post_init__(self) -> None:
        checked(fresh_kg=self.fresh_kg, dry_kg=self.dry_kg)
