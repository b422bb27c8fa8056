"""Sheets for others: what to do while the grower is away, and task cards for a day with many hands."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from mullbed.domain.bed import Bed, Irrigation
from mullbed.domain.garden import Garden
from mullbed.domain.season_plan import PlannedLayer
from mullbed.domain.walk import BedVisit, Job
from mullbed.language import marked, say
from mullbed.reports.amounts import area_words, cans_words, lift_amount, thickness_words, volume_words
from mullbed.reports.bed_card import steps
from mullbed.reports.names import bed_title, crop_name, residue_name
from mullbed.reports.reasons import layer_dont, layer_why
from mullbed.reports.round_list import do_words, dont_words, why_words
from mullbed.reports.sheet import Framed, Grid, Lines, Part, Sheet, SheetPart, Steps, Words
from mullbed.reports.words import capital, counted, day_words, listed, number, weekday_words

SENSES = (
    marked("If it smells sharp or sour, open the cover with a fork and leave it open a day."),
    marked("If it drips when squeezed, don't water."),
    marked("If it crackles, water it: one can for every square step."),
)
"""What anybody can do without asking. Common practice, no source."""


def away_sheet(garden: Garden, coming: Sequence[PlannedLayer], first: date, last: date) -> Sheet:
    """Return the hand-over sheet for the days from first to last: few jobs, dated, with what not to do."""
    units = garden.site.units
    due = sorted(
        (one for one in coming if first <= one.layer.day <= last), key=lambda one: (one.layer.day, one.layer.bed)
    )
    parts: list[SheetPart] = []
    for planned in due:
        parts.append(Part(f"{weekday_words(planned.layer.day)}: {bed_title(planned.layer.bed)}"))
        parts.append(Steps(tuple(f"{one['verb']} {one['amount']} {one['rest']}." for one in steps(planned, units))))
        parts.append(Framed(say("Don't"), " ".join(layer_dont(planned)).strip()))
    watered = [bed for bed in garden.beds if bed.watering.way is Irrigation.BY_HAND]
    rows = tuple(_water_row(bed, garden, first, last) for bed in watered)
    if rows:
        parts.append(Part(say("Water")))
        parts.append(
            Grid(say("Beds watered by hand"), (say("Bed"), say("Grows"), say("A week"), say("Tick each time")), rows)
        )
    parts.append(Part(say("Any day")))
    parts.append(Words(" ".join(say(one) for one in SENSES)))
    parts.append(
        Framed(
            say("Don't"),
            say("lay anything that is not on this sheet, dig, or pull the cover onto stems. Not sure: wait."),
        )
    )
    parts.append(Part(say("Who to ask")))
    parts.append(Lines((say("Name and number"), say("What you saw, with its date"), say("Picked, and how much"))))
    jobs = counted(len(due), "layer")
    heading = say("Nothing to lay while we are away.")
    if due:
        heading = say("{layers} to lay while we are away.", layers=capital(jobs))
    return Sheet(
        say("{garden}: while we are away", garden=garden.site.name),
        (garden.site.name, say("{low} to {high}", low=day_words(first), high=day_words(last, year=True))),
        heading,
        tuple(parts),
        lead=say("The layers work by themselves. Less is better than more."),
    )


def _water_row(bed: Bed, garden: Garden, first: date, last: date) -> tuple[str, ...]:
    grows = listed(
        list(dict.fromkeys(crop_name(one.crop) for one in bed.crops if one.planted <= last and one.harvested >= first))
    )
    weekly = bed.watering.depth_per_week
    if bed.watering.kept_moist:
        words = say("keep it moist a finger deep")
    elif weekly is not None:
        words = volume_words(weekly * bed.area, garden.site.units)
    else:
        words = say("when it crackles")
    return (bed_title(bed.name), grows or say("nothing"), words, "□ □ □ □")


def task_sheets(
    garden: Garden, day: date, coming: Sequence[PlannedLayer], visits: Sequence[BedVisit], address: str
) -> tuple[Sheet, ...]:
    """Return a card for every job of a day, each to be handed to one pair of hands.

    Parameters
    ----------
    coming : sequence
        Layers of the plan; those of the day, and late ones, become cards.
    visits : sequence
        Of the day's round; their jobs beside laying become cards too.
    address : str
        Of a bed's page, ``{bed}`` put in by whoever prints it as a code; empty for none.
    """
    cards = [_lay_card(garden, day, one) for one in coming if one.layer.day <= day]
    laid = {one.layer.bed for one in coming if one.layer.day <= day}
    for visit in visits:
        for stop in visit.stops:
            if stop.job is Job.WAIT or (stop.job is Job.LAY and visit.bed in laid):
                continue
            if stop.job is Job.LAY and stop.layer is not None:
                cards.append(_lay_card(garden, day, stop.layer))
                continue
            parts: tuple[SheetPart, ...] = (
                Steps((f"{capital(do_words(stop, garden.site.units))}.",)),
                Words(say("Why: {why}", why=why_words(stop, garden.site.units))),
                Framed(say("Don't"), dont_words(stop)),
                Lines((say("Done by"), say("What we saw"))),
            )
            title = bed_title(visit.bed)
            where = (garden.site.name, weekday_words(day))
            lead = say("Allow {minutes} minutes.", minutes=number(stop.minutes))
            cards.append(Sheet(title, where, title, parts, lead))
    return tuple(cards)


def _lay_card(garden: Garden, day: date, planned: PlannedLayer) -> Sheet:
    """Return the card of one layer: fetch, steps, why, don't."""
    units, bed = garden.site.units, garden.bed(planned.layer.bed)
    fetch = [
        say("{amount} of {thing}", amount=lift_amount(lift), thing=residue_name(lift.residue))
        for lift in planned.layer.lifts
    ]
    if planned.litres > 0:
        fetch.append(say("{amount} of water", amount=cans_words(planned.cans)))
    title = bed_title(planned.layer.bed)
    size = f"{area_words(bed.area, units)}, " if bed is not None else ""
    parts: tuple[SheetPart, ...] = (
        Words(say("Fetch {things}.", things=listed(fetch))),
        Steps(
            tuple(
                f"{one['verb']} {one['amount']} {one['rest']}" + (f": {one['hand']}." if one["hand"] else ".")
                for one in steps(planned, units)
            )
        ),
        Words(
            say(
                "It is then {thickness} higher. Level it; leave no bare spot.",
                thickness=thickness_words(planned.layer.thickness, units),
            )
        ),
        Framed(say("Don't"), " ".join(layer_dont(planned)).strip()),
        Words(say("Why: {why}", why=layer_why(planned, units))),
        Words(say("Gloves on. Dusty or mouldy: wet it first, turn your face from it. Wash hands before eating.")),
        Lines((say("Done by"), say("What we saw"))),
    )
    minutes = say("Two people, about {minutes} minutes.", minutes=number(max(5.0, planned.minutes / 2)))
    return Sheet(title, (garden.site.name, weekday_words(day)), title, parts, f"{capital(size)}{minutes}")
