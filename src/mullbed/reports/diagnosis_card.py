"""A diagnosis in words: the action as heading, then why, don't, how sure, what would change it; as a document too."""

from __future__ import annotations

from collections.abc import Sequence

from mullbed.domain.diagnosis import UNKNOWN, Diagnosis, FirstAction, FoundCause, NitrogenAccount, Remedy
from mullbed.domain.garden import UnitSystem
from mullbed.domain.spread import Spread
from mullbed.language import say
from mullbed.reference.tables import toml_table
from mullbed.reports.amounts import area_words, count_words, hand_words, per_area_words, thickness_words, volume_words
from mullbed.reports.cautions import caution_words, dated_line
from mullbed.reports.names import bed_title
from mullbed.reports.terminal_style import Style, columns, paragraph, said
from mullbed.reports.words import capital, chance_words, day_words, evidence_words, listed, number

Json = dict[str, object]

_SMALL_LIST = 5


def diagnosis_text(found: Diagnosis, *, area: float, units: UnitSystem, style: Style | None = None) -> str:
    """Return the page of a diagnosis.

    Parameters
    ----------
    found : Diagnosis
    area : float
        Of the bed. [m2]
    units : UnitSystem
    style : Style or None
    """
    style = style or Style()
    first = found.first
    noticed = listed([sign_name(key) for key in found.signs])
    lines = [
        *(style.bold(line) for line in paragraph(heading_words(first), indent=0)),
        *paragraph(f"{bed_title(found.bed)}, {day_words(found.day, year=True)}. Noticed: {noticed}.", indent=0),
        "",
    ]
    for step in steps_of(first, units):
        lines += said("DO", step, style)
    lines += said("WHY", first.because, style)
    lines += said("DON'T", dont_words(first.remedy.avoid), style)
    lines += said("EXPECT", expect_words(first.remedy), style)
    lines += ["", *paragraph(how_sure(found))]
    lines += paragraph(f"What would change this: {first.change}")
    if found.checks:
        check = found.checks[0]
        lines += paragraph(f"Next look ({cost_words(check.minutes, check.days)}): {check.question}")
    lines += ["", *_others(found)]
    for one, other, chance in found.together[:2]:
        names = {cause.key: cause.name for cause in found.causes}
        if one in names and other in names:
            both = f"{names[one]} and {names[other].lower()} may be at work together ({chance_words(chance)})."
            lines += paragraph(both)
    if found.nitrogen is not None and first.key == "nitrogen_short":
        lines += paragraph(nitrogen_words(found.nitrogen, units))
    lines += ["", *_cautions(first), *paragraph(known_words(found, first, area, units))]
    return style.finished(lines)


def sign_name(key: str) -> str:
    """Return a sign in growers' words."""
    name: str = toml_table("trouble_signs.toml").get(key, {"name": key})["name"]
    name = say(name)
    return name[:1].lower() + name[1:]


def heading_words(cause: FoundCause) -> str:
    """Return the answer as a heading: what to do, then what it is."""
    if cause.key == UNKNOWN:
        return say(cause.remedy.heading) + " " + say("It fits none of the causes known here.")
    return f"{say(cause.remedy.heading)} {say(cause.name)}."


def steps_of(cause: FoundCause, units: UnitSystem) -> list[str]:
    """Return what to do on this bed, amounts first."""
    doing = cause.remedy
    steps = []
    if doing.water_litres is not None:
        steps.append(say("Water: {amount} for this bed.", amount=volume_words(doing.water_litres, units)))
    if doing.containers is not None and doing.cover_thickness is not None:
        amount = count_words(doing.containers, doing.container)
        depth = f"{hand_words(doing.cover_thickness)} ({thickness_words(doing.cover_thickness, units)})"
        steps.append(say("Dry cover: {amount} for this bed, {depth}.", amount=amount, depth=depth))
    for number_of, dose in enumerate(doing.doses):
        low, high = number(dose.grams.low), number(dose.grams.high)
        grams = say("{mid} ({low} to {high})", mid=f"{number(dose.grams.mid)} g", low=low, high=high)
        spoons = spoon_words(dose.tablespoons)
        joint = say("Dose") if number_of == 0 else say("Or")
        steps.append(
            say(
                "{joint}: {amount} of {carrier} for this bed, about {spoons}.",
                joint=joint,
                amount=grams,
                carrier=say(dose.carrier),
                spoons=spoons,
            )
        )
    steps += [say(one) for one in doing.steps]
    if doing.wait_until is not None:
        early, late = doing.wait_until
        steps.append(
            say("Wait until {early} to {late}, then look again.", early=day_words(early), late=day_words(late))
        )
    return steps


def spoon_words(tablespoons: float) -> str:
    """Return a household measure: level tablespoons of 15 mL, or mugs of 250 mL where it takes many."""
    if tablespoons <= 12.0:
        return count_words(tablespoons, "level tablespoon")
    mugs = count_words(max(1.0, round(tablespoons * 15.0 / 250.0 * 2.0) / 2.0), "mug")
    return say("{mugs} of 250 mL", mugs=mugs)


def dont_words(avoid: str) -> str:
    """Return what not to do after the word Don't."""
    return capital(say(avoid).removeprefix(say("Don't") + " ").strip())


def expect_words(doing: Remedy) -> str:
    """Return what to expect and by when."""
    early, late = doing.expect_from, doing.expect_until
    if early == late:
        return say(doing.expect) + " " + say("Look {day}.", day=day_words(late))
    return (
        say(doing.expect) + " " + say("Look between {early} and {late}.", early=day_words(early), late=day_words(late))
    )


def how_sure(found: Diagnosis) -> str:
    """Return the chance in words with its count, its range and what speaks for and against."""
    return say("How sure: {sure}", sure=how_sure_words(found))


def how_sure_words(found: Diagnosis) -> str:
    """Return the same without its heading."""
    first = found.first
    text = f"{chance_of(first)}."
    if first.key != UNKNOWN:
        text += " " + say("None of the causes known here: {chance}.", chance=_in_ten(found.unknown.chance.mid))
    if not found.simulated:
        text += " " + say("The daily model was not run; only what was laid, sown and noticed counts.")
    return text


def chance_of(cause: FoundCause) -> str:
    """Return "very likely, 9 in 10 (7 to 9)"."""
    words = chance_words(cause.chance.mid).split(",")[0]
    low, high = round(cause.chance.low * 10), round(cause.chance.high * 10)
    count = _in_ten(cause.chance.mid)
    return (
        f"{words}, {count}"
        if low == high
        else say("{mid} ({low} to {high})", mid=f"{words}, {count}", low=low, high=high)
    )


def cost_words(minutes: float, days: float) -> str:
    """Return what a look costs: "half a minute", "10 minutes", "30 minutes, then 21 days"."""
    work = say("{minutes} minutes", minutes=f"{minutes:.0f}")
    if minutes < 2:
        work = say("half a minute") if minutes < 1 else say("a minute")
    return say("{work}, then {days} days", work=work, days=f"{days:.0f}") if days else work


def nitrogen_words(account: NitrogenAccount, units: UnitSystem) -> str:
    """Return the account of nitrogen of the coming weeks."""
    want = per_area_words(Spread(account.want, account.want, account.want, "g m-2", account.coming.evidence), units)
    coming = per_area_words(account.coming, units)
    text = f"In {account.days} days the crop wants {want}; within reach or coming by itself: {coming}, worked out."
    if account.enough_from is not None:
        text += f" The soil and the layers give as much as it wants from about {day_words(account.enough_from)}."
    return text


def known_words(found: Diagnosis, cause: FoundCause, area: float, units: UnitSystem) -> str:
    """Return how the answer is known."""
    return say(
        "Known as: {class}, {source}; chances are judged and worked out. Amounts for {area}.",
        source=say(cause.source.replace("_", " ")),
        area=area_words(area, units),
        **{"class": evidence_words(cause.evidence)},
    )


def diagnosis_document(found: Diagnosis, *, area: float) -> Json:
    """Return the document of `mullbed noticed`."""
    return {
        "bed": found.bed,
        "date": found.day.isoformat(),
        "signs": list(found.signs),
        "absent": list(found.absent),
        "simulated": found.simulated,
        "area_m2": area,
        "known": [
            {
                "fact": one.fact,
                "chances": [round(weight, 6) for weight in one.weights],
                "value": _band(one.spread),
                "evidence": str(one.evidence),
            }
            for one in found.known
        ],
        "causes": [_cause(one) for one in found.causes],
        "together": [{"causes": [one, other], "chance": chance} for one, other, chance in found.together],
        "next_looks": [
            {
                "fact": one.key,
                "question": one.question,
                "answers": list(one.answers),
                "minutes": one.minutes,
                "days": one.days,
                "bits": one.bits,
            }
            for one in found.checks
        ],
        "nitrogen": _account(found.nitrogen),
    }


def signs_text(actions: Sequence[FirstAction], style: Style | None = None) -> str:
    """Return every sign by sense with what to do first on it alone."""
    style = style or Style()
    lines: list[str] = []
    sense = ""
    for one in actions:
        if one.sense != sense:
            sense = one.sense
            lines += ["", style.bold(capital(sense))]
        lines += columns(
            [(f"{one.sign:<16}", f"{one.name}: {one.heading} ({one.cause_name}, {chance_words(one.chance)})")]
        )
    lines += [
        "",
        *paragraph("On one sign alone, knowing nothing of the bed. Say more signs, and the bed, to be surer."),
    ]
    return style.finished(lines[1:])


def signs_document(actions: Sequence[FirstAction]) -> Json:
    """Return the table a page without signal carries: for each sign what to do first."""
    return {
        "signs": [
            {
                "sign": one.sign,
                "name": one.name,
                "sense": one.sense,
                "cause": one.cause,
                "cause_name": one.cause_name,
                "chance": one.chance,
                "chance_words": chance_words(one.chance),
                "heading": one.heading,
                "steps": list(one.steps),
                "avoid": one.avoid,
                "change": one.change,
                "tells_apart": one.tells_apart,
                "next_look": one.check,
                "cautions": [{"code": key, "text": caution_words(key)} for key in one.cautions],
                "cautions_dated": dated_line(one.cautions),
                "evidence": str(one.evidence),
                "source": one.source,
            }
            for one in actions
        ]
    }


def _others(found: Diagnosis) -> list[str]:
    lines = []
    for cause in found.causes[1:_SMALL_LIST]:
        if cause.key != UNKNOWN and cause.chance.mid >= 0.05:
            lines += paragraph(f"{cause.name}: {chance_of(cause)}. {cause.tells_apart}")
    return ["  Or it is:", *lines] if lines else []


def _cautions(cause: FoundCause) -> list[str]:
    if not cause.cautions:
        return []
    lines = [line for key in cause.cautions for line in paragraph(caution_words(key))]
    return [*lines, *paragraph(dated_line(cause.cautions))]


def _in_ten(chance: float) -> str:
    count = round(chance * 10)
    return say("{count} in 10", count=count) if count else say("less than 1 in 10")


def _band(spread: Spread | None) -> Json:
    if spread is None:
        return {"low": None, "mid": None, "high": None}
    return {"low": spread.low, "mid": spread.mid, "high": spread.high}


def _cause(cause: FoundCause) -> Json:
    return {
        "cause": cause.key,
        "name": cause.name,
        "share": cause.share,
        "chance": _band(cause.chance),
        "chance_words": chance_of(cause),
        "settled": cause.settled,
        "speaks_for": list(cause.speaks_for),
        "speaks_against": list(cause.speaks_against),
        "because": cause.because,
        "change": cause.change,
        "tells_apart": cause.tells_apart,
        "remedy": _remedy(cause.remedy),
        "cautions": [{"code": key, "text": caution_words(key)} for key in cause.cautions],
        "cautions_dated": dated_line(cause.cautions),
        "evidence": str(cause.evidence),
        "source": cause.source,
    }


def _remedy(doing: Remedy) -> Json:
    return {
        "heading": doing.heading,
        "steps": list(doing.steps),
        "avoid": doing.avoid,
        "expect": doing.expect,
        "expect_from": doing.expect_from.isoformat(),
        "expect_until": doing.expect_until.isoformat(),
        "container": doing.container if doing.containers is not None else None,
        "containers": doing.containers,
        "cover_litres": _band(doing.container_litres),
        "cover_thickness_mm": None if doing.cover_thickness is None else round(doing.cover_thickness * 1000),
        "water_litres": doing.water_litres,
        "wait_until": [one.isoformat() for one in doing.wait_until or ()],
        "doses": [
            {"carrier": one.carrier, "grams": _band(one.grams), "tablespoons": one.tablespoons} for one in doing.doses
        ],
    }


def _account(account: NitrogenAccount | None) -> Json:
    enough = account.enough_from if account is not None else None
    return {
        "days": account.days if account is not None else None,
        "want": account.want if account is not None else None,
        "coming": _band(account.coming if account is not None else None),
        "shortage": _band(account.shortage if account is not None else None),
        "enough_from": enough.isoformat() if enough is not None else None,
    }
