"""The verdict of a trial: charts, data behind, what was done otherwise; the same as page, print and file."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.kept_trial import KeptTrial
from mullbed.domain.trial_answers import AnalysedTrial
from mullbed.language import say
from mullbed.reports.document_text import rendered
from mullbed.reports.sheet import Sheet
from mullbed.reports.trial_document import analysis_document
from mullbed.reports.trial_parts import trial_sheet
from mullbed.usecases import keep_trial as trials
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, Visitor, today

router = APIRouter()


@dataclass(frozen=True, slots=True)
class VerdictContext:
    """The report as a page."""

    title: str
    here: str
    address: str
    name: str
    sheet: Sheet


@router.get("/trial/{name}/verdict", response_class=HTMLResponse)
def verdict_page(request: Request, name: str, asking: Asking) -> Response:
    """Show what came out; leads back to the trial while too little was read."""
    kept = trials.show_trial(asking.where, name)
    address = f"/trial/{quote(kept.name, safe='')}"
    if kept.outcome is None:
        return RedirectResponse(address, 303)
    sheet = _sheet(request, asking, kept, kept.outcome)
    return page(request, "trial_verdict.html", VerdictContext(say("The verdict"), "trial", address, kept.name, sheet))


@router.get("/trial/{name}/report.pdf")
def report_pdf(request: Request, name: str, asking: Asking) -> Response:
    """Return the report as PDF."""
    from mullbed.reports.sheet import sheets_pdf

    kept = trials.show_trial(asking.where, name)
    if kept.outcome is None:
        return _nothing_yet(kept)
    content = sheets_pdf([_sheet(request, asking, kept, kept.outcome)], today(request))
    return Response(content, media_type="application/pdf", headers=_named("trial-report.pdf", inline=True))


@router.get("/trial/{name}/report.html")
def report_file(request: Request, name: str, asking: Asking) -> Response:
    """Return the report as one file that needs nothing else."""
    from mullbed.reports.trial_page import trial_page

    kept = trials.show_trial(asking.where, name)
    if kept.outcome is None:
        return _nothing_yet(kept)
    headers = _named("trial-report.html", inline=False)
    return Response(trial_page(kept.outcome), media_type="text/html; charset=utf-8", headers=headers)


@router.get("/trial/{name}/report.json")
def report_json(name: str, asking: Asking) -> Response:
    """Return the numbers of the report."""
    kept = trials.show_trial(asking.where, name)
    if kept.outcome is None:
        return _nothing_yet(kept)
    text = rendered(analysis_document(kept.outcome))
    return Response(text, media_type="application/json", headers=_named("trial-report.json", inline=False))


@router.get("/trial/{name}/readings.csv")
def readings(name: str, asking: Asking) -> Response:
    """Return every reading as it was made; for whoever may know the ways."""
    from mullbed.reports.trial_folder import readings_csv

    kept = trials.show_trial(asking.where, name, outcome=False)
    headers = _named("readings.csv", inline=False)
    table = readings_csv(kept.design.plan, kept.readings)
    return Response(table, media_type="text/csv; charset=utf-8", headers=headers)


def _sheet(request: Request, asking: Visitor, kept: KeptTrial, outcome: AnalysedTrial) -> Sheet:
    beds = [bed for bed in dict.fromkeys(plot.bed for plot in outcome.result.plan.plots) if bed]
    work = [one for one in trials.work_on_beds(asking.where, beds) if one.hours > 0.0 or one.harvested > 0.0]
    return trial_sheet(outcome, today(request), beds=kept.beds, units=kept.units, work=work)


def _nothing_yet(kept: KeptTrial) -> Response:
    return RedirectResponse(f"/trial/{quote(kept.name, safe='')}", 303)


def _named(name: str, *, inline: bool) -> dict[str, str]:
    return {"content-disposition": f'{"inline" if inline else "attachment"}; filename="{name}"'}
