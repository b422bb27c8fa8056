"""Draw docs/pictures/readme.png from a folder a plan was written to: the report on a desk beside two bed cards.

Usage: python docs/pictures/renew.py demo-out
Needs a Chromium browser (its command in the variable BROWSER, else "chromium") and pdftoppm of poppler-utils.
"""

from __future__ import annotations

import base64
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--hide-scrollbars",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip


def shot(page: Path, picture: Path, width: int, height: int, folder: Path) -> None:
    """Take a picture of a page."""
    browser = shutil.which(os.environ.get("BROWSER", "chromium"))
    if browser is None:
        raise SystemExit("No browser found. Set BROWSER to the command of a Chromium.")
    subprocess.run(
        [browser, *FLAGS, f"--user-data-dir={folder / 'profile'}", f"--window-size={width},{height}",
         f"--screenshot={picture}", page.resolve().as_uri()],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip


def embedded(picture: Path) -> str:
    """Return a picture as an address that holds it."""
    return f"data:image/png;base64,{base64.b64encode(picture.read_bytes()).decode()}"


def renew(out: Path, target: Path) -> None:
    """Draw the picture of the README."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shot(out / "report.html", folder / "report.png", 1180, 1250, folder)
        for page, card in ((1, "first"), (3, "second")):
            subprocess.run(
                ["pdftoppm", "-r", "100", "-f", str(page), "-l", str(page), "-png", "-singlefile",
                 str(out / "cards.pdf"), str(folder / card)],
                check=True, timeout=120,
            )  # fmt: skip
        page = folder / "page.html"
        cards = "".join(
            f'<img src="{embedded(folder / f"{card}.png")}" style="width:400px;border:1px solid;margin-bottom:18px">'
            for card in ("first", "second")
        )
        page.write_text(
            '<body style="margin:0;background:#DCDACD;display:flex;gap:20px;padding:20px">'
            f'<img src="{embedded(folder / "report.png")}" style="width:1090px;height:1155px">'
            f'<div style="width:402px">{cards}</div></body>',
            encoding="utf-8",
        )
        shot(page, target, 1552, 1196, folder)


if __name__ == "__main__":
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    renew(Path(sys.argv[1]), Path(__file__).parent / "readme.png")
