"""Rules of safety on the screen and as a document: what is refused here, what was set aside, every rule in force."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from mullbed.domain.garden import Profile
from mullbed.domain.refusal import LOCAL_CODES, Override, Refusal
from mullbed.domain.safety import Force, Load, SafetyRule
from mullbed.reports.fact_rows import Json, publication, publications
from mullbed.reports.names import residue_name
from mullbed.reports.terminal_style import Style, paragraph, said
from mullbed.reports.words import capital, counted, day_words, number

Aside = tuple[Refusal, Override]
Heavy = tuple[str, str, Load]


def refusal_words(refusal: Refusal) -> str:
    """Return a refusal as a sentence with its rule, source, date, and that local codes decide."""
    return refusal.told()


def aside_words(refusal: Refusal, by: Override) -> str:
    """Return what was set aside, by whom, when and why."""
    where = f" on {refusal.bed}" if refusal.bed else ""
    return (
        f"{by.who} set {refusal.rule} aside{where} on {day_words(by.day, year=True)}: {by.reason.rstrip('.')}. "
        f"It says: {refusal.sentence} [{refusal.source}, checked {refusal.checked.isoformat()}] {LOCAL_CODES}"
    )


def load_words(supply: str, container: str, load: Load) -> str:
    """Return the advice on one heavy load."""
    trips = f"Fill it a {_PARTS.get(load.parts, f'part in {load.parts}')}"
    return (
        f"A full {container} of {residue_name(supply)} weighs about {number(load.usual_kg)} kg, up to "
        f"{number(load.heaviest_kg)} kg. {trips}, or carry it with two people; above {number(load.limit_kg)} kg "
        f"nobody should lift alone ({load.mark})."
    )


_PARTS = {2: "half", 3: "third", 4: "quarter"}


def refusal_lines(refusals: Sequence[Refusal], aside: Sequence[Aside], style: Style) -> list[str]:
    """Return what rules of safety refuse and what was set aside; nothing when there is neither."""
    lines: list[str] = []
    for refusal in refusals:
        lines += said("REFUSED", refusal_words(refusal), style, column=9)
    for refusal, by in aside:
        lines += said("ASIDE", aside_words(refusal, by), style, column=9)
    return lines


def safety_text(
    rules: Sequence[SafetyRule],
    refusals: Sequence[Refusal],
    aside: Sequence[Aside],
    heavy: Sequence[Heavy],
    *,
    site: Profile,
    garden: str | None = None,
    style: Style | None = None,
) -> str:
    """Return the page of rules in force."""
    style = style or Style()
    where = f"{garden}, a {site} garden" if garden else f"a {site} garden"
    lines = [style.bold(f"Rules of safety for {where}"), ""]
    lines += paragraph(f"{LOCAL_CODES} These are the usual cautions, each with the day it was checked, not law.")
    if garden is not None:
        told = refusal_lines(refusals, aside, style)
        lines += ["", *(told or paragraph("Nothing is refused here, and nothing was set aside."))]
        for one in heavy:
            lines += said("HALVE", load_words(*one), style, column=9)
    for force, heading in ((Force.FORBIDS, "What is refused"), (Force.ASKS, "What is asked")):
        lines += ["", style.bold(heading)]
        for rule in rules:
            if rule.force is force:
                lines += ["", *paragraph(f"{rule.word} ({rule.key})"), *paragraph(rule.says, indent=4)]
                lines += [style.quiet(line) for line in paragraph(_known(rule), indent=4)]
    lines += ["", style.bold("Sources")]
    for cited in publications(_sources(rules)):
        lines += paragraph(cited)
    oldest = min((rule.checked for rule in rules), default=None)
    lines += ["", *paragraph(_count(rules, oldest))]
    return style.finished(lines)


def _count(rules: Sequence[SafetyRule], oldest: date | None) -> str:
    dated = "" if oldest is None else f", the oldest checked on {day_words(oldest, year=True)}"
    return f"{capital(counted(len(rules), 'rule'))}{dated}. {LOCAL_CODES}"


def _known(rule: SafetyRule) -> str:
    only = "" if rule.danger is None else f" Only where the site names the danger {rule.danger}."
    aside = "" if rule.force is Force.ASKS or rule.override_allowed else " It cannot be set aside."
    judged = [name for name, one in rule.numbers.items() if one.mark is not rule.mark]
    other = f" Of its numbers, {', '.join(_named(rule, name) for name in judged)}." if judged else ""
    where = capital(rule.place.rstrip("."))
    return f"{capital(rule.mark)}, {rule.source}, checked {rule.checked.isoformat()}. {where}.{only}{aside}{other}"


def _named(rule: SafetyRule, name: str) -> str:
    one = rule.numbers[name]
    return f"{name.replace('_', ' ')} ({number(one.value)} {one.unit}): {one.mark}"


def _sources(rules: Sequence[SafetyRule]) -> set[str]:
    return {rule.source for rule in rules} | {one.source for rule in rules for one in rule.numbers.values()}


def refusal_document(refusal: Refusal) -> Json:
    """Return a refusal as the documents hold it."""
    return {
        "rule": refusal.rule,
        "text": refusal_words(refusal),
        "source": refusal.source,
        "mark": str(refusal.mark),
        "checked": refusal.checked.isoformat(),
        "override_allowed": refusal.override_allowed,
        "bed": refusal.bed,
        "subject": refusal.subject or None,
        "until": None if refusal.until is None else refusal.until.isoformat(),
    }


def aside_document(refusal: Refusal, by: Override) -> Json:
    """Return what was set aside as the documents hold it."""
    return {"refusal": refusal_document(refusal), "reason": by.reason, "who": by.who, "day": by.day.isoformat()}


def safety_document(
    rules: Sequence[SafetyRule],
    refusals: Sequence[Refusal],
    aside: Sequence[Aside],
    heavy: Sequence[Heavy],
    *,
    site: Profile,
    garden: str | None = None,
) -> Json:
    """Return the document of `mullbed cautions`."""
    return {
        "site": str(site),
        "garden": garden,
        "local_codes": LOCAL_CODES,
        "refusals": [refusal_document(one) for one in refusals],
        "set_aside": [aside_document(*one) for one in aside],
        "heavy_loads": [
            {
                "supply": supply,
                "container": container,
                "usual_kg": load.usual_kg,
                "heaviest_kg": load.heaviest_kg,
                "limit_kg": load.limit_kg,
                "fill": load.fill,
                "evidence": str(load.evidence),
                "text": load_words(supply, container, load),
            }
            for supply, container, load in heavy
        ],
        "rules": [
            {
                "rule": rule.key,
                "word": rule.word,
                "force": str(rule.force),
                "text": rule.says,
                "mark": str(rule.mark),
                "source": rule.source,
                "checked": rule.checked.isoformat(),
                "profiles": [str(one) for one in rule.profiles],
                "place": rule.place,
                "danger": None if rule.danger is None else str(rule.danger),
                "override_allowed": rule.override_allowed,
                "numbers": {
                    name: {"value": one.value, "unit": one.unit, "mark": str(one.mark), "source": one.source}
                    for name, one in rule.numbers.items()
                },
            }
            for rule in rules
        ],
        "sources": {key: publication(key) for key in sorted(_sources(rules))},
    }
