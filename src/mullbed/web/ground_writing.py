"""From forms of the ground and of trials to lines of the record: field checks, and readings plot by plot."""

from __future__ import annotations

from mullbed.errors import Fault, InputFault
from mullbed.units import Kind, parse_as
from mullbed.usecases import keep_trial as trials
from mullbed.usecases import log_line as log
from mullbed.web.forms import Answers
from mullbed.web.visitor import Visitor

MOST_REPEATS = 40


def checked(line: log.Line, bed: str, answers: Answers) -> list[str]:
    """Keep a field check; repeats come one a field, or several in one parted by blanks."""
    check = answers.one("check")
    typed: list[str] = []
    for text in answers.all("value")[:MOST_REPEATS]:
        typed += trials.typed_repeats(check, text)
    kept = log.log_check(
        line,
        check,
        typed[:MOST_REPEATS],
        bed=bed or None,
        bore=length(answers, "bore"),
        reads=answers.one("reads"),
        depth=length(answers, "depth"),
        days_since_rain=days(answers),
        operator=answers.one("operator")[:80],
    )
    return [kept.entry.id]


def plots_read(line: log.Line, _: str, answers: Answers) -> list[str]:
    """Keep what was read on the plots of a trial."""
    kept = trials.keep_readings(
        line.where,
        line.signed,
        answers.one("trial"),
        answers.one("measure"),
        _typed(answers),
        season=answers.one("season")[:40],
        operator=answers.one("operator")[:80],
        days_since_rain=days(answers),
        bore=length(answers, "bore"),
        reads=answers.one("reads"),
    )
    return [one.id for one in kept]


def own_plots(visitor: Visitor, answers: Answers) -> bool:
    """Tell whether every plot that was typed lies on a bed of the visitor's."""
    if visitor.beds is None:
        return True
    plan = trials.show_trial(visitor.where, answers.one("trial"), outcome=False).design.plan
    beds = {plot.code: plot.bed for plot in plan.plots}
    return all(beds.get(code, "") in visitor.beds for code, text in _typed(answers).items() if text)


def _typed(answers: Answers) -> dict[str, str]:
    """Return what was typed by plot; a tick makes a plot lost."""
    lost = answers.after("lost.")
    found = answers.after("plot.")
    return {code: "lost" if lost.get(code) == "yes" else text for code, text in found.items()} | {
        code: "lost" for code, tick in lost.items() if tick == "yes"
    }


def length(answers: Answers, name: str) -> float | None:
    """Return a length typed with its unit; centimetres where it has none. [m]"""
    text = answers.one(name)
    return parse_as(text, Kind.LENGTH, name, "cm") if text else None


def days(answers: Answers) -> int | None:
    """Return days since rain; None where nothing was typed; raises InputFault for what is no whole number."""
    text = answers.one("rain")
    if not text:
        return None
    if not text.isdigit() or len(text) > 3:
        raise InputFault([Fault("days since rain", text[:20], "a whole number", "Count from the last wet day.")])
    return int(text)
