"""``mullbed trial keep``, ``kept``, ``read``, ``pass-on`` and ``join``: trials in the record, and of many gardens."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, today
from mullbed.cli.signing import AuthorOption, DayOption, RecordOption, WhichOption, day_typed, signature, where
from mullbed.cli.trial import trial
from mullbed.errors import Fault, InputFault

__all__ = ["trial"]

NameArgument = Annotated[str, typer.Argument(metavar="TRIAL", help="Its name; `mullbed trial kept` lists them.")]


@trial.command("keep")
def keep(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A trial file, or trial.json of a drawn plan.")],
    by: AuthorOption = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Keep a trial in the record; it is drawn first if it is not."""
    from mullbed.reports.kept_words import kept_document, kept_text
    from mullbed.usecases.keep_trial import keep_trial

    kept = keep_trial(where(record, garden), signature(by), file)
    Screen(as_json, plain).show(
        lambda style: kept_text(kept, kept.units, style), lambda: kept_document(kept, kept.units)
    )


@trial.command("kept")
def kept(
    name: Annotated[str | None, typer.Argument(metavar="TRIAL", help="Which; leave it out to list them.")] = None,
    lock: Annotated[bool, typer.Option("--lock", help="Lock its plan first.")] = False,
    changed: Annotated[
        str, typer.Option("--changed", metavar="WORDS", help="Note what was done otherwise than locked.")
    ] = "",
    because: Annotated[str, typer.Option("--because", metavar="WORDS", help="Why it was; with --changed.")] = "",
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Write the report here: .html or .pdf.")
    ] = None,
    by: AuthorOption = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """List kept trials, or show one with what came out."""
    from mullbed.reports.terminal_trial import analysis_text, design_text, trials_text
    from mullbed.reports.trial_document import analysis_document, design_document, trials_document
    from mullbed.usecases.keep_trial import list_trials, lock_kept, note_on_kept, show_trial, work_on_beds

    screen, place = Screen(as_json, plain), where(record, garden)
    if name is None:
        found = list_trials(place)
        screen.show(lambda style: trials_text(found, style), lambda: trials_document(found))
        return
    if lock:
        lock_kept(place, signature(by), name)
    if changed or because:
        note_on_kept(place, signature(by), name, changed, because)
    one = show_trial(place, name)
    outcome = one.outcome
    if outcome is None:
        for sentence in one.not_yet:
            screen.progress(sentence)
        screen.show(lambda style: design_text(one.design, style), lambda: design_document(one.design))
        return
    if out is not None:
        beds = [bed for bed in dict.fromkeys(plot.bed for plot in one.design.plan.plots) if bed]
        from mullbed.reports.trial_folder import write_page
        from mullbed.reports.trial_page import trial_page
        from mullbed.reports.trial_print import trial_pdf

        if out.suffix.casefold() == ".pdf":
            work = work_on_beds(place, beds)
            write_page(out, trial_pdf(outcome, today(), beds=one.beds, units=one.units, work=work))
        else:
            write_page(out, trial_page(outcome))
        screen.progress(f"Written to {out}.")
    screen.show(lambda style: analysis_text(outcome, style), lambda: analysis_document(outcome))


@trial.command("read")
def read(
    name: NameArgument,
    measure: Annotated[str, typer.Argument(metavar="MEASURE", help="What was read.")],
    values: Annotated[list[str], typer.Argument(metavar="PLOT=VALUE...", help='P01=2.4 P02="1.9 2.1" P03=lost')],
    season: Annotated[str, typer.Option("--season", metavar="NAME", help="baseline, or the year if left out.")] = "",
    operator: Annotated[str, typer.Option("--operator", metavar="NAME", help="Who read it, if not you.")] = "",
    rain: Annotated[
        int | None, typer.Option("--days-since-rain", metavar="DAYS", min=0, help="Days since the last rain.")
    ] = None,
    bore: Annotated[str | None, typer.Option("--bore", metavar="LENGTH", help="Inner width of a ring.")] = None,
    strip: Annotated[str, typer.Option("--strip", metavar="UNIT", help="nitrate or nitrate-N.")] = "",
    day: DayOption = None,
    by: AuthorOption = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Write down what was read on the plots of a kept trial."""
    from mullbed.reports.kept_words import notes_document, notes_text
    from mullbed.units import Kind, parse_as
    from mullbed.usecases.keep_trial import keep_readings

    typed: dict[str, str] = {}
    faults = []
    for pair in values:
        plot, between, text = pair.partition("=")
        if not between:
            faults.append(Fault("value", pair, "PLOT=VALUE, such as P01=2.4", "Put = between."))
        typed[plot.strip()] = text
    if faults:
        raise InputFault(faults)
    entries = keep_readings(
        where(record, garden),
        signature(by),
        name,
        measure,
        typed,
        day=day_typed(day),
        season=season,
        operator=operator,
        days_since_rain=rain,
        bore=parse_as(bore, Kind.LENGTH, "--bore") if bore is not None else None,
        reads=strip,
    )
    Screen(as_json, plain).show(lambda style: notes_text(entries, style=style), lambda: notes_document(entries))


@trial.command("take-in")
def take_in(
    name: NameArgument,
    file: Annotated[
        Path, typer.Argument(metavar="READINGS", help="CSV or .xlsx with plot and value, and measure, season if any.")
    ],
    column: Annotated[
        list[str] | None,
        typer.Option("--column", metavar="OURS=THEIRS", help="A column's name there: plot=Parcel. Repeat it."),
    ] = None,
    measure: Annotated[
        str, typer.Option("--measure", metavar="NAME", help="What was measured, if no column says.")
    ] = "",
    season: Annotated[str, typer.Option("--season", metavar="NAME", help="The season, if no column says.")] = "",
    by: AuthorOption = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Take a table of readings into a kept trial, once."""
    from mullbed.cli.columns import named_columns
    from mullbed.reports.kept_words import notes_document, notes_text
    from mullbed.usecases.keep_trial import keep_table

    entries = keep_table(
        where(record, garden),
        signature(by),
        name,
        file,
        columns=named_columns(column, "--column", "plot=Parcel"),
        measure=measure,
        season=season,
    )
    Screen(as_json, plain).show(lambda style: notes_text(entries, style=style), lambda: notes_document(entries))


@trial.command("pass-on")
def pass_on(
    name: NameArgument,
    out: Annotated[Path, typer.Option("--out", metavar="FILE", help="Write it here.")] = Path("our-trial.json"),
    record: RecordOption = None,
    garden: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Write a kept trial without names, for others to join.

    It holds the means of each way, hours and kilograms: no name, place, bed, day or remark.
    """
    from mullbed.reports.trial_folder import write_page
    from mullbed.usecases.keep_trial import passed_on

    text = passed_on(where(record, garden), name)
    write_page(out, text)
    Screen(as_json, plain).show(lambda style: f"Written to {out}.\n", lambda: {"file": str(out)})


@trial.command("join")
def join(
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Files that gardens passed on.")],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Write the report here: .html or .pdf.")
    ] = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Join many gardens as blocks and analyse them as one trial.

    \b
    mullbed trial join gardens/*.json --out many-gardens.pdf
    """
    from mullbed.reports.joined_trial import joined_document, joined_pdf, joined_text
    from mullbed.reports.trial_folder import write_page
    from mullbed.reports.trial_page import trial_page
    from mullbed.usecases.join_trials import join_trials

    found = join_trials(files)
    screen = Screen(as_json, plain)
    if out is not None:
        pdf = out.suffix.casefold() == ".pdf"
        write_page(out, joined_pdf(found, today()) if pdf else trial_page(found.outcome, found.work))
        screen.progress(f"Written to {out}.")
    screen.show(lambda style: joined_text(found, style), lambda: joined_document(found))
