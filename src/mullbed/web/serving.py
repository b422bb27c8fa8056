"""Runs the server: on this machine alone, or shared on the local network with a plain warning."""

from __future__ import annotations

import logging
import socket
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from threading import Thread

from mullbed.domain.signing import Where
from mullbed.errors import Fault, InputFault
from mullbed.web.app import build_app
from mullbed.web.request_log import LOGGER, write_lines
from mullbed.web.served import hand_on
from mullbed.web.settings import LOCAL_NAMES, Settings
from mullbed.web.warm_pages import warm_garden

HTTP_WARNING = (
    "Shared over http: pass phrases and notes cross the network in clear, so anyone on it could read them. For more "
    "than a quiet evening at home put a proxy with https before it (docs/howto/share-a-garden.md) and start with "
    "--behind-https."
)


SILENT_FOR = 90
"""A process that says nothing for so long is started anew; compiling the engine for the first time takes half a minute,
in which it may not get a word in. [s]"""


@dataclass(frozen=True, slots=True)
class Door:
    """Where the server listens, and who may come."""

    port: int
    share: bool = False
    names: tuple[str, ...] = ()
    secure: bool = False
    listen: str | None = None
    """Address to listen at; by default this machine alone, or every network where shared."""
    proxy: str = "127.0.0.1"
    """Address of the proxy whose word for who comes, and how, is taken."""
    workers: int = 1
    log: bool = False


def run_server(
    where: Where,
    author: str,
    door: Door,
    *,
    say: Callable[[str], None],
    announce: Callable[[dict[str, object]], None] = lambda _: None,
    today: date | None = None,
    warm: Callable[[], None] = lambda: None,
) -> None:
    """Serve until stopped.

    Raises
    ------
    InputFault
        When the door is taken.
    RecordError
        When the record cannot be opened.
    """
    import uvicorn

    if door.log:
        write_lines()
        say = _say_as_line
    host = _host(door)
    addresses = own_addresses() if door.share else ()
    _check_free(host, door.port)
    settings = Settings(
        where,
        author,
        sign_in=door.share or door.secure,
        names=(*LOCAL_NAMES, *door.names, *addresses),
        secure=door.secure,
        behind_proxy=door.secure,
        today=today,
        log=door.log,
    )
    announce({"address": f"http://127.0.0.1:{door.port}/", "shared": door.share})
    say(f"Open http://127.0.0.1:{door.port}/ on this machine. Stop with Ctrl-C.")
    for address in addresses:
        say(f"On this network: http://{address}:{door.port}/")
    if door.share and not door.secure:
        say(HTTP_WARNING)
    if settings.sign_in:
        _invite_first(where, author, f"http://127.0.0.1:{door.port}", say, told=not door.log)
    several = door.workers > 1
    if several:
        hand_on(settings)
    else:

        def warmed() -> None:  # the first look need wait neither for the engine nor for what every look shares
            warm()
            warm_garden(settings)

        Thread(target=warmed, name="warm up", daemon=True).start()
    uvicorn.run(
        "mullbed.web.served:application" if several else build_app(settings),
        factory=several,
        workers=door.workers if several else None,
        host=host,
        port=door.port,
        log_level="warning",
        log_config=None if door.log else uvicorn.config.LOGGING_CONFIG,
        proxy_headers=door.secure,
        forwarded_allow_ips=door.proxy,
        server_header=False,
        date_header=True,
        h11_max_incomplete_event_size=16 * 1024,
        timeout_worker_healthcheck=SILENT_FOR,
    )


def _host(door: Door) -> str:
    """Return the address to listen at.

    Raises
    ------
    InputFault
        When another address than this machine's own is named and nobody would have to sign in.
    """
    if door.listen is not None and not (door.share or door.secure):
        remedy = "Add --share, or --behind-https with a proxy of your own."
        raise InputFault([Fault("--listen", door.listen, "a page people sign in to", remedy)])
    shared = "0.0.0.0" if door.share and not door.secure else "127.0.0.1"  # nosec B104: only where asked for
    return door.listen or shared


def _say_as_line(sentence: str) -> None:
    logging.getLogger(LOGGER).info({"event": "server", "says": sentence})


def _invite_first(where: Where, author: str, address: str, say: Callable[[str], None], *, told: bool) -> None:
    """Print a link for whoever starts the server, once, while the garden has no lead who can sign in.

    A link is not told where others may read the log.
    """
    from datetime import UTC, datetime
    from secrets import token_urlsafe

    from mullbed.domain.people import Role
    from mullbed.usecases.invite_person import anybody, invite_person

    if not anybody(where):
        if not told:
            say("Nobody can sign in yet. Make a link: mullbed invite --role lead")
            return
        token = token_urlsafe(32)
        invite_person(where, token, Role.LEAD, None, (author, datetime.now(UTC)))
        say(f"Nobody can sign in yet. Set your own name and phrase, once: {address}/accept?code={token}")


def _check_free(host: str, port: int) -> None:
    """Raise a fault when another program listens there."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as tried:
        tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            tried.bind((host, port))
        except OSError as error:
            fault = Fault("--port", f"{port}: {error.strerror}", "a free door above 1023", "Try --port 8438.")
            raise InputFault([fault]) from error


def own_addresses() -> tuple[str, ...]:
    """Return the addresses of this machine on its networks."""
    try:
        found = {str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
    except OSError:
        found = set()
    return tuple(sorted(address for address in found if not address.startswith("127.")))
