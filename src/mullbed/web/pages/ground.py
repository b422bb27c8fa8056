"""Check the ground: each check with its steps, its timer and its score; works without signal and without script."""

from __future__ import annotations

from dataclasses import dataclass, replace
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.field_check import FieldCheck, ScoredCheck
from mullbed.domain.record import Entry
from mullbed.domain.record_seen import FieldChecked
from mullbed.errors import NotFound
from mullbed.language import marked, say
from mullbed.reports.ground_words import class_lines, scored_sentences, spread_sentence, typed_help, unit_words
from mullbed.reports.names import bed_title
from mullbed.web.forms import Answers, Asked, Sent
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, Visitor, today
from mullbed.web.writing import write
from mullbed.web.written import Written, written

router = APIRouter()
GROUPS = (
    (marked("Water"), ("infiltration", "layer_moisture")),
    (marked("Crumbs and roots"), ("slake", "structure", "hardness", "bulk_density", "ribbon", "jar")),
    (marked("Life"), ("worms", "worms_surface", "worms_topsoil", "worms_deep")),
    (marked("Food"), ("nitrate", "psnt", "organic_matter")),
    (marked("Cover, warmth, colour"), ("cover", "soil_temperature", "colour")),
)
RINGS = 5
NITRATE = ("nitrate", "psnt")
WORDS = ("crackles", "holds together", "few drops", "drips freely")
DEPTHS = {"nitrate": "30 cm", "psnt": "30 cm", "organic_matter": "15 cm", "hardness": "30 cm", "worms": "20 cm"}


@dataclass(frozen=True, slots=True)
class CheckLine:
    """One check in the list."""

    name: str
    address: str


@dataclass(frozen=True, slots=True)
class CheckGroup:
    """Checks of one kind."""

    name: str
    checks: tuple[CheckLine, ...]


@dataclass(frozen=True, slots=True)
class GroundContext:
    """All checks."""

    title: str
    here: str
    bed: str
    bed_title: str
    beds: tuple[tuple[str, str], ...]
    groups: tuple[CheckGroup, ...]


@dataclass(frozen=True, slots=True)
class CheckContext:
    """One check."""

    title: str
    here: str
    bed: str
    bed_title: str
    key: str
    name: str
    unit: str
    steps: tuple[str, ...]
    spoils: str
    repeats: str
    note: str
    help: str
    depth: str
    rings: tuple[int, ...]
    words: tuple[tuple[str, str], ...]
    nitrate: bool
    jar: bool
    means: tuple[str, ...]
    spread: str
    sand: str
    silt: str
    column: str
    warmth: str
    inch: str
    bore: str
    scored: tuple[str, ...]
    written: Written | None
    back: str


@router.get("/ground", response_class=HTMLResponse)
def ground_page(request: Request, asking: Asking, asked: Asked) -> Response:
    """Show the checks; which bed first, where none is named."""
    from mullbed.usecases.list_in_hand import list_in_hand
    from mullbed.usecases.score_check import list_field_checks

    garden = list_in_hand(asking.where, today(request)).garden
    bed = asked.one("bed")
    if bed and (garden.bed(bed) is None or not asking.sees(bed)):
        raise NotFound("bed", bed, ())
    names = {one.key: one.name for one in list_field_checks()}
    groups = tuple(
        CheckGroup(
            say(title), tuple(CheckLine(say(names[key]), f"/ground/{key}?{urlencode({'bed': bed})}") for key in keys)
        )
        for title, keys in GROUPS
    )
    beds = tuple(
        (bed_title(one.name), f"/ground?{urlencode({'bed': one.name})}") for one in garden.beds if asking.sees(one.name)
    )
    title = bed_title(bed) if bed else ""
    return page(
        request,
        "ground.html",
        GroundContext(say("Check the ground"), "noticed", bed, title, beds, groups if bed else ()),
    )


@router.get("/ground/jar/times", response_class=HTMLResponse)
def jar_page(request: Request, asking: Asking, asked: Asked) -> Response:
    """Tell when to read a jar, from the height of its water and its warmth."""
    from mullbed.usecases.score_check import jar_times
    from mullbed.web.ground_writing import length

    column = length(asked, "column") or 0.1
    warmth = min(max(asked.number("warmth", 20.0), 1.0), 40.0)
    sand, silt = jar_times(min(max(column, 0.02), 0.6), warmth)
    context = _check_context(asked, None)
    return page(
        request,
        "ground_check.html",
        _with_jar(context, f"{sand:.0f}", f"{silt / 3600.0:.1f}", f"{100.0 * column:g} cm", f"{warmth:g}"),
    )


@router.get("/ground/{check}", response_class=HTMLResponse)
def check_page(request: Request, check: str, asking: Asking, asked: Asked) -> Response:
    """Show one check for one bed."""
    from mullbed.usecases.score_check import list_field_checks, score_check

    row = next((one for one in list_field_checks() if one.key == check), None)
    if row is None:
        raise NotFound("field check", check[:60], [one.key for one in list_field_checks()][:5])
    bed = asked.one("bed")
    if bed and not asking.sees(bed):
        raise NotFound("bed", bed, ())
    just = written(asking, asked)
    scored = None
    for entry in _entries(asking, asked):
        if isinstance(entry.facts, FieldChecked) and entry.facts.check == check and entry.facts.readings:
            scored = score_check(check, entry.facts.readings)
    return page(request, "ground_check.html", _check_context(asked, row, scored, just))


@router.post("/ground")
def keep_check(request: Request, asking: Asking, sent: Sent) -> Response:
    """Keep a check and show its score."""
    wrote = write(request, asking, sent)
    check = quote(sent.one("check"), safe="")
    return RedirectResponse(f"/ground/{check}?{urlencode({'bed': wrote.bed or ''})}&{wrote.query}", 303)


def _entries(asking: Visitor, asked: Answers) -> list[Entry]:
    from mullbed.usecases.log_line import kept_entries

    ids = asked.all("id")[:5]
    return [one for one in kept_entries(asking.where, ids) if one.bed is None or asking.sees(one.bed)] if ids else []


def _check_context(
    asked: Answers, row: FieldCheck | None, scored: ScoredCheck | None = None, just: Written | None = None
) -> CheckContext:
    from mullbed.usecases.score_check import ring_inch
    from mullbed.web.ground_writing import length

    bed = asked.one("bed")
    key = row.key if row is not None else "jar"
    bore = asked.one("bore") or "6 in"
    inch = ""
    if key == "infiltration":
        inch = f"{1000.0 * ring_inch(length(asked, 'bore') or 0.1524):.0f}"
    return CheckContext(
        title=say("Check the ground"),
        here="noticed",
        bed=bed,
        bed_title=bed_title(bed) if bed else "",
        key=key,
        name=say(row.name) if row is not None else say("Jar: sand, silt and clay"),
        unit=unit_words(row.unit) if row is not None else "",
        steps=tuple(say(one) for one in row.steps) if row is not None else _jar_steps(),
        spoils="; ".join(say(one) for one in row.spoils) if row is not None else say("soil that was not shaken apart"),
        repeats=say(row.repeats) if row is not None else say("two jars"),
        note=say(row.note) if row is not None and row.note else "",
        help=typed_help(key),
        depth=DEPTHS.get(key, ""),
        rings=tuple(range(1, RINGS + 1)) if key == "infiltration" else (),
        words=tuple((one, say(one)) for one in WORDS) if key == "layer_moisture" else (),
        nitrate=key in NITRATE,
        jar=row is None,
        means=class_lines(row) if row is not None else (),
        spread=spread_sentence(row) if row is not None else "",
        sand="",
        silt="",
        column="10 cm",
        warmth="20",
        inch=inch,
        bore=bore,
        scored=tuple(scored_sentences(scored)) if scored is not None else (),
        written=just,
        back=f"/ground/{key}?{urlencode({'bed': bed})}",
    )


def _jar_steps() -> tuple[str, ...]:
    return (
        say("Fill a straight jar a third with soil without stones; add water and a spoon of washing soda."),
        say("Shake it hard for five minutes, set it down, and note the time."),
        say("Mark the height of what has sunk at the time of the sand and of the silt; the rest is clay."),
    )


def _with_jar(context: CheckContext, sand: str, silt: str, column: str, warmth: str) -> CheckContext:
    return replace(context, sand=sand, silt=silt, column=column, warmth=warmth)
