"""What was kept, told back in a sentence with its id; and lists of what was kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from mullbed.domain.garden import UnitSystem
from mullbed.domain.observation import observable
from mullbed.domain.record import Entry
from mullbed.domain.record_batches import (
    BatchDecided,
    BatchTaken,
    BeanTestRead,
    BeanTestSetUp,
    ContainerWeighed,
    Decision,
)
from mullbed.domain.record_codec import entry_to_plain
from mullbed.domain.record_crops import Harvested, Sown
from mullbed.domain.record_ground import BedTold, SiteTold
from mullbed.domain.record_papers import Document, GardenFileKept, Incident, PhotoTaken, TakenBack
from mullbed.domain.record_seen import FieldChecked, Noted, Observed, SoilTested, WeatherDay
from mullbed.domain.record_work import Cost, CoverDrawnBack, DugIn, Fed, HoursWorked, IrrigationSet, LayerLaid, Watered
from mullbed.domain.signing import Kept
from mullbed.errors import InputFault
from mullbed.language import in_signs, language, say
from mullbed.reports.amounts import (
    area_words,
    count_words,
    is_us,
    mass_words,
    millimetres_words,
    temperature_words,
    thickness_words,
    volume_words,
)
from mullbed.reports.names import bed_title, crop_name, residue_name
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.words import capital, counted, day_words, listed, number, plural, short_day
from mullbed.units import from_canonical, parse_quantity

METRIC = UnitSystem.METRIC


def kept_text(kept: Kept, units: UnitSystem = METRIC, style: Style | None = None) -> str:
    """Return the answer to one line: what was kept, where, and how to undo it."""
    style = style or Style()
    entry = kept.entry
    if isinstance(entry.facts, TakenBack) and kept.replaced is not None:
        said = f"Taken back: {entry_words(kept.replaced, units)} It stays in the record and no longer counts."
        return style.finished([*paragraph(said, indent=0), *paragraph(f"Id {entry.id}.", indent=0)])
    lines = paragraph(f"Written down: {entry_words(entry, units, kept.area)}", indent=0)
    for remark in _remarks(kept, units):
        lines += paragraph(remark, indent=0)
    if kept.replaced is not None:
        lines += paragraph(f"It stands in place of {kept.replaced.id}.", indent=0)
    lines += paragraph(f"Id {entry.id}. Take it back with: mullbed log take-back {entry.id[-8:]}", indent=0)
    return style.finished(lines)


def _remarks(kept: Kept, units: UnitSystem) -> list[str]:
    told = []
    entry, facts = kept.entry, kept.entry.facts
    if kept.planned_day is not None:
        late = (entry.day - kept.planned_day).days
        when = "as planned" if late == 0 else f"planned for {day_words(kept.planned_day)}"
        told.append(f"The plan had a layer here, {when}.")
    if kept.usual:
        parts = []
        for name, value in kept.usual:
            shown = _rain(value, units) if name == "rain" else temperature_words(value, units)
            parts.append(f"{name} {shown}")
        told.append(f"Not read: {listed(parts)} would be usual here; marked as filled, never as read.")
    if kept.unread:
        told.append(f"{capital(counted(kept.unread, 'day'))} before went unread; what is usual stands in for them.")
    if isinstance(facts, BatchTaken) and facts.decision is Decision.HOLD_AND_TEST:
        told.append(
            f"Hold it and test it: three pots with it, three without, three beans each. mullbed log test "
            f'"{entry.batch}" once they are sown.'
        )
    if isinstance(facts, BatchTaken) and facts.decision is Decision.SEND_BACK:
        told.append("Don't lay any of it.")
    if isinstance(facts, BeanTestSetUp):
        told.append(f"Read it on {listed([day_words(day) for day in facts.due])}. Local rules come first.")
    told += [_REMARKS[remark] for remark in kept.remarks if remark in _REMARKS]
    return told


_REMARKS = {
    "before the carry-over": "That day is carried over already; run mullbed garden next-year again to count it.",
    str(Decision.KEEP): "The batch is free to lay.",
    str(Decision.SEND_BACK): "Don't lay any of it; send it back.",
}


def entry_words(entry: Entry, units: UnitSystem = METRIC, area: float | None = None) -> str:
    """Return an entry as a sentence."""
    bed = bed_title(entry.bed) if entry.bed is not None else ""
    where = say(" on {bed}", bed=bed) if bed else ""
    day = day_words(entry.day, year=True)
    words = getattr(entry.facts, "words", "")
    note = f" ({words})" if isinstance(words, str) and words else ""
    return f"{_what(entry, where, units, area)}, {day}{note}."


def _what(entry: Entry, where: str, units: UnitSystem, area: float | None) -> str:
    facts = entry.facts
    if isinstance(facts, LayerLaid):
        lifts = [
            say("{amount} of {thing}", amount=said_words(one.said), thing=residue_name(one.lift.residue))
            for one in facts.lifts
        ]
        thick = sum(one.lift.thickness for one in facts.lifts)
        poured = ""
        if facts.water > 0.0:
            much = (
                volume_words(facts.water * area, units) if area is not None else millimetres_words(facts.water, units)
            )
            poured = ", " + say("{amount} of water", amount=much)
        return say(
            "a layer{where}, {lifts}{water}, {thickness} as laid",
            where=where,
            lifts=say(", then ").join(lifts),
            water=poured,
            thickness=thickness_words(thick, units),
        )
    if isinstance(facts, Watered):
        depth = _rain(facts.depth, units)
        water = say("{amount} of water", amount=said_words(facts.said) if facts.said else depth) + where
        return f"{water}, {depth}" if facts.said else water
    if isinstance(facts, CoverDrawnBack):
        if facts.put_back:
            return say("cover put back{where}", where=where)
        back = say("cover drawn back{where}", where=where)
        return back if facts.share == 1.0 else back + say(", {share} of it", share=f"{facts.share:.0%}")
    if isinstance(facts, Observed):
        return f"{say(facts.what)}{where}: {observed_words(facts, units)}"
    if isinstance(facts, Sown):
        share = "" if facts.share == 1.0 else say(", {share} of the bed", share=f"{facts.share:.0%}")
        told = {"crop": crop_name(facts.crop), "where": where + share}
        return say("{crop} sown{where}", **told) if facts.direct else say("{crop} planted{where}", **told)
    if isinstance(facts, Harvested):
        over = say(", the last of it") if facts.last else ""
        return (
            say(
                "{mass} of {crop} harvested{where}",
                mass=mass_words(facts.fresh_kg, units),
                crop=crop_name(facts.crop),
                where=where,
            )
            + over
        )
    if isinstance(facts, ContainerWeighed):
        return say(
            "one {container} of {thing} weighs {mass}",
            container=plural(facts.container, 1),
            thing=residue_name(facts.residue),
            mass=mass_words(facts.fresh_kg, units),
        )
    if isinstance(facts, WeatherDay):
        return say("weather: {told}", told=weather_words(facts, units))
    if isinstance(facts, BatchTaken) and facts.count == 0.0:
        return say("{thing} did not come", thing=residue_name(facts.residue))
    if isinstance(facts, BatchTaken):
        amount = say(
            "{amount} of {thing}", amount=count_words(facts.count, facts.container), thing=residue_name(facts.residue)
        )
        return say(
            "batch '{batch}', {amount}: {decision}, because {reason}",
            batch=entry.batch,
            amount=amount,
            decision=say(str(facts.decision)),
            reason=say(facts.reason),
        )
    if isinstance(facts, BatchDecided):
        return say(
            "batch '{batch}': {decision}, because {reason}",
            batch=entry.batch,
            decision=say(str(facts.decision)),
            reason=say(facts.reason),
        )
    if isinstance(facts, BeanTestSetUp):
        return say(
            "bean test of '{batch}': {pots} pots with it, {others} without",
            batch=entry.batch,
            pots=facts.pots,
            others=facts.control_pots,
        )
    if isinstance(facts, BeanTestRead):
        return say("bean test of '{batch}': {verdict}", batch=entry.batch, verdict=say(str(facts.verdict)))
    if isinstance(facts, SoilTested):
        values = [f"{one.name} {number(one.value) if one.value is not None else one.method}" for one in facts.values]
        return say("soil test{where}: {values}", where=where, values=listed(values))
    return _other_words(entry, where, units)


def _other_words(entry: Entry, where: str, units: UnitSystem) -> str:
    facts = entry.facts
    if isinstance(facts, FieldChecked):
        return f"{checked_words(facts)}{where}"
    if isinstance(facts, Noted):
        return say("note{where}: {words}", where=where, words=facts.words)
    if isinstance(facts, PhotoTaken):
        return say("photo{where}", where=where) + (say(", from {place}", place=facts.place) if facts.place else "")
    if isinstance(facts, HoursWorked):
        people = say(" by {count}", count=facts.people) if facts.people > 1 else ""
        return (
            say("{minutes} minutes of {job}{where}", minutes=f"{facts.minutes:.0f}", job=facts.job, where=where)
            + people
        )
    if isinstance(facts, Cost):
        return f"{facts.amount} {facts.currency} for {facts.what}"
    if isinstance(facts, Incident):
        told = f"; told: {listed(list(facts.told))}" if facts.told else ""
        return f"incident, {facts.what}: {facts.words}{told}"
    if isinstance(facts, DugIn):
        return say("dug in{where}, {depth} deep", where=where, depth=thickness_words(facts.depth, units))
    if isinstance(facts, IrrigationSet):
        given = facts.watering
        much = f", {_rain(given.depth_per_week, units)} a week" if given.depth_per_week is not None else ""
        return f"watering{where} from now on: {given.way}{', kept moist' if given.kept_moist else much}"
    if isinstance(facts, Fed):
        what = say("{amount} of {thing}", amount=facts.said, thing=facts.name) if facts.said else facts.name
        return say("{what} given{where}", what=what, where=where)
    if isinstance(facts, BedTold):
        return (
            f"{bed_title(entry.bed or '')}, {area_words(facts.area, units)}{'' if facts.in_use else say(', given up')}"
        )
    if isinstance(facts, SiteTold):
        return say("the place, {name}", name=facts.site.name)
    if isinstance(facts, GardenFileKept):
        return say("the file {name}", name=facts.name)
    if isinstance(facts, Document):
        return f"{entry.kind} '{facts.name}', version {facts.version}"
    return f"{entry.kind}{where}"


def checked_words(facts: FieldChecked) -> str:
    """Return a field check: its mean, how often it was read, and its class."""
    name = facts.check.replace("_", " ")
    plot = f", plot {facts.plot}" if facts.plot else ""
    if not facts.readings:
        return f"{name}{plot}: {facts.word}"
    mean = sum(facts.readings) / len(facts.readings)
    unit = "" if facts.unit in ("1", "") else f" {facts.unit.replace('[in_i]', 'in').replace('[psi]', 'psi')}"
    repeats = f", mean of {len(facts.readings)}" if len(facts.readings) > 1 else ""
    word = f", {facts.word}" if facts.word else ""
    return f"{name}{plot}: {number(mean)}{unit}{repeats}{word}"


def observed_words(facts: Observed, units: UnitSystem = METRIC) -> str:
    """Return what was observed in the grower's unit."""
    if facts.word is not None:
        return say(facts.word)
    value, unit = facts.value or 0.0, observable(facts.what).unit
    if unit == "m":
        return thickness_words(value, units)
    if unit == "Cel":
        return temperature_words(value, units)
    if unit == "1" and facts.what != "worms":
        return f"{value:.0%}"
    return f"{number(value)} {unit}" if unit not in ("1", "") else number(value)


def weather_words(facts: WeatherDay, units: UnitSystem = METRIC) -> str:
    """Return a day's weather; what was filled in is said so."""
    parts = []
    if facts.rain is not None:
        parts.append(say("{amount} of rain", amount=_rain(facts.rain, units)) + _mark(facts, "rain"))
    if facts.low is not None:
        parts.append(say("low {warmth}", warmth=temperature_words(facts.low, units)) + _mark(facts, "low"))
    if facts.high is not None:
        parts.append(say("high {warmth}", warmth=temperature_words(facts.high, units)) + _mark(facts, "high"))
    if facts.expected is not None:
        parts.append(say("rain expected: {what}", what=say(facts.expected)))
    return ", ".join(parts)


def _mark(facts: WeatherDay, name: str) -> str:
    return say(" (usual, not read)") if name in facts.filled else ""


def _rain(millimetres: float, units: UnitSystem) -> str:
    if is_us(units):
        return in_signs(f"{from_canonical(millimetres / 1000.0, 'in'):.2f} in")
    return f"{number(millimetres)} mm"


def said_words(amount: str) -> str:
    """Return an amount as it was written down; counts of containers in the language of the moment."""
    plain = amount.removesuffix(", dried").removesuffix(", wilted")
    if language().code == "en":
        return plain
    try:
        quantity = parse_quantity(plain)
    except InputFault:
        return plain
    return count_words(quantity.value, quantity.container) if quantity.container else plain


def kept_document(kept: Kept, units: UnitSystem = METRIC) -> Mapping[str, object]:
    """Return what was kept as one document."""
    return {
        "id": kept.entry.id,
        "kept": entry_words(kept.entry, units, kept.area),
        "entry": entry_to_plain(kept.entry),
        "replaces": kept.replaced.id if kept.replaced is not None else None,
        "remarks": _remarks(kept, units),
        "usual": dict(kept.usual),
        "days_unread": kept.unread,
    }


def notes_text(entries: Sequence[Entry], units: UnitSystem = METRIC, style: Style | None = None) -> str:
    """Return a list of entries, oldest first."""
    style = style or Style()
    if not entries:
        return style.finished(["Nothing is written down yet."])
    rows = [
        (short_day(entry.day), entry.author[:12], entry.id[-8:], capital(_what(entry, _where(entry), units, None)))
        for entry in entries
    ]
    return style.finished(columns(rows, indent=0))


def _where(entry: Entry) -> str:
    return f" on {bed_title(entry.bed)}" if entry.bed is not None else ""


def notes_document(entries: Sequence[Entry], units: UnitSystem = METRIC) -> Mapping[str, object]:
    """Return a list of entries as one document."""
    return {"entries": [entry_to_plain(one) | {"words": entry_words(one, units)} for one in entries]}
