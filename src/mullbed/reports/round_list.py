"""The round in the terminal and as a document: one answer, the three first stops in full, the rest in lines."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from mullbed.domain.garden import UnitSystem
from mullbed.domain.walk import Because, BedVisit, Job, LookFor, Round, Stop
from mullbed.language import marked, say, say_many
from mullbed.reports.amounts import area_words, cans_words, count_words, thickness_mm, thickness_words
from mullbed.reports.cautions import caution_action, dated_line
from mullbed.reports.names import bed_title, crop_name, residue_name
from mullbed.reports.reasons import layer_dont, layer_why
from mullbed.reports.terminal_style import WIDTH, Style, paragraph, said
from mullbed.reports.words import capital, counted, day_words, listed, number, weekday_words

IN_FULL = 3
"""So many beds are told in full; the rest waits in lines."""

_WHY: dict[Because, str] = {
    Because.PLANNED: marked("The plan puts it here now."),
    Because.LATE: marked("The plan had it for {day}; it still fits."),
    Because.RAIN_COMES: marked("Rain is expected and will do the watering."),
    Because.HARD_RAIN_COMES: marked("Hard rain is expected; on fresh soft matter it makes slime."),
    Because.SMELLS_OF_AMMONIA: marked("It smelt of ammonia on {day}: nitrogen is leaving by the air."),
    Because.SMELLS_SOUR: marked("It smelt sour or foul on {day}: no air gets in."),
    Because.SLIMY: marked("It was seen slimy on {day}: too thick or too wet to breathe."),
    Because.NO_CAP: marked("Soft fresh matter has lain open since {day}; the first four days decide what is lost."),
    Because.DRY_TO_THE_HAND: marked("It crackled in the hand; dry matter does not rot."),
    Because.DRY_BY_FORECAST: marked("By the forecast the cover has dried out; dry matter does not rot."),
    Because.SOIL_MUST_WARM: marked("{thing} goes in about {other}; bare soil warms sooner and slugs lose their roof."),
    Because.ITS_TIME: marked("The garden file has it for {day}."),
    Because.WOULD_SPOIL: marked("It keeps until {day} and no longer."),
    Because.TEST_IS_DUE: marked("The test was due on {day}; until it is read the batch stays held."),
    Because.NOT_SEEN_LATELY: marked("Nobody has looked for {amount} days."),
    Because.FRESH_LAYER_TO_SMELL: marked("A fresh layer tells by its fourth day whether nitrogen escapes."),
    Because.AWAY_SOON: marked("You are away when the plan would have it, on {day}."),
}

_DO: dict[Job, str] = {
    Job.READ_TEST: marked("read the bean test of {thing}: look at {amount} in each pot"),
    Job.AIR: marked("fork it open and let it air for {amount}"),
    Job.CAP: marked("cap it with {amount} of {thing}"),
    Job.LAY: marked("lay {amount} of {thing}"),
    Job.WAIT: marked("wait {amount} with the layer"),
    Job.WATER: marked("pour {amount} of water over the cover"),
    Job.USE_UP: marked("use up {amount} of {thing}"),
    Job.DRAW_BACK: marked("draw the cover back {amount} wide along the row"),
    Job.SOW: marked("sow or plant {thing} on {amount}"),
    Job.HARVEST: marked("harvest {thing}, {amount}; weigh it"),
    Job.LOOK: marked("look it over"),
}

_DONT: dict[Job, str] = {
    Job.READ_TEST: marked("lay any of it before the beans are straight."),
    Job.AIR: marked("dig it in; it would rot without air below too."),
    Job.CAP: marked("add anything green on top."),
    Job.LAY: marked("lay it thicker than it says: thin is quick, thick is slimy."),
    Job.WAIT: marked("heap it in the meantime; spread it loosely under a roof."),
    Job.WATER: marked("flood it: wet it in three passes and feel below it."),
    Job.USE_UP: marked("let it heat in the bag."),
    Job.DRAW_BACK: marked("carry the cover off; it comes back when the seedlings stand a hand high."),
    Job.SOW: marked("sow into a green layer younger than three weeks."),
    Job.HARVEST: marked("leave sick leaves lying."),
    Job.LOOK: marked("dig. Lift one corner and put it back."),
}

_LOOK: dict[LookFor, str] = {
    LookFor.SMELL: marked("Smell under the cover; if it stings, cap it."),
    LookFor.SLUGS: marked("Turn a board for slugs."),
    LookFor.MOISTURE: marked("Squeeze a handful from the middle."),
    LookFor.SPROUTS: marked("Look for weeds coming through."),
    LookFor.STEMS: marked("Keep a hand of bare ground round the stems."),
    LookFor.RUNS: marked("Look for runs and holes."),
    LookFor.LEAVES: marked("Look at the oldest leaves first."),
    LookFor.THICKNESS: marked("Put a finger in: how thick is it?"),
    LookFor.WORMS: marked("Lift a corner: threads, worms?"),
}


def round_answer(walk: Round) -> str:
    """Return the answer of the day as a heading."""
    due = [visit for visit in walk.visits if visit.stops]
    if not due and not walk.heap:
        day = next_look(walk)
        if day is None:
            return say("Nothing to do today.")
        return say("Nothing to do today. Next look {day}.", day=weekday_words(day))
    if not due:
        things = capital(counted(len(walk.heap), "thing"))
        return say("No bed needs you today. {things} at the heap. {allow}", things=things, allow=_allow(walk))
    beds = capital(counted(len(due), "bed"))
    return say_many("{beds} needs you. {allow}", "{beds} need you. {allow}", len(due), beds=beds, allow=_allow(walk))


def next_look(walk: Round) -> date | None:
    """Return the next day something is due anywhere."""
    return min((visit.next_day for visit in walk.visits if visit.next_day is not None), default=None)


def _allow(walk: Round) -> str:
    return say("Allow {minutes} minutes.", minutes=f"{max(5, 5 * round(walk.minutes / 5.0)):.0f}")


def round_text(walk: Round, *, units: UnitSystem, style: Style | None = None, everything: bool = False) -> str:
    """Return the page of the walk."""
    style = style or Style()
    day = weekday_words(walk.day)
    room = WIDTH - 2 - len(day)
    lines = [style.bold(f"{walk.garden[: room - 2]:<{room}}") + day, "", *paragraph(round_answer(walk)), ""]
    for stop in walk.heap:
        lines += [*_stop_lines("At the heap", stop, units, style), ""]
    due = [visit for visit in walk.visits if visit.stops]
    full = due if everything else due[:IN_FULL]
    for place, visit in enumerate(full, start=1):
        lines += [*_visit_lines(place, visit, units, style), ""]
    for place, visit in enumerate(due[len(full) :], start=len(full) + 1):
        lines += paragraph(f"{place}  {bed_title(visit.bed)}: {do_words(visit.stops[0], units)}.")
    if len(due) > len(full):
        waiting = capital(counted(len(due) - len(full), "bed"))
        lines += [*paragraph(f"{waiting} can wait; --all tells them in full."), ""]
    lines += _left_alone(walk)
    if everything and not due:
        for visit in walk.visits:
            lines += [*_looks(visit, style)]
    beware = tuple(dict.fromkeys(key for visit in full for key in visit.beware))
    if beware:
        lines += paragraph(dated_line(beware))
    lines += ["", *paragraph(standing_words(walk))]
    return style.finished(lines)


def _visit_lines(place: int, visit: BedVisit, units: UnitSystem, style: Style) -> list[str]:
    stop, *others = visit.stops
    lines = _stop_lines(f"{place}  {bed_title(visit.bed)}", stop, units, style)
    for other in others:
        lines += said("THEN", f"{capital(do_words(other, units))}. {why_words(other, units)}", style)
    lies = cover_words(visit, units)
    lines += said("LIES", lies, style) if lies else []
    return lines + _looks(visit, style)


def _looks(visit: BedVisit, style: Style) -> list[str]:
    lines = said("LOOK", " ".join(_LOOK[one] for one in visit.look), style) if visit.look else []
    if visit.beware:
        told = [f"{word}: {action}" for word, action in (caution_action(key) for key in visit.beware[:2])]
        lines += said("BEWARE", " ".join(told), style)
    return lines


def _stop_lines(heading: str, stop: Stop, units: UnitSystem, style: Style) -> list[str]:
    return [
        style.bold(heading),
        *said(_word(stop.job), f"{capital(do_words(stop, units))}.", style),
        *said("WHY", why_words(stop, units), style),
        *said("DON'T", capital(dont_words(stop)), style),
    ]


def _word(job: Job) -> str:
    return "LAY" if job is Job.LAY else "DO"


def number_words(stop: Stop, units: UnitSystem) -> str:
    """Return the one number of a stop in its household unit."""
    if stop.unit == "m2":
        return area_words(stop.amount, units)
    if stop.unit == "can":
        return cans_words(stop.amount)
    if stop.unit == "hand":
        return say("a hand") if stop.amount == 1.0 else count_words(stop.amount, "hand")
    return count_words(stop.amount, stop.unit)


def number_parts(stop: Stop, units: UnitSystem) -> tuple[str, str, str]:
    """Return the one number, its unit with what it is of, and what comes after it."""
    thing = _thing(stop)
    if stop.job is Job.LAY and stop.layer is not None:
        first, *rest = stop.layer.layer.lifts
        figure, _, unit = count_words(first.count, first.container).partition(" ")
        then = [
            say(
                "{amount} of {thing} on top",
                amount=count_words(lift.count, lift.container),
                thing=residue_name(lift.residue),
            )
            for lift in rest
        ]
        if stop.layer.litres > 0:
            then.append(say("{amount} of water", amount=cans_words(stop.layer.cans)))
        told = say("{amount} of {thing}", amount=unit, thing=residue_name(first.residue))
        return figure, told, say("then {things}", things=say(", then ").join(then)) if then else ""
    figure, _, unit = number_words(stop, units).partition(" ")
    if thing and stop.job in (Job.CAP, Job.USE_UP, Job.LAY):
        unit = say("{amount} of {thing}", amount=unit, thing=thing)
    elif stop.job is Job.WATER:
        unit = say("{amount} of water", amount=unit)
    return figure, unit, capital(do_words(stop, units)) + "."


def look_words(look: LookFor) -> str:
    """Return one thing to look at as a sentence."""
    return say(_LOOK[look])


def do_words(stop: Stop, units: UnitSystem) -> str:
    """Return what to do, with its number."""
    amount, thing = number_words(stop, units), _thing(stop)
    if stop.job is Job.LAY and stop.layer is not None:
        layer = stop.layer
        parts = [
            say("{amount} of {thing}", amount=count_words(lift.count, lift.container), thing=residue_name(lift.residue))
            for lift in layer.layer.lifts
        ]
        water = ", " + say("{amount} of water", amount=cans_words(layer.cans)) if layer.litres > 0 else ""
        return say("lay {things}", things=say(", then ").join(parts) + water)
    return say(_DO[stop.job], amount=amount, thing=thing or say("dry matter"))


def why_words(stop: Stop, units: UnitSystem = UnitSystem.METRIC) -> str:
    """Return the one reason of a stop."""
    if stop.layer is not None and stop.because in (Because.PLANNED, Because.LATE):
        why = layer_why(stop.layer, units)
        if stop.because is Because.LATE:
            why += " " + say("The plan had it for {day}.", day=day_words(stop.day))
        return why
    return say(
        _WHY[stop.because],
        day=day_words(stop.day),
        other=day_words(stop.other_day) if stop.other_day else say("its day"),
        thing=capital(_thing(stop)),
        amount=number(stop.amount),
    )


def dont_words(stop: Stop) -> str:
    """Return the one thing not to do."""
    if stop.job is Job.LAY and stop.layer is not None:
        dont, second = layer_dont(stop.layer)
        return f"{dont} {second}"
    return say(_DONT[stop.job])


def _thing(stop: Stop) -> str:
    if stop.thing is None:
        return ""
    if stop.job in (Job.SOW, Job.HARVEST, Job.DRAW_BACK):
        return crop_name(stop.thing)
    return stop.thing if stop.job is Job.READ_TEST else residue_name(stop.thing)


def _left_alone(walk: Round) -> list[str]:
    alone = [visit for visit in walk.visits if not visit.stops]
    if not alone or (len(alone) == len(walk.visits) and not walk.heap):
        return []
    names = [visit.bed for visit in alone]
    shown = names if len(names) <= 6 else [*names[:5], f"{len(names) - 5} more"]
    day = min((visit.next_day for visit in alone if visit.next_day is not None), default=None)
    until = f" till {weekday_words(day)}" if day is not None else ""
    return paragraph(f"Leave {listed(shown)} alone{until}.")


def standing_words(walk: Round) -> str:
    """Return on what the walk stands: plan, forecast, weather, absence."""
    parts = []
    if walk.plan_made is None:
        parts.append(say("No plan is kept yet; `mullbed plan --as-done` makes one."))
    if walk.forecast_made is None:
        parts.append(say("No forecast is kept: this walk goes by the record alone. `mullbed round --fresh` runs one."))
    elif walk.fresh:
        parts.append(say("Forecast of {day}, worked out.", day=day_words(walk.forecast_made)))
    else:
        made = day_words(walk.forecast_made)
        if walk.written_since:
            notes = counted(walk.written_since, "note")
            parts.append(
                say_many(
                    "The forecast is of {day}; {notes} came since; dates may shift.",
                    "The forecast is of {day}; {notes} came since; dates may shift.",
                    walk.written_since,
                    day=made,
                    notes=notes,
                )
            )
        else:
            parts.append(say("The forecast is of {day}; dates may shift.", day=made))
        parts.append(say("`mullbed round --fresh` renews it."))
    if walk.rain_expected is not None:
        parts.append(say("Rain expected: {what}, as you wrote.", what=say(walk.rain_expected)))
    if walk.away_from is not None:
        parts.append(say("You are away from {day}.", day=day_words(walk.away_from)))
    return " ".join(parts)


def round_document(walk: Round, units: UnitSystem) -> Mapping[str, object]:
    """Return the walk as one document."""
    return {
        "garden": walk.garden,
        "date": walk.day.isoformat(),
        "answer": round_answer(walk),
        "minutes": round(walk.minutes),
        "heap": [_stop_document(stop, units) for stop in walk.heap],
        "beds": [
            {
                "bed": visit.bed,
                "stops": [_stop_document(stop, units) for stop in visit.stops],
                "look": [_LOOK[one] for one in visit.look],
                "beware": list(visit.beware),
                "next_day": visit.next_day.isoformat() if visit.next_day else None,
                "thickness_mm": (
                    dict(zip(("low", "mid", "high"), (thickness_mm(one) for one in visit.thickness), strict=True))
                    if visit.thickness is not None
                    else None
                ),
                "laid_last": visit.laid_last.isoformat() if visit.laid_last else None,
                "looked_last": visit.looked_last.isoformat() if visit.looked_last else None,
            }
            for visit in walk.visits
        ],
        "forecast_made": walk.forecast_made.isoformat() if walk.forecast_made else None,
        "plan_made": walk.plan_made.isoformat() if walk.plan_made else None,
        "fresh": walk.fresh,
        "written_since": walk.written_since,
        "rain_expected": walk.rain_expected,
        "away_from": walk.away_from.isoformat() if walk.away_from else None,
    }


def _stop_document(stop: Stop, units: UnitSystem) -> Mapping[str, object]:
    return {
        "job": stop.job.value,
        "do": capital(do_words(stop, units)),
        "amount": round(stop.amount, 3),
        "unit": stop.unit,
        "thing": stop.thing,
        "why": why_words(stop, units),
        "because": stop.because.value,
        "dont": capital(dont_words(stop)),
        "due": stop.day.isoformat(),
        "minutes": round(stop.minutes, 1),
    }


def cover_words(visit: BedVisit, units: UnitSystem) -> str:
    """Return how thick the cover is by the forecast; nothing where none is kept."""
    if visit.thickness is None:
        return ""
    low, mid, high = visit.thickness
    spread = f" ({thickness_words(low, units)} to {thickness_words(high, units)})"
    return f"About {thickness_words(mid, units)}{spread} of cover, worked out."
