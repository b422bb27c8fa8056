"""The report of a trial as print."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from mullbed.domain.bed import Bed
from mullbed.domain.garden import UnitSystem
from mullbed.domain.kept_trial import WorkOnBed
from mullbed.domain.trial_answers import AnalysedTrial
from mullbed.reports.sheet import sheets_pdf
from mullbed.reports.trial_parts import trial_sheet


def trial_pdf(
    analysed: AnalysedTrial,
    made_on: date,
    *,
    beds: Sequence[Bed] = (),
    units: UnitSystem = UnitSystem.METRIC,
    work: Sequence[WorkOnBed] = (),
) -> bytes:
    """Return the report as PDF."""
    return sheets_pdf([trial_sheet(analysed, made_on, beds=beds, units=units, work=work)], made_on)
