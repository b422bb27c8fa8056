"""Write docs/VALIDATION.md and the charts in docs/validation from the open data sets kept beside the repository.

Run by ``make docs``. Where the data sets are absent it says so and leaves the pages as they are.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

DOCS = Path(__file__).resolve().parent
CHARTS = DOCS / "validation"


def main() -> int:
    """Run the validation into docs/validation and move its page beside the other pages."""
    named = os.environ.get("MULLBED_SHARED")
    data = (Path(named) if named else DOCS.parents[1] / "shared") / "data"
    if not data.is_dir():
        sys.stderr.write("OPEN DATA ABSENT: docs/VALIDATION.md stays as it is.\n")
        return 0
    command = [sys.executable, "-m", "mullbed", "validate", "--data", str(data), "--report", str(CHARTS), "--plain"]
    subprocess.run(command, check=True)
    page = CHARTS / "VALIDATION.md"
    (DOCS / "VALIDATION.md").write_text(
        re.sub(r"\]\((?=[a-z0-9_]+\.svg)", "](validation/", page.read_text(encoding="utf-8")), encoding="utf-8"
    )
    page.unlink()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
