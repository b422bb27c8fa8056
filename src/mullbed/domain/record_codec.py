"""Entries as JSON and back: canonical, versioned by kind; what a newer program wrote is kept, never lost."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from typing import Any

from mullbed.domain.plain_values import from_plain, to_plain
from mullbed.domain.record import Entry
from mullbed.domain.record_kinds import FORMS, Facts, Kind
from mullbed.domain.record_papers import KeptVerbatim, digest_of
from mullbed.errors import Fault, InputFault

_FIELDS = (
    "id", "garden", "kind", "day", "written_at", "author", "bed", "batch", "subject", "corrects", "withdraws",
    "version", "facts",
)  # fmt: skip


def canonical(value: Any) -> str:
    """Return plain values as JSON in its one canonical form: sorted keys, no blanks."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def facts_text(entry: Entry) -> tuple[int, str]:
    """Return the version of the written form, and the facts as JSON text."""
    if isinstance(entry.facts, KeptVerbatim):
        return entry.facts.version, entry.facts.content
    return FORMS[Kind(entry.kind)].version, canonical(to_plain(entry.facts))


def facts_read(kind: str, version: int, content: str, place: str = "facts") -> Facts:
    """Return facts from their JSON text; an unknown kind or a newer version is kept verbatim.

    Raises
    ------
    InputFault
        When facts of a known kind and version do not fit it.
    """
    form = FORMS.get(Kind(kind)) if kind in set(Kind) else None
    if form is None or version > form.version:
        return KeptVerbatim(version, content)
    try:
        plain = json.loads(content)
    except ValueError as error:
        raise InputFault([Fault(place, str(error), "JSON", "Export the record again.")]) from error
    facts: Facts = from_plain(form.facts, plain, place)
    return facts


def entry_to_plain(entry: Entry) -> dict[str, Any]:
    """Return an entry as plain values for a JSON document."""
    version, content = facts_text(entry)
    return {
        "id": entry.id,
        "garden": entry.garden,
        "kind": str(entry.kind),
        "day": entry.day.isoformat(),
        "written_at": written(entry.written_at),
        "author": entry.author,
        "bed": entry.bed,
        "batch": entry.batch,
        "subject": entry.subject,
        "corrects": entry.corrects,
        "withdraws": entry.withdraws,
        "version": version,
        "facts": json.loads(content),
    }


def entry_from_plain(plain: Any, place: str = "entry") -> Entry:
    """Return the entry that plain values describe.

    Raises
    ------
    InputFault
        With its place, when something is missing, unknown or does not fit.
    """
    if not isinstance(plain, dict) or set(plain) - set(_FIELDS):
        unknown = sorted(set(plain) - set(_FIELDS)) if isinstance(plain, dict) else [type(plain).__name__]
        raise InputFault([Fault(place, f"{unknown[0]}", ", ".join(_FIELDS), "Leave it out.")])
    missing = [name for name in ("id", "garden", "kind", "day", "written_at", "author", "facts") if name not in plain]
    wrong = [name for name in _FIELDS[:11] if not isinstance(plain.get(name), str | None)]
    version = plain.get("version", 1)
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        wrong.append("version")
    if missing or wrong:
        raise InputFault(
            [Fault(f"{place}.{name}", "missing", "a value", "Give it.") for name in missing]
            + [Fault(f"{place}.{name}", str(plain[name])[:60], "a text", "Mend it.") for name in wrong]
        )
    try:
        day, written_at = date.fromisoformat(plain["day"]), datetime.fromisoformat(plain["written_at"])
    except ValueError as error:
        raise InputFault([Fault(f"{place}.day", str(error), "ISO 8601", "Write 2026-05-01.")]) from error
    return Entry(
        plain["id"], plain["garden"], plain["kind"], day,
        written_at.astimezone(UTC) if written_at.tzinfo is not None else written_at,
        plain["author"],
        facts_read(plain["kind"], version, canonical(plain["facts"]), f"{place}.facts"),
        *(plain.get(name) for name in ("bed", "batch", "subject", "corrects", "withdraws")),
    )  # fmt: skip


def written(moment: datetime) -> str:
    """Return a moment in UTC as text."""
    return moment.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


def digest(entry: Entry) -> str:
    """Return the SHA-256 of all an entry says; equal for equal entries, on every machine."""
    return digest_of(canonical(entry_to_plain(entry)).encode())
