"""The command ``mullbed``: parses what was typed, runs one command, turns errors into sentences.

Exit codes: 0 done; 2 something given is wrong or nothing fits, told in sentences; 1 a defect of ours;
130 stopped by the user. Modules that compute are imported by the command that needs them, never here.
"""

from __future__ import annotations

import os
import sys
from typing import Annotated, NoReturn

import typer

from mullbed.cli.backup import backup, restore
from mullbed.cli.bed import bed
from mullbed.cli.behaviour import behaviour
from mullbed.cli.calibrate import calibrate
from mullbed.cli.cautions import cautions
from mullbed.cli.check import check
from mullbed.cli.compare import compare
from mullbed.cli.crops import crops
from mullbed.cli.forecast import forecast
from mullbed.cli.garden import garden
from mullbed.cli.ground_check import ground
from mullbed.cli.hauls import hauls
from mullbed.cli.honest import honest
from mullbed.cli.in_hand import in_hand
from mullbed.cli.invite import invite
from mullbed.cli.layer import layer
from mullbed.cli.learnt import learnt
from mullbed.cli.log_ground import log
from mullbed.cli.noticed import noticed
from mullbed.cli.outlook import outlook
from mullbed.cli.plan import plan
from mullbed.cli.region import region
from mullbed.cli.residues import residues
from mullbed.cli.round import walk
from mullbed.cli.season import season
from mullbed.cli.serve import serve
from mullbed.cli.show import show
from mullbed.cli.soil import soil
from mullbed.cli.trial_record import trial
from mullbed.cli.validate import validate
from mullbed.cli.weather import weather
from mullbed.cli.worth import worth
from mullbed.errors import BalanceError, DirectionError, MullbedError

SUMMARY = """Build garden soil where the bed is: thin layers of soft fresh and dry residues.

Begin with a question that needs no file:

  mullbed check --lift "dry leaves:25mm" --lift "grass clippings:25mm" --area 1m2

Then write a garden file and ask for the season:

  mullbed plan garden.toml --out season

Every command says more with --help, and prints one JSON document with --json.
"""

app = typer.Typer(
    name="mullbed",
    help=SUMMARY,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)


def _show_version(asked: bool) -> None:
    """Print the version and stop, if it was asked for."""
    if asked:
        from importlib.metadata import version

        print(f"mullbed {version('mullbed')}")
        raise typer.Exit


@app.callback()
def _front(
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Show the version and stop.")
    ] = False,
) -> None:
    """Stand before every command."""


for command in (
    plan,
    layer,
    forecast,
    learnt,
    honest,
    check,
    noticed,
    residues,
    crops,
    cautions,
    validate,
    calibrate,
    behaviour,
):
    app.command()(command)
app.command("round")(walk)
app.command("in-hand")(in_hand)
for group in (garden, log, weather):
    app.add_typer(group)
app.command()(bed)
app.command()(season)
app.command()(ground)
app.command()(outlook)
app.command()(worth)
app.command()(compare)
app.command()(hauls)
app.command()(soil)
app.command()(region)
app.command()(serve)
app.command()(invite)
app.command()(backup)
app.command()(restore)
app.add_typer(trial, name="trial")
app.add_typer(show, name="show")


def _end(sentence: str, code: int) -> NoReturn:
    """Say one last thing on standard error and stop."""
    print(sentence, file=sys.stderr)
    raise SystemExit(code)


def run() -> None:
    """Run the command line; never show a traceback unless MULLBED_TRACEBACK is set."""
    try:
        app()
    except (BalanceError, DirectionError) as error:
        _defect(error)
    except MullbedError as error:
        _end(str(error), 2)
    except BrokenPipeError:  # the reader, such as head, has gone
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(0) from None
    except (KeyboardInterrupt, EOFError):
        _end("Stopped. Nothing was written.", 130)
    except Exception as error:
        _defect(error)


def _defect(error: Exception) -> NoReturn:
    """Tell of a defect of ours in one sentence, and how to report it."""
    if os.environ.get("MULLBED_TRACEBACK"):
        import traceback

        traceback.print_exception(error)
    told = " ".join(str(error).split()) or "no more is known"
    _end(
        f"This is a defect of Mullbed, not of your garden: {type(error).__name__}: {told}.\n"
        "Nothing of yours was changed. Run the command again with MULLBED_TRACEBACK=1 set and send what it prints, "
        "with the garden file if you can share it, to the maintainers.",
        1,
    )


if __name__ == "__main__":
    run()
