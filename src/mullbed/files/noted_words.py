"""What a grower types in one line, to domain words: amounts in containers, household units or kilograms.

Every function collects all faults of what was typed; a fault names the option or the place of the word.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from datetime import date

from mullbed.domain.bed import Bed
from mullbed.domain.garden import Garden
from mullbed.domain.layer import Layer
from mullbed.domain.observation import NITRATE_WAYS, OBSERVABLES, Observation, nitrate_nitrogen
from mullbed.domain.residue import Residue
from mullbed.domain.supply import Container
from mullbed.errors import Fault, InputFault
from mullbed.files.garden_containers import container_named, portion, residue_named
from mullbed.files.garden_layers import MOST_WATER, THICKEST_LAYER
from mullbed.units import Kind, parse_as, parse_number, parse_quantity

_KINDS = {"m": (Kind.LENGTH, "cm"), "Cel": (Kind.TEMPERATURE, "degC")}


def bed_named(garden: Garden, name: str, place: str = "bed") -> Bed:
    """Return the bed a grower means; its whole name, or words of it that only one bed has.

    Raises
    ------
    InputFault
        When no bed, or more than one, is meant.
    """
    whole = garden.bed(name.strip())
    if whole is not None:
        return whole
    words = name.casefold().split()
    near = [bed for bed in garden.beds if words and all(word in bed.name.casefold() for word in words)]
    if len(near) == 1:
        return near[0]
    names = [bed.name for bed in near or garden.beds]
    remedy = "Say which of them." if near else _nearest(name, names) or "Choose one of these beds."
    found = f"'{name}' could be {len(near)} beds" if near else f"no bed is called '{name}'"
    raise InputFault([Fault(place, found, ", ".join(names[:12]), remedy)])


def layer_typed(
    bed: Bed, day: date, lifts: Sequence[str], water: str | None, containers: tuple[Container, ...]
) -> Layer:
    """Return a layer as laid, from texts such as "grass clippings: 2 buckets", from the soil up.

    A lift that ends in ", dried" was wilted or dried before it was laid; where it ends in ", of" and the name of a heap
    (see `of_which_heap`), the name is left to the caller.

    Raises
    ------
    InputFault
        With every lift that cannot be read, or when the layer is impossibly thick or wet.
    """
    faults: list[Fault] = []
    read = []
    for number, text in enumerate(lifts, start=1):
        try:
            read.append(portion(of_which_heap(text)[0], containers).lift(bed.area, containers))
        except ValueError as error:
            allowed = 'residue and amount, such as "dry leaves: 3 barrow"'
            faults.append(Fault(f"lift {number}", f"'{text}'", allowed, str(error)))
    if not lifts:
        faults.append(Fault("lift", "none", "at least one", 'Write it so: "grass clippings: 2 buckets".'))
    poured = 0.0
    if water is not None:
        try:
            poured = depth_of_water(water, bed.area, containers)
        except InputFault as error:
            faults.extend(error.faults)
    if faults:
        raise InputFault(faults)
    layer = Layer(bed.name, day, tuple(read), poured)
    if layer.thickness > THICKEST_LAYER:
        remedy = "Check the amounts, the containers and the area of the bed."
        found = f"{layer.thickness:.2f} m thick"
        raise InputFault([Fault("layer", found, f"at most {THICKEST_LAYER:g} m", remedy)])
    return layer


def of_which_heap(text: str) -> tuple[str, str | None]:
    """Return a lift's residue and amount, and the heap or batch it came from, from "hay: 2 bales, of lane hay"."""
    amount, comma, name = text.partition(", of ")
    return (amount, name.strip()) if comma and name.strip() else (text, None)


def depth_of_water(text: str, area: float, containers: tuple[Container, ...] = (), place: str = "water") -> float:
    """Return water on a bed from cans, litres or a depth. [mm]

    Raises
    ------
    InputFault
        When it is none of them, or more than 100 mm.
    """
    quantity = parse_quantity(text, place)
    if quantity.kind is Kind.LENGTH:
        depth = 1000.0 * quantity.value
    elif quantity.kind is Kind.VOLUME:
        depth = quantity.value / area
    elif quantity.kind is Kind.COUNT and quantity.container is not None:
        try:
            depth = quantity.value * container_named(quantity.container, containers).litres.mid / area
        except ValueError as error:
            raise InputFault([Fault(place, f"'{text}'", "cans, litres or a depth", str(error))]) from error
    else:
        remedy = 'Write it like "2 cans", "18 L" or "5 mm".'
        raise InputFault([Fault(place, f"'{text}'", "cans, litres or a depth", remedy)])
    if depth > MOST_WATER:
        found = f"{depth:.0f} mm on this bed"
        remedy = "Check the water and the area of the bed."
        raise InputFault([Fault(place, found, f"at most {MOST_WATER:g} mm (L/m2)", remedy)])
    return depth


def observation_typed(bed: str, day: date, words: Sequence[str], *, repeats: int = 1) -> Observation:
    """Return an observation from words: "smell sour", "worms 9", "thickness by ruler 3 cm", or just "sour".

    A number of a nitrate strip says NO3 or NO3-N, as the chart of the strips does.

    Raises
    ------
    InputFault
        When it is not said what was observed, or the answer is none that is allowed.
    """
    said = " ".join(" ".join(words).split())
    if not said:
        raise InputFault([Fault("what was seen", "nothing", _everything(), 'Write it so: "smell sour".')])
    what, answer = _split(said)
    row = OBSERVABLES[what]
    if row.is_class:
        return Observation(what, bed, day, word=_word(answer, row.words, what), repeats=repeats)
    return Observation(what, bed, day, value=_value(what, answer), repeats=repeats)


def _split(said: str) -> tuple[str, str]:
    """Return what was observed and the answer."""
    folded = said.casefold()
    for key in sorted(OBSERVABLES, key=len, reverse=True):
        if folded == key.casefold() or folded.startswith(key.casefold() + " "):
            return key, said[len(key) :].strip(" :,")
    if folded.startswith("thickness "):
        return "thickness by finger", said[len("thickness ") :].strip()
    homes = [key for key, row in OBSERVABLES.items() if folded in (word.casefold() for word in row.words)]
    if len(homes) == 1:
        return homes[0], said
    if homes:
        allowed = ", ".join(f"{home} {said}" for home in homes)
        raise InputFault([Fault("what was seen", f"'{said}'", allowed, "Say which of them it was.")])
    known = [*OBSERVABLES, *(word for row in OBSERVABLES.values() for word in row.words)]
    remedy = _nearest(said.split(" ", 1)[0], known) or 'Write what and how, such as "smell sour" or "worms 9".'
    raise InputFault([Fault("what was seen", f"'{said}'", _everything(), remedy)])


def _word(answer: str, words: tuple[str, ...], what: str) -> str:
    folded = answer.casefold()
    exact = next((word for word in words if word.casefold() == folded), None)
    begun = [word for word in words if folded and word.casefold().startswith(folded)]
    if exact is not None:
        return exact
    if len(begun) == 1:
        return begun[0]
    remedy = _nearest(answer, words) or "Choose one of these words."
    raise InputFault([Fault(what, f"'{answer}'" if answer else "no answer", ", ".join(words), remedy)])


def _value(what: str, answer: str) -> float:
    row = OBSERVABLES[what]
    if what == "nitrate-N":
        number, _, way = answer.partition(" ")
        told = {key.casefold(): key for key in NITRATE_WAYS}.get(
            way.split(" ")[-1].strip().casefold() if way else "", ""
        )
        return nitrate_nitrogen(parse_number(number, what), told)
    if row.unit in _KINDS:
        kind, usual = _KINDS[row.unit]
        return parse_as(answer, kind, what, usual)
    if answer.endswith("%") and row.high <= 3.0:
        return parse_number(answer[:-1], what) / 100.0
    return parse_number(answer, what)


def _everything() -> str:
    return "; ".join(f"{key} ({', '.join(row.words)})" if row.is_class else key for key, row in OBSERVABLES.items())


def weighing_typed(text: str, containers: tuple[Container, ...]) -> tuple[Residue, Container, float]:
    """Return residue, container and the fresh mass of one full container, from "grass clippings: bucket 3.1 kg". [kg]

    Several weighed at once are told as "grass clippings: 3 buckets 9.4 kg".

    Raises
    ------
    InputFault
        When it cannot be read, or no container could weigh so much or so little.
    """
    form = '"grass clippings: bucket 3.1 kg", or "grass clippings: 3 buckets 9.4 kg"'
    name, colon, rest = text.rpartition(":")
    words = rest.split()
    split = next((index for index, word in enumerate(words) if index > 0 and word[0].isdigit()), None)
    if not colon or split is None:
        raise InputFault([Fault("weighing", f"'{text}'", form, "Write residue, colon, container and mass.")])
    faults: list[Fault] = []
    residue: Residue | None = None
    container: Container | None = None
    count = kilograms = 1.0
    try:
        residue = residue_named(name)
    except ValueError as error:
        faults.append(Fault("weighing, residue", f"'{name.strip()}'", "a residue of the table", str(error)))
    counted = " ".join(words[:split])
    try:
        if counted[0].isdigit():
            quantity = parse_quantity(counted, "weighing, container")
            count, counted = quantity.value, quantity.container or counted
        container = container_named(counted, containers)
    except ValueError as error:
        faults.append(Fault("weighing, container", f"'{counted}'", "a container", str(error)))
    except InputFault as error:
        faults.extend(error.faults)
    try:
        kilograms = parse_as(" ".join(words[split:]), Kind.MASS, "weighing, mass")
    except InputFault as error:
        faults.extend(error.faults)
    if not faults and residue is not None and container is not None and count > 0.0:
        density = kilograms / count / container.litres.mid * 1000.0
        if 2.0 <= density <= 2000.0:
            return residue, container, kilograms / count
        found = f"{kilograms / count:g} kg in {container.litres.mid:g} L, {density:.0f} kg/m3"
        remedy = "Weigh one filled container, without its own weight."
        faults.append(Fault("weighing, mass", found, "2 to 2000 kg/m3", remedy))
    raise InputFault(faults or [Fault("weighing", f"'{text}'", form, "Weigh at least one.")])


def batch_typed(text: str, containers: tuple[Container, ...]) -> tuple[Residue, Container, float]:
    """Return residue, container and count of what came in, from "hay: 3 bales".

    Raises
    ------
    InputFault
        When it cannot be read or is not counted in containers.
    """
    try:
        part = portion(text, containers)
    except ValueError as error:
        raise InputFault(
            [Fault("batch", f"'{text}'", 'residue and amount, such as "hay: 3 bales"', str(error))]
        ) from error
    if part.container is None:
        remedy = 'Write it like "hay: 3 bales" or "leaves: 12 bags".'
        raise InputFault([Fault("batch", f"'{text}'", "a count of containers", remedy)])
    return part.residue, part.container, part.amount


def harvest_mass(text: str) -> float:
    """Return a harvest in kilograms, from "3.2 kg" or "7 lb". [kg]

    Raises
    ------
    InputFault
        When it is no mass.
    """
    return parse_as(text, Kind.MASS, "harvest", "kg")


def temperature_typed(text: str, place: str) -> float:
    """Return an air temperature, from "4", "4 C" or "40 F". [°C]

    Raises
    ------
    InputFault
        When it is none of this world.
    """
    degrees = parse_as(text, Kind.TEMPERATURE, place, "degC")
    if not -60.0 <= degrees <= 60.0:
        raise InputFault([Fault(place, f"{degrees:g} °C", "-60 to 60 °C", "Check number and unit.")])
    return degrees


def rain_typed(text: str, place: str = "rain") -> float:
    """Return rain of a gauge, from "12", "12 mm" or "0.5 in". [mm]

    Raises
    ------
    InputFault
        When it is no depth of a day's rain.
    """
    depth = 1000.0 * parse_as(text, Kind.LENGTH, place, "mm")
    if not 0.0 <= depth <= 500.0:
        raise InputFault([Fault(place, f"{depth:g} mm", "0 to 500 mm in a day", "Check number and unit.")])
    return depth


def _nearest(word: str, known: Iterable[str]) -> str | None:
    near = difflib.get_close_matches(word.casefold(), [one.casefold() for one in known], 1, 0.6)
    return f"Did you mean '{near[0]}'?" if near else None
