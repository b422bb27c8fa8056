"""Read the lifts of a mix as a grower writes them: a residue, a colon and an amount."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from mullbed.domain.filling import fill, lift_from_depth, lift_from_mass, lift_from_volume
from mullbed.domain.layer import Lift
from mullbed.domain.residue import Residue
from mullbed.domain.supply import Container
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.reference.containers import find_container
from mullbed.reference.residues import find_residue
from mullbed.units import Kind, parse_quantity

#: Thickest lift that makes sense. [m] Judgement.
THICKEST = 1.0


@dataclass(frozen=True, slots=True)
class MixLift:
    """One lift of a mix, with the way its amount was given."""

    residue: Residue
    lift: Lift
    given_as: Kind


def read_mix(texts: Sequence[str], area: float, own: Mapping[str, Container] | None = None) -> tuple[MixLift, ...]:
    """Return the lifts, named from the soil up.

    Parameters
    ----------
    texts : sequence of str
        Such as "dry leaves:25mm" or "grass clippings:3 buckets".
    area : float
        [m2]
    own : mapping, optional
        The grower's own containers by name; they override the table.

    Raises
    ------
    InputFault
        With every lift that cannot be read.
    """
    faults: list[Fault] = []
    lifts: list[MixLift] = []
    if not texts:
        remedy = 'Add --lift "dry leaves:25mm" once for each lift, from the soil up.'
        faults.append(Fault("--lift", "none given", "one or more lifts", remedy))
    for number, text in enumerate(texts, start=1):
        place = f"lift {number}, '{text}'"
        try:
            lifts.append(_read_lift(text, place, area, own or {}))
        except InputFault as fault:
            faults.extend(fault.faults)
        except NotFound as missing:
            near = ", ".join(missing.nearest) or f"the names `mullbed {missing.kind}s` shows"
            faults.append(Fault(place, f"no {missing.kind} is called '{missing.name}'", near, "Choose one of these."))
    if faults:
        raise InputFault(faults)
    return tuple(lifts)


def _read_lift(text: str, place: str, area: float, own: Mapping[str, Container]) -> MixLift:
    name, colon, amount = text.rpartition(":")
    if not colon or not name.strip():
        raise InputFault(
            [
                Fault(
                    place,
                    "no colon between residue and amount",
                    "RESIDUE:AMOUNT",
                    'Write it like "grass clippings:50mm".',
                )
            ]
        )
    residue = find_residue(name)
    quantity = parse_quantity(amount, place)
    if quantity.kind is Kind.LENGTH:
        lift = lift_from_depth(residue, quantity.value, area)
    elif quantity.kind is Kind.VOLUME:
        lift = lift_from_volume(residue, quantity.value, area)
    elif quantity.kind is Kind.MASS:
        lift = lift_from_mass(residue, quantity.value, area)
    elif quantity.kind is Kind.COUNT:
        word = quantity.container or ""
        container = own.get(word.casefold()) or find_container(word)
        lift = fill(residue, container, quantity.value, area, others=own.values())
    else:
        raise InputFault(
            [
                Fault(
                    place,
                    f"'{amount}' is a {quantity.kind}",
                    "a depth, volume, mass or container count",
                    'Write it like "50mm", "40 L", "3 kg" or "2 buckets".',
                )
            ]
        )
    if not 0.0 < lift.thickness <= THICKEST:
        found = f"{lift.thickness * 1000:.0f} mm thick on {area:g} m2"
        raise InputFault(
            [
                Fault(
                    place,
                    found,
                    f"above 0 mm, at most {THICKEST * 1000:.0f} mm",
                    "Check the amount, its unit and the area.",
                )
            ]
        )
    return MixLift(residue, lift, quantity.kind)
