"""What I have: counts with minus and plus, what keeps how long, what is held; what came in; a bucket weighed."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.in_hand import Heap, InHand
from mullbed.domain.record_batches import Answer, Decision
from mullbed.language import say
from mullbed.reports.amounts import is_us
from mullbed.reports.in_hand_words import (
    counted_words,
    heap_title,
    held_words,
    in_hand_heading,
    keeps_words,
    number_of,
    source_words,
)
from mullbed.reports.matter import matter_of
from mullbed.reports.names import residue_name
from mullbed.reports.vessels import vessel
from mullbed.reports.words import plural
from mullbed.web.forms import Asked, Sent, shown_number
from mullbed.web.reading import units_read
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, today
from mullbed.web.writing import write
from mullbed.web.written import Written, written

router = APIRouter()
COMMON = (
    "grass_clip",
    "leaf_municipal",
    "straw_general",
    "hay_grass",
    "weeds_pulled",
    "kitchen_scraps",
    "cardboard",
    "wood_chips",
    "comfrey",
)
"""Residues offered first, where the table holds them."""


@dataclass(frozen=True, slots=True)
class Row:
    """One heap."""

    name: str
    title: str
    source: str
    picture: str
    count: str
    shown: str
    unit: str
    less: str
    more: str
    keeps: str
    dont: str


@dataclass(frozen=True, slots=True)
class InHandContext:
    """What the page shows."""

    title: str
    here: str
    counted: str
    heading: str
    rows: tuple[Row, ...]
    held: tuple[Row, ...]
    untested: tuple[str, ...]
    written: Written | None


@dataclass(frozen=True, slots=True)
class CameInContext:
    """What the intake check asks."""

    title: str
    here: str
    what: tuple[tuple[str, str], ...]
    containers: tuple[str, ...]
    questions: tuple[tuple[str, str], ...]
    answers: tuple[tuple[str, str], ...]
    decisions: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class WeighContext:
    """What a weighing asks."""

    title: str
    here: str
    what: tuple[tuple[str, str], ...]
    containers: tuple[str, ...]
    unit: str
    """Of its weight, where none is written."""


@router.get("/in-hand", response_class=HTMLResponse)
def in_hand_page(request: Request, asking: Asking, asked: Asked) -> Response:
    """Show what is in hand."""
    from mullbed.usecases.list_in_hand import list_in_hand

    found = list_in_hand(asking.where, today(request))
    largest = max((one.litres for one in (*found.heaps, *found.held)), default=1.0)
    context = InHandContext(
        title=say("What I have"),
        here="in hand",
        counted=counted_words(found),
        heading=in_hand_heading(found),
        rows=tuple(_row(one, largest, found) for one in found.heaps),
        held=tuple(_row(one, largest, found) for one in found.held),
        untested=found.untested,
        written=written(asking, asked, units_read(found.garden.site.units)),
    )
    return page(request, "in_hand.html", context)


def _row(heap: Heap, largest: float, found: InHand) -> Row:
    share = min(1.0, heap.count) if heap.count < 1.0 else 1.0
    whole = "1" if abs(heap.count - 1.0) < 1e-9 or heap.count < 1.0 else ""
    fresh = heap.keeps_until is not None
    return Row(
        name=heap.name,
        title=heap_title(heap),
        source=source_words(heap),
        picture=vessel(heap.container, heap.litres, largest, matter_of(heap.residue, fresh), share),
        count=shown_number(heap.count),
        shown=number_of(heap.count),
        unit=plural(heap.container, 1 if whole else 2),
        less=shown_number(max(0.0, heap.count - 1.0)),
        more=shown_number(heap.count + 1.0),
        keeps=keeps_words(heap, found.today),
        dont=held_words(heap, found.tests, found.today) if heap.held_because is not None else "",
    )


@router.post("/in-hand")
def keep(request: Request, asking: Asking, sent: Sent) -> Response:
    """Keep a count, a batch that came in, or a weighing."""
    wrote = write(request, asking, sent)
    return RedirectResponse(f"/in-hand?{wrote.query}", 303)


@router.get("/in-hand/more", response_class=HTMLResponse)
def more_page(request: Request, asking: Asking) -> Response:
    """Ask about what came in."""
    from mullbed.usecases.list_in_hand import list_in_hand

    found = list_in_hand(asking.where, today(request))
    context = CameInContext(
        title=say("More came in"),
        here="in hand",
        what=_residues(found),
        containers=_containers(found),
        questions=(
            ("sprayed", say("Was it sprayed against weeds?")),
            ("seeded", say("Does it bear ripe seed, or roots that sprout?")),
            ("diseased", say("Was it sick?")),
            ("on_soil", say("Did it lie on bare soil?")),
        ),
        answers=(
            (str(Answer.NO), say("No")),
            (str(Answer.YES), say("Yes")),
            (str(Answer.NOT_KNOWN), say("I can't tell")),
        ),
        decisions=(
            (str(Decision.KEEP), say("Keep it")),
            (str(Decision.HOLD_AND_TEST), say("Hold it and test")),
            (str(Decision.SEND_BACK), say("Send it back")),
        ),
    )
    return page(request, "came_in.html", context)


@router.get("/in-hand/weigh", response_class=HTMLResponse)
def weigh_page(request: Request, asking: Asking) -> Response:
    """Ask what a full container weighs."""
    from mullbed.usecases.list_in_hand import list_in_hand

    found = list_in_hand(asking.where, today(request))
    unit = "lb" if is_us(units_read(found.garden.site.units)) else "kg"
    context = WeighContext(say("Weigh a bucket"), "in hand", _residues(found), _containers(found), unit)
    return page(request, "weigh.html", context)


def _residues(found: InHand) -> tuple[tuple[str, str], ...]:
    """Return residues to choose from: those of the garden first, then common ones, then the whole table."""
    from mullbed.reference.residues import all_residues

    table = all_residues()
    own = [one.residue for one in found.garden.supplies]
    keys = [key for key in (*own, *COMMON) if key in table]
    rest = sorted(table, key=residue_name)
    return tuple((key, residue_name(key)) for key in dict.fromkeys([*keys, *rest]))


def _containers(found: InHand) -> tuple[str, ...]:
    """Return containers to choose from: the garden's own first."""
    own = [one.name for one in found.garden.containers] + [one.container for one in found.garden.supplies]
    return tuple(dict.fromkeys([*own, "bucket", "bag", "barrow", "bale", "tub", "grass_box"]))
