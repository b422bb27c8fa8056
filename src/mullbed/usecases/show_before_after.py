"""Show a bed at first and now; reads the record, writes nothing.

Raises NotFound for a bed nobody has, RecordError when the record cannot be read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mullbed.domain.before_after import BeforeAfter, KeptPhoto, ReadTwice
from mullbed.domain.record import Entry
from mullbed.domain.record_crops import Harvested
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import PhotoTaken
from mullbed.domain.record_seen import FieldChecked, SoilTested
from mullbed.domain.record_work import HoursWorked, LayerLaid
from mullbed.domain.signing import Where
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.files.record_garden import GARDEN_KINDS, kept_garden
from mullbed.reference.field_checks import all_field_checks

SHOWN = ("image/jpeg", "image/png")
KINDS = (Kind.PHOTO, Kind.FIELD_CHECK, Kind.SOIL_TEST, Kind.LAYER, Kind.HOURS, Kind.HARVEST)
MONTHS_ALIKE = 1
"""Soil moves through the year: readings more months of the year apart are said to be unlike. Judgement."""


def show_before_after(where: Where, bed: str) -> BeforeAfter:
    """Return what was at first and what is now on one bed."""
    from mullbed.store.database import open_record
    from mullbed.store.journal import entries
    from mullbed.store.photos import photo
    from mullbed.store.which_garden import which_garden

    with open_record(where.record) as record, record.reading() as transaction:
        identity = which_garden(transaction, where.garden)
        kept = kept_garden(entries(transaction, identity, kinds=GARDEN_KINDS))
        if kept is None:
            remedy = "Begin with: mullbed garden new garden.toml"
            raise InputFault([Fault("record", f"no garden file of {identity}", "a garden", remedy)])
        names = {one.name.casefold(): one for one in kept.garden.beds}
        here = names.get(bed.strip().casefold())
        if here is None:
            raise NotFound("bed", bed, [one.name for one in kept.garden.beds][:5])
        told = entries(transaction, identity, kinds=KINDS, bed=here.name)
        photos = tuple(
            KeptPhoto(
                one.day,
                facts.digest,
                facts.media_type,
                photo(record, transaction, facts.digest),
                facts.place,
                facts.words,
            )
            for one, facts in _from_one_place(told)
        )
    laid = [(one.day, one.facts) for one in told if isinstance(one.facts, LayerLaid)]
    return BeforeAfter(
        kept.garden.site.name,
        here.name,
        here.area,
        kept.garden.site.units,
        photos,
        (*_checks(told), *_tests(told)),
        len(laid),
        sum(lift.lift.dry_matter for _, facts in laid for lift in facts.lifts),
        laid[0][0] if laid else None,
        laid[-1][0] if laid else None,
        sum(one.facts.minutes for one in told if isinstance(one.facts, HoursWorked)) / 60.0,
        sum(one.facts.fresh_kg for one in told if isinstance(one.facts, Harvested)),
    )


@dataclass(frozen=True, slots=True)
class ShownPhoto:
    """One photograph, and whose bed it shows."""

    content: bytes
    media_type: str
    bed: str | None


def show_photo(where: Where, digest: str) -> ShownPhoto:
    """Return a photograph that stands in the record, by its digest; raises NotFound for one that does not."""
    from mullbed.store.database import open_record
    from mullbed.store.journal import entries
    from mullbed.store.photos import photo
    from mullbed.store.which_garden import which_garden

    with open_record(where.record) as record, record.reading() as transaction:
        identity = which_garden(transaction, where.garden)
        for one in entries(transaction, identity, kinds=(Kind.PHOTO,)):
            if isinstance(one.facts, PhotoTaken) and one.facts.digest == digest and one.facts.media_type in SHOWN:
                return ShownPhoto(photo(record, transaction, digest), one.facts.media_type, one.bed)
    raise NotFound("photo", digest, ())


def _from_one_place(told: Sequence[Entry]) -> list[tuple[Entry, PhotoTaken]]:
    """Return the first and the last photograph of the place most were taken from; of none, the first and the last."""
    taken = [(one, one.facts) for one in told if isinstance(one.facts, PhotoTaken) and one.facts.media_type in SHOWN]
    places: dict[str, int] = {}
    for _, facts in taken:
        places[facts.place] = places.get(facts.place, 0) + 1
    best = max((place for place in places if place), key=lambda place: places[place], default="")
    if best and places[best] > 1:
        taken = [row for row in taken if row[1].place == best]
    return [taken[0], taken[-1]] if len(taken) > 1 else taken


def _checks(told: Sequence[Entry]) -> list[ReadTwice]:
    rows = all_field_checks()
    found: dict[str, list[tuple[Entry, FieldChecked]]] = {}
    for one in told:
        facts = one.facts
        if isinstance(facts, FieldChecked) and facts.readings and facts.plot is None:
            found.setdefault(facts.check, []).append((one, facts))
    twice = []
    for check, readings in found.items():
        (first, before), (last, after) = readings[0], readings[-1]
        if first.day == last.day:
            continue
        unlike = [
            word
            for word, differs in (
                ("another operator", before.operator != after.operator),
                ("another depth", before.depth != after.depth),
                ("other days since rain", _apart(before.days_since_rain, after.days_since_rain)),
                ("another month", _months_apart(first, last)),
            )
            if differs
        ]
        name = rows[check].name if check in rows else check
        counts = (len(before.readings), len(after.readings))
        means = (_mean(before.readings), _mean(after.readings))
        twice.append(ReadTwice(name, before.unit, first.day, means[0], last.day, means[1], counts, tuple(unlike)))
    return twice


def _tests(told: Sequence[Entry]) -> list[ReadTwice]:
    found: dict[tuple[str, str], list[tuple[Entry, SoilTested, float, str]]] = {}
    for one in told:
        if isinstance(one.facts, SoilTested):
            for value in one.facts.values:
                if value.value is not None and not value.below_limit:
                    key = (value.name, value.unit)
                    found.setdefault(key, []).append((one, one.facts, value.value, value.method))
    twice = []
    for (name, unit), values in found.items():
        (first, before, was, how), (last, after, now, then) = values[0], values[-1]
        if first.day == last.day:
            continue
        unlike = [
            word
            for word, differs in (
                ("another laboratory", before.laboratory != after.laboratory),
                ("another method", how != then),
                ("another depth", before.depth_to != after.depth_to),
                ("another month", _months_apart(first, last)),
            )
            if differs
        ]
        twice.append(ReadTwice(name, unit, first.day, was, last.day, now, (1, 1), tuple(unlike)))
    return twice


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def _apart(one: int | None, other: int | None) -> bool:
    return (one is None) != (other is None) or (one is not None and other is not None and abs(one - other) > 2)


def _months_apart(one: Entry, other: Entry) -> bool:
    gap = abs(one.day.month - other.day.month)
    return min(gap, 12 - gap) > MONTHS_ALIKE
