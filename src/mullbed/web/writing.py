"""From a form at the bed to lines of the record: one door for pages and for notes that waited on a phone.

A form names its job; what it keeps carries the id the phone gave it, so that sending it twice keeps it once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from hashlib import sha256
from typing import TypeVar
from urllib.parse import quote

from fastapi import HTTPException, Request

from mullbed.domain.observation import OBSERVABLES
from mullbed.domain.record import entry_id, is_entry_id
from mullbed.domain.record_batches import Answer, Decision, TestVerdict
from mullbed.domain.signing import Signature
from mullbed.errors import Fault, InputFault
from mullbed.usecases import list_in_hand as hand
from mullbed.usecases import log_line as log
from mullbed.web.forms import Answers
from mullbed.web.ground_writing import checked, own_plots, plots_read
from mullbed.web.visitor import Visitor, now, signature

LONGEST_WAIT = timedelta(days=400)
"""Older notes of a phone are taken to be so old: its clock is not trusted further."""


@dataclass(frozen=True, slots=True)
class FieldSignature(Signature):
    """Who writes, with the ids a phone made; further entries of the same note get ids that follow from its own."""

    ids: Iterator[str]

    def new_id(self) -> str:
        """Return the next id."""
        return next(self.ids)


def _ids(first: str, moment: datetime) -> Iterator[str]:
    yield first
    number = 0
    while True:
        number += 1
        yield entry_id(moment, sha256(f"{first} {number}".encode()).digest()[:10])


@dataclass(frozen=True, slots=True)
class Wrote:
    """What one form kept."""

    ids: tuple[str, ...]
    bed: str | None
    job: str

    @property
    def query(self) -> str:
        """The ids as part of an address."""
        return "&".join(f"id={quote(one)}" for one in self.ids)


def write(request: Request, visitor: Visitor, answers: Answers, waited: timedelta = timedelta()) -> Wrote:
    """Keep what a form says.

    Parameters
    ----------
    request : Request
    visitor : Visitor
    answers : Answers
        With the field "job", and "entry" where the phone made an id.
    waited : timedelta
        How long it waited on the phone.

    Raises
    ------
    HTTPException
        403 where the visitor may not write there.
    InputFault
        When it cannot be understood.
    """
    job = answers.one("job")
    if job not in JOBS:
        raise InputFault([Fault("job", job[:40] or "nothing", ", ".join(JOBS), "Send the page's own form.")])
    bed = answers.one("bed") or None
    if not visitor.may_write or (bed is not None and not visitor.sees(bed)):
        raise HTTPException(403)
    if job == "plots read" and not own_plots(visitor, answers):
        raise HTTPException(403)
    signed = _signed(request, visitor, answers.one("entry"), waited)
    first = answers.one("entry")
    if is_entry_id(first) and log.kept_entries(visitor.where, [first]):
        return Wrote((first,), bed, job)
    line = log.Line(visitor.where, signed, words=answers.one("words")[:500])
    return Wrote(tuple(JOBS[job](line, bed or "", answers)), bed, job)


def _signed(request: Request, visitor: Visitor, first: str, waited: timedelta) -> Signature:
    """Return who writes, at the moment it was written down on the phone."""
    plain = signature(request, visitor)
    moment = now() - min(max(waited, timedelta()), LONGEST_WAIT)
    days = (now().astimezone().date() - moment.astimezone().date()).days
    if not is_entry_id(first):
        return Signature(plain.author, moment, plain.today - timedelta(days=days), plain.chance)
    return FieldSignature(plain.author, moment, plain.today - timedelta(days=days), plain.chance, _ids(first, moment))


def _layer(line: log.Line, bed: str, answers: Answers) -> list[str]:
    lifts = [text for text in answers.all("lift") if text]
    cans = answers.number("cans")
    water = f"{cans:g} cans" if cans > 0.0 else None
    kept = log.log_layer(line, bed, lifts, water=water, although=answers.one("although") or None)
    return [kept.entry.id]


def _water(line: log.Line, bed: str, answers: Answers) -> list[str]:
    return [log.log_water(line, bed, answers.one("amount")).entry.id]


def _drawn_back(line: log.Line, bed: str, answers: Answers) -> list[str]:
    back = answers.one("put_back") == "yes"
    return [log.log_drawn_back(line, bed, share=0.0 if back else 1.0, put_back=back).entry.id]


def _sown(line: log.Line, bed: str, answers: Answers) -> list[str]:
    return [log.log_sown(line, bed, answers.one("crop")).entry.id]


def _picked(line: log.Line, bed: str, answers: Answers) -> list[str]:
    kept = log.log_harvest(line, bed, answers.one("crop"), _mass(answers), last=answers.one("last") == "yes")
    return [kept.entry.id]


def _mass(answers: Answers) -> str:
    """Return a weight with its unit: the one that is written beside it, else the one of the form."""
    mass = answers.one("mass")
    unit = "lb" if answers.one("unit") == "lb" else "kg"
    return f"{mass} {unit}" if mass[-1:].isdigit() else mass


def _note(line: log.Line, bed: str, answers: Answers) -> list[str]:
    return [log.log_note(line, answers.one("text"), bed=bed or None).entry.id]


def _test_set_up(line: log.Line, _: str, answers: Answers) -> list[str]:
    return [log.log_test_set_up(line, answers.one("batch")).entry.id]


def _test_read(line: log.Line, _: str, answers: Answers) -> list[str]:
    verdict = _of(TestVerdict, answers.one("verdict"), "beans")
    kept = log.log_test_read(line, answers.one("batch"), verdict, last=answers.one("last", "yes") == "yes")
    return [kept.entry.id]


def _noticed(line: log.Line, bed: str, answers: Answers) -> list[str]:
    """Keep each sign: as an observation where one says the same, the others together as a note."""
    return [kept.entry.id for kept in log.log_signs(line, bed, answers.all("sign"))]


def _looked(line: log.Line, bed: str, answers: Answers) -> list[str]:
    """Keep one answer of a closer look, where it is something that is observed."""
    what = answers.one("what")
    if what not in OBSERVABLES:
        raise InputFault([Fault("what", what[:40], ", ".join(OBSERVABLES), "Choose one of these.")])
    return [log.log_seen(line, bed, [what, answers.one("word")]).entry.id]


def _counted(line: log.Line, _: str, answers: Answers) -> list[str]:
    kept = hand.count_in_hand(line.where, line.signed, answers.one("name"), answers.number("count"))
    return [one.id for one in kept]


def _came_in(line: log.Line, _: str, answers: Answers) -> list[str]:
    text = f"{answers.one('what')}: {answers.number('count'):g} {answers.one('container')}"
    chosen = answers.one("decision")
    kept = log.log_batch(
        line,
        text,
        origin=answers.one("origin")[:200],
        sprayed=_answer(answers, "sprayed"),
        seeded=_answer(answers, "seeded"),
        diseased=_answer(answers, "diseased"),
        on_soil=_answer(answers, "on_soil"),
        decision=_of(Decision, chosen, "what becomes of it") if chosen else None,
        because=answers.one("because")[:300],
    )
    return [kept.entry.id]


def _answer(answers: Answers, name: str) -> Answer:
    return _of(Answer, answers.one(name) or str(Answer.NOT_KNOWN), name)


def _weighed(line: log.Line, _: str, answers: Answers) -> list[str]:
    text = f"{answers.one('what')}: {answers.one('container')} {_mass(answers)}"
    return [log.log_weighed(line, text).entry.id]


Word = TypeVar("Word", bound=StrEnum)


def _of(words: type[Word], text: str, place: str) -> Word:
    """Return the member of an enumeration of words."""
    try:
        return words(text)
    except ValueError as error:
        allowed = ", ".join(str(one) for one in words)
        raise InputFault([Fault(place, text[:40] or "nothing", allowed, "Choose one of these.")]) from error


#: What keeps each job's form; gets the line, the bed and the fields, returns the ids of what it kept.
JOBS: Mapping[str, Callable[[log.Line, str, Answers], list[str]]] = {
    "layer": _layer,
    "water": _water,
    "drawn back": _drawn_back,
    "sown": _sown,
    "picked": _picked,
    "note": _note,
    "beans sown": _test_set_up,
    "beans read": _test_read,
    "noticed": _noticed,
    "looked": _looked,
    "counted": _counted,
    "came in": _came_in,
    "weighed": _weighed,
    "checked": checked,
    "plots read": plots_read,
}
