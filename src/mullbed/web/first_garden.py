"""A first garden from three short questions: place and soil, beds, what comes; ends as the text of a garden file."""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

from mullbed.domain.garden import UnitSystem
from mullbed.errors import Fault, InputFault
from mullbed.language import marked, say
from mullbed.web.forms import Answers
from mullbed.web.reading import reading

MOST_BEDS = 12
"""More are told in a garden file."""
MOST_CONTAINERS = 99.0
SEASON_DAYS = 200
FOOT = 0.3048
"""[m]"""
STANDING = 28
"""What grows there on the first day has stood so long. Judgement. [d]"""


@dataclass(frozen=True, slots=True)
class Climate:
    """A year's weather to begin with; all its numbers are judgement, no source."""

    words: str
    low: tuple[float, ...]
    """Mean daily low by month, in the north. [°C]"""
    high: tuple[float, ...]
    rain: tuple[float, ...]
    """[mm a month]"""
    latitude: float
    """Taken where none is told. [degrees]"""


CLIMATES = {
    "mild": Climate(
        marked("Mild winter, dry summer"),
        (2, 3, 4, 6, 9, 12, 14, 14, 11, 8, 5, 2),
        (8, 10, 12, 15, 19, 21, 25, 25, 21, 15, 10, 8),
        (140, 95, 95, 70, 50, 40, 18, 22, 40, 90, 160, 145),
        47.0,
    ),
    "wet": Climate(
        marked("Mild winter, rain all year"),
        (2, 2, 3, 5, 8, 11, 13, 13, 11, 8, 5, 3),
        (8, 8, 11, 14, 17, 20, 22, 22, 19, 15, 11, 8),
        (85, 65, 60, 55, 55, 60, 60, 70, 65, 85, 90, 90),
        52.0,
    ),
    "frost": Climate(
        marked("Hard frost, warm summer"),
        (-8, -7, -2, 4, 9, 14, 16, 15, 11, 5, 0, -6),
        (0, 2, 8, 15, 21, 26, 28, 27, 23, 16, 8, 2),
        (60, 55, 70, 80, 95, 95, 95, 90, 85, 75, 75, 65),
        43.0,
    ),
    "hot": Climate(
        marked("Hardly any frost, hot summer"),
        (5, 6, 8, 10, 13, 17, 20, 20, 17, 14, 9, 6),
        (15, 16, 19, 22, 26, 31, 34, 34, 30, 25, 19, 16),
        (65, 60, 50, 40, 25, 10, 4, 6, 25, 55, 70, 75),
        37.0,
    ),
}
HALVES = {"north": marked("North of the equator"), "south": marked("South of it")}
FEELS = {
    "loam": (marked("Holds, then crumbles"), "loam"),
    "sand": (marked("Runs through the fingers"), "sandy loam"),
    "clay": (marked("Smears and shines"), "clay loam"),
    "unknown": (marked("I can't tell"), "loam"),
}
"""How moist soil feels in the hand: its words, our texture class. Judgement."""
UNITS = {"metric": marked("Metres, litres"), "us": marked("Feet, gallons")}
GROWS = {
    "nothing": (marked("Nothing yet"), "", 0),
    "tomato": (marked("Tomatoes"), "tomato", 120),
    "beans": (marked("Bush beans"), "bush_snap_bean", 70),
    "courgette": (marked("Courgettes"), "courgette_zucchini", 110),
    "kale": (marked("Kale"), "kale", 150),
    "lettuce": (marked("Lettuce"), "lettuce_green_loose_leaf", 60),
    "potato": (marked("Potatoes"), "potato_maincrop", 130),
    "garlic": (marked("Garlic"), "garlic", 190),
}
"""What grows: its words, our crop, days it stands; days are judgement. [d]"""


@dataclass(frozen=True, slots=True)
class Comes:
    """Something a grower can lay hands on."""

    words: str
    residue: str
    container: str
    unit: str
    """Its container, many."""
    every_days: int
    """0 where it lies there once. [d]"""
    loads: float = 1.0
    """How many of the container it is planned in make one that is counted: a bag of leaves is two armfuls."""


HEAPS = {
    "lawn": Comes(marked("Lawn clippings"), "grass clippings", "bucket", marked("buckets a week"), 7),
    "leaves": Comes(marked("Autumn leaves"), "dry leaves", "armful", marked("bags lie there"), 0, 2.0),
    "straw": Comes(marked("Straw"), "straw", "armful", marked("bales lie there"), 0, 4.0),
    "weeds": Comes(marked("Pulled weeds"), "pulled weeds", "bucket", marked("buckets a week"), 7),
    "kitchen": Comes(marked("Kitchen scraps"), "kitchen scraps", "bucket", marked("buckets a week"), 7),
    "card": Comes(marked("Plain cardboard"), "cardboard", "armful", marked("barrows lie there"), 0, 2.0),
    "chips": Comes(marked("Wood chips"), "wood chips", "bucket", marked("barrows lie there"), 0, 6.0),
    "comfrey": Comes(marked("Comfrey"), "comfrey", "bucket", marked("buckets a month"), 30),
}


@dataclass(frozen=True, slots=True)
class FirstBed:
    """One bed as it was answered. Lengths in metres or feet, as they were asked."""

    name: str
    length: float
    width: float
    grows: str


@dataclass(frozen=True, slots=True)
class FirstAnswers:
    """Everything answered so far; what was not is as usual."""

    name: str
    units: UnitSystem
    climate: str
    half: str
    feel: str
    latitude: float | None
    beds: tuple[FirstBed, ...]
    heaps: dict[str, float]
    """Count by heap."""


def first_answers(asked: Answers) -> FirstAnswers:
    """Return the answers after the step that was tapped.

    Raises
    ------
    InputFault
        With every answer that can't be.
    """
    faults: list[Fault] = []
    usual_units = str(reading().likely_units)
    units = UnitSystem(_one_of(asked, "units", dict.fromkeys([usual_units, *UNITS]), faults))
    step = asked.one("step")
    usual = (4.0, 10.0, 15.0, 165.0) if units is UnitSystem.US else (1.2, 3.0, 5.0, 50.0)
    grid = 1.0 if units is UnitSystem.US else 0.2
    count = int(_number(asked, "beds", 1.0, (1.0, float(MOST_BEDS)), faults))
    if step == "more:bed":
        count = min(count + 1, MOST_BEDS)
    elif step == "less:bed":
        count = max(count - 1, 1)
    beds: list[FirstBed] = []
    for index in range(count):
        before = beds[-1] if beds else FirstBed("", usual[1], usual[0], "nothing")
        width = _number(asked, f"width.{index}", before.width, (0.3, usual[2]), faults)
        length = _number(asked, f"length.{index}", before.length, (0.3, usual[3]), faults)
        width = _stepped(step, f"width.{index}", width, grid, (grid, usual[2]))
        length = _stepped(step, f"length.{index}", length, 2.5 * grid, (grid, usual[3]))
        grows = _one_of(asked, f"grows.{index}", GROWS, faults)
        beds.append(
            FirstBed(_name(asked, f"name.{index}", say("Bed {number}", number=index + 1)), length, width, grows)
        )
    names = [one.name.casefold() for one in beds]
    for name in sorted({one for one in names if names.count(one) > 1}):
        faults.append(Fault("Bed", f"{name}, twice", "a name for each", "Call one of them something else."))
    heaps = {
        key: _stepped(
            step, f"heap.{key}", _number(asked, f"heap.{key}", 0.0, (0.0, MOST_CONTAINERS), faults), 1.0, (0.0, 99.0)
        )
        for key in HEAPS
    }
    latitude = _number(asked, "latitude", 0.0, (-65.0, 65.0), faults) if asked.one("latitude") else None
    climate = _one_of(asked, "climate", CLIMATES, faults)
    half, feel = _one_of(asked, "half", HALVES, faults), _one_of(asked, "feel", FEELS, faults)
    if faults:
        raise InputFault(faults)
    return FirstAnswers(
        _name(asked, "garden", say("My garden")), units, climate, half, feel, latitude, tuple(beds), heaps
    )


def _number(asked: Answers, name: str, usual: float, bounds: tuple[float, float], faults: list[Fault]) -> float:
    """Return a number within bounds; note what is wrong."""
    try:
        value = asked.number(name, usual)
    except InputFault as error:
        faults.extend(error.faults)
        return usual
    if not bounds[0] <= value <= bounds[1]:
        faults.append(Fault(name, f"{value:g}", f"{bounds[0]:g} to {bounds[1]:g}", "Say it again."))
        return usual
    return value


def _stepped(step: str, name: str, value: float, change: float, bounds: tuple[float, float]) -> float:
    """Return a value after minus or plus was tapped on it."""
    sign, _, which = step.partition(":")
    if which != name or sign not in ("plus", "minus"):
        return value
    changed = value + change if sign == "plus" else value - change
    return round(min(max(changed, bounds[0]), bounds[1]), 2)


def _one_of(asked: Answers, name: str, known: Collection[str], faults: list[Fault]) -> str:
    """Return an answer of a list; the first where none was given."""
    usual = next(iter(known))
    chosen = asked.one(name) or usual
    if chosen not in known:
        faults.append(Fault(name, chosen[:40], ", ".join(known), "Choose one of these."))
        return usual
    return chosen


def _name(asked: Answers, field: str, usual: str) -> str:
    """Return a name that can stand in a garden file."""
    plain = " ".join("".join(one for one in asked.one(field) if one.isprintable()).split())[:60]
    return plain or usual


def garden_text(answers: FirstAnswers, day: date) -> str:
    """Return a garden file of the answers; names are the only words in it that are not ours."""
    climate = CLIMATES[answers.climate]
    south = answers.half == "south"
    latitude = answers.latitude if answers.latitude is not None else (-1.0 if south else 1.0) * climate.latitude
    turn = 6 if latitude < 0 else 0
    months = "".join(
        f"monthly_{name} = {[*row[turn:], *row[:turn]]}\n"
        for name, row in (("low", climate.low), ("high", climate.high), ("rain", climate.rain))
    )
    last = day + timedelta(days=SEASON_DAYS)
    return (
        f"[site]\nname = {json.dumps(answers.name, ensure_ascii=False)}\nlatitude = {latitude:.2f}\n"
        f'units = "{answers.units}"\n\n'
        f"[season]\nfirst_day = {day.isoformat()}\nlast_day = {last.isoformat()}\n\n[weather]\n{months}\n"
        f'[soil]\ntexture = "{FEELS[answers.feel][1]}"\n\n'
        + "".join(_bed_text(one, answers.units, day) for one in answers.beds)
        + "".join(_heap_text(HEAPS[key], count, day) for key, count in answers.heaps.items() if count > 0.0)
    )


def _bed_text(bed: FirstBed, units: UnitSystem, day: date) -> str:
    """Return one bed, its outline from its own corner: its shape is told, its place is not."""
    metre = FOOT if units is UnitSystem.US else 1.0
    length, wide = round(bed.length * metre, 3), round(bed.width * metre, 3)
    corners = [[0.0, 0.0], [length, 0.0], [length, wide], [0.0, wide]]
    text = f"[[beds]]\nname = {json.dumps(bed.name, ensure_ascii=False)}\noutline = {corners}\n\n"
    _, crop, stands = GROWS[bed.grows]
    if crop:
        planted = day - timedelta(days=STANDING)
        gone = planted + timedelta(days=max(stands, STANDING + 20))
        text += f'[[beds.crops]]\ncrop = "{crop}"\nplanted = {planted.isoformat()}\nharvested = {gone.isoformat()}\n'
        text += 'start = "transplanted"\n\n'
    return text


def _heap_text(heap: Comes, count: float, day: date) -> str:
    text = (
        f'[[supplies]]\nname = "{heap.words.casefold()}"\nresidue = "{heap.residue}"\n'
        f'amount = "{count * heap.loads:g} {heap.container}"\n'
    )
    if heap.every_days:
        text += f'from = {day.isoformat()}\nevery = "{heap.every_days} days"\n'
    return text + "\n"
