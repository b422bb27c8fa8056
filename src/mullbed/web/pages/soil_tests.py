"""Soil tests of a bed: what laboratories said, one typed value by value, a whole table brought in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, File, Form, HTTPException, Request, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.laboratory import LaboratoryKept
from mullbed.domain.record import Entry
from mullbed.domain.record_seen import SoilTested
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.language import marked, say
from mullbed.reports.laboratory_words import value_words
from mullbed.reports.names import bed_title
from mullbed.reports.words import capital, day_words, listed
from mullbed.usecases import take_in_laboratory as laboratory
from mullbed.web.forms import Answers, Asked, Sent
from mullbed.web.ground_writing import length
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, Visitor, signature, today
from mullbed.web.written import Written, written

router = APIRouter()
LARGEST_FILE = 4_000_000
"""[byte]"""
TYPED = (
    ("organic matter", "%", marked("Organic matter, %")),
    ("pH", "1", marked("pH")),
    ("phosphorus", "mg/kg", marked("Phosphorus, mg/kg")),
    ("potassium", "mg/kg", marked("Potassium, mg/kg")),
    ("nitrate-n", "mg/kg", marked("Nitrate-N, mg/kg (nitrate NO3 times 0.226)")),
    ("bulk density", "g/cm3", marked("Bulk density, g/cm3")),
    ("lead", "mg/kg", marked("Lead, mg/kg")),
)
METHODS = ("Bray 1", "Olsen", "Mehlich 3", "CAL", "Morgan")


@dataclass(frozen=True, slots=True)
class TestLine:
    """One test that was kept."""

    __test__ = False  # no test case, whatever its name

    day: str
    told: str


@dataclass(frozen=True, slots=True)
class SoilTestsContext:
    """Soil tests of one bed, or the beds to choose from."""

    title: str
    here: str
    bed: str
    bed_title: str
    beds: tuple[tuple[str, str], ...]
    tests: tuple[TestLine, ...]
    typed: tuple[tuple[str, str], ...]
    methods: tuple[str, ...]
    day: str
    faults: tuple[Fault, ...]
    leads: bool
    written: Written | None
    back: str


@router.get("/soil/tests", response_class=HTMLResponse)
def tests_page(request: Request, asking: Asking, asked: Asked) -> Response:
    """Show the soil tests of one bed; which one first, where none is named."""
    return page(request, "soil_tests.html", _context(request, asking, asked))


@router.post("/soil/tests", response_class=HTMLResponse)
def keep_test(request: Request, asking: Asking, sent: Sent) -> Response:
    """Keep one test that was typed."""
    bed = sent.one("bed")
    _may(asking, bed)
    methods = {"phosphorus": sent.one("method")}
    typed = {name: (sent.one(f"value.{name}"), unit, methods.get(name, "")) for name, unit, _ in TYPED}
    try:
        kept = laboratory.keep_typed_test(
            asking.where,
            signature(request, asking),
            bed,
            typed,
            laboratory=sent.one("laboratory")[:80],
            sample=sent.one("sample")[:40],
            depth=length(sent, "depth") or 0.15,
        )
    except InputFault as told:
        return page(request, "soil_tests.html", _context(request, asking, sent, tuple(told.faults)), 422)
    return _told(kept, bed)


@router.post("/soil/tests/bring", response_class=HTMLResponse)
def bring_table(
    request: Request,
    asking: Asking,
    table: Annotated[UploadFile | None, File()] = None,
    columns: Annotated[str, Form()] = "",
    methods: Annotated[str, Form()] = "",
    laboratory_name: Annotated[str, Form()] = "",
    bed: Annotated[str, Form()] = "",
) -> Response:
    """Keep a laboratory's table; what is wrong with it is told all at once."""
    if not (asking.leads and asking.may_write):
        raise HTTPException(403)
    content = table.file.read(LARGEST_FILE + 1) if table is not None else b""
    ending = ".xlsx" if table is not None and (table.filename or "").casefold().endswith(".xlsx") else ".csv"
    faults: tuple[Fault, ...] = ()
    try:
        if len(content) > LARGEST_FILE:
            raise InputFault([Fault("table", "larger than 4 MB", "up to 4 MB", "Is it the right file?")])
        with TemporaryDirectory() as folder:
            path = Path(folder) / f"table{ending}"
            path.write_bytes(content)
            kept = laboratory.take_in_laboratory(
                asking.where,
                signature(request, asking),
                path,
                columns=_pairs(columns),
                methods=_pairs(methods),
                bed=bed[:200] or None,
                laboratory=laboratory_name[:80],
            )
    except InputFault as told:
        faults = tuple(told.faults)
    if faults:
        asked = Answers({"bed": (bed,)})
        return page(request, "soil_tests.html", _context(request, asking, asked, faults), 422)
    return _told(kept, bed)


def _may(asking: Visitor, bed: str) -> None:
    if not asking.may_write or not bed or not asking.sees(bed):
        raise HTTPException(403)


def _told(kept: LaboratoryKept, bed: str) -> Response:
    """Lead back to what was kept; a table of many beds leads to the first of them."""
    ids = [("id", one.id) for one in kept.fresh[:20]]
    first = bed or next((one.bed for one in kept.fresh if one.bed), "") or ""
    known = [("known", str(kept.known))] if kept.known else []
    return RedirectResponse(f"/soil/tests?{urlencode([('bed', first), *known, *ids])}", 303)


def _pairs(text: str) -> dict[str, str]:
    """Return lines of ours=theirs; raises InputFault with every line that has no equals sign."""
    names: dict[str, str] = {}
    faults = []
    for line in text[:4000].splitlines():
        if not line.strip():
            continue
        ours, between, theirs = line.partition("=")
        if not between or not ours.strip() or not theirs.strip():
            faults.append(Fault("columns", line[:40], "ours=theirs, one a line", "Put = between."))
            continue
        names[ours.strip().casefold()] = theirs.strip()
    if faults:
        raise InputFault(faults)
    return names


def _context(request: Request, asking: Visitor, asked: Answers, faults: tuple[Fault, ...] = ()) -> SoilTestsContext:
    from mullbed.usecases.list_in_hand import list_in_hand

    garden = list_in_hand(asking.where, today(request)).garden
    bed = asked.one("bed")
    if bed and (garden.bed(bed) is None or not asking.sees(bed)):
        raise NotFound("bed", bed[:80], ())
    return SoilTestsContext(
        title=say("Soil tests"),
        here="",
        bed=bed,
        bed_title=bed_title(bed) if bed else "",
        beds=tuple(
            (bed_title(one.name), "/soil/tests?" + urlencode({"bed": one.name}))
            for one in garden.beds
            if asking.sees(one.name)
        ),
        tests=tuple(_line(one) for one in laboratory.list_soil_tests(asking.where, bed)[:12]) if bed else (),
        typed=tuple((name, say(words)) for name, _, words in TYPED),
        methods=METHODS,
        day=day_words(today(request)),
        faults=faults,
        leads=asking.leads and asking.may_write,
        written=written(asking, asked, garden.site.units),
        back="/soil/tests?" + urlencode({"bed": bed}),
    )


def _line(entry: Entry) -> TestLine:
    if not isinstance(entry.facts, SoilTested):
        return TestLine(day_words(entry.day, year=True), "")
    facts = entry.facts
    depth = f"{100.0 * facts.depth_from:.0f}-{100.0 * facts.depth_to:.0f} cm"
    told = listed([value_words(one) for one in facts.values])
    place = f", {facts.laboratory}" if facts.laboratory else ""
    return TestLine(f"{day_words(entry.day, year=True)}, {depth}{place}", capital(told))
