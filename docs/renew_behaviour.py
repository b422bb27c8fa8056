"""Write docs/BEHAVIOUR.md and the charts in docs/behaviour. Run by ``make docs``; needs no data."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

DOCS = Path(__file__).resolve().parent
CHARTS = DOCS / "behaviour"


def main() -> int:
    """Run the catalogue into docs/behaviour and move its page beside the other pages."""
    command = [sys.executable, "-m", "mullbed", "behaviour", "--report", str(CHARTS), "--plain"]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    page = CHARTS / "BEHAVIOUR.md"
    (DOCS / "BEHAVIOUR.md").write_text(
        re.sub(r"\]\((?=[a-z0-9_]+\.svg)", "](behaviour/", page.read_text(encoding="utf-8")), encoding="utf-8"
    )
    page.unlink()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
