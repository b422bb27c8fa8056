"""``mullbed log``: write one line into the garden's record."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, get_type_hints

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, UnitsOption
from mullbed.cli.signing import AuthorOption, DayOption, RecordOption, WhichOption, day_typed, signature, where
from mullbed.domain.bed import Irrigation
from mullbed.domain.garden import UnitSystem
from mullbed.domain.record_seen import RainExpected

if TYPE_CHECKING:
    from mullbed.domain.signing import Kept
    from mullbed.usecases.log_line import Line

log = typer.Typer(
    name="log",
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Write down what was laid, watered, seen or picked.\n\n"
    "Nothing is ever overwritten: --corrects puts a line right, take-back takes one back.",
)

BedArgument = Annotated[str, typer.Argument(metavar="BED", help="The bed: its name, or words only it has.")]
CropArgument = Annotated[str, typer.Argument(metavar="CROP", help="The crop; `mullbed crops` lists them.")]
CorrectsOption = Annotated[
    str | None,
    typer.Option("--corrects", metavar="ID", help="Id of the line this one puts right, its last letters, or: last."),
]
GardenUnitsOption = Annotated[
    UnitSystem | None, typer.Option("--units", help="Units to show numbers in; without it, the garden's.")
]
WordsOption = Annotated[str, typer.Option("--words", metavar="TEXT", help="A remark to keep with it.")]


def _shared(
    day: DayOption = None,
    words: WordsOption = "",
    corrects: CorrectsOption = None,
    by: AuthorOption = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    units: GardenUnitsOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Options every line shares; their form is taken from here."""


def line_command(keep: Callable[..., Callable[[Line], Kept]]) -> Callable[..., None]:
    """Turn a function of a line's own words into a command that also takes what every line shares."""
    shared = list(inspect.signature(_shared).parameters.values())
    own = list(inspect.signature(keep).parameters.values())

    @wraps(keep)
    def command(**given: Any) -> None:
        from mullbed.reports.kept_words import kept_document, kept_text
        from mullbed.usecases.log_line import Line

        rest = {one.name: given.pop(one.name) for one in shared}
        line = Line(
            where(rest["record"], rest["garden"]),
            signature(rest["by"]),
            day_typed(rest["day"]),
            rest["corrects"],
            rest["words"].strip(),
        )
        kept = keep(**given)(line)
        units = rest["units"] or kept.units
        Screen(rest["as_json"], rest["plain"]).show(
            lambda style: kept_text(kept, units, style), lambda: kept_document(kept, units)
        )

    hints = get_type_hints(_shared, include_extras=True)
    types = _own_types(keep) | {one.name: hints[one.name] for one in shared}
    parameters = [
        one.replace(annotation=types[one.name], kind=inspect.Parameter.KEYWORD_ONLY) for one in (*own, *shared)
    ]
    command.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    command.__annotations__ = {one.name: types[one.name] for one in (*own, *shared)}
    return command


def _own_types(keep: Callable[..., object]) -> dict[str, Any]:
    """Return the types of a command's own words; what it returns needs no import."""
    return get_type_hints(keep, localns={"Line": object, "Kept": object}, include_extras=True)


@log.command()
@line_command
def layer(
    bed: BedArgument,
    lifts: Annotated[
        list[str],
        typer.Argument(
            metavar="LIFT...",
            help='Residue and amount, from the soil up: "grass clippings: 2 buckets" "straw: 3 kg". '
            'End with ", dried" where it was wilted first.',
        ),
    ],
    water: Annotated[
        str | None, typer.Option("--water", metavar="AMOUNT", help="Water poured over it: 2 cans, 18 L, 3 mm.")
    ] = None,
    minutes: Annotated[float | None, typer.Option("--minutes", min=0.0, help="How long the work took.")] = None,
    although: Annotated[
        str | None,
        typer.Option("--although", metavar="REASON", help="Why it was laid though a rule of safety speaks against it."),
    ] = None,
) -> Callable[[Line], Kept]:
    """Write down a layer as it was really laid."""
    from mullbed.usecases.log_line import log_layer

    return lambda line: log_layer(line, bed, lifts, water=water, minutes=minutes, although=although)


@log.command()
@line_command
def water(
    bed: BedArgument, amount: Annotated[str, typer.Argument(metavar="AMOUNT", help="2 cans, 18 L or 5 mm.")]
) -> Callable[[Line], Kept]:
    """Write down water given to a bed."""
    from mullbed.usecases.log_line import log_water

    return lambda line: log_water(line, bed, amount)


@log.command("drawn-back")
@line_command
def drawn_back(
    bed: BedArgument,
    share: Annotated[
        float, typer.Option("--share", min=0.0, max=1.0, help="Share of the cover that was taken off, 0 to 1.")
    ] = 1.0,
    put_back: Annotated[bool, typer.Option("--put-back", help="It was drawn over the bed again.")] = False,
) -> Callable[[Line], Kept]:
    """Write down that cover was drawn off the soil, or put back."""
    from mullbed.usecases.log_line import log_drawn_back

    return lambda line: log_drawn_back(line, bed, share=share, put_back=put_back)


@log.command()
@line_command
def irrigation(
    bed: BedArgument,
    way: Annotated[Irrigation, typer.Argument(metavar="WAY", help="none, by hand or drip.")],
    per_week: Annotated[
        str | None, typer.Option("--per-week", metavar="AMOUNT", help="Water a week: 40 L for the bed, or 25 mm.")
    ] = None,
    moist: Annotated[bool, typer.Option("--moist", help="Watered whenever half of its water is used up.")] = False,
) -> Callable[[Line], Kept]:
    """Write down how a bed is watered from now on."""
    from mullbed.usecases.log_line import log_irrigation

    return lambda line: log_irrigation(line, bed, way, per_week=per_week, moist=moist)


@log.command()
@line_command
def fed(
    bed: BedArgument,
    name: Annotated[str, typer.Argument(metavar="NAME", help="What it was: garden compost, horn meal ...")],
    nitrogen: Annotated[str, typer.Argument(metavar="NITROGEN", help="Total nitrogen: 6 g/m2 or 60 kg/ha.")],
    phosphorus: Annotated[
        str | None, typer.Option("--phosphorus", metavar="AMOUNT", help="Phosphorus: 1.2 g/m2.")
    ] = None,
    mineral_share: Annotated[
        float, typer.Option("--mineral", min=0.0, max=1.0, help="Share of the nitrogen that acts at once, 0 to 1.")
    ] = 0.0,
) -> Callable[[Line], Kept]:
    """Write down compost, fertiliser or another input."""
    from mullbed.usecases.log_line import log_fed

    return lambda line: log_fed(line, bed, name, nitrogen, phosphorus=phosphorus, mineral_share=mineral_share)


@log.command("dug-in")
@line_command
def dug_in(
    bed: BedArgument, depth: Annotated[str, typer.Argument(metavar="DEPTH", help="How deep: 10 cm or 4 in.")]
) -> Callable[[Line], Kept]:
    """Write down that what lay there was turned into the soil."""
    from mullbed.usecases.log_line import log_dug_in

    return lambda line: log_dug_in(line, bed, depth)


@log.command()
@line_command
def seen(
    bed: BedArgument,
    what: Annotated[
        list[str],
        typer.Argument(
            metavar="WORDS...", help="smell sour; worms 9; thickness 3 cm; squeeze crackles; nitrate-N 25 NO3."
        ),
    ],
    repeats: Annotated[int, typer.Option("--repeats", min=1, help="Readings the number is the mean of.")] = 1,
) -> Callable[[Line], Kept]:
    """Write down what was seen, smelt, felt or measured on a bed."""
    from mullbed.usecases.log_line import log_seen

    return lambda line: log_seen(line, bed, what, repeats=repeats)


@log.command()
@line_command
def note(
    text: Annotated[str, typer.Argument(metavar="TEXT", help="In your own words.")],
    bed: Annotated[str | None, typer.Option("--bed", metavar="BED", help="The bed it is about.")] = None,
) -> Callable[[Line], Kept]:
    """Write down a note in your own words."""
    from mullbed.usecases.log_line import log_note

    return lambda line: log_note(line, text, bed=bed)


@log.command()
@line_command
def photo(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The picture: JPEG, PNG, GIF, WebP or HEIC.")],
    bed: Annotated[str | None, typer.Option("--bed", metavar="BED", help="The bed it shows.")] = None,
    place: Annotated[str, typer.Option("--from", metavar="TEXT", help="Where it was taken from.")] = "",
) -> Callable[[Line], Kept]:
    """Keep a photo beside the record."""
    from mullbed.usecases.log_line import log_photo

    return lambda line: log_photo(line, file, bed=bed, place=place)


@log.command()
@line_command
def weighed(
    text: Annotated[
        str,
        typer.Argument(
            metavar="WEIGHING",
            help='"grass clippings: bucket 3.1 kg", or several: "straw: 3 bales 44 kg". Without its own weight.',
        ),
    ],
    pressed: Annotated[bool, typer.Option("--pressed", help="It was trodden or pressed down.")] = False,
) -> Callable[[Line], Kept]:
    """Write down what a full container weighs."""
    from mullbed.usecases.log_line import log_weighed

    return lambda line: log_weighed(line, text, pressed=pressed)


@log.command()
@line_command
def sown(
    bed: BedArgument,
    crop: CropArgument,
    share: Annotated[
        float | None, typer.Option("--share", min=0.01, max=1.0, help="Share of the bed; without it, as planned.")
    ] = None,
    planted: Annotated[
        bool | None, typer.Option("--plants/--seed", help="Plants set out, or seed sown; without it, as planned.")
    ] = None,
    variety: Annotated[str, typer.Option("--variety", metavar="NAME", help="Its variety.")] = "",
    cleared: Annotated[bool, typer.Option("--cleared", help="It went into a slot cleared of the layer.")] = False,
    although: Annotated[
        str | None,
        typer.Option("--although", metavar="REASON", help="Why it was sown though a rule of safety speaks against it."),
    ] = None,
) -> Callable[[Line], Kept]:
    """Write down a sowing or planting."""
    from mullbed.usecases.log_line import log_sown

    return lambda line: log_sown(
        line, bed, crop, share=share, planted=planted, variety=variety, cleared=cleared, although=although
    )


@log.command()
@line_command
def harvest(
    bed: BedArgument,
    crop: CropArgument,
    mass: Annotated[str, typer.Argument(metavar="MASS", help="3.2 kg or 7 lb.")],
    last: Annotated[bool, typer.Option("--last", help="The crop is cleared with it.")] = False,
    plot: Annotated[
        str | None, typer.Option("--plot", metavar="CODE", help="Plot of a trial it was picked from.")
    ] = None,
) -> Callable[[Line], Kept]:
    """Write down a harvest, weighed."""
    from mullbed.usecases.log_line import log_harvest

    return lambda line: log_harvest(line, bed, crop, mass, last=last, plot=plot)


@log.command()
@line_command
def weather(
    rain: Annotated[
        str | None, typer.Option("--rain", metavar="DEPTH", help="The rain gauge: 12, 12 mm or 0.5 in.")
    ] = None,
    low: Annotated[str | None, typer.Option("--low", metavar="DEGREES", help="Lowest of the day: 4 or 39 F.")] = None,
    high: Annotated[
        str | None, typer.Option("--high", metavar="DEGREES", help="Highest of the day: 15 or 59 F.")
    ] = None,
    expected: Annotated[
        RainExpected | None, typer.Option("--expected", help="Rain expected in the next three days.")
    ] = None,
) -> Callable[[Line], Kept]:
    """Write down a day's weather: rain gauge, low and high, rain expected.

    What was not read is taken from what is usual at the place, and marked so.
    """
    from mullbed.usecases.log_line import log_weather

    return lambda line: log_weather(line, rain=rain, low=low, high=high, expected=expected)


@log.command("soil-test")
@line_command
def soil_test(
    bed: BedArgument,
    organic_matter: Annotated[
        float | None, typer.Option("--organic-matter", metavar="PERCENT", min=0.1, max=40.0, help="Of dry soil. [%]")
    ] = None,
    mineral_nitrogen: Annotated[
        float | None,
        typer.Option("--mineral-nitrogen", metavar="NUMBER", min=0.0, max=200.0, help="Of 0-60 cm. [g/m2]"),
    ] = None,
    phosphorus: Annotated[
        str | None, typer.Option("--phosphorus", metavar="CLASS", help="low, medium, high or very high.")
    ] = None,
    laboratory: Annotated[str, typer.Option("--laboratory", metavar="NAME", help="Who measured it.")] = "",
) -> Callable[[Line], Kept]:
    """Write down a soil test of a bed."""
    from mullbed.usecases.log_line import log_soil_test

    share = organic_matter / 100.0 if organic_matter is not None else None
    return lambda line: log_soil_test(
        line, bed, organic_matter=share, mineral_nitrogen=mineral_nitrogen, phosphorus=phosphorus, laboratory=laboratory
    )


@log.command()
@line_command
def hours(
    job: Annotated[str, typer.Argument(metavar="JOB", help="What was done.")],
    minutes: Annotated[float, typer.Argument(metavar="MINUTES", min=0.0, help="Of all people together.")],
    people: Annotated[int, typer.Option("--people", min=1, help="How many worked.")] = 1,
    bed: Annotated[str | None, typer.Option("--bed", metavar="BED", help="The bed it was on.")] = None,
) -> Callable[[Line], Kept]:
    """Write down work."""
    from mullbed.usecases.log_line import log_hours

    return lambda line: log_hours(line, job, minutes, people=people, bed=bed)


@log.command()
@line_command
def cost(
    what: Annotated[str, typer.Argument(metavar="WHAT", help="What it was for.")],
    amount: Annotated[str, typer.Argument(metavar="AMOUNT", help="12.50; below zero for income.")],
    currency: Annotated[str, typer.Argument(metavar="CURRENCY", help="Three letters, such as EUR.")],
) -> Callable[[Line], Kept]:
    """Write down money spent or taken in."""
    from mullbed.usecases.log_line import log_cost

    return lambda line: log_cost(line, what, amount, currency)


@log.command()
@line_command
def incident(
    what: Annotated[str, typer.Argument(metavar="WHAT", help="injury, vermin, fire, illness ...")],
    text: Annotated[str, typer.Argument(metavar="TEXT", help="What happened.")],
    done: Annotated[str, typer.Option("--done", metavar="TEXT", help="What was done.")] = "",
    told: Annotated[
        list[str] | None, typer.Option("--told", metavar="WHO", help="Who was told; may come again.")
    ] = None,
) -> Callable[[Line], Kept]:
    """Write down an incident: injury, vermin, fire, illness."""
    from mullbed.usecases.log_line import log_incident

    return lambda line: log_incident(line, what, text, done=done, told=told or ())


@log.command("take-back")
@line_command
def take_back(
    entry: Annotated[str, typer.Argument(metavar="ID", help="Id of the line, its last letters, or: last.")],
) -> Callable[[Line], Kept]:
    """Take a line back; it stays in the record and no longer counts."""
    from mullbed.usecases.log_line import take_back as taken

    return lambda line: taken(line, entry)


@log.command("list")
def list_lines(
    bed: Annotated[str | None, typer.Option("--bed", metavar="BED", help="Only this bed.")] = None,
    kind: Annotated[
        list[str] | None, typer.Option("--kind", metavar="KIND", help="Only this kind; may come again.")
    ] = None,
    since: Annotated[str | None, typer.Option("--since", metavar="DATE", help="Only from this day on.")] = None,
    newest: Annotated[int, typer.Option("--newest", metavar="NUMBER", min=1, help="So many at most.")] = 20,
    record: RecordOption = None,
    garden: WhichOption = None,
    units: UnitsOption = UnitSystem.METRIC,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """List what was written down last."""
    from mullbed.reports.kept_words import notes_document, notes_text
    from mullbed.usecases.log_line import list_notes

    found = list_notes(where(record, garden), bed=bed, kinds=kind or (), since=day_typed(since), newest=newest)
    Screen(as_json, plain).show(lambda style: notes_text(found, units, style), lambda: notes_document(found, units))
