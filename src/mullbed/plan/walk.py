"""What is due on a day, from what was laid, seen, planned and forecast; no simulation is run.

Rules W1-W11 are craft knowledge (judgement) but for the numbers marked; each is one function below.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from mullbed.domain.bed import Bed, BedCrop
from mullbed.domain.layer import Layer
from mullbed.domain.observation import Observation
from mullbed.domain.season_plan import PlannedLayer
from mullbed.domain.walk import Because, BedVisit, Job, LookFor, Stop

LAY_WITHIN_DAYS = 2
"""A planned layer is due so long before its day. Judgement. [d]"""
LATE_UNTIL_DAYS = 14
"""After so long a planned layer is stale: plan again. Judgement. [d]"""
NOSE_DAYS = 3
"""What was smelt or seen so long ago still asks for action. Judgement. [d]"""
AMMONIA_DAYS = 4
"""Little ammonia is lost in the first four days: the correcting deadline. Published: whitehead1988, abstract. [d]"""
DRY_BELOW = 0.40
"""Below this share of water, wet basis, a layer crackles and decay stands still. From memory. [fraction]"""
WATER_DEPTH = 4.0
"""Water that wets a dried cover. Judgement. [mm]"""
WATERED_DAYS = 3
"""A cover watered within so many days is left. Judgement. [d]"""
CAP_THICKNESS = 0.025
"""A dry cap is 2-3 cm. Common practice, no source. [m]"""
DRAW_BACK_DAYS = (14, 28)
"""Cover is drawn back 2-4 weeks before sowing. Common practice, no source. [d]"""
LOOK_DAYS = 7
"""Every bed is looked at weekly. Common practice, no source. [d]"""
SOWING_DAYS = 3
"""Sowing or planting is due so long before and after its day. Judgement. [d]"""
SLUG_MONTHS = frozenset({3, 4, 5, 6, 9, 10})
"""Mild wet months north of the equator. Judgement."""
THIN_COVER = 0.01
"""[m]"""


@dataclass(frozen=True, slots=True)
class BedToday:
    """What is known of a bed on the day of the walk."""

    bed: Bed
    """With the layers really laid."""
    planned: tuple[PlannedLayer, ...] = ()
    """Layers of the plan that were not laid yet."""
    seen: tuple[Observation, ...] = ()
    looked_last: date | None = None
    """Day anything was last observed here."""
    watered_last: date | None = None
    drawn_back: date | None = None
    done_crops: frozenset[tuple[str, str]] = field(default_factory=frozenset)
    """Pairs of what was done ("sown", "harvest") and crop key."""
    moisture: tuple[float, float, float] | None = None
    """Water of the cover by the stored forecast: low, middle, high. [fraction, wet basis]"""
    thickness: tuple[float, float, float] | None = None
    """[m]"""
    cautions: tuple[str, ...] = ()
    """Keys of hazards of what lies or comes here."""


@dataclass(frozen=True, slots=True)
class GardenToday:
    """What is known of the whole garden on that day."""

    day: date
    can_litres: float
    dry_container: tuple[str, float] = ("bucket", 14.0)
    """What dry cover is counted in, and what it holds. [L]"""
    dry_thing: str | None = None
    """Key of a dry residue in hand, for caps."""
    rain_expected: str | None = None
    """none, some or much."""
    tests_due: tuple[tuple[str, date], ...] = ()
    """Names of held batches and the day their test is read."""
    spoiling: tuple[tuple[str, str, float, date], ...] = ()
    """Residue, container, count and last day of what will not keep."""
    away_from: date | None = None
    latitude: float = 50.0


def visit(today: GardenToday, bed: BedToday) -> BedVisit:
    """Return one bed of the walk: its stops by urgency, what to look at, what to beware of."""
    stops = [
        *_opened(today, bed),
        *_capped(today, bed),
        *_laid(today, bed),
        *_watered(today, bed),
        *_drawn_back(today, bed),
        *_crops(today, bed),
        *_looked(today, bed),
    ]
    stops.sort(key=lambda stop: -stop.urgency)
    if any(stop.job is not Job.LOOK for stop in stops):
        stops = [stop for stop in stops if stop.job is not Job.LOOK]
    laid = [layer for layer in bed.bed.layers if layer.day <= today.day]
    newest = max(laid, key=lambda layer: layer.day, default=None)
    return BedVisit(
        bed=bed.bed.name,
        stops=tuple(stops),
        look=_look(today, bed),
        beware=bed.cautions,
        next_day=_next_day(today, bed),
        thickness=bed.thickness,
        laid_last=newest.day if newest is not None else None,
        looked_last=bed.looked_last,
        top=newest.cap.residue if newest is not None else None,
        laid_thickness=newest.thickness if newest is not None else 0.0,
        grows=any(crop.planted <= today.day <= crop.harvested for crop in bed.bed.crops),
    )


def ranked(visits: Iterable[BedVisit]) -> tuple[BedVisit, ...]:
    """Return beds most urgent first; equal ones by name."""
    return tuple(sorted(visits, key=lambda one: (-one.urgency, one.bed.casefold())))


def heap_stops(today: GardenToday) -> tuple[Stop, ...]:
    """Return what is due at no bed (W1 tests to read, W2 things that will not keep)."""
    stops = [
        Stop(Job.READ_TEST, None, Because.TEST_IS_DUE, due, 95.0, 3.0, "bean", thing=name, minutes=10.0)
        for name, due in today.tests_due
        if due <= today.day
    ]
    stops += [
        Stop(Job.USE_UP, None, Because.WOULD_SPOIL, last, 45.0, count, container, thing=residue, minutes=5.0)
        for residue, container, count, last in today.spoiling
        if last <= today.day + timedelta(days=2)
    ]
    return tuple(sorted(stops, key=lambda stop: (-stop.urgency, stop.thing or "")))


def _opened(today: GardenToday, bed: BedToday) -> list[Stop]:
    """W3 a layer that smelt sour, foul, or was seen slimy is opened to the air first."""
    latest = _latest(bed.seen, today.day)
    sour = latest.get("smell")
    if sour is not None and sour.word in ("sour", "rotten egg", "putrid"):
        return [Stop(Job.AIR, bed.bed.name, Because.SMELLS_SOUR, sour.day, 90.0, 2.0, "day", minutes=15.0)]
    slime = latest.get("threads")
    if slime is not None and slime.word == "slimy sheet":
        return [Stop(Job.AIR, bed.bed.name, Because.SLIMY, slime.day, 85.0, 2.0, "day", minutes=15.0)]
    return []


def _capped(today: GardenToday, bed: BedToday) -> list[Stop]:
    """W4 soft fresh matter that lies open, or smelt of ammonia, gets a dry cap within four days."""
    smell = _latest(bed.seen, today.day).get("smell")
    last = _last_layer(bed, today.day)
    because = None
    if smell is not None and smell.word == "ammonia" and (last is None or smell.day >= last.day):
        because, urgency, due = Because.SMELLS_OF_AMMONIA, 88.0, smell.day
    elif last is not None and last.cap.fresh and (today.day - last.day).days <= AMMONIA_DAYS:
        because, urgency, due = Because.NO_CAP, 75.0, last.day
    if because is None:
        return []
    name, litres = today.dry_container
    count = max(1.0, round(bed.bed.area * CAP_THICKNESS * 1000.0 / litres * 2.0) / 2.0)
    return [Stop(Job.CAP, bed.bed.name, because, due, urgency, count, name, thing=today.dry_thing, minutes=10.0)]


def _laid(today: GardenToday, bed: BedToday) -> list[Stop]:
    """W5 a planned layer is laid on its day, sooner before an absence, and not before hard rain if it is soft."""
    stops = []
    for planned in sorted(bed.planned, key=lambda one: one.layer.day)[:1]:
        late = (today.day - planned.layer.day).days
        early = LAY_WITHIN_DAYS
        if today.away_from is not None and today.day < today.away_from <= planned.layer.day + timedelta(days=7):
            early = 7
        if not -early <= late <= LATE_UNTIL_DAYS:
            continue
        first = planned.layer.lifts[0]
        fresh = any(lift.fresh for lift in planned.layer.lifts)
        job, because = Job.LAY, Because.LATE if late > 0 else Because.PLANNED
        if late < -LAY_WITHIN_DAYS:
            because = Because.AWAY_SOON
        if today.rain_expected == "some" and not bed.bed.under_cover:
            because = Because.RAIN_COMES
        if today.rain_expected == "much" and fresh and not bed.bed.under_cover:
            job, because = Job.WAIT, Because.HARD_RAIN_COMES
        stops.append(
            Stop(
                job,
                bed.bed.name,
                because,
                planned.layer.day,
                (30.0 if job is Job.WAIT else 60.0) + min(late, 10),
                1.0 if job is Job.WAIT else first.count,
                "day" if job is Job.WAIT else first.container,
                thing=first.residue,
                layer=planned,
                minutes=0.0 if job is Job.WAIT else planned.minutes,
            )
        )
    return stops


def _watered(today: GardenToday, bed: BedToday) -> list[Stop]:
    """W6 a cover that crackled, or has dried out by the forecast, is wetted unless rain comes."""
    if not bed.bed.layers or (bed.thickness is not None and bed.thickness[1] < THIN_COVER):
        return []
    if today.rain_expected in ("some", "much") and not bed.bed.under_cover:
        return []
    if bed.watered_last is not None and (today.day - bed.watered_last).days <= WATERED_DAYS:
        return []
    squeeze = _latest(bed.seen, today.day).get("squeeze")
    if squeeze is not None and squeeze.word == "crackles":
        because, urgency = Because.DRY_TO_THE_HAND, 55.0
    elif squeeze is None and bed.moisture is not None and bed.moisture[1] < DRY_BELOW:
        because, urgency = Because.DRY_BY_FORECAST, 40.0 if bed.moisture[2] >= DRY_BELOW else 50.0
    else:
        return []
    cans = max(0.5, round(bed.bed.area * WATER_DEPTH / today.can_litres * 2.0) / 2.0)
    return [Stop(Job.WATER, bed.bed.name, because, today.day, urgency, cans, "can", minutes=2.0 * cans)]


def _drawn_back(today: GardenToday, bed: BedToday) -> list[Stop]:
    """W7 cover is drawn back two to four weeks before seed is sown where it grows."""
    covered = bed.thickness is None or bed.thickness[1] >= THIN_COVER
    if not bed.bed.layers or not covered:
        return []
    for crop in bed.bed.crops:
        ahead = (crop.planted - today.day).days
        soonest, latest = DRAW_BACK_DAYS
        done = bed.drawn_back is not None and (crop.planted - bed.drawn_back).days <= latest + 14
        if crop.sown_direct and not done and 0 < ahead <= latest:
            urgency = 35.0 + (25.0 if ahead <= soonest else 0.0)
            due = crop.planted - timedelta(days=soonest)
            return [
                Stop(
                    Job.DRAW_BACK,
                    bed.bed.name,
                    Because.SOIL_MUST_WARM,
                    due,
                    urgency,
                    1.0,
                    "hand",
                    thing=crop.crop,
                    minutes=10.0,
                    other_day=crop.planted,
                )
            ]
    return []


def _crops(today: GardenToday, bed: BedToday) -> list[Stop]:
    """W8 crops are sown and harvested around the days of the garden file, once."""
    stops = []
    for crop in bed.bed.crops:
        late = (today.day - crop.planted).days
        if -SOWING_DAYS <= late <= LATE_UNTIL_DAYS and ("sown", crop.crop) not in bed.done_crops:
            stops.append(_crop_stop(Job.SOW, bed, crop, crop.planted, 50.0 + min(10, max(0, late))))
        late = (today.day - crop.harvested).days
        if -SOWING_DAYS <= late <= LATE_UNTIL_DAYS and ("harvest", crop.crop) not in bed.done_crops:
            stops.append(_crop_stop(Job.HARVEST, bed, crop, crop.harvested, 48.0 + min(10, max(0, late))))
    return stops


def _crop_stop(job: Job, bed: BedToday, crop: BedCrop, due: date, urgency: float) -> Stop:
    metres = round(bed.bed.area * crop.share, 1)
    return Stop(job, bed.bed.name, Because.ITS_TIME, due, urgency, metres, "m2", thing=crop.crop, minutes=20.0)


def _looked(today: GardenToday, bed: BedToday) -> list[Stop]:
    """W9 a fresh layer is smelt by the fourth day; W10 every bed is looked at weekly."""
    last = _last_layer(bed, today.day)
    since = (today.day - last.day).days if last is not None else None
    fresh = last is not None and any(lift.fresh for lift in last.lifts)
    unsmelt = last is not None and (bed.looked_last is None or bed.looked_last <= last.day)
    if fresh and unsmelt and since is not None and 2 <= since <= AMMONIA_DAYS:
        due = today.day + timedelta(days=AMMONIA_DAYS - since)
        return [Stop(Job.LOOK, bed.bed.name, Because.FRESH_LAYER_TO_SMELL, due, 42.0, float(since), "day", minutes=2.0)]
    newest = max((day for day in (bed.looked_last, last.day if last else None) if day is not None), default=None)
    if newest is None and not bed.bed.layers:
        return []
    waited = (today.day - newest).days if newest is not None else LOOK_DAYS
    if waited < LOOK_DAYS:
        return []
    return [
        Stop(
            Job.LOOK,
            bed.bed.name,
            Because.NOT_SEEN_LATELY,
            today.day,
            10.0 + min(10.0, waited - LOOK_DAYS),
            float(waited),
            "day",
            minutes=2.0,
        )
    ]


def _look(today: GardenToday, bed: BedToday) -> tuple[LookFor, ...]:
    """W11 two or three things worth a look here now."""
    found: list[LookFor] = []
    last = _last_layer(bed, today.day)
    since = (today.day - last.day).days if last is not None else None
    standing = [crop for crop in bed.bed.crops if crop.planted <= today.day < crop.harvested]
    young = [crop for crop in standing if (today.day - crop.planted).days <= 35]
    month = today.day.month if today.latitude >= 0 else (today.day.month + 5) % 12 + 1
    if last is not None and since is not None and since <= 10 and any(lift.fresh for lift in last.lifts):
        found.append(LookFor.SMELL)
    if young and bed.bed.layers:
        found.append(LookFor.STEMS)
    if month in SLUG_MONTHS and (young or bed.bed.layers):
        found.append(LookFor.SLUGS)
    if standing and not young:
        found.append(LookFor.LEAVES)
    if last is not None and since is not None and since > 10:
        found.append(LookFor.MOISTURE if month not in (11, 12, 1, 2) else LookFor.RUNS)
        found.append(LookFor.WORMS)
    if not found:
        found.append(LookFor.SPROUTS)
    return tuple(found[:3])


def _next_day(today: GardenToday, bed: BedToday) -> date | None:
    """Return the next day something is due here that is not due yet."""
    days = [planned.layer.day for planned in bed.planned if planned.layer.day > today.day]
    days += [crop.planted for crop in bed.bed.crops if crop.planted > today.day]
    days += [crop.harvested for crop in bed.bed.crops if crop.harvested > today.day]
    if bed.bed.layers or bed.looked_last is not None:
        looked = max(day for day in (bed.looked_last, *(layer.day for layer in bed.bed.layers)) if day is not None)
        days.append(max(looked + timedelta(days=LOOK_DAYS), today.day + timedelta(days=1)))
    return min(days, default=None)


def _last_layer(bed: BedToday, day: date) -> Layer | None:
    laid = [layer for layer in bed.bed.layers if layer.day <= day and layer.lifts]
    return max(laid, key=lambda layer: layer.day) if laid else None


def _latest(seen: Sequence[Observation], day: date) -> dict[str, Observation]:
    """Return the newest observation of each kind within the last days."""
    found: dict[str, Observation] = {}
    for one in sorted(seen, key=lambda one: one.day):
        if 0 <= (day - one.day).days <= NOSE_DAYS:
            found[one.what] = one
    return found
