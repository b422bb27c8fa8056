"""A browser at the pages of a served garden; skipped only where there is no browser and nobody promised one."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from mullbed.domain.signing import Signature, Where
from mullbed.usecases.create_garden import create_garden
from mullbed.usecases.warm_up import warm_up

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
PICTURES = Path(__file__).resolve().parents[2] / "build" / "screenshots"
"""Every page is pictured here, to be looked at; the folder is not kept under version control."""
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--host-resolver-rules=MAP garden.test 127.0.0.1",
]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Leave out what needs a browser where there is none; where CI is set it must be there."""
    if CHROMIUM is not None or os.environ.get("CI"):
        return
    for item in items:
        if "browser" in str(item.path):
            item.add_marker(pytest.mark.skip(reason="NO BROWSER: install chromium to try the pages as people see them"))


@dataclass
class Served:
    """A server of its own process, that can be stopped and started on the same port."""

    record: Path
    port: int
    signs_in: bool = False
    process: subprocess.Popen[bytes] | None = None

    @property
    def local(self) -> str:
        """Address on this machine, where browsers allow a worker."""
        return f"http://localhost:{self.port}"

    @property
    def plain(self) -> str:
        """Address as in a garden's own network: plain http, where browsers allow no worker."""
        return f"http://garden.test:{self.port}"

    def start(self) -> None:
        """Start it and wait until it answers."""
        code = (
            "import sys, uvicorn; from datetime import date; from mullbed.domain.signing import Where;"
            "from mullbed.web.app import build_app; from mullbed.web.settings import LOCAL_NAMES, Settings;"
            "uvicorn.run(build_app(Settings(Where(sys.argv[1]), 'Ada', names=(*LOCAL_NAMES, 'garden.test'),"
            f"sign_in={self.signs_in}, today=date(2027, 6, 9))),"
            "host='127.0.0.1', port=int(sys.argv[2]), log_level='warning')"
        )
        code = "from mullbed.usecases.warm_up import warm_up; warm_up();" + code
        self.process = subprocess.Popen([sys.executable, "-c", code, str(self.record), str(self.port)])
        for _ in range(1800):  # the engine may have to be compiled first
            try:
                with urllib.request.urlopen(f"http://127.0.0.1:{self.port}/health", timeout=1):
                    return
            except OSError:
                time.sleep(0.1)
        raise AssertionError("the server did not start")

    def stop(self) -> None:
        """Stop it."""
        if self.process is not None:
            self.process.send_signal(signal.SIGTERM)
            self.process.wait(10)
            self.process = None


@pytest.fixture(scope="session")
def garden_record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a record of the demo garden, made once."""
    place = tmp_path_factory.mktemp("browser") / "record.sqlite"
    garden = Path(str(files("mullbed.files").joinpath("demo/garden.toml")))
    wrote = Signature("Ada", datetime(2026, 3, 1, tzinfo=UTC), date(2027, 3, 1), lambda: os.urandom(10))
    create_garden(garden, Where(str(place)), wrote)
    warm_up()  # compiled once for this machine, so that no page waits for it
    return place


@pytest.fixture(scope="module")
def served(garden_record: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Return a running server on a record of its own."""
    place = tmp_path_factory.mktemp("served") / "record.sqlite"
    shutil.copy(garden_record, place)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    one = Served(place, port)
    one.start()
    yield one
    one.stop()


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Return the browser."""
    from playwright.sync_api import sync_playwright

    assert CHROMIUM is not None, "CI is set, and no chromium is installed"
    with sync_playwright() as playwright:
        one = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield one
        one.close()


@pytest.fixture
def phone(browser: Any) -> Iterator[Callable[..., Any]]:
    """Return a function that opens a phone; what it asked for elsewhere, and its script's errors, fail the test."""
    opened, strange = [], []

    def opening(width: int = 390, height: int = 844, **options: Any) -> Any:
        context = browser.new_context(viewport={"width": width, "height": height}, **options)
        page = context.new_page()
        page.set_default_timeout(25000)
        page.on("pageerror", lambda error: strange.append(f"script: {error}"))
        page.on(
            "request",
            lambda request: (
                None
                if request.url.split("/")[2].split(":")[0] in ("localhost", "garden.test", "127.0.0.1")
                or request.url.startswith(("data:", "blob:"))
                else strange.append(request.url)
            ),
        )
        page.on("console", lambda told: strange.append(told.text) if "Content Security Policy" in told.text else None)
        opened.append(context)
        return page

    yield opening
    for context in opened:
        context.close()
    assert not strange


@pytest.fixture
def picture() -> Callable[[Any, str], None]:
    """Return a function that keeps a picture of a page."""

    def taking(page: Any, name: str) -> None:
        PICTURES.mkdir(parents=True, exist_ok=True)
        page.screenshot(path=str(PICTURES / f"{name}.png"))

    return taking


@pytest.fixture
def until() -> Callable[..., None]:
    """Return a function that waits until an expression is true in a page.

    The browser tool's own waiting evaluates text within the page, which our policy forbids.
    """

    def waiting(page: Any, expression: str, seconds: float = 8.0) -> None:
        end = time.monotonic() + seconds
        while not page.evaluate(expression):
            assert time.monotonic() < end, f"never came: {expression}; {page.locator('#signal').text_content()}"
            time.sleep(0.03)

    return waiting


LARGEST = 150_000
"""First load of a page, everything it loads included. [bytes]"""
SMALL = """() => [...document.querySelectorAll(
  'main button, main a, main summary, main .choice, main .tick, .stones *')]
.filter((one) => one.offsetParent && one.offsetWidth && !one.closest('svg') && !one.closest('p:not(.more)')
  && !one.classList.contains('unseen') && getComputedStyle(one).position !== 'absolute')
.filter((one) => one.matches('button,a,summary,.choice,.tick') && one.getBoundingClientRect().height < 55.5)
.map((one) => one.outerHTML.slice(0, 90))"""


@pytest.fixture
def sound(phone: Callable[..., Any], picture: Callable[[Any, str], None]) -> Callable[[str, str], Any]:
    """Return a function that looks a page over: its size, faults of access, targets, widths; and pictures it."""
    from axe_playwright_python.sync_playwright import Axe

    def looking(address: str, name: str) -> Any:
        page = phone()
        came: list[Any] = []
        page.on("response", lambda answer: came.append(answer))
        assert page.goto(address).status == 200
        sizes = sum(len(one.body()) for one in came if one.status == 200)
        assert sizes < LARGEST, f"{sizes} bytes"
        picture(page, f"{name}-390x844")
        results = Axe().run(page)
        assert results.violations_count == 0, results.generate_report()
        assert page.evaluate(SMALL) == []
        for width, height in ((320, 568), (1280, 800)):
            page.set_viewport_size({"width": width, "height": height})
            wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
            assert wide <= 0, f"{wide} px too wide at {width}"
            picture(page, f"{name}-{width}x{height}")
        return page

    return looking


class Walker:
    """Somebody who taps visible words, and counts the taps."""

    def __init__(self, page: Any) -> None:
        self.page, self.taps = page, 0

    def tap(self, words: str, *, exact: bool = False) -> None:
        """Tap what carries the words; it must be there to be seen."""
        here = self.page
        found = here.get_by_role("button", name=words, exact=exact)
        for role in ("link", "checkbox", "radio"):
            found = found.or_(here.get_by_role(role, name=words, exact=exact))
        target = found.first
        target.wait_for()
        box = target.bounding_box()
        assert box is not None and box["height"] >= 24
        target.click()
        self.taps += 1
        here.wait_for_load_state("load")

    def sees(self, words: str) -> None:
        """Wait for words."""
        self.page.get_by_text(words).first.wait_for()


@pytest.fixture(scope="module")
def empty_served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Return a running server on a record that holds no garden yet; a test that begins one takes it back."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    one = Served(tmp_path_factory.mktemp("empty") / "new.sqlite", port)
    one.start()
    yield one
    one.stop()
