"""The file of a neighbourhood: TOML with givers, gardens and hauls; long lists may stand in CSV files beside it.

A list in CSV has the same names as columns that the tables of the TOML file have as keys; an empty cell says nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from math import cos, radians
from pathlib import Path
from typing import Any

from mullbed.domain.neighbourhood import Giver, Haul, Matter, Neighbourhood, Place, Step, Taker
from mullbed.domain.record_batches import Answer
from mullbed.domain.safety import IntakeAnswers
from mullbed.domain.supply import Container
from mullbed.errors import InputFault
from mullbed.files import amounts
from mullbed.files.garden_containers import container_named, read_containers, residue_named
from mullbed.files.listed_rows import listed_rows, plain_cell
from mullbed.files.plain_text import read_plain_text
from mullbed.files.plan_worth import read_plan_worth
from mullbed.files.reading import Reading, Table, nearest_remedy, shown_text
from mullbed.files.toml_root import toml_root
from mullbed.reference.residues import all_residues
from mullbed.units import Kind, parse_as

LONGEST_WEEKS = 60
MOST_GIVERS = 2000
MOST_GARDENS = 500
METRES_PER_DEGREE = 111_195.0
"""Along a meridian of a sphere of the earth's mean radius, 6371 km. [m]"""

PLACE = ("east_m", "north_m", "latitude", "longitude")
GIVER = ("name", "residue", "container", "weekly", "dried", "keeps_weeks", "weighed", "held_because", "held_until",
         "sprayed", "seeded", "diseased", *PLACE)  # fmt: skip
GARDEN = ("name", "area", "soft_fresh", "dry", "nitrogen_ceiling", "phosphorus_ceiling", "most_per_week",
          "dry_per_soft", "refuses", "plan", *PLACE)  # fmt: skip
ROAD = ("giver", "garden", "km")
_NUMBERS = {*PLACE, "keeps_weeks", "most_per_week", "dry_per_soft", "km"}
_YES_OR_NO = {"true": True, "yes": True, "false": False, "no": False}
_STEP = re.compile(r"^\s*(?:(\d+(?:[.,]\d+)?)|any)\s+at\s+(-?\d+(?:[.,]\d+)?|plan)\s*$")
ANY = 1e6
"""As many as "any" stands for. [standard containers]"""
AREA = 'an area up to 100 ha, such as "120 m2"'


def read_neighbourhood(path: Path) -> Neighbourhood:
    """Return the neighbourhood of a file.

    Raises
    ------
    InputFault
        With every fault of the file and of the lists it names.
    """
    root = toml_root(read_plain_text(path, "a neighbourhood file (TOML)"), str(path))
    reading = root.reading
    name = root.text("name", required='Write name = "Mill Lane".')
    first_day = root.day("first_day", required="Write first_day = 2027-05-03.")
    weeks = root.whole("weeks", 1, LONGEST_WEEKS, "weeks")
    if weeks is None and not root.has("weeks"):
        root.missing("weeks", f"1 to {LONGEST_WEEKS}", "Write weeks = 8.")
    unit = root.text("price_unit") or "points"
    own = read_containers(root)
    standard = root.parsed(
        "container",
        lambda value: container_named(amounts.written(value, "bucket"), own),
        "a container of the table or of your own",
        required='Write container = "bucket": what prices are told in.',
    )
    left = root.number("left_cost", 0.0, 1e6, "a container nobody takes")
    gram = root.number("gram_of_nitrogen", 0.0, 1e6, "price units that a gram of nitrogen is worth to a crop")
    haul = _haul(root)

    def worth(plan: str) -> dict[Matter, float]:
        """Return what a standard container is worth by a plan. [price unit]"""
        if gram is None or standard is None:
            raise ValueError("Write gram_of_nitrogen = 3.0 above: what a gram is worth in your price unit.")
        told = read_plan_worth(path.parent / plan, all_residues(), lambda name: container_named(name, own))
        return {kind: gram * standard.litres.mid * grams for kind, grams in told.items()}

    spots: list[tuple[Table, tuple[str, int]]] = []
    givers = [
        found
        for table in _listed(root, "givers", GIVER, path.parent, MOST_GIVERS)
        if (found := _giver(table, weeks or 1, own, spots)) is not None
    ]
    takers = [
        garden
        for table in _listed(root, "gardens", GARDEN, path.parent, MOST_GARDENS)
        if (garden := _taker(table, spots, worth)) is not None
    ]
    roads = tuple(
        road
        for table in _listed(root, "roads", ROAD, path.parent, MOST_GIVERS * 10)
        if (road := _road(table, givers, takers))
    )
    root.no_others()
    places = _places(spots, reading)
    _once(reading, [giver.name for giver in givers], "givers")
    _once(reading, [taker.name for taker in takers], "gardens")
    for kind, many in (("givers", givers), ("gardens", takers)):
        if not many and not reading.faults:
            root.missing(kind, "at least one", f'Add [[{kind}]], or {kind} = "{kind}.csv".')
    reading.raise_faults()
    if name is None or first_day is None or weeks is None or standard is None or haul is None:
        raise InputFault(reading.faults)
    return Neighbourhood(
        name,
        first_day,
        weeks,
        unit,
        standard,
        tuple(replace(giver, place=places["givers", number]) for number, giver in enumerate(givers)),
        tuple(replace(taker, place=places["gardens", number]) for number, taker in enumerate(takers)),
        haul,
        roads,
        left or 0.0,
    )


def _haul(root: Table) -> Haul | None:
    table = root.table("haul", required="Add a header [haul] with per_km.")
    if table is None:
        return None
    told = {
        key: table.number(key, 0.0, 1e6, "price units", required="Write per_km = 1.0." if key == "per_km" else None)
        for key in ("per_km", "per_container", "per_trip", "per_trip_km")
    }
    told["containers_per_trip"] = table.number("containers_per_trip", 0.01, 1e5, "standard containers")
    told["detour"] = table.number("detour", 1.0, 10.0, "times the straight line")
    told["farthest_km"] = table.number("farthest_km", 0.0, 1000.0, "km")
    table.no_others()
    given: dict[str, Any] = {key: value for key, value in told.items() if value is not None}
    return Haul(**given) if "per_km" in given else None


def _listed(root: Table, key: str, columns: Sequence[str], folder: Path, most: int) -> list[Table]:
    """Return the tables of a list that stands in the file, or in the CSV file it names."""
    value = root.raw(key)
    if isinstance(value, str):
        path = folder / value
        return listed_rows(path, columns, root.reading, what=key, most=most, numbers=_NUMBERS, shaped=_giver_row)
    found = root.tables(key)
    if len(found) > most:
        root.fault(key, f"{len(found)} entries", f"at most {most}", "Part the neighbourhood in two files.")
        return []
    return found


def _giver_row(values: dict[str, Any]) -> dict[str, Any]:
    """Return a row in which "dried" is true or false, as in the file's own tables."""
    if "dried" not in values:
        return values
    return values | {"dried": _YES_OR_NO.get(str(values["dried"]).casefold(), values["dried"])}


def _giver(
    table: Table, weeks: int, own: tuple[Container, ...], spots: list[tuple[Table, tuple[str, int]]]
) -> Giver | None:
    name = table.text("name", required='Write name = "12 Mill Lane".')
    residue = table.parsed("residue", residue_named, "a residue of the table", required="Name the residue.")
    container = table.parsed(
        "container",
        lambda value: container_named(amounts.written(value, "bucket"), own),
        "a container of the table or of your own",
        required='Write container = "bucket".',
    )
    weekly = table.parsed(
        "weekly",
        lambda value: _weekly(value, weeks),
        f"whole containers each week, one number or {weeks}",
        required="Write weekly = 3.",
    )
    dried = table.flag("dried")
    keeps = table.whole("keeps_weeks", 0, LONGEST_WEEKS, "weeks")
    weighed = table.parsed("weighed", amounts.mass, '0.01 to 2000 kg for one container, such as "3.1 kg"')
    because, until = table.text("held_because"), table.day("held_until")
    if until is not None and because is None:
        table.fault("held_until", "given without held_because", "a reason", 'Write held_because = "bean test due".')
    answers = IntakeAnswers(
        sprayed=table.word("sprayed", Answer) or Answer.NOT_KNOWN,
        seeded=table.word("seeded", Answer) or Answer.NOT_KNOWN,
        diseased=table.word("diseased", Answer) or Answer.NOT_KNOWN,
    )
    number = sum(kind == "givers" for _, (kind, _) in spots)
    _where(table)
    table.no_others()
    if name is None or residue is None or container is None or weekly is None:
        return None
    spots.append((table, ("givers", number)))
    origin = Place(0.0, 0.0)
    return Giver(name, residue.key, container, weekly, origin, dried, keeps, weighed, because, until, answers)


def _weekly(value: Any, weeks: int) -> tuple[int, ...]:
    """Return whole containers by week, from a number, a list or a text such as "3 3 2".

    Raises
    ------
    ValueError
        When it is none of them, or its length is not that of the weeks.
    """
    parts = value.replace(",", " ").split() if isinstance(value, str) else value if isinstance(value, list) else [value]
    numbers: list[int] = []
    for part in parts:
        number = plain_cell(part) if isinstance(part, str) else part
        if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number <= 100_000:
            raise ValueError("Write whole containers, such as weekly = 3; half a one waits until it is full.")
        numbers.append(number)
    if len(numbers) == 1:
        return (numbers[0],) * weeks
    if len(numbers) != weeks:
        raise ValueError(f"Write one number for all weeks, or {weeks} numbers.")
    return tuple(numbers)


def _area(value: Any) -> float:
    """Return the area of a garden's beds. [m2]

    Raises
    ------
    ValueError
        When it is no area.
    """
    text = amounts.written(value, "120 m2")
    try:
        area = parse_as(text, Kind.AREA)
    except (InputFault, OverflowError) as error:
        raise ValueError('Write a number and a unit, such as "120 m2".') from error
    if not 0.1 <= area <= 1e6:
        raise ValueError("Check number and unit.")
    return area


def _taker(
    table: Table, spots: list[tuple[Table, tuple[str, int]]], worth: Callable[[str], dict[Matter, float]]
) -> Taker | None:
    name = table.text("name", required='Write name = "Long Acre".')
    area = table.parsed("area", _area, AREA, required='Write area = "120 m2": the beds alone.')
    by_plan = table.parsed("plan", lambda value: _by_plan(value, worth), "plan.json of mullbed plan --out")
    wants = []
    for matter, key in ((Matter.SOFT_FRESH, "soft_fresh"), (Matter.DRY, "dry")):
        steps = table.parsed(
            key,
            lambda value, of=matter: _steps(value, None if by_plan is None else by_plan[of]),  # type: ignore[misc]
            'falling worth such as "10 at 4, 20 at 1.5" or "10 at plan"',
        )
        if steps:
            wants.append((matter, steps))
    if not wants and not table.has("soft_fresh") and not table.has("dry"):
        table.missing("soft_fresh or dry", "what a container is worth", 'Write soft_fresh = "10 at 4, 20 at 1.5".')
    nitrogen = table.parsed("nitrogen_ceiling", amounts.ceiling, '0.1 to 200 g/m2, such as "17 g/m2"')
    phosphorus = table.parsed("phosphorus_ceiling", amounts.ceiling, '0.1 to 200 g/m2, such as "3 g/m2"')
    most = table.number("most_per_week", 0.1, 1e5, "standard containers")
    cover = table.number("dry_per_soft", 0.0, 10.0, "dry volume for each soft fresh volume")
    refuses = table.parsed("refuses", _residues, "residues, parted by semicolons") or frozenset()
    number = sum(kind == "gardens" for _, (kind, _) in spots)
    _where(table)
    table.no_others()
    if name is None or area is None:
        return None
    spots.append((table, ("gardens", number)))
    return Taker(name, Place(0.0, 0.0), area, tuple(wants), nitrogen, phosphorus, most, cover, refuses)


def _by_plan(value: Any, worth: Callable[[str], dict[Matter, float]]) -> dict[Matter, float]:
    try:
        return worth(amounts.written(value, "plan.json"))
    except InputFault as refused:
        raise ValueError(refused.faults[0].sentence()) from refused


def _steps(value: Any, by_plan: float | None) -> tuple[Step, ...]:
    """Return falling steps of worth from a text such as "10 at 4, 20 at 1.5", "any at 2" or "10 at plan".

    Raises
    ------
    ValueError
        When a part is not so written, or a later step is worth more than an earlier one.
    """
    text = amounts.written(value, "10 at 4, 20 at 1.5")
    steps: list[Step] = []
    for part in text.split(",") if " at " in text else [text]:
        found = _STEP.match(part)
        if found is None:
            raise ValueError('Write how many at which worth, such as "10 at 4, 20 at 1.5" or "any at 2".')
        most = ANY if found[1] is None else float(found[1].replace(",", "."))
        if found[2] == "plan" and by_plan is None:
            raise ValueError('Name the garden\'s plan: plan = "plan.json", or write a number.')
        worth = by_plan if found[2] == "plan" and by_plan is not None else float(found[2].replace(",", "."))
        if steps and worth > steps[-1].worth:
            raise ValueError("Put the worth in falling order: the first containers are worth most.")
        if most > 0.0:
            steps.append(Step(most, worth))
    return tuple(steps)


def _residues(value: Any) -> frozenset[str]:
    parts = value if isinstance(value, list) else amounts.written(value, "wheat straw; hay").split(";")
    return frozenset(residue_named(part).key for part in parts if str(part).strip())


def _road(table: Table, givers: Sequence[Giver], takers: Sequence[Taker]) -> tuple[str, str, float] | None:
    giver = table.parsed("giver", _one_of([one.name for one in givers]), "a giver", required="Name the giver.")
    garden = table.parsed("garden", _one_of([one.name for one in takers]), "a garden", required="Name the garden.")
    km = table.number("km", 0.0, 1000.0, "km", required="Write km = 1.2.")
    table.no_others()
    return None if giver is None or garden is None or km is None else (giver, garden, km)


def _one_of(names: Sequence[str]) -> Callable[[Any], str]:
    def read(value: Any) -> str:
        for name in names:
            if isinstance(value, str) and value.strip().casefold() == name.casefold():
                return name
        raise ValueError(nearest_remedy(value, [name.casefold() for name in names]) or "Choose a name of the list.")

    return read


def _where(table: Table) -> None:
    """Look at the keys of the place, so that none of them is taken for an unknown one."""
    for key in PLACE:
        table.has(key)


def _places(spots: list[tuple[Table, tuple[str, int]]], reading: Reading) -> dict[tuple[str, int], Place]:
    """Return every place in metres east and north of the first one told by latitude and longitude."""
    found: dict[tuple[str, int], Place] = {}
    origin: tuple[float, float] | None = None
    kinds: set[str] = set()
    for table, key in spots:
        if table.has("latitude") or table.has("longitude"):
            kinds.add("degrees")
            latitude = table.number("latitude", -89.0, 89.0, "degrees", required="Write latitude and longitude.")
            longitude = table.number("longitude", -180.0, 180.0, "degrees", required="Write latitude and longitude.")
            if latitude is None or longitude is None:
                continue
            origin = origin or (latitude, longitude)
            east = (longitude - origin[1]) * METRES_PER_DEGREE * cos(radians(origin[0]))
            found[key] = Place(east, (latitude - origin[0]) * METRES_PER_DEGREE)
        elif table.has("east_m") or table.has("north_m"):
            kinds.add("metres")
            east_m = table.number("east_m", -1e6, 1e6, "m", required="Write east_m and north_m.")
            north_m = table.number("north_m", -1e6, 1e6, "m", required="Write east_m and north_m.")
            if east_m is not None and north_m is not None:
                found[key] = Place(east_m, north_m)
        else:
            table.missing("a place", "latitude and longitude, or east_m and north_m", "Say where it is.")
    if len(kinds) > 1:
        remedy = "Give all places in degrees, or all in metres."
        reading.fault((), "places in degrees and in metres", "one of the two", remedy)
    return found


def _once(reading: Reading, names: Sequence[str], key: str) -> None:
    for name in sorted({one for one in names if names.count(one) > 1}):
        reading.fault((key,), f"'{shown_text(name)}' stands twice", "each name once", "Give one another name.")
