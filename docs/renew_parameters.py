"""Write the table of parameters in docs/topics/process-model.md from the engine's own list; a test compares them."""

from __future__ import annotations

from pathlib import Path

from mullbed.simulate.parameters import PARAMETERS

PAGE = Path(__file__).resolve().parent / "topics" / "process-model.md"
HEAD = "| parameter | middle | doubt | unit | class |\n|---|---|---|---|---|\n"
DOUBT = {"cv": "CV {:g}", "log": "log-sd {:g}", "sd": "sd {:g}", "": "held"}


def page() -> str:
    """Return the page with a new table."""
    text = PAGE.read_text(encoding="utf-8")
    before, _, rest = text.partition(HEAD)
    after = rest[rest.index("\n\n") :]
    rows = [
        f"| `{one.name}` | {one.middle:g} | {DOUBT[one.kind].format(one.spread)} | {one.unit} | {one.evidence} |"
        for one in PARAMETERS
    ]
    return before + HEAD + "\n".join(rows) + after


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
