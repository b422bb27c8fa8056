"""Readings of a trial, typed plot by plot without a word of the ways."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from mullbed.domain.field_check import FieldCheck
from mullbed.domain.record import Entry
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_seen import FieldChecked
from mullbed.domain.signing import Signature, Where
from mullbed.domain.trial import Measure, Reading, TrialPlan
from mullbed.errors import Fault, InputFault
from mullbed.files.reading_table import read_readings
from mullbed.reference.field_checks import all_field_checks
from mullbed.store.database import open_record
from mullbed.store.journal import append, entries
from mullbed.store.which_garden import which_garden
from mullbed.trials.ground_readings import GroundReading, ground_reading, split_typed
from mullbed.trials.plot_values import BASELINE
from mullbed.units import parse_number
from mullbed.usecases.keep_trial.opened import LOST, papers_of
from mullbed.usecases.keep_trial.papers import trial_beds


def keep_readings(
    where: Where,
    signed: Signature,
    name: str,
    measure: str,
    typed: Mapping[str, str],
    *,
    day: date | None = None,
    season: str = "",
    operator: str = "",
    days_since_rain: int | None = None,
    bore: float | None = None,
    reads: str = "",
    beds: frozenset[str] | None = None,
) -> tuple[Entry, ...]:
    """Keep what was read on plots.

    Parameters
    ----------
    where, signed
    name : str
        Of the trial.
    measure : str
        Key of one of its measures.
    typed : mapping
        By plot code: repeats parted by blanks, or "lost"; plots with an empty text are left out.
    day, season : optional
        Today and the day's year where left out; the season "baseline" is before the first treatment.
    operator : str
    days_since_rain : int, optional
    bore, reads
        Of a ring [m], of a nitrate strip.
    beds : frozenset, optional
        Beds the writer may write on; None for all.

    Raises
    ------
    InputFault
        With everything that cannot be understood; nothing is kept then.
    """
    checks = all_field_checks()
    when = day or signed.today
    with open_record(where.record) as record, record.writing() as transaction:
        garden = which_garden(transaction, where.garden)
        papers = papers_of(transaction, garden, name)
        plan = papers.plan
        known = {one.key: one for one in plan.measures}
        faults: list[Fault] = []
        if measure not in known:
            faults.append(Fault("measure", measure[:40], ", ".join(known), "Read what was planned."))
        if when > signed.today:
            faults.append(Fault("day", f"{when}", f"up to {signed.today}", "Write down what was."))
        plots = {plot.code: plot for plot in plan.plots}
        garden_beds = {bed.name for bed in trial_beds(transaction, garden, plan)}
        fresh = []
        for code, text in typed.items():
            if not text.strip():
                continue
            if code not in plots:
                faults.append(Fault("plot", code[:20], ", ".join(plots), "Copy the code of its label."))
                continue
            bed = plots[code].bed if plots[code].bed in garden_beds else None
            if beds is not None and (bed is None or bed not in beds):
                faults.append(Fault(f"plot {code}", "not yours to write on", "plots of your beds", "Ask your lead."))
                continue
            if measure not in known:
                continue
            try:
                read = _read(known[measure], checks.get(measure), text, bore, reads)
            except InputFault as told:
                faults += [
                    Fault(f"plot {code}, {one.place}", one.value, one.allowed, one.remedy) for one in told.faults
                ]
                continue
            facts = FieldChecked(
                measure, known[measure].unit, read.readings, read.method, None, days_since_rain,
                operator.strip() or signed.author, code, read.word, "", season.strip() or f"{when.year}",
            )  # fmt: skip
            entry = Entry(
                signed.new_id(), garden, Kind.FIELD_CHECK, when, signed.now, signed.author, facts,
                bed=bed, subject=papers.entry.id,
            )  # fmt: skip
            fresh.append(entry)
        faults += _of_days(plan, when, season, signed.today)
        if not fresh and not faults:
            faults.append(Fault("readings", "none", "one plot at least", "Fill a line in."))
        if faults:
            raise InputFault(faults[:60])
        append(transaction, fresh)
    return tuple(fresh)


def typed_repeats(check: str, text: str) -> tuple[str, ...]:
    """Return the repeats of one line of typing, as a check is typed."""
    return split_typed(check, text)


def _read(measure: Measure, check: FieldCheck | None, text: str, bore: float | None, reads: str) -> GroundReading:
    """Return one plot's repeats; a plot that was lost has none."""
    if text.strip().casefold() == LOST:
        return GroundReading((), "", LOST)
    if check is not None:
        return ground_reading(check, split_typed(check.key, text), bore_m=bore, reads=reads)
    return GroundReading(tuple(float(parse_number(part, measure.key)) for part in split_typed("", text)), "")


def _of_days(plan: TrialPlan, when: date, season: str, today: date) -> list[Fault]:
    """Return what is wrong with day and season: an open plan takes baseline readings only."""
    if plan.locked_on is None and season.strip() != "baseline":
        remedy = "Lock the plan first; what is read before the first treatment is the baseline."
        return [Fault(f"trial {plan.name}", "not locked yet", "a locked plan, or the baseline", remedy)]
    return []


def keep_table(
    where: Where,
    signed: Signature,
    name: str,
    path: Path,
    *,
    columns: Mapping[str, str] | None = None,
    measure: str = "",
    season: str = "",
) -> tuple[Entry, ...]:
    """Keep the readings of a table, the same for CSV and spreadsheets; read twice, it is kept once.

    Parameters
    ----------
    where, signed
    name : str
        Of the trial.
    path : Path
    columns, measure, season
        As :func:`mullbed.files.reading_table.read_readings` takes them.

    Raises
    ------
    InputFault
        With every fault of the table, of plots and measures that are not planned; nothing is kept then.
    """
    found = read_readings(path, columns=columns, measure=measure, season=season)
    with open_record(where.record) as record, record.writing() as transaction:
        garden = which_garden(transaction, where.garden)
        papers = papers_of(transaction, garden, name)
        known = {one.key: one for one in papers.plan.measures}
        plots = {plot.code: plot for plot in papers.plan.plots}
        faults = [
            Fault(f"plot {one.plot[:20]}", "not planned", ", ".join(plots), "Copy the code of its label.")
            for one in found
            if one.plot not in plots
        ] + [
            Fault(f"measure {one.measure[:40]}", "not planned", ", ".join(known), "Read what was planned.")
            for one in found
            if one.measure not in known
        ]
        if papers.plan.locked_on is None and any(one.season != BASELINE for one in found):
            faults += _of_days(papers.plan, signed.today, "", signed.today)
        if faults:
            raise InputFault(list(dict.fromkeys(faults))[:60])
        garden_beds = {bed.name for bed in trial_beds(transaction, garden, papers.plan)}
        grouped: dict[tuple[str, str, str, date], list[Reading]] = {}
        for one in found:
            place = (one.plot, one.measure, one.season, one.day or signed.today)
            grouped.setdefault(place, []).append(one)
        before = {
            (one.day, one.facts)
            for one in entries(transaction, garden, kinds=(Kind.FIELD_CHECK,))
            if one.subject in papers.ids
        }
        fresh = []
        for (plot, key, told_season, when), rows in grouped.items():
            values = tuple(one.value for one in rows if one.value is not None)
            words = "; ".join(dict.fromkeys(one.note for one in rows if one.note))
            facts = FieldChecked(
                key, known[key].unit, values, f"from {path.name}", None, None, rows[0].operator or signed.author,
                plot, None if values else LOST, words, told_season,
            )  # fmt: skip
            bed = plots[plot].bed if plots[plot].bed in garden_beds else None
            if (when, facts) not in before:
                entry = Entry(
                    signed.new_id(), garden, Kind.FIELD_CHECK, when, signed.now, signed.author, facts,
                    bed=bed, subject=papers.entry.id,
                )  # fmt: skip
                fresh.append(entry)
        append(transaction, fresh)
    return tuple(fresh)
