"""An entry of the garden's record: dated, signed, with an id of its own, never overwritten.

What was wrong is put right by a new entry that points at it; what should not be there is taken back by another.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from mullbed.domain.record_kinds import FORMS, Facts, Kind
from mullbed.domain.record_papers import KeptVerbatim, TakenBack
from mullbed.errors import Fault, InputFault

#: Digits of a sortable id: no letter that is taken for a digit or for another letter (Crockford's base 32).
DIGITS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_SORTABLE = re.compile(rf"[0-7][{DIGITS}]{{25}}")
_HEXADECIMAL = re.compile(r"[0-9a-f]{32}")
_MOMENT_BITS, _CHANCE_BYTES = 48, 10
LONGEST_NAME = 200


def entry_id(moment: datetime, chance: bytes) -> str:
    """Return a new id: 26 digits that sort by the moment, made from it and ten random bytes.

    Raises
    ------
    ValueError
        When the moment has no zone or there are not ten bytes.
    """
    if moment.tzinfo is None or len(chance) != _CHANCE_BYTES:
        raise ValueError("an id is made of a moment with a zone and of ten random bytes")
    thousandths = int((moment - datetime(1970, 1, 1, tzinfo=UTC)) / timedelta(milliseconds=1))
    number = (max(0, thousandths) % (1 << _MOMENT_BITS) << 8 * _CHANCE_BYTES) | int.from_bytes(chance, "big")
    return "".join(DIGITS[number >> 5 * place & 31] for place in range(25, -1, -1))


def is_entry_id(text: str) -> bool:
    """True for an id: 26 sortable digits, or 128 random bits as 32 small hexadecimal digits."""
    return bool(_SORTABLE.fullmatch(text) or _HEXADECIMAL.fullmatch(text))


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the record.

    Raises
    ------
    InputFault
        With everything that is wrong with it.
    """

    id: str
    """Made by whoever writes it, so that sending it twice keeps it once; see :func:`entry_id`."""
    garden: str
    """Id of the garden, a short name."""
    kind: str
    """One of :class:`Kind`, or a word that only a newer program knows."""
    day: date
    """Day it is about."""
    written_at: datetime
    """Moment it was written, in UTC."""
    author: str
    facts: Facts
    bed: str | None = None
    """Name of the bed; None where it is about the garden."""
    batch: str | None = None
    """Name of the batch it is about."""
    subject: str | None = None
    """Id of another entry it belongs to, such as the layer a photo shows."""
    corrects: str | None = None
    """Id of the entry it puts right; it then stands in its place, whole."""
    withdraws: str | None = None
    """Id of the entry it takes back."""

    def __post_init__(self) -> None:
        faults = [*_of_ids(self), *_of_names(self), *_of_kind(self)]
        if self.written_at.tzinfo is None or self.written_at.utcoffset() != timedelta(0):
            faults.append(
                Fault("written_at", self.written_at.isoformat(), "a moment in UTC", "Give the moment with its zone.")
            )
        if faults:
            raise InputFault(faults)

    @property
    def known(self) -> bool:
        """Whether this program knows what it says."""
        return not isinstance(self.facts, KeptVerbatim)


def _of_ids(entry: Entry) -> list[Fault]:
    allowed = "26 sortable digits or 32 small hexadecimal digits"
    return [
        Fault(place, shown[:60], allowed, "Let the program make the id.")
        for place in ("id", "subject", "corrects", "withdraws")
        if (shown := getattr(entry, place)) is not None and not is_entry_id(shown)
    ]


def _of_names(entry: Entry) -> list[Fault]:
    faults = []
    for place in ("garden", "kind", "author", "bed", "batch"):
        name = getattr(entry, place)
        if name is not None and not (name.strip() == name and 0 < len(name) <= LONGEST_NAME and name.isprintable()):
            allowed = f"1 to {LONGEST_NAME} printed letters, no blanks at the ends"
            faults.append(Fault(place, repr(name[:60]), allowed, "Choose a shorter or plainer name."))
    return faults


def _of_kind(entry: Entry) -> list[Fault]:
    faults = []
    if entry.kind in set(Kind):
        form = FORMS[Kind(entry.kind)]
        if not isinstance(entry.facts, form.facts | KeptVerbatim):
            found = type(entry.facts).__name__
            faults.append(
                Fault("facts", found, f"{form.facts.__name__} for {entry.kind}", "Give the facts of its kind.")
            )
        for place, needed in (("bed", form.needs_bed), ("batch", form.needs_batch)):
            if needed and getattr(entry, place) is None:
                faults.append(Fault(place, "missing", f"the name of a {place}", f"Name the {place}."))
    elif not isinstance(entry.facts, KeptVerbatim):
        faults.append(Fault("kind", entry.kind[:60], ", ".join(Kind), "Choose one of these."))
    takes_back = isinstance(entry.facts, TakenBack)
    if takes_back != (entry.withdraws is not None) and entry.known:
        allowed = f"'{Kind.TAKEN_BACK}' with the id of what is taken back"
        faults.append(Fault("withdraws", str(entry.withdraws), allowed, "Name the entry, or leave it out."))
    if entry.corrects is not None and entry.withdraws is not None:
        faults.append(Fault("corrects", entry.corrects, "not together with taking back", "Write two entries."))
    if entry.id in (entry.corrects, entry.withdraws):
        faults.append(Fault("id", entry.id, "another id than that of what it is about", "Make a new id."))
    return faults


def correction(
    of: Entry, facts: Facts, *, id: str, written_at: datetime, author: str, day: date | None = None
) -> Entry:
    """Return an entry that puts another right, with facts and perhaps a day in place of the old ones.

    Raises
    ------
    InputFault
        When the facts do not fit the kind.
    """
    return Entry(
        id, of.garden, of.kind, day or of.day, written_at, author, facts, of.bed, of.batch, of.subject, corrects=of.id
    )  # fmt: skip


def withdrawal(of: Entry, *, id: str, written_at: datetime, author: str, reason: str = "") -> Entry:
    """Return an entry that takes another back."""
    return Entry(
        id, of.garden, Kind.TAKEN_BACK, of.day, written_at, author, TakenBack(reason), of.bed, of.batch,
        withdraws=of.id,
    )  # fmt: skip
