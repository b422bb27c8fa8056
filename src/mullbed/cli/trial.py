"""``mullbed trial``: size, draw, lock and analyse a comparison on your own ground."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, today
from mullbed.errors import Fault, InputFault

trial = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, help="Compare ways on your own ground, and get a verdict."
)

PlanArgument = Annotated[Path, typer.Argument(metavar="PLAN", help="The drawn plan, trial.json.")]


def _share(text: str, option: str) -> float:
    """Return "20%" or 0.2 as a fraction; raises InputFault."""
    written = text.strip().replace(",", ".")
    try:
        return float(written.rstrip("% ")) / (100.0 if written.endswith("%") else 1.0)
    except ValueError:
        fault = Fault(option, text, "a percentage such as 20%, or a fraction such as 0.2", "Write it so.")
        raise InputFault([fault]) from None


@trial.command("power")
def power(
    pairs: Annotated[int, typer.Option("--pairs", metavar="NUMBER", help="Pairs, or blocks of several treatments.")],
    cv: Annotated[
        str,
        typer.Option(
            "--cv",
            metavar="PERCENT",
            help="How far plots treated alike differ, coefficient of variation: 20%. Yield is often 15 to 30 %.",
        ),
    ],
    correlation: Annotated[
        float, typer.Option("--correlation", metavar="R", help="Likeness of the two plots of a pair, 0 to 1.")
    ] = 0.3,
    difference: Annotated[
        str | None, typer.Option("--difference", metavar="PERCENT", help="Ask about a true difference: 30%.")
    ] = None,
    treatments: Annotated[int, typer.Option("--treatments", metavar="NUMBER", help="Ways compared.")] = 2,
    ratios: Annotated[
        bool, typer.Option("--ratios", help="Compare ratios, for counts and rates such as worms.")
    ] = False,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Tell what a trial of so many pairs can show.

    \b
    mullbed trial power --pairs 4 --cv 20%

    Two-sided, five false alarms in a hundred, seen eight times in ten.
    """
    from mullbed.domain.trial import Scale
    from mullbed.reports.terminal_trial import size_text
    from mullbed.reports.trial_document import size_document
    from mullbed.usecases.size_trial import size_trial

    found = size_trial(
        pairs,
        _share(cv, "--cv"),
        correlation=correlation,
        effect=None if difference is None else _share(difference, "--difference"),
        treatments=treatments,
        scale=Scale.LOG if ratios else Scale.PLAIN,
    )
    Screen(as_json, plain).show(lambda style: size_text(found, style), lambda: size_document(found))


@trial.command("lay-out")
def lay_out(
    file: Annotated[Path, typer.Argument(metavar="TRIAL", help="The trial file; docs/howto/run-a-trial.md shows one.")],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="Write plan, plot labels and field sheets here.")
    ] = None,
    seed: Annotated[int | None, typer.Option("--seed", metavar="NUMBER", min=0, help="Draw from this number.")] = None,
    swap: Annotated[
        bool,
        typer.Option("--swap", help="Swap the sides of a drawn plan for the next season; never for soil measures."),
    ] = False,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Draw the layout by chance, and tell what it can show.

    \b
    mullbed trial lay-out trial.toml --out trial

    Writes trial.json (the plan), plots.csv (for your readings), sheets.pdf (plot labels and field sheets).
    """
    from mullbed.reports.terminal_trial import design_text
    from mullbed.reports.trial_document import design_document
    from mullbed.reports.trial_folder import write_trial_folder
    from mullbed.usecases.design_trial import design_trial, swap_sides, trial_file_text

    design = swap_sides(file) if swap else design_trial(file, seed=seed)
    screen = Screen(as_json, plain)
    if out is not None:
        write_trial_folder(out, design, plan_text=trial_file_text(design.plan), made_on=today())
        screen.progress(f"Written into {out}.")
    screen.show(lambda style: design_text(design, style), lambda: design_document(design))


@trial.command("lock")
def lock(plan: PlanArgument, as_json: JsonOption = False, plain: PlainOption = False) -> None:
    """Lock a drawn plan, before the first reading.

    Question, plots, measures and test can't be changed afterwards without it being seen.
    """
    from mullbed.reports.terminal_trial import design_text
    from mullbed.reports.trial_document import design_document
    from mullbed.usecases.design_trial import lock_trial

    design = lock_trial(plan, today())
    Screen(as_json, plain).show(lambda style: design_text(design, style), lambda: design_document(design))


@trial.command("note")
def note(
    plan: PlanArgument,
    what: Annotated[str, typer.Option("--what", metavar="WORDS", help="What was done otherwise than planned.")],
    why: Annotated[str, typer.Option("--why", metavar="WORDS", help="Why.")],
    day: Annotated[
        datetime | None, typer.Option("--day", formats=["%Y-%m-%d"], help="When; today if left out.")
    ] = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Note what was done otherwise than locked, and why."""
    from mullbed.usecases.design_trial import note_deviation

    _, kept = note_deviation(plan, day.date() if day else today(), what, why)
    told = f"Noted: {kept[-1].what}, because {kept[-1].why}. {len(kept)} in all.\n"
    Screen(as_json, plain).show(
        lambda style: told,
        lambda: {"deviations": [{"day": str(one.day), "what": one.what, "why": one.why} for one in kept]},
    )


@trial.command("analyse")
def analyse(
    plan: PlanArgument,
    readings: Annotated[
        Path, typer.Argument(metavar="READINGS", help="CSV or .xlsx with plot and value, and measure, season if any.")
    ],
    column: Annotated[
        list[str] | None,
        typer.Option("--column", metavar="OURS=THEIRS", help="Name of a column in the file: plot=Parcel. Repeat it."),
    ] = None,
    measure: Annotated[
        str, typer.Option("--measure", metavar="NAME", help="What was measured, if no column says.")
    ] = "",
    season: Annotated[str, typer.Option("--season", metavar="NAME", help="The season, if no column says.")] = "",
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Write the report here: .html or .pdf.")
    ] = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Analyse the readings as planned, and give the verdict.

    \b
    mullbed trial analyse trial/trial.json trial/plots.csv
    """
    from mullbed.cli.columns import named_columns
    from mullbed.reports.terminal_trial import analysis_text
    from mullbed.reports.trial_document import analysis_document
    from mullbed.usecases.analyse_trial import analyse_trial

    names = named_columns(column, "--column", "plot=Parcel")
    found = analyse_trial(plan, readings, columns=names, measure=measure, season=season)
    screen = Screen(as_json, plain)
    if out is not None:
        from mullbed.reports.trial_folder import write_page
        from mullbed.reports.trial_page import trial_page

        if out.suffix.casefold() == ".pdf":
            from mullbed.reports.trial_print import trial_pdf

            write_page(out, trial_pdf(found, today()))
        else:
            write_page(out, trial_page(found))
        screen.progress(f"Written to {out}.")
    screen.show(lambda style: analysis_text(found, style), lambda: analysis_document(found))


@trial.command("trend")
def trend(
    values: Annotated[list[str], typer.Argument(metavar="YEAR=VALUE...", help="Yearly means of one bed: 2026=3.1")],
    organic_matter: Annotated[
        bool, typer.Option("--organic-matter", help="They are organic matter: small changes can't be told at all.")
    ] = False,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Look at one bed over years; without a control it is weak.

    \b
    mullbed trial trend 2026=3.1 2028=3.2 2030=3.4 --organic-matter
    """
    from dataclasses import asdict

    from mullbed.usecases.follow_trend import follow_trend

    found = follow_trend(values, organic_matter=organic_matter)
    told = asdict(found)
    told["low"], told["high"] = (None if abs(end) == float("inf") else end for end in (found.low, found.high))
    Screen(as_json, plain).show(lambda style: f"{found.sentence}\n", lambda: told)
