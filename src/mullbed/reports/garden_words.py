"""What became of a garden's record, in sentences: begun, written back, handed over, taken in, carried on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from mullbed.domain.garden import Garden
from mullbed.domain.record import Entry
from mullbed.reports.names import bed_title
from mullbed.reports.terminal_style import Style, paragraph
from mullbed.reports.words import capital, counted, day_words, listed


def created_text(
    identity: str,
    garden: Garden,
    place: str,
    entries: Sequence[Entry],
    *,
    first: bool,
    given_up: Sequence[str],
    style: Style | None = None,
) -> str:
    """Return what was kept of a garden file."""
    style = style or Style()
    beds = counted(len(garden.beds), "bed")
    season = f"{day_words(garden.first_day, year=True)} to {day_words(garden.last_day, year=True)}"
    if first:
        lines = paragraph(
            f"{garden.site.name} is kept: {beds}, {season}. Its name in the record is {identity}.", indent=0
        )
    elif entries:
        lines = paragraph(f"A new version of {garden.site.name} is kept: {beds}, {season}.", indent=0)
    else:
        lines = paragraph(f"{garden.site.name} was kept already, word for word. Nothing changed.", indent=0)
    if given_up:
        names = listed([bed_title(name) for name in given_up])
        lines += paragraph(f"No longer in the file, so given up: {names}. Their history stays.", indent=0)
    lines += paragraph(f"The record lies at {place}.", indent=0)
    if first:
        lines += paragraph(
            'Write down the first thing: mullbed log seen BED "smell earthy". Then: mullbed round', indent=0
        )
    return style.finished(lines)


def created_document(
    identity: str, garden: Garden, place: str, entries: Sequence[Entry], *, first: bool, given_up: Sequence[str]
) -> Mapping[str, object]:
    """Return the same as one document."""
    return {
        "garden": identity,
        "name": garden.site.name,
        "first_day": garden.first_day.isoformat(),
        "last_day": garden.last_day.isoformat(),
        "beds": [bed.name for bed in garden.beds],
        "record": place,
        "first": first,
        "given_up": list(given_up),
        "entries": [entry.id for entry in entries],
    }


def written_text(text: str, paths: Sequence[Path], *, as_given: bool, style: Style | None = None) -> str:
    """Return the garden file itself, or where it was written."""
    style = style or Style()
    if not paths:
        return text if text.endswith("\n") else text + "\n"
    how = "as it was given" if as_given else "with all that was told since"
    return style.finished(paragraph(f"Written, {how}: {listed([str(path) for path in paths])}.", indent=0))


def written_document(text: str, paths: Sequence[Path], *, as_given: bool) -> Mapping[str, object]:
    """Return the same as one document."""
    return {"text": text, "as_given": as_given, "files": [str(path) for path in paths]}


def handed_over_text(
    garden: str, count: int, kinds: Mapping[str, int], paths: Sequence[Path], style: Style | None = None
) -> str:
    """Return what was handed over, and where it lies."""
    style = style or Style()
    lines = paragraph(
        f"{capital(counted(count, 'line'))} of {garden} handed over in {len(paths)} open files.", indent=0
    )
    lines += [f"  {name}: {number}" for name, number in kinds.items()]
    folder = paths[0].parent if paths else Path()
    lines += paragraph(f"They lie in {folder}. Take them in elsewhere with: mullbed garden take-in {folder}", indent=0)
    return style.finished(lines)


def handed_over_document(
    garden: str, count: int, kinds: Mapping[str, int], paths: Sequence[Path]
) -> Mapping[str, object]:
    """Return the same as one document."""
    return {"garden": garden, "entries": count, "kinds": dict(kinds), "files": [str(path) for path in paths]}


def taken_in_text(new: int, known: int, files: Sequence[str], style: Style | None = None) -> str:
    """Return what was taken in."""
    style = style or Style()
    what = f"{capital(counted(new, 'line'))} taken in"
    before = f"; {counted(known, 'line')} {'was' if known == 1 else 'were'} kept before" if known else ""
    return style.finished(paragraph(f"{what} from {listed(list(files))}{before}.", indent=0))


def taken_in_document(new: Sequence[str], known: Sequence[str], files: Sequence[str]) -> Mapping[str, object]:
    """Return the same as one document."""
    return {"new": list(new), "known": list(known), "files": list(files)}
