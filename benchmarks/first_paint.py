"""How soon a phone shows something of use: first contentful paint with the processor slowed four times, page by page.

Writes benchmarks/results/first_paint.json. Nothing is asserted of time; what fails is a page that is wrong.
"""

from __future__ import annotations

import json
import os
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from datetime import UTC, date, datetime
from importlib.resources import files
from pathlib import Path
from typing import Any

from mullbed.domain.signing import Signature, Where
from mullbed.usecases.create_garden import create_garden
from mullbed.usecases.make_season_plan import make_season_plan

RESULTS = Path(__file__).parent / "results" / "first_paint.json"
PAGES = (
    "/",
    "/map",
    "/bed/Garlic%20Bed",
    "/bed/Garlic%20Bed/lay",
    "/noticed?bed=Garlic%20Bed",
    "/did?bed=Garlic%20Bed",
    "/in-hand",
    "/season",
    "/print",
    "/show",
)
SLOWED = 4
"""The processor of the browser is slowed so many times."""
TIMES = 5
AIM = 1500.0
"""[ms]"""
SERVE = (
    "import sys, uvicorn; from datetime import date; from mullbed.domain.signing import Where;"
    "from mullbed.usecases.warm_up import warm_up; from mullbed.web.app import build_app;"
    "from mullbed.web.settings import Settings; from mullbed.web.warm_pages import warm_garden;"
    "settings = Settings(Where(sys.argv[1]), 'Ada', today=date(2027, 6, 9)); warm_up(); warm_garden(settings);"
    "uvicorn.run(build_app(settings),"
    "host='127.0.0.1', port=int(sys.argv[2]), log_level='warning')"
)
PAINT = """() => new Promise((done) => {
  const found = performance.getEntriesByName('first-contentful-paint')[0];
  if (found) return done(found.startTime);
  new PerformanceObserver((list) => { for (const one of list.getEntries())
    if (one.name === 'first-contentful-paint') done(one.startTime); }).observe({ type: 'paint', buffered: true });
})"""


def main() -> None:
    """Measure and write."""
    with tempfile.TemporaryDirectory() as folder:
        record = Path(folder) / "record.sqlite"
        garden = Path(str(files("mullbed.files").joinpath("demo/garden.toml")))
        told = Signature("Ada", datetime(2026, 3, 1, tzinfo=UTC), date(2027, 3, 1), lambda: os.urandom(10))
        create_garden(garden, Where(str(record)), told)
        day = date(2027, 6, 9)
        begun = Signature("Ada", datetime(2026, 3, 2, tzinfo=UTC), day, lambda: os.urandom(10))
        make_season_plan(Path(), where=Where(str(record)), today=day, signed=begun, threads=1)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        server = subprocess.Popen([sys.executable, "-c", SERVE, str(record), str(port)])
        try:
            _wait(port)
            measured = _measured(port)
        finally:
            server.terminate()
            server.wait(10)
    RESULTS.parent.mkdir(exist_ok=True)
    RESULTS.write_text(json.dumps({"slowed": SLOWED, "aim_ms": AIM, "pages": measured}, indent=2) + "\n")
    for path, one in measured.items():
        times = f"new {one['rendered_anew_ms']:6.0f} ms, again {one['again_ms']:6.0f} ms"
        print(f"{path:32} {times}, {one['bytes'] / 1000:5.0f} kB")


def _wait(port: int) -> None:
    for _ in range(600):
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/health", timeout=1):
                return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError("the server did not start")


def _measured(port: int) -> dict[str, dict[str, Any]]:
    """Return first paints by page: of the first look, which the server renders, and the middle of later ones. [ms]"""
    from playwright.sync_api import sync_playwright

    chromium = shutil.which("chromium") or shutil.which("google-chrome")
    told: dict[str, dict[str, Any]] = {}
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        for path in PAGES:
            paints, size = [], 0
            for _ in range(TIMES + 1):
                context = browser.new_context(viewport={"width": 390, "height": 844})
                page = context.new_page()
                context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
                came: list[Any] = []
                page.on("response", lambda answer, kept=came: kept.append(answer))
                answer = page.goto(f"http://127.0.0.1:{port}{path}")
                if answer is None or answer.status != 200:
                    raise RuntimeError(f"{path} did not come")
                paints.append(float(page.evaluate(PAINT)))
                size = sum(int(one.headers["content-length"]) for one in came if one.status == 200)
                context.close()
            told[path] = {
                "rendered_anew_ms": round(paints[0], 1),
                "again_ms": round(statistics.median(paints[1:]), 1),
                "bytes": size,
            }
        browser.close()
    return told


if __name__ == "__main__":
    main()
