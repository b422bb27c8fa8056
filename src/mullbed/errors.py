"""What can go wrong, as a tree.

::

    MullbedError
    ├── InputFault          something the grower gave is wrong; holds every fault at once
    ├── BalanceError        carbon, nitrogen or water did not close; a defect of ours
    ├── DirectionError      a law of direction or a bound was broken; a defect of ours
    ├── NoPlan              nothing fits the limits; holds which limit bites and by how much
    ├── NotFound            a name that is not in a table; holds the nearest names
    └── RecordError         the record on disk could not be read or written; nothing is half-written
        ├── RecordBusy          another program is writing and did not end in time
        ├── RecordFull          the disk is full
        ├── RecordReadOnly      the disk or the file may only be read
        ├── RecordUnreachable   there is no such database, or it does not answer
        ├── RecordDamaged       what is on disk is not what was written
        ├── RecordNewer         a newer version of the program wrote it
        └── EntryConflict       an id that is taken by an entry that says something else

A fault always says where, what was found, what is allowed and how to mend it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


class MullbedError(Exception):
    """Root of every error this package raises on purpose."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with what was given."""

    place: str
    """Where: file, line, bed or option."""
    value: str
    """What was found there."""
    allowed: str
    """What is allowed there."""
    remedy: str
    """How to mend it, as a sentence that begins with a verb."""

    def sentence(self) -> str:
        """Return the fault as one line."""
        return f"{self.place}: {self.value}. Allowed: {self.allowed}. {self.remedy}"


class InputFault(MullbedError):
    """One or more faults in what the grower gave, all found in one pass."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("\n".join(fault.sentence() for fault in self.faults))


class BalanceError(MullbedError):
    """Carbon, nitrogen or water did not close on a day."""

    def __init__(self, element: str, case: str, day: int, relative_error: float) -> None:
        self.element, self.case, self.day, self.relative_error = element, case, day, relative_error
        super().__init__(f"{element} of {case} does not close on day {day}: relative error {relative_error:.3g}")


class DirectionError(MullbedError):
    """A law of direction or a bound was broken, such as a taker that became a giver."""

    def __init__(self, law: str, case: str, day: int, amount: float) -> None:
        self.law, self.case, self.day, self.amount = law, case, day, amount
        super().__init__(f"{case} breaks '{law}' on day {day} by {amount:.3g}")


class NoPlan(MullbedError):
    """No plan fits the limits; says which limit bites and by how much."""

    def __init__(self, reasons: Sequence[str]) -> None:
        self.reasons = tuple(reasons)
        super().__init__("; ".join(self.reasons))


class NotFound(MullbedError):
    """A name that no table holds."""

    def __init__(self, kind: str, name: str, nearest: Sequence[str]) -> None:
        self.kind, self.name, self.nearest = kind, name, tuple(nearest)
        hint = f" Did you mean: {', '.join(self.nearest)}?" if self.nearest else ""
        super().__init__(f"No {kind} is called '{name}'.{hint}")


class RecordError(MullbedError):
    """The record on disk could not be read or written; whatever was begun was undone whole."""

    told = "The record cannot be used"
    remedy = "Nothing was changed."

    def __init__(self, place: str, detail: str = "") -> None:
        self.place, self.detail = place, detail
        because = f" ({detail})" if detail else ""
        super().__init__(f"{self.told}: {place}{because}. {self.remedy}")


class RecordBusy(RecordError):
    """Another program is writing and did not end in time."""

    told = "Another program is writing to the record"
    remedy = "Nothing was written. Try again in a moment; what is sent twice is kept once."


class RecordFull(RecordError):
    """The disk is full, or a limit on the size of files was reached."""

    told = "There is no room left on the disk of the record"
    remedy = "Nothing of this was written and nothing is lost. Make room and try again."


class RecordReadOnly(RecordError):
    """The disk, the folder or the file may only be read."""

    told = "The record may only be read here"
    remedy = "Nothing was written. Move it to a disk you may write to, or ask for the right to write."


class RecordUnreachable(RecordError):
    """There is no such database, or it does not answer."""

    told = "The record cannot be reached"
    remedy = "Nothing was written. Check the address and that the database runs."


class RecordDamaged(RecordError):
    """What is on disk is not what was written."""

    told = "The record or a copy of it is damaged"
    remedy = "Nothing was changed. Restore an earlier backup."


class RecordNewer(RecordError):
    """A newer version of the program wrote it."""

    told = "The record was written by a newer version of Mullbed"
    remedy = "Nothing was changed. Install that version or a later one."


class EntryConflict(RecordError):
    """An id that is taken by an entry that says something else."""

    told = "An entry of this id is kept already and says something else"
    remedy = "Nothing was written. Correct the entry that is kept, or give the new one a new id."
