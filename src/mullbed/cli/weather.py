"""``mullbed weather``: daily weather from any table or open service, and what it says."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, SeedOption, today
from mullbed.errors import Fault, InputFault

weather = typer.Typer(
    name="weather", no_args_is_help=True, rich_markup_mode=None, help="Bring daily weather from any table or service."
)

LatitudeOption = Annotated[
    float | None,
    typer.Option("--latitude", metavar="DEGREES", min=-72.0, max=72.0, help="North positive; finds more slips."),
]
ElevationOption = Annotated[float | None, typer.Option("--elevation", metavar="METRES", help="Above the sea.")]
GapsOption = Annotated[
    list[str] | None,
    typer.Option(
        "--gaps",
        metavar="WAY",
        help="What to do about missing values, one after the other: leave, refuse, line:3 (up to 3 days), other-years. "
        "Without it they are named and stay missing.",
    ),
]


@weather.command("read")
def read(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="A station's table (CSV), an open service's saved answer, or a grid.")
    ],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Write the weather file a garden can name.")
    ] = None,
    column: Annotated[
        list[str] | None,
        typer.Option(
            "--column", metavar="OURS=HEADING:UNIT", help="Say what a column is: tmax_c=TX:°F; srad= leaves it out."
        ),
    ] = None,
    mapping: Annotated[
        Path | None, typer.Option("--mapping", metavar="FILE", help="What the columns are, kept from an earlier table.")
    ] = None,
    keep_mapping: Annotated[
        Path | None,
        typer.Option("--keep-mapping", metavar="FILE", help="Keep what the columns are for the next table."),
    ] = None,
    dates: Annotated[
        str | None, typer.Option("--dates", metavar="ORDER", help="year-month-day, day-month-year or month-day-year.")
    ] = None,
    wind_height: Annotated[
        float | None, typer.Option("--wind-height", metavar="METRES", min=0.5, max=100.0, help="2 where not told.")
    ] = None,
    latitude: LatitudeOption = None,
    longitude: Annotated[
        float | None, typer.Option("--longitude", metavar="DEGREES", help="East positive; for a grid of places.")
    ] = None,
    elevation: ElevationOption = None,
    gaps: GapsOption = None,
    swap: Annotated[
        bool, typer.Option("--swap", help="Swap lowest and highest back on days where they are the wrong way round.")
    ] = False,
    source: Annotated[str | None, typer.Option("--source", metavar="WORDS", help="Where it is from.")] = None,
    yes: Annotated[bool, typer.Option("--yes", help="What was guessed has been seen and is right.")] = False,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Read a station's table, whatever its columns.

    Names and units are found, shown and written only when you have confirmed what was guessed. Gaps are named and
    filled only as you say. What looks odd is told: frozen sensors, swapped columns, units that slip.

    \b
    mullbed weather read station.csv --latitude 48.2
    mullbed weather read station.csv --yes --out weather.csv
    """
    from mullbed.reports.weather_record import record_document, record_text
    from mullbed.usecases.read_weather import read_weather

    found = read_weather(
        file,
        columns=column or (),
        mapping=mapping,
        dates=dates,
        wind_height=wind_height,
        latitude=latitude,
        longitude=longitude,
        elevation=elevation,
        gaps=gaps or (),
        swap=swap,
        source=source,
        confirmed=yes,
        out=out,
        keep_mapping=keep_mapping,
    )
    written = [str(path) for path in (out, keep_mapping) if path is not None]
    Screen(as_json, plain).show(
        lambda style: record_text(found, style, written=written), lambda: record_document(found)
    )


@weather.command("fetch")
def fetch(
    latitude: Annotated[float, typer.Option("--latitude", metavar="DEGREES", help="North positive.")],
    longitude: Annotated[float, typer.Option("--longitude", metavar="DEGREES", help="East positive.")],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Write the weather file a garden can name.")
    ] = None,
    service: Annotated[str, typer.Option("--service", metavar="NAME", help="nasa-power or open-meteo.")] = "nasa-power",
    first: Annotated[
        str | None, typer.Option("--from", metavar="DAY", help="Year or day; without it, thirty years.")
    ] = None,
    last: Annotated[
        str | None, typer.Option("--until", metavar="DAY", help="Year or day; without it, the last whole year.")
    ] = None,
    gaps: GapsOption = None,
    offline: Annotated[
        bool,
        typer.Option("--offline", envvar="MULLBED_OFFLINE", help="Never ask the network; use what was kept before."),
    ] = False,
    fresh: Annotated[bool, typer.Option("--fresh", help="Ask again for what was kept before.")] = False,
    cache: Annotated[
        Path | None,
        typer.Option("--cache", metavar="FOLDER", envvar="MULLBED_WEATHER_CACHE", help="Folder that keeps answers."),
    ] = None,
    address: Annotated[
        str | None, typer.Option("--address", metavar="URL", help="Another server that answers alike.")
    ] = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Fetch a place's daily weather from an open service.

    Only the coordinates, to a hundredth of a degree, and the days are sent. Answers are kept, so the network is asked
    once; --offline or MULLBED_OFFLINE=1 keeps it from being asked at all. Who is to be named stands in the file.

    \b
    mullbed weather fetch --latitude 48.2 --longitude 16.4 --out weather.csv
    """
    from mullbed.reports.weather_record import fetched_document, fetched_text
    from mullbed.usecases.fetch_weather import fetch_weather

    screen = Screen(as_json, plain)
    found = fetch_weather(
        latitude,
        longitude,
        today=today(),
        service=service,
        first_day=first,
        last_day=last,
        gaps=gaps or (),
        out=out,
        offline=offline,
        fresh=fresh,
        cache=cache,
        address=address,
        progress=screen.progress,
    )
    written = [str(out)] if out is not None else []
    screen.show(lambda style: fetched_text(found, style, written=written), lambda: fetched_document(found))


@weather.command("possible")
def possible(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A weather file a garden can name.")],
    latitude: Annotated[
        float, typer.Option("--latitude", metavar="DEGREES", min=-72.0, max=72.0, help="North positive.")
    ],
    first: Annotated[str, typer.Option("--from", metavar="DAY", help="First day of the season.")],
    last: Annotated[str, typer.Option("--until", metavar="DAY", help="Last day of the season.")],
    way: Annotated[
        str, typer.Option("--way", metavar="WAY", help="years, blocks or generated: how seasons are made.")
    ] = "years",
    seasons: Annotated[
        int | None, typer.Option("--seasons", metavar="NUMBER", help="How many are joined or generated.")
    ] = None,
    forecast: Annotated[
        Path | None, typer.Option("--forecast", metavar="FILE", help="Days of a forecast to put in front.")
    ] = None,
    warmer: Annotated[
        str, typer.Option("--warmer", metavar="DEGREES", help="Another climate: one number or twelve, 1.5 or 1,1,2,...")
    ] = "",
    rain_times: Annotated[
        str, typer.Option("--rain-times", metavar="TIMES", help="The same for rain: 0.9, or twelve numbers.")
    ] = "",
    elevation: ElevationOption = None,
    seed: SeedOption = 1,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Show what seasons to expect, and what is not known.

    Past years as they were, seasons joined from two-week blocks of them, or seasons of a generator fitted to them;
    beside each way stands what it does not know. A garden file chooses with seasons = "generated" under [weather].

    \b
    mullbed weather possible weather.csv --latitude 48.2 \\
      --from 2027-04-01 --until 2027-10-31 --way generated
    """
    from mullbed.reports.possible_seasons import seasons_document, seasons_text
    from mullbed.usecases.compare_seasons import compare_seasons

    found = compare_seasons(
        file,
        latitude,
        _day(first, "--from"),
        _day(last, "--until"),
        way=way,
        seasons=seasons,
        forecast=forecast,
        warmer=_numbers(warmer, "--warmer"),
        rain_times=_numbers(rain_times, "--rain-times"),
        elevation=elevation,
        seed=seed,
    )
    Screen(as_json, plain).show(lambda style: seasons_text(found, style), lambda: seasons_document(found))


def _day(text: str, option: str) -> date:
    """Return a day as typed; raises InputFault."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        fault = Fault(option, f"'{text[:20]}'", "a day such as 2027-04-01", "Write year-month-day.")
        raise InputFault([fault]) from None


def _numbers(text: str, option: str) -> tuple[float, ...]:
    """Return numbers parted by commas; raises InputFault."""
    try:
        return tuple(float(part) for part in text.split(",") if part.strip())
    except ValueError:
        fault = Fault(option, f"'{text[:40]}'", "numbers parted by commas", "Write 1.5, or twelve of them.")
        raise InputFault([fault]) from None
