"""``mullbed log`` of what came in: batches, their tests, what did not come; and when nobody is there."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated

import typer

from mullbed.cli.log import line_command, log
from mullbed.domain.record_batches import Answer, Decision, TestVerdict

if TYPE_CHECKING:
    from mullbed.domain.signing import Kept
    from mullbed.usecases.log_line import Line

__all__ = ["log"]

BatchArgument = Annotated[str, typer.Argument(metavar="BATCH", help="The batch: its name, or words only it has.")]


@log.command()
@line_command
def missed(
    supply: Annotated[str, typer.Argument(metavar="SUPPLY", help="The expected supply, by its name.")],
) -> Callable[[Line], Kept]:
    """Write down that something expected did not come."""
    from mullbed.usecases.log_line import log_missed

    return lambda line: log_missed(line, supply)


@log.command()
@line_command
def away(
    days: Annotated[str, typer.Argument(metavar="DAYS", help="First and last day: 2027-08-09..2027-08-22.")],
) -> Callable[[Line], Kept]:
    """Write down that nobody will be there from one day to another."""
    from mullbed.cli.wishes import span_typed
    from mullbed.usecases.log_line import log_away

    first, last = span_typed("days", days)
    return lambda line: log_away(line, first, last)


@log.command()
@line_command
def batch(
    text: Annotated[str, typer.Argument(metavar="BATCH", help='What came in: "hay: 3 bales", "dry leaves: 12 bags".')],
    name: Annotated[
        str | None,
        typer.Option("--name", metavar="NAME", help="What to call it; the name of an expected supply stands for it."),
    ] = None,
    origin: Annotated[str, typer.Option("--from", metavar="WHO", help="Where it comes from.")] = "",
    sprayed: Annotated[Answer, typer.Option("--sprayed", help="Sprayed against weeds?")] = Answer.NOT_KNOWN,
    seeded: Annotated[Answer, typer.Option("--seeded", help="Ripe seed or running roots in it?")] = Answer.NOT_KNOWN,
    diseased: Annotated[Answer, typer.Option("--diseased", help="Sick plants in it?")] = Answer.NOT_KNOWN,
    on_soil: Annotated[Answer, typer.Option("--on-soil", help="Stored on bare soil?")] = Answer.NOT_KNOWN,
    decision: Annotated[
        Decision | None, typer.Option("--decide", help="What becomes of it; without it, the answers decide.")
    ] = None,
    because: Annotated[str, typer.Option("--because", metavar="TEXT", help="Why it was decided so.")] = "",
) -> Callable[[Line], Kept]:
    """Write down a batch that was offered, with its intake check."""
    from mullbed.usecases.log_line import log_batch

    return lambda line: log_batch(
        line, text, name=name, origin=origin, sprayed=sprayed, seeded=seeded, diseased=diseased, on_soil=on_soil,
        decision=decision, because=because,
    )  # fmt: skip


@log.command()
@line_command
def decide(
    batch_name: BatchArgument,
    decision: Annotated[Decision, typer.Argument(metavar="DECISION", help="keep, hold and test, or send back.")],
    because: Annotated[str, typer.Option("--because", metavar="TEXT", help="Why.")],
) -> Callable[[Line], Kept]:
    """Write down what becomes of a batch."""
    from mullbed.usecases.log_line import log_decision

    return lambda line: log_decision(line, batch_name, decision, because)


@log.command()
@line_command
def test(
    batch_name: BatchArgument,
    pots: Annotated[int, typer.Option("--pots", min=1, help="Pots with the batch in them.")] = 3,
    control_pots: Annotated[int, typer.Option("--clean-pots", min=1, help="Pots without it.")] = 3,
    beans: Annotated[int, typer.Option("--beans", min=1, help="Beans in each pot.")] = 3,
) -> Callable[[Line], Kept]:
    """Write down that a bean test was sown; its reading days are told."""
    from mullbed.usecases.log_line import log_test_set_up

    return lambda line: log_test_set_up(line, batch_name, pots=pots, control_pots=control_pots, beans=beans)


@log.command("test-read")
@line_command
def test_read(
    batch_name: BatchArgument,
    verdict: Annotated[TestVerdict, typer.Argument(metavar="VERDICT", help="clear, harmed or unclear.")],
    last: Annotated[bool, typer.Option("--last/--more", help="The last reading, or more to come.")] = True,
) -> Callable[[Line], Kept]:
    """Write down what a bean test says; a clear one frees the batch."""
    from mullbed.usecases.log_line import log_test_read

    return lambda line: log_test_read(line, batch_name, verdict, last=last)
