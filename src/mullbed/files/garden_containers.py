"""The grower's own containers, and how an amount of residue is counted."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from mullbed.domain.filling import fill, lift_from_depth, lift_from_mass, lift_from_volume
from mullbed.domain.layer import Lift
from mullbed.domain.residue import Residue
from mullbed.domain.spread import Evidence, Spread
from mullbed.domain.supply import Container
from mullbed.errors import NotFound
from mullbed.files import amounts
from mullbed.files.reading import Table
from mullbed.reference.containers import find_container
from mullbed.reference.residues import find_residue
from mullbed.units import Kind

OWN_LITRES_DOUBT = 0.1
"""A measured container is filled more or less full; judgement, 10th to 90th percentile. [1]"""


@dataclass(frozen=True, slots=True)
class Portion:
    """A residue and how much of it: a count of one container, or a volume, mass or depth."""

    residue: Residue
    kind: Kind
    amount: float
    container: Container | None
    dried: bool = False
    """True for soft matter that was wilted or dried before it was laid."""

    def scaled(self, factor: float) -> Portion:
        """Return so many times as much; a depth stays as it is."""
        return self if self.kind is Kind.LENGTH else replace(self, amount=self.amount * factor)

    def lift(self, area: float, containers: tuple[Container, ...], *, dried: bool = False) -> Lift:
        """Return the lift it makes on a bed. [m2]"""
        dried = dried or self.dried
        if self.container is not None:
            return fill(self.residue, self.container, self.amount, area, dried=dried, others=containers)
        if self.kind is Kind.LENGTH:
            return lift_from_depth(self.residue, self.amount, area, dried=dried)
        if self.kind is Kind.MASS:
            return lift_from_mass(self.residue, self.amount, area, dried=dried)
        return lift_from_volume(self.residue, self.amount, area, dried=dried)


def read_containers(root: Table) -> tuple[Container, ...]:
    """Return the grower's own containers."""
    containers: list[Container] = []
    for table in root.tables("containers"):
        name = table.text("name", required='Write name = "my bucket".')
        litres = table.parsed(
            "holds", amounts.content, '0.1 to 10000 L, such as "12 L"', required='Write holds = "12 L".'
        )
        weighed = []
        for weighing in table.tables("weighings"):
            residue = weighing.parsed("residue", residue_named, "a residue of the table", required="Name the residue.")
            kilograms = weighing.parsed(
                "mass", amounts.mass, '0.01 to 2000 kg, such as "3.1 kg"', required='Write mass = "3.1 kg".'
            )
            weighing.no_others()
            if residue is not None and kilograms is not None:
                if litres is not None and not 2.0 <= kilograms / litres * 1000.0 <= 2000.0:
                    found = f"{kilograms:g} kg in {litres:g} L, {kilograms / litres * 1000.0:.0f} kg/m3"
                    weighing.fault("mass", found, "2 to 2000 kg/m3", "Check the weighing and what the container holds.")
                    continue
                weighed.append((residue.key, kilograms))
        table.no_others()
        if name is None or litres is None:
            continue
        if any(name.casefold() == other.name.casefold() for other in containers):
            table.fault("name", f"'{name}' twice", "each container once", "Give one of them another name.")
            continue
        doubt = OWN_LITRES_DOUBT * litres
        spread = Spread(litres - doubt, litres, litres + doubt, "L", Evidence.MEASURED)
        containers.append(Container(name, spread, tuple(weighed)))
    return tuple(containers)


def residue_named(value: Any) -> Residue:
    """Return the residue of that name.

    Raises
    ------
    ValueError
        With the nearest names, when there is none.
    """
    name = amounts.written(value, "grass clippings")
    try:
        return find_residue(name)
    except NotFound as error:
        raise ValueError(candidates(error)) from error


def candidates(error: NotFound) -> str:
    """Return the remedy for a name that no table holds."""
    if error.nearest:
        return f"Did you mean {', '.join(error.nearest[:6])}?"
    where = {"residue": "`mullbed residues WORDS` lists them.", "crop": "`mullbed crops WORDS` lists them."}
    return where.get(error.kind, f"No {error.kind} is called so; check the spelling.")


def container_named(name: str, containers: tuple[Container, ...]) -> Container:
    """Return the grower's own container of that name, else the table's.

    Raises
    ------
    ValueError
        When there is none.
    """
    wanted = name.casefold()
    for container in containers:
        if wanted in (container.name.casefold(), container.name.casefold().rstrip("s")):
            return container
    try:
        return find_container(name)
    except NotFound as error:
        own = f"{candidates(error)} Or describe your own under [[containers]] with name and holds."
        raise ValueError(own) from error


def portion(value: Any, containers: tuple[Container, ...]) -> Portion:
    """Return a residue and an amount from a text such as "dry leaves: 3 barrow" or "straw: 50 mm".

    Soft matter that was wilted first ends in ", dried".

    Raises
    ------
    ValueError
        When residue, amount or container cannot be understood.
    """
    text, dried = _without_dried(amounts.written(value, "dry leaves: 3 barrow"))
    name, colon, amount = text.rpartition(":")
    if not colon or not name.strip():
        raise ValueError('Write residue, colon and amount, such as "dry leaves: 3 barrow" or "straw: 50 mm".')
    residue = residue_named(name)
    quantity = amounts.counted(amount, "3 barrow")
    limits = {Kind.COUNT: 10_000.0, Kind.VOLUME: 1_000_000.0, Kind.MASS: 100_000.0, Kind.LENGTH: 1.0}
    if not 0.0 < quantity.value <= limits[quantity.kind]:
        raise ValueError("Check the amount; it must be above zero, and a depth at most 1 m.")
    container = container_named(quantity.container, containers) if quantity.container is not None else None
    return Portion(residue, quantity.kind, quantity.value, container, dried)


def _without_dried(text: str) -> tuple[str, bool]:
    """Return an amount without the word for drying at its end, and whether it stood there."""
    head, comma, tail = text.rpartition(",")
    if comma and tail.strip().casefold() in ("dried", "wilted"):
        return head, True
    return text, False
