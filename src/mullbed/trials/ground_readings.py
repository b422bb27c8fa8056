"""From what was typed at the bed to readings the record keeps: every way of typing forces its unit."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from mullbed.domain.field_check import FieldCheck
from mullbed.errors import Fault, InputFault
from mullbed.trials.field_checks import (
    infiltration_inch_per_hour,
    nitrate_nitrogen,
    ring_volume_litres,
    slake_class,
    structure_score,
)
from mullbed.units import parse_number

NITRATE = ("nitrate", "psnt")
"""Checks that a strip or a report may give as nitrate or as nitrate-N."""
WORM_GROUPS = ("worms_surface", "worms_topsoil", "worms_deep")
SQUEEZED = MappingProxyType({"crackles": 35.0, "holds together": 45.0, "few drops": 55.0, "drips freely": 70.0})
"""Middle of what a squeeze tells, of the wet mass; from memory. [%]"""
#: Least and most a check can read, in its unit; beyond them something was typed wrongly. Judgement.
LIMITS = MappingProxyType(
    {
        "harvest": (0.0, 10_000.0),
        "infiltration": (0.0, 5_000.0),
        "slake": (1.0, 6.0),
        "worms": (0.0, 300.0),
        "worms_surface": (0.0, 300.0),
        "worms_topsoil": (0.0, 300.0),
        "worms_deep": (0.0, 100.0),
        "hardness": (0.0, 1_200.0),
        "structure": (1.0, 5.0),
        "nitrate": (0.0, 500.0),
        "psnt": (0.0, 500.0),
        "organic_matter": (0.0, 100.0),
        "bulk_density": (0.1, 2.3),
        "cover": (0.0, 100.0),
        "soil_temperature": (-40.0, 70.0),
        "colour": (0.0, 10.0),
        "layer_moisture": (0.0, 100.0),
        "ribbon": (0.0, 30.0),
        "jar": (0.0, 100.0),
    }
)
_MUNSELL = re.compile(
    r"(?P<hue>\d{1,2}(?:[.,]\d)?\s*(?:YR|GY|BG|PB|RP|R|Y|G|B|P))\s*(?P<value>\d{1,2}(?:[.,]\d)?)\s*/\s*(?P<chroma>\d{1,2}(?:[.,]\d)?)",
    re.IGNORECASE,
)
_NOTATION = "hue value/chroma, such as 10YR 3/2"


@dataclass(frozen=True, slots=True)
class GroundReading:
    """A check as the record keeps it."""

    readings: tuple[float, ...]
    """One a repeat. [unit of the check]"""
    method: str
    """How they came about, with what was read before anything was turned."""
    word: str | None = None


def ground_reading(
    check: FieldCheck, typed: Sequence[str], *, bore_m: float | None = None, reads: str = ""
) -> GroundReading:
    """Return what was typed as readings in the check's unit.

    Parameters
    ----------
    check : FieldCheck
    typed : sequence of str
        One a repeat: a number, for a ring a time ("3:20", "200"), for a colour its notation, for a layer the word of
        the squeeze, for a block "score@thickness" of its layers, for density "dry grams/millilitres".
    bore_m : float, optional
        Inner width of the ring; needed for one. [m]
    reads : str
        "nitrate" or "nitrate-N", what a strip or report gives; needed for nitrate.

    Raises
    ------
    InputFault
        With everything that cannot be understood.
    """
    kept = [one.strip() for one in typed if one.strip()]
    faults: list[Fault] = []
    if not kept:
        faults.append(Fault(check.name, "no reading", "one at least", f"Read {check.repeats}."))
    if check.key == "infiltration" and bore_m is None:
        faults.append(Fault("bore of the ring", "left out", "its inner width", "Measure it: one inch hangs on it."))
    if check.key in NITRATE and reads not in ("nitrate", "nitrate-N"):
        remedy = "It is printed on the tube or the report; a factor of four hangs on it."
        faults.append(Fault("what it reads", reads or "left out", "nitrate or nitrate-N", remedy))
    values: list[float] = []
    if not faults:
        turn = _turning(check.key, bore_m, reads)
        for text in kept:
            try:
                values.append(turn(text))
            except InputFault as told:
                faults += told.faults
    low, high = LIMITS.get(check.key, (-math.inf, math.inf))
    faults += [
        Fault(check.name, f"{value:.4g} {check.unit}", f"{low:g} to {high:g}", "Look at the unit and type it again.")
        for value in values
        if not low <= value <= high
    ]
    if faults:
        raise InputFault(faults)
    return GroundReading(tuple(values), _method(check.key, kept, bore_m, reads), _word(check.key, kept))


def _turning(key: str, bore_m: float | None, reads: str) -> Callable[[str], float]:
    """Return what turns one typed repeat into a reading."""
    if key == "infiltration" and bore_m is not None:
        inch, bore = ring_volume_litres(bore_m), bore_m
        return lambda text: infiltration_inch_per_hour(seconds_typed(text), inch, bore)
    if key in NITRATE:
        return lambda text: nitrate_nitrogen(_number(text, key), reads)
    turns: dict[str, Callable[[str], float]] = {
        "colour": lambda text: munsell(text)[1],
        "layer_moisture": _squeezed,
        "slake": _slaked,
        "structure": _block,
        "bulk_density": _density,
        "jar": lambda text: jar_shares(text)[2],
    }
    return turns.get(key, lambda text: _number(text, key))


def seconds_typed(text: str) -> float:
    """Return a time as seconds: "200", "200 s", "3:20", "1:02:30" or "3.5 min"; raises InputFault."""
    plain = text.strip().casefold()
    try:
        if ":" in plain:
            parts = [float(part.replace(",", ".")) for part in plain.split(":")]
            if len(parts) > 3 or any(not 0.0 <= part < 60.0 for part in parts[1:]) or parts[0] < 0.0:
                raise ValueError
            return math.fsum(part * 60.0**place for place, part in enumerate(reversed(parts)))
        for ending, factor in (("min", 60.0), ("s", 1.0), ("h", 3600.0)):
            if plain.endswith(ending):
                return float(plain.removesuffix(ending).strip().replace(",", ".")) * factor
        return float(plain.replace(",", "."))
    except ValueError:
        fault = Fault("time of the ring", f"'{text[:30]}'", "seconds, or minutes:seconds", "Write 200 or 3:20.")
        raise InputFault([fault]) from None


def munsell(text: str) -> tuple[str, float, float]:
    """Return hue, value and chroma of a notation; raises InputFault where it is none."""
    found = _MUNSELL.fullmatch(text.strip())
    if found is None:
        raise InputFault([Fault("colour", f"'{text[:30]}'", _NOTATION, "Copy it from the chip of the chart.")])
    value, chroma = (float(found[name].replace(",", ".")) for name in ("value", "chroma"))
    return found["hue"].upper().replace(" ", "").replace(",", "."), value, chroma


def split_typed(key: str, text: str) -> tuple[str, ...]:
    """Return the repeats of one line of typing: parted by blanks, semicolons or new lines; words and colours whole."""
    if key == "colour":
        whole = tuple(found[0] for found in _MUNSELL.finditer(text))
        return whole or tuple(part for part in re.split(r"[;\n]+", text) if part.strip())
    parted = r"[;\n,]+" if key == "layer_moisture" else r"[;\s]+"
    return tuple(part.strip() for part in re.split(parted, text) if part.strip())


def _number(text: str, place: str) -> float:
    return float(parse_number(text, place.replace("_", " ")))


def _squeezed(text: str) -> float:
    word = " ".join(text.casefold().split())
    if word in SQUEEZED:
        return SQUEEZED[word]
    near = [key for key in SQUEEZED if word and (key.startswith(word) or word in key)]
    if len(near) == 1:
        return SQUEEZED[near[0]]
    try:
        return _number(text, "squeeze")
    except InputFault:
        allowed = ", ".join(SQUEEZED)
        raise InputFault([Fault("squeeze", f"'{text[:30]}'", allowed, "Choose the word that fits.")]) from None


def _slaked(text: str) -> float:
    """Return the class of a crumb: "4", or by time in still water "20s", or by what the dips left "15%"."""
    plain = text.strip().casefold()
    if plain.endswith("%"):
        return float(slake_class(None, _number(plain[:-1], "crumb left") / 100.0))
    if plain.endswith("s") or ":" in plain:
        return float(slake_class(seconds_typed(plain), None))
    return _number(text, "slake class")


def _block(text: str) -> float:
    """Return the score of one block: "3.5", or its layers from the top as score@centimetres joined by +."""
    if "@" not in text:
        return _number(text, "structure")
    layers = []
    for part in text.split("+"):
        score, _, thick = part.partition("@")
        layers.append((_number(thick.removesuffix("cm"), "thickness") / 100.0, _number(score, "score")))
    return structure_score(layers)


def _density(text: str) -> float:
    """Return a density: "1.32", or dry grams over millilitres of the ring as "396/300". [g cm-3]"""
    mass, between, room = text.partition("/")
    if not between:
        return _number(text, "bulk density")
    volume = _number(room.removesuffix("mL").removesuffix("ml"), "volume of the ring")
    if volume <= 0.0:
        raise InputFault([Fault("volume of the ring", room, "above 0 mL", "Bore squared times 0.785 times height.")])
    return _number(mass.removesuffix("g"), "dry mass") / volume


def jar_shares(text: str) -> tuple[float, float, float]:
    """Return sand, silt and clay of the heights of sand, of sand and silt, and of all: "4/6.8/8". [%]

    Raises
    ------
    InputFault
        When they are no three heights, each above the one before.
    """
    parts = text.split("/")
    if len(parts) == 3:
        sand, silt, whole = (_number(part.removesuffix("cm"), "height in the jar") for part in parts)
        if 0.0 <= sand <= silt <= whole and whole > 0.0:
            return 100.0 * sand / whole, 100.0 * (silt - sand) / whole, 100.0 * (whole - silt) / whole
    allowed = "three heights, such as 4/6.8/8"
    raise InputFault([Fault("jar", f"'{text[:30]}'", allowed, "From below: sand, sand and silt, all.")])


def _method(key: str, kept: Sequence[str], bore_m: float | None, reads: str) -> str:
    """Return what was done, so that a reader can turn it back."""
    said = "; ".join(kept)
    if key == "infiltration" and bore_m is not None:
        litres = ring_volume_litres(bore_m)
        return f"ring of {100 * bore_m:.1f} cm bore, one inch = {1000 * litres:.0f} mL, second inch; times {said}"
    if key in NITRATE:
        return f"read as {reads}" + (", x 0.226" if reads == "nitrate" else "") + f"; {said}"
    if key == "jar":
        shares = "; ".join("sand {:.0f}, silt {:.0f}, clay {:.0f} %".format(*jar_shares(one)) for one in kept)
        return f"heights {said} cm: {shares}"
    if key in ("colour", "layer_moisture", "slake", "structure", "bulk_density"):
        return f"read as {said}"
    return ""


def _word(key: str, kept: Sequence[str]) -> str | None:
    """Return the word a check ends in, where it is one."""
    if key == "colour":
        hue, value, chroma = munsell(kept[0])
        return f"{hue} {value:g}/{chroma:g}"
    return None
