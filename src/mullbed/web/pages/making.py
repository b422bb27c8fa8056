"""A plan being made: how far it is, with a way to stop it; the page asks again by itself, without script."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.errors import Fault
from mullbed.language import say
from mullbed.web.long_work import begin_look_ahead, begin_plan
from mullbed.web.making import Stage, making_of
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking

router = APIRouter()
EVERY = 2
"""The page asks again after so long. [s]"""


@dataclass(frozen=True, slots=True)
class MakingContext:
    """How far a plan is."""

    title: str
    here: str
    stage: str
    sentence: str
    seconds: int
    faults: tuple[Fault, ...]
    leads: bool
    ahead: bool
    """True where it is no plan but a look ahead."""


@router.post("/season/again")
def plan_again(request: Request, asking: Asking) -> Response:
    """Begin a new plan from what was really done."""
    if not asking.leads:
        raise HTTPException(403)
    begin_plan(request, asking)
    return RedirectResponse("/season/making", 303)


@router.post("/ahead")
def look_ahead(request: Request, asking: Asking) -> Response:
    """Run every bed forward anew, so that the round stands on it."""
    if not asking.leads:
        raise HTTPException(403)
    begin_look_ahead(request, asking)
    return RedirectResponse("/season/making", 303)


@router.post("/season/stop")
def stop(request: Request, asking: Asking) -> Response:
    """Stop the plan that is being made; the one kept before stays."""
    if not asking.leads:
        raise HTTPException(403)
    at_work = making_of(request, asking.where)
    if at_work is not None:
        at_work.unwanted = True
    return RedirectResponse("/season/making", 303)


@router.get("/season/making", response_class=HTMLResponse)
def making_page(request: Request, asking: Asking) -> Response:
    """Show how far the plan is."""
    at_work = making_of(request, asking.where)
    if at_work is None or at_work.stage is Stage.DONE:
        return RedirectResponse(at_work.leads_to if at_work is not None else "/season", 303)
    stage = "stopping" if at_work.unwanted and at_work.stage is Stage.WORKING else str(at_work.stage)
    ahead = at_work.leads_to == "/"
    told = (at_work.sentence, at_work.seconds, at_work.faults)
    context = MakingContext(
        say("Looking ahead") if ahead else say("Planning"), "season", stage, *told, asking.leads, ahead
    )
    answer = page(request, "making.html", context)
    if at_work.stage is Stage.WORKING:
        answer.headers["refresh"] = str(EVERY)
    return answer
