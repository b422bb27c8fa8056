"""Take in a laboratory's table: every sample becomes a soil test of its bed, once however often it is read.

Reads the file and the garden's beds, writes into the record. Raises InputFault with every fault of the file, and then
keeps nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

from mullbed.domain.bed import PhosphorusStatus
from mullbed.domain.laboratory import LaboratoryKept
from mullbed.domain.record import Entry
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_seen import SoilTested, TestedValue
from mullbed.domain.signing import Signature, Where
from mullbed.errors import Fault, InputFault
from mullbed.files.laboratory_table import LaboratorySample, read_laboratory
from mullbed.files.laboratory_values import analyte_of, tested_value
from mullbed.files.noted_words import bed_named
from mullbed.files.record_garden import GARDEN_KINDS, kept_garden

BRAY_CLASSES = ((40.0, PhosphorusStatus.VERY_HIGH), (25.0, PhosphorusStatus.HIGH))
"""Bray 1 phosphorus from which a soil counts as very high and high. From memory. [mg/kg]"""


def take_in_laboratory(
    where: Where,
    signed: Signature,
    path: Path,
    *,
    columns: Mapping[str, str],
    methods: Mapping[str, str],
    bed: str | None = None,
    laboratory: str = "",
    depth: float = 0.15,
    day: date | None = None,
) -> LaboratoryKept:
    """Keep every sample of a table.

    Parameters
    ----------
    where, signed
    path : Path
        .csv or .xlsx.
    columns, methods : mapping
        As :func:`mullbed.files.laboratory_table.read_laboratory` takes them.
    bed : str, optional
        Bed of rows that name none.
    laboratory : str
        Who measured.
    depth : float
        Lower edge where no column tells it. [m]
    day : date, optional
        When it was sampled, where no column tells it; today if left out.

    Raises
    ------
    InputFault
        With every fault of the file, and of beds nobody has; nothing is kept then.
    RecordError
        When the record cannot be written.
    """
    samples = read_laboratory(path, columns=columns, methods=methods, depth=depth)
    return _kept(where, signed, samples, bed, laboratory, day)


def keep_typed_test(
    where: Where,
    signed: Signature,
    bed: str,
    typed: Mapping[str, tuple[str, str, str]],
    *,
    laboratory: str = "",
    sample: str = "",
    depth: float = 0.15,
    day: date | None = None,
) -> LaboratoryKept:
    """Keep one soil test that was typed, value by value.

    Parameters
    ----------
    typed : mapping
        By a value's name: its number, unit and method, as texts; empty numbers are left out.

    Raises
    ------
    InputFault
        With every value that cannot be, and for a phosphorus without its method.
    """
    faults: list[Fault] = []
    values = []
    for name, (text, unit, method) in typed.items():
        told = analyte_of(name, "")
        if told is None or not text.strip():
            if told is None:
                faults.append(Fault("value", name[:40], "a known name", "Leave it out."))
            continue
        one = told[0]
        if one.ambiguous:
            faults.append(one.unit_fault("soil test", name))
            continue
        if one.needs_method and not method.strip():
            faults.append(Fault("soil test", f"{one.name} without its method", "Bray 1, Olsen ...", "Name it."))
            continue
        kept = tested_value(one, text, unit or one.unit, method.strip(), "soil test", faults)
        if kept is not None:
            values.append(kept)
    if not values and not faults:
        faults.append(Fault("soil test", "no value", "one at least", "Fill one in."))
    if faults:
        raise InputFault(faults)
    row = LaboratorySample("soil test", bed, "", sample, day, 0.0, depth, None, tuple(values))
    return _kept(where, signed, (row,), bed, laboratory, day)


def list_soil_tests(where: Where, bed: str) -> tuple[Entry, ...]:
    """Return the soil tests of a bed that hold, the newest first."""
    from mullbed.store.database import open_record
    from mullbed.store.journal import entries
    from mullbed.store.which_garden import which_garden

    with open_record(where.record) as record, record.reading() as transaction:
        garden = which_garden(transaction, where.garden)
        return tuple(reversed(entries(transaction, garden, kinds=(Kind.SOIL_TEST,), bed=bed)))


def _kept(
    where: Where,
    signed: Signature,
    samples: Sequence[LaboratorySample],
    bed: str | None,
    laboratory: str,
    day: date | None,
) -> LaboratoryKept:
    """Keep samples whole or not at all, each once."""
    from mullbed.store.database import open_record
    from mullbed.store.journal import append, entries
    from mullbed.store.which_garden import which_garden

    with open_record(where.record) as record, record.writing() as transaction:
        identity = which_garden(transaction, where.garden)
        kept = kept_garden(entries(transaction, identity, kinds=GARDEN_KINDS))
        if kept is None:
            remedy = "Begin with: mullbed garden new garden.toml"
            raise InputFault([Fault("record", f"no garden file of {identity}", "a garden", remedy)])
        before = {
            (one.bed, one.day, one.facts)
            for one in entries(transaction, identity, kinds=(Kind.SOIL_TEST,))
            if isinstance(one.facts, SoilTested)
        }
        faults: list[Fault] = []
        fresh: list[Entry] = []
        known = 0
        for sample in samples:
            named = sample.bed or bed or ""
            try:
                here = bed_named(kept.garden, named, sample.place).name if named else None
                if here is None and not sample.plot:
                    raise InputFault([Fault(sample.place, "no bed", "a column bed, or --bed", "Say which bed it was.")])
                facts = _facts(sample, laboratory)
            except InputFault as told:
                faults += told.faults
                continue
            except ValueError as error:
                faults.append(Fault(sample.place, str(error), "what can be", "Check the numbers."))
                continue
            when = sample.day or day or signed.today
            if (here, when, facts) in before:
                known += 1
                continue
            fresh.append(
                Entry(signed.new_id(), identity, Kind.SOIL_TEST, when, signed.now, signed.author, facts, bed=here)
            )
        if faults:
            raise InputFault(faults)
        append(transaction, fresh)
    return LaboratoryKept(tuple(fresh), known, kept.garden.site.units)


def _facts(sample: LaboratorySample, laboratory: str) -> SoilTested:
    """Return a sample as the record keeps it; Bray phosphorus with its class beside."""
    values = list(sample.values)
    for one in sample.values:
        if one.name == "phosphorus" and one.value is not None and "bray" in one.method.casefold():
            status = next((word for least, word in BRAY_CLASSES if one.value >= least), None)
            if status is not None:
                values.append(TestedValue("phosphorus class", None, "", str(status)))
    return SoilTested(
        tuple(values), laboratory, sample.sample, sample.depth_from, sample.depth_to, sample.cores, sample.plot or None
    )
