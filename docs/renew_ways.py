"""Write the tables of docs/topics/ways.md: three invented gardens in open weather, every way in unseen years.

Run by hand: it takes some minutes. Where the open data are absent it says so and leaves the page as it is.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from pathlib import Path

from mullbed.reports.ways_text import ways_markdown, ways_sentence
from mullbed.usecases.compare_ways import compare_ways

DOCS = Path(__file__).resolve().parent
PAGE = DOCS / "topics" / "ways.md"
GARDENS = {"dry_summer": "tunis_tn.csv", "wet_cool": "brussels_be.csv", "hot_dry": "maricopa_arizona_us.csv"}


def main(chosen: list[str]) -> int:
    """Renew the tables named on the command line, or all."""
    named = os.environ.get("MULLBED_SHARED")
    weather = (Path(named) if named else DOCS.parents[1] / "shared") / "data" / "weather"
    if not weather.is_dir():
        sys.stderr.write("OPEN DATA ABSENT: docs/topics/ways.md stays as it is.\n")
        return 0
    for name in chosen or list(GARDENS):
        with tempfile.TemporaryDirectory() as room:
            shutil.copy(DOCS / "ways" / f"{name}.toml", room)
            shutil.copy(weather / GARDENS[name], room)
            found = compare_ways(
                Path(room) / f"{name}.toml", progress=lambda sentence: sys.stderr.write(sentence + "\n")
            )
        told = (
            f"{ways_sentence(found)} Planned and tuned with {len(found.planned_with)} seasons, tried in "
            f"{found.seasons} draws of {len(found.tried_in)} unseen ones; gap of the plan {100.0 * found.gap:.1f} %, "
            f"without the ceiling {100.0 * found.gap_ceiling_let_go:.1f} %.\n\n{ways_markdown(found)}"
        )
        before, _, rest = PAGE.read_text(encoding="utf-8").partition(f"<!-- {name} -->\n")
        after = rest[rest.index("<!-- end -->") :]
        PAGE.write_text(f"{before}<!-- {name} -->\n{told}{after}", encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
