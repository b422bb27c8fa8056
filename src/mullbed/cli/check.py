"""``mullbed check``: what a mix or a rule of thumb implies."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, SeedOption, UnitsOption
from mullbed.domain.garden import UnitSystem
from mullbed.errors import Fault, InputFault
from mullbed.units import Kind, Quantity, parse_as, parse_quantity

if TYPE_CHECKING:
    from mullbed.domain.mix import MixCheck

EXAMPLE = '--lift "dry leaves:25mm"'
LARGEST_AREA, DEEPEST_WATER, LONGEST_SEASON = 10_000.0, 200.0, 366.0
"""[m2], [mm], [d]"""


def check(
    lift: Annotated[
        list[str],
        typer.Option(
            "--lift",
            metavar="RESIDUE:AMOUNT",
            help="One residue and how much of it, from the soil up; say it again for each. The amount is a depth "
            "(25mm, 1 in), a volume (40 L, 10 gal), a mass (3 kg, 5 lb) or containers (2 buckets).",
        ),
    ],
    area: Annotated[str, typer.Option(metavar="AREA", help="Area it is laid on: 1m2, 32 sq ft, 1.2 m x 2.4 m.")],
    water: Annotated[
        str, typer.Option(metavar="WATER", help="Water poured over each layer: a depth (2mm) or a volume (9 L).")
    ] = "0 mm",
    repeat: Annotated[str | None, typer.Option(metavar="TIME", help="Time between layers: 3.5 weeks, 20 days.")] = None,
    season: Annotated[
        str | None, typer.Option(metavar="TIME", help="How long layers are laid: 26 weeks. Needs --repeat.")
    ] = None,
    garden: Annotated[
        Path | None,
        typer.Option(metavar="GARDEN", help="A garden file, for its weather and soil; without it a stated mild year."),
    ] = None,
    units: UnitsOption = UnitSystem.METRIC,
    seed: SeedOption = 1,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Check a mix or a rule of thumb before you lay it.

    \b
    mullbed check --lift "dry leaves:25mm" --lift "grass clippings:50mm" --lift "dry leaves:12mm" \\
        --area 1m2 --water 2mm --repeat "3.5 weeks" --season "26 weeks"

    Tells whether it feeds or robs, when, and what is lost. The answer comes from the daily model, never from a C:N rule alone.
    """
    faults: list[Fault] = []
    lifts = [parsed for text in lift if (parsed := _lift(text, faults)) is not None]
    square_metres = _amount(area, Kind.AREA, "--area", LARGEST_AREA, faults)
    millimetres = _water(water, square_metres, faults)
    every = _amount(repeat, Kind.TIME, "--repeat", LONGEST_SEASON, faults) if repeat is not None else None
    lasts = _amount(season, Kind.TIME, "--season", LONGEST_SEASON, faults) if season is not None else None
    if (every is None) != (lasts is None) and not faults:
        missing = "--season" if lasts is None else "--repeat"
        faults.append(Fault(missing, "not given", "both --repeat and --season, or neither", f"Add {missing}."))
    if faults:
        raise InputFault(faults)
    _run(lifts, square_metres, millimetres, every, lasts, garden, units, seed, Screen(as_json, plain))


def _run(
    lifts: list[tuple[str, Quantity]],
    area: float,
    water: float,
    every: float | None,
    lasts: float | None,
    garden: Path | None,
    units: UnitSystem,
    seed: int,
    screen: Screen,
) -> None:
    """Call the use case and show its answer."""
    from mullbed.reports.json_documents import check_document
    from mullbed.reports.terminal_check import check_text
    from mullbed.usecases.check_mix import check_mix

    screen.progress("Running the mix through the daily model ...")
    found: MixCheck = check_mix(
        lifts, area=area, water=water, repeat_days=every, season_days=lasts, garden=garden, seed=seed
    )
    screen.show(lambda style: check_text(found, units=units, style=style), lambda: check_document(found))


def _lift(text: str, faults: list[Fault]) -> tuple[str, Quantity] | None:
    """Return residue name and amount of one ``RESIDUE:AMOUNT``, or note its fault."""
    name, colon, amount = text.rpartition(":")
    place = f"--lift '{text}'"
    if not colon or not name.strip() or not amount.strip():
        faults.append(Fault(place, "no residue and amount", "RESIDUE:AMOUNT", f"Write it like {EXAMPLE}."))
        return None
    try:
        quantity = parse_quantity(amount, place)
    except InputFault as error:
        faults.extend(error.faults)
        return None
    if quantity.kind not in {Kind.LENGTH, Kind.VOLUME, Kind.MASS, Kind.COUNT}:
        faults.append(
            Fault(
                place, f"{amount.strip()} is a {quantity.kind}", "a depth, volume, mass or containers", "Mend the unit."
            )
        )
        return None
    if quantity.value == 0:
        faults.append(Fault(place, "nothing is laid", "more than zero", "Leave the lift out or give an amount."))
        return None
    return name.strip(), quantity


def _amount(text: str, kind: Kind, place: str, most: float, faults: list[Fault]) -> float:
    """Return an amount above zero and not above the most that makes sense, or note its fault."""
    try:
        value = parse_as(text, kind, place)
    except InputFault as error:
        faults.extend(error.faults)
        return 0.0
    if not 0 < value <= most:
        unit = {Kind.AREA: "m2", Kind.TIME: "days", Kind.LENGTH: "mm"}[kind]
        faults.append(Fault(place, f"'{text}'", f"more than 0 and at most {most:g} {unit}", "Check number and unit."))
    return value


def _water(text: str, area: float, faults: list[Fault]) -> float:
    """Return the water poured, from a depth or from a volume on the area. [mm]"""
    try:
        quantity = parse_quantity(text, "--water")
    except InputFault as error:
        faults.extend(error.faults)
        return 0.0
    if quantity.kind is Kind.VOLUME:
        depth = quantity.value / area if area > 0 else 0.0
    elif quantity.kind is Kind.LENGTH:
        depth = quantity.value * 1000
    else:
        faults.append(
            Fault("--water", f"'{text}'", "a depth or a volume, such as 2mm or 9 L", "Use one of these units.")
        )
        return 0.0
    if depth > DEEPEST_WATER:
        faults.append(
            Fault(
                "--water", f"'{text}' is {depth:.0f} mm", f"at most {DEEPEST_WATER:g} mm at a time", "Check the unit."
            )
        )
    return depth
