"""Reading a tree of tables with every fault collected: each value is taken once, checked and given a place."""

from __future__ import annotations

import contextlib
import difflib
import math
from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime
from enum import StrEnum
from typing import Any, Protocol, TypeVar

from mullbed.errors import Fault, InputFault

Path = tuple[str | int, ...]

Word = TypeVar("Word", bound=StrEnum)
Value = TypeVar("Value")

MOST_FAULTS = 60
"""So many faults are listed one by one; the rest is counted."""
LONGEST_TEXT = 120
"""Longest name. [characters]"""


class Lines(Protocol):
    """Whatever knows the line of a key."""

    def line(self, path: Path) -> int | None:
        """Return the line of a key, None where it is not known."""
        ...


class Reading:
    """One file being read: its name, where its keys stand and the faults found so far.

    A table that belongs to the file, such as a list of beds, is read with the same list of faults.
    """

    def __init__(self, place: str, lines: Lines, faults: list[Fault] | None = None) -> None:
        self.place = place
        self.faults: list[Fault] = [] if faults is None else faults
        self._lines = lines

    def where(self, path: Path) -> str:
        """Return the place of a key as a grower finds it: file, line and key."""
        line = self._lines.line(path)
        named = dotted(path)
        parts = [self.place, *([f"line {line}"] if line is not None else []), *([named] if named else [])]
        return ", ".join(parts)

    def fault(self, path: Path, value: str, allowed: str, remedy: str) -> None:
        """Note that something is wrong at a key."""
        self.faults.append(Fault(self.where(path), value, allowed, remedy))

    def raise_faults(self) -> None:
        """Raise all faults found so far, if there are any.

        Raises
        ------
        InputFault
            With every fault.
        """
        if not self.faults:
            return
        listed = self.faults[:MOST_FAULTS]
        if len(self.faults) > MOST_FAULTS:
            rest = f"{len(self.faults) - MOST_FAULTS} more faults"
            listed.append(Fault(self.place, rest, "none", "Mend the faults above first, then read the file again."))
        raise InputFault(listed)


class Table:
    """One table of the file; every value is asked for by name, and names nobody asked for are faults."""

    def __init__(self, reading: Reading, values: dict[str, Any], path: Path = ()) -> None:
        self.reading = reading
        self.path = path
        self._values = values
        self._asked: set[str] = set()

    def has(self, key: str) -> bool:
        """Tell whether a key is given."""
        self._asked.add(key)
        return key in self._values

    def raw(self, key: str) -> Any:
        """Return a value as it is, None where it is not given."""
        self._asked.add(key)
        return self._values.get(key)

    def fault(self, key: str, value: str, allowed: str, remedy: str) -> None:
        """Note that something is wrong with the value of a key."""
        self.reading.fault((*self.path, key), value, allowed, remedy)

    def missing(self, key: str, allowed: str, remedy: str) -> None:
        """Note that a key is missing from this table."""
        self.reading.fault(self.path, f"{key} is missing", allowed, remedy)

    def text(self, key: str, *, required: str | None = None) -> str | None:
        """Return a name or other short text; ``required`` says what to write where it is missing."""
        value = self.raw(key)
        if value is None:
            if required:
                self.missing(key, "a text", required)
            return None
        if not isinstance(value, str) or not value.strip() or len(value) > LONGEST_TEXT or not value.isprintable():
            allowed = f"a text of 1 to {LONGEST_TEXT} characters in one line"
            self.fault(key, shown(value), allowed, f'Write {key} = "..." in quotes.')
            return None
        return value.strip()

    def number(
        self,
        key: str,
        lowest: float,
        highest: float,
        unit: str,
        *,
        required: str | None = None,
        remedy: str | None = None,
    ) -> float | None:
        """Return a plain number within limits."""
        value = self.raw(key)
        if value is None:
            if required:
                self.missing(key, f"{lowest:g} to {highest:g} {unit}", required)
            return None
        number = finite(value)
        if number is None or not lowest <= number <= highest:
            allowed = f"a number from {lowest:g} to {highest:g} {unit}".rstrip()
            self.fault(key, shown(value), allowed, remedy or f"Write {key} as a plain number in {unit or 'digits'}.")
            return None
        return number

    def whole(self, key: str, lowest: int, highest: int, unit: str) -> int | None:
        """Return a whole number within limits."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int) or not lowest <= value <= highest:
            allowed = f"a whole number from {lowest} to {highest} {unit}".rstrip()
            self.fault(key, shown(value), allowed, f"Write {key} as a whole number.")
            return None
        return value

    def flag(self, key: str) -> bool:
        """Return true or false; false where it is not given."""
        value = self.raw(key)
        if value is None:
            return False
        if not isinstance(value, bool):
            self.fault(key, shown(value), "true or false", f"Write {key} = true, or remove the line.")
            return False
        return value

    def word(self, key: str, words: type[Word]) -> Word | None:
        """Return one of a few words."""
        value = self.raw(key)
        if value is None:
            return None
        found = next((word for word in words if isinstance(value, str) and word == value.strip().casefold()), None)
        if found is None:
            choices = [str(word) for word in words]
            remedy = nearest_remedy(value, choices) or f'Write one of them, such as {key} = "{choices[0]}".'
            self.fault(key, shown(value), " | ".join(choices), remedy)
        return found

    def day(self, key: str, *, required: str | None = None) -> date | None:
        """Return a date."""
        value = self.raw(key)
        if value is None:
            if required:
                self.missing(key, "a date such as 2027-03-15", required)
            return None
        if isinstance(value, str):
            with contextlib.suppress(ValueError):
                value = date.fromisoformat(value.strip())
        if not isinstance(value, date) or isinstance(value, datetime):
            remedy = "Write year-month-day with two digits for month and day, without quotes."
            self.fault(key, shown(value), "a date such as 2027-03-15", remedy)
            return None
        if not 1900 <= value.year <= 2200:
            self.fault(key, str(value), "a year from 1900 to 2200", "Correct the year.")
            return None
        return value

    def table(self, key: str, *, required: str | None = None) -> Table | None:
        """Return a table within this one."""
        value = self.raw(key)
        if value is None:
            if required:
                self.missing(key, f"a table [{dotted((*self.path, key))}]", required)
            return None
        if not isinstance(value, dict):
            remedy = f"Write a header line [{dotted((*self.path, key))}] and its keys below."
            self.fault(key, shown(value), "a table", remedy)
            return None
        return Table(self.reading, value, (*self.path, key))

    def tables(self, key: str) -> list[Table]:
        """Return the tables of a list of tables; none where it is not given."""
        value = self.raw(key)
        if value is None:
            return []
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            remedy = f"Write a header line [[{dotted((*self.path, key))}]] for each."
            self.fault(key, shown(value), "a list of tables", remedy)
            return []
        return [Table(self.reading, item, (*self.path, key, index)) for index, item in enumerate(value)]

    def numbers(self, key: str, count: int) -> tuple[float, ...] | None:
        """Return a list of so many finite numbers."""
        value = self.raw(key)
        if value is None:
            return None
        found = [finite(item) for item in value] if isinstance(value, list) else []
        if len(found) != count or any(item is None for item in found):
            wrong = (
                next((shown(item) for item, number in zip(value, found, strict=True) if number is None), None)
                if (isinstance(value, list))
                else None
            )
            written = shown(value) if wrong is None else f"{wrong} among them"
            self.fault(key, written, f"{count} finite numbers", f"Write {key} = [...] with {count} numbers.")
            return None
        return tuple(item for item in found if item is not None)

    def parsed(
        self, key: str, parse: Callable[[Any], Value], allowed: str, *, required: str | None = None
    ) -> Value | None:
        """Return a value that a function reads from what is written; its ValueError becomes a fault."""
        value = self.raw(key)
        if value is None:
            if required:
                self.missing(key, allowed, required)
            return None
        try:
            return parse(value)
        except ValueError as error:
            remedy = str(error) or f"Write {key} so."
            self.fault(key, shown(value), allowed, remedy)
            return None

    def no_others(self) -> None:
        """Note every key that nobody asked for."""
        for key in self._values:
            if key not in self._asked:
                known = sorted(self._asked)
                remedy = nearest_remedy(key, known) or "Remove it, or choose one of these keys."
                self.reading.fault((*self.path, key), f"unknown key '{shown_text(key)}'", ", ".join(known), remedy)


def finite(value: Any) -> float | None:
    """Return a finite number, or None for anything else."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if math.isfinite(number) else None


def dotted(path: Iterable[str | int]) -> str:
    """Return a path of keys as text; list entries are counted from 1."""
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else f"{'.' if text else ''}{shown_text(part)}"
    return text


def shown(value: Any) -> str:
    """Return what was written, short and printable."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f"'{shown_text(value)}'"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    if isinstance(value, int) and abs(value) > 10**15:
        return "a huge number"
    return shown_text(str(value))


def shown_text(text: str, longest: int = 60) -> str:
    """Return a text without control characters, cut to a length."""
    clean = "".join(letter if letter.isprintable() else "?" for letter in text[: longest + 1])
    return clean if len(clean) <= longest else clean[: longest - 3] + "..."


def nearest_remedy(value: Any, known: Sequence[str]) -> str | None:
    """Return "Did you mean ...?" for a near miss, else None."""
    if not isinstance(value, str):
        return None
    near = difflib.get_close_matches(value.strip().casefold()[:LONGEST_TEXT], known, n=1, cutoff=0.6)
    return f"Did you mean '{near[0]}'?" if near else None
