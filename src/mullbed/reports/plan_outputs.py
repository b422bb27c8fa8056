"""The six outputs of a plan as contents by file name, ready to be written whole."""

from __future__ import annotations

from datetime import date

from mullbed.domain.garden import Garden
from mullbed.domain.season_plan import SeasonPlan
from mullbed.reports.bed_card import PLAIN_ADDRESS
from mullbed.reports.calendar_file import calendar_ics
from mullbed.reports.csv_tables import gather_csv, layers_csv
from mullbed.reports.json_documents import plan_document, rendered
from mullbed.reports.pdf import cards_pdf
from mullbed.reports.season_report import report_html


def plan_outputs(
    plan: SeasonPlan, garden: Garden, *, made_on: date, address: str = PLAIN_ADDRESS
) -> dict[str, str | bytes]:
    """Return plan.json, layers.csv, gather.csv, calendar.ics, cards.pdf and report.html in the grower's units."""
    units = garden.site.units
    return {
        "plan.json": rendered(plan_document(plan, garden)),
        "layers.csv": layers_csv(plan, units),
        "gather.csv": gather_csv(plan),
        "calendar.ics": calendar_ics(plan, units, made_on=made_on),
        "cards.pdf": cards_pdf(plan, garden, units=units, made_on=made_on, address=address),
        "report.html": report_html(plan, garden, units=units, made_on=made_on),
    }
