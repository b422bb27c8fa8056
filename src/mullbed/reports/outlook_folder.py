"""What an outlook is written as: page, print, table and document."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from mullbed.domain.garden import UnitSystem
from mullbed.domain.soil_outlook import SoilOutlook
from mullbed.reports.document_text import rendered
from mullbed.reports.outlook_sheet import outlook_csv, outlook_document, outlook_sheet
from mullbed.reports.plan_folder import write_folder
from mullbed.reports.sheet import sheet_html, sheets_html, sheets_pdf


def write_outlook(
    folder: Path, outlooks: Sequence[SoilOutlook], units: UnitSystem, *, garden: str, from_plan: str, made_on: date
) -> tuple[Path, ...]:
    """Write outlook.html, outlook.pdf, outlook.csv and outlook.json, all or none; raises InputFault where it can't."""
    sheets = [outlook_sheet(one, units, garden=garden, from_plan=from_plan, made_on=made_on) for one in outlooks]
    title = f"{garden}: the soil over the years"
    return write_folder(
        folder,
        {
            "outlook.html": sheet_html(sheets[0]) if len(sheets) == 1 else sheets_html(sheets, title),
            "outlook.pdf": sheets_pdf(sheets, made_on, title),
            "outlook.csv": outlook_csv(outlooks),
            "outlook.json": rendered(outlook_document(outlooks, from_plan=from_plan)),
        },
    )
