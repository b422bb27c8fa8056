"""One trial: what it can show, where each way lies, locking, what was done otherwise, papers to print."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.kept_trial import KeptTrial
from mullbed.language import say
from mullbed.reports.trial_map import trial_map_svg
from mullbed.reports.trial_picture import strips_svg
from mullbed.reports.trial_words import (
    design_answer,
    expected_words,
    fairness_words,
    percent,
    verdict_heading,
    ways_explained,
)
from mullbed.reports.words import day_words, number
from mullbed.usecases import keep_trial as trials
from mullbed.web.forms import Sent
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, Visitor, signature, today

router = APIRouter()


@dataclass(frozen=True, slots=True)
class PlotLine:
    """One plot in words."""

    code: str
    way: str
    place: str


@dataclass(frozen=True, slots=True)
class TrialContext:
    """What a trial's page shows."""

    title: str
    here: str
    name: str
    address: str
    state: str
    heading: str
    question: str
    strips: str
    map: str
    key: tuple[str, ...]
    shows: str
    more: str
    why: str
    warnings: tuple[str, ...]
    expected: tuple[str, ...]
    fair: str
    second: tuple[str, ...]
    plots: tuple[PlotLine, ...]
    changed: tuple[str, ...]
    read: tuple[str, ...]
    not_yet: tuple[str, ...]
    locked: bool
    has_outcome: bool
    leads: bool
    may_write: bool


@router.get("/trial/{name}", response_class=HTMLResponse)
def trial_page(request: Request, name: str, asking: Asking) -> Response:
    """Show one trial; whoever reads the plots should not see this page: it names the ways."""
    return page(request, "trial.html", _context(asking, trials.show_trial(asking.where, name)))


@router.post("/trial/{name}/draw")
def draw(request: Request, name: str, asking: Asking, sent: Sent) -> Response:
    """Draw the layout again, while it is open."""
    _lead(asking)
    signed = signature(request, asking)
    kept = trials.draw_again(asking.where, signed, name, int.from_bytes(signed.chance()[:4], "big"))
    return _back(kept.entry.facts, name)


@router.post("/trial/{name}/lock")
def lock(request: Request, name: str, asking: Asking, sent: Sent) -> Response:
    """Lock the plan; from now on every change is seen."""
    _lead(asking)
    kept = trials.lock_kept(asking.where, signature(request, asking), name)
    return _back(kept.entry.facts, name)


@router.post("/trial/{name}/changed")
def changed(request: Request, name: str, asking: Asking, sent: Sent) -> Response:
    """Keep what was done otherwise than locked, and why."""
    _lead(asking)
    what, why = sent.one("what")[:300], sent.one("why")[:300]
    kept = trials.note_on_kept(asking.where, signature(request, asking), name, what, why)
    return _back(kept.entry.facts, name)


@router.get("/trial/{name}/sheets.pdf")
def sheets(request: Request, name: str, asking: Asking) -> Response:
    """Return field sheets and plot labels."""
    from mullbed.reports.trial_folder import sheets_pdf

    kept = trials.show_trial(asking.where, name, outcome=False)
    content = sheets_pdf(kept.design, today(request), beds=kept.beds, units=kept.units)
    return Response(content, media_type="application/pdf", headers=_named("field-sheets.pdf", inline=True))


@router.get("/trial/{name}/plots.csv")
def plots(name: str, asking: Asking) -> Response:
    """Return the empty table of readings, blind, for a spreadsheet."""
    from mullbed.reports.trial_folder import plots_csv

    kept = trials.show_trial(asking.where, name, outcome=False)
    return Response(
        plots_csv(kept.design.plan), media_type="text/csv; charset=utf-8", headers=_named("plots.csv", inline=False)
    )


def _named(name: str, *, inline: bool) -> dict[str, str]:
    return {"content-disposition": f'{"inline" if inline else "attachment"}; filename="{name}"'}


def _lead(asking: Visitor) -> None:
    if not (asking.leads and asking.may_write):
        raise HTTPException(403)


def _back(facts: object, name: str) -> Response:
    return RedirectResponse(f"/trial/{quote(getattr(facts, 'name', name), safe='')}", 303)


def _context(asking: Visitor, kept: KeptTrial) -> TrialContext:
    design, plan = kept.design, kept.design.plan
    names = {one.code: one.name for one in plan.treatments}
    locked = plan.locked_on is not None
    heading = verdict_heading(kept.outcome) if kept.outcome is not None else design_answer(design)
    state = (
        say("Locked on {day}", day=day_words(plan.locked_on, year=True))
        if plan.locked_on is not None
        else say("Not locked")
    )
    return TrialContext(
        title=plan.name,
        here="trial",
        name=plan.name,
        address=f"/trial/{quote(plan.name, safe='')}",
        state=state,
        heading=heading,
        question=plan.question,
        strips=strips_svg(plan),
        map=trial_map_svg(plan, kept.beds, kept.units),
        key=tuple(ways_explained(plan)),
        shows=number(round(100.0 * dict(design.detectable)[plan.primary.key])),
        more=say("% difference in {measure}, or you will not see it", measure=plan.primary.key.replace("_", " ")),
        why=say(
            "Plots treated alike differ by about {spread} on their own. The difference worth having, {worth}, would be "
            "seen {times} times in 10.",
            spread=percent(plan.primary.variation),
            worth=percent(plan.worthwhile),
            times=number(round(10.0 * design.power)),
        ),
        expected=tuple(expected_words(design)),
        warnings=design.warnings,
        fair=say("Fair means here: {what}.", what=say(plan.fairness.value)) + " " + fairness_words(plan.fairness),
        second=tuple(f"{key.replace('_', ' ')}: {percent(seen)}" for key, seen in design.detectable[1:]),
        plots=tuple(
            PlotLine(
                one.code, names[one.treatment], f"{one.block}, {one.position}" + (f", {one.bed}" if one.bed else "")
            )
            for one in plan.plots
        ),
        changed=tuple(
            say(
                "{day}: {what}, because {why}.",
                day=day_words(one.day) if one.day is not None else say("some day"),
                what=one.what,
                why=one.why,
            )
            for one in kept.deviations
        )
        + (kept.outcome.seen if kept.outcome is not None else ()),
        read=_read(kept),
        not_yet=kept.not_yet,
        locked=locked,
        has_outcome=kept.outcome is not None,
        leads=asking.leads,
        may_write=asking.may_write,
    )


def _read(kept: KeptTrial) -> tuple[str, ...]:
    """Return how much was read, measure by measure and season by season."""
    whole = len(kept.design.plan.plots)
    told = []
    for measure in kept.design.plan.measures:
        for season in dict.fromkeys(one.season for one in kept.readings if one.measure == measure.key):
            mine = [one for one in kept.readings if one.measure == measure.key and one.season == season]
            plots = len({one.plot for one in mine if one.value is not None})
            lost = sorted({one.plot for one in mine if one.value is None})
            told.append(
                say(
                    "{measure}, {season}: {plots} of {whole} plots",
                    measure=measure.key.replace("_", " ").capitalize(),
                    season=season,
                    plots=plots,
                    whole=whole,
                )
                + (say(", lost: {plots}", plots=", ".join(lost)) if lost else "")
                + "."
            )
    return tuple(told)
