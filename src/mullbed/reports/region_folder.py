"""What a region is written as besides its data: page, print, tables, points for maps, maps and document."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from mullbed.domain.region import RegionResult
from mullbed.reports.document_text import rendered
from mullbed.reports.plan_folder import write_folder
from mullbed.reports.region_sheet import region_maps, region_sheet
from mullbed.reports.region_tables import gardens_csv, gardens_geojson, groups_csv
from mullbed.reports.region_text import region_document
from mullbed.reports.sheet import sheet_html, sheets_pdf


def write_region(folder: Path, result: RegionResult, made_on: date) -> tuple[Path, ...]:
    """Write the report and its tables beside the data, all or none; the data stay as they are.

    Raises
    ------
    InputFault
        When the folder cannot be written.
    """
    maps = region_maps(result)
    sheet = region_sheet(result, maps, made_on)
    files: dict[str, str | bytes] = {
        "report.html": sheet_html(sheet),
        "report.pdf": sheets_pdf([sheet], made_on, sheet.title),
        "gardens_table.csv": gardens_csv(result),
        "groups.csv": groups_csv(result),
        "region.json": rendered(region_document(result)),
    }
    for way in range(len(result.spec.way_names)):
        files[f"gardens_{way}.geojson"] = gardens_geojson(result, way)
    for drawn in (one for way in maps.values() for one in way):
        files[drawn.file] = drawn.svg
    return write_folder(folder, files)
