"""What became of a garden's record, in sentences: begun, written back, handed over, taken in, carried on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

from mullbed.domain.doings import BedAccount
from mullbed.domain.garden import Garden
from mullbed.domain.record import Entry
from mullbed.reports.amounts import per_area_factor, per_area_unit
from mullbed.reports.names import bed_title
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.words import capital, counted, day_words, listed, number


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


def carried_text(
    garden: Garden,
    as_of: date,
    accounts: Sequence[BedAccount],
    nitrogen: Mapping[str, tuple[float, float, float]],
    trials: Sequence[str],
    identity: str,
    style: Style | None = None,
) -> str:
    """Return what was carried into the next season."""
    style = style or Style()
    units = garden.site.units
    season = f"{day_words(garden.first_day, year=True)} to {day_words(garden.last_day, year=True)}"
    layers = sum(len(bed.layers) for bed in garden.beds)
    lines = paragraph(
        f"{garden.site.name} goes on: {season}. Carried over as of {day_words(as_of, year=True)}: "
        f"{counted(layers, 'layer')}, {counted(len(garden.supplies), 'supply')}, "
        f"{counted(len(garden.containers), 'container')}.",
        indent=0,
    )
    rows = [("Bed", "P stays", "K stays", "mineral N then")]
    factor = per_area_factor(units)
    for one in accounts:
        band = nitrogen.get(one.bed)
        told = "no forecast kept"
        if band is not None:
            low, mid, high = (number(value * factor) for value in band)
            told = f"{mid} ({low} to {high}), worked out"
        rows.append((one.bed, number(one.phosphorus * factor), number(one.potassium * factor), told))
    lines += ["", *columns(rows, indent=0, right=frozenset({1, 2})), ""]
    lines += paragraph(
        f"In {per_area_unit(units, short=True)}, laid less carried off, worked out; what stays of phosphorus counts "
        "against the next ceiling.",
        indent=0,
    )
    unknown = sorted({key for one in accounts for key in one.potassium_unknown})
    if unknown:
        names = [key.replace("_", " ") for key in unknown[:5]]
        more = f" and {len(unknown) - 5} more" if len(unknown) > 5 else ""
        lines += paragraph(f"Potassium is not known of {listed(names)}{more}; it is left out.", indent=0)
    if trials:
        lines += paragraph(f"Trial plots go on where they are: {listed(list(trials))}.", indent=0)
    lines += paragraph(
        "Say what grows next: mullbed garden write --out FOLDER, write the crops in, then mullbed garden new FILE.",
        indent=0,
    )
    lines += paragraph(f"Id {identity}. Take it back with: mullbed log take-back {identity[-8:]}", indent=0)
    return style.finished(lines)


def carried_document(
    garden: Garden,
    as_of: date,
    accounts: Sequence[BedAccount],
    nitrogen: Mapping[str, tuple[float, float, float]],
    trials: Sequence[str],
    identity: str,
) -> Mapping[str, object]:
    """Return the same as one document."""
    return {
        "id": identity,
        "as_of": as_of.isoformat(),
        "first_day": garden.first_day.isoformat(),
        "last_day": garden.last_day.isoformat(),
        "layers": {bed.name: [layer.day.isoformat() for layer in bed.layers] for bed in garden.beds},
        "supplies": [one.name or one.residue for one in garden.supplies],
        "accounts": [
            {
                "bed": one.bed,
                "phosphorus_laid": one.phosphorus_laid,
                "phosphorus_removed": one.phosphorus_removed,
                "phosphorus_before": one.phosphorus_before,
                "phosphorus": one.phosphorus,
                "potassium_laid": one.potassium_laid,
                "potassium_removed": one.potassium_removed,
                "potassium_before": one.potassium_before,
                "potassium": one.potassium,
                "potassium_unknown": list(one.potassium_unknown),
            }
            for one in accounts
        ],
        "mineral_nitrogen": {
            bed: dict(zip(("low", "mid", "high"), band, strict=True)) for bed, band in nitrogen.items()
        },
        "trials": list(trials),
    }
