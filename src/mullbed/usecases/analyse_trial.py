"""Analyse the readings of a trial as it was planned."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from mullbed.domain.trial_answers import AnalysedTrial
from mullbed.errors import Fault, InputFault
from mullbed.files.reading_table import read_readings
from mullbed.files.trial_file import read_trial
from mullbed.reference.field_checks import all_field_checks
from mullbed.trials.analysis import analyse
from mullbed.trials.design import seen_deviations
from mullbed.trials.layout import plan_faults, seal_holds


def analyse_trial(
    plan_file: Path,
    readings_file: Path,
    *,
    columns: Mapping[str, str] | None = None,
    measure: str = "",
    season: str = "",
) -> AnalysedTrial:
    """Return the outcome of a trial.

    A plan that was never locked, or that is not what was locked, is analysed all the same and that is said.

    Raises
    ------
    InputFault
        With every fault of plan or readings.
    """
    plan, deviations = read_trial(plan_file, all_field_checks())
    faults = plan_faults(plan)
    if not plan.plots:
        faults.append(Fault(str(plan_file), "no layout", "a drawn plan", "Draw it with mullbed trial lay-out."))
    if faults:
        raise InputFault(faults)
    single = plan.primary.key if len(plan.measures) == 1 else ""
    readings = read_readings(readings_file, columns=columns, measure=measure or single, season=season)
    return AnalysedTrial(
        analyse(plan, readings, deviations),
        plan.locked_on is not None,
        seal_holds(plan),
        readings,
        seen_deviations(plan, readings),
    )
