"""The pages say what the code does: names, commands, options and every piece of Python in them."""

from __future__ import annotations

import re
import runpy
import shlex
from pathlib import Path

import pytest
import typer.main
from source_files import REPOSITORY, equations, tracked_files

from mullbed.cli.main import app

PAGES = [path for path in tracked_files() if path.suffix == ".md"]

#: Names of equation arguments that carry more than one unit today. May fall, never rise.
NAMES_WITH_TWO_UNITS = 25


def fenced(page: Path, language: str) -> list[str]:
    return re.findall(rf"^```{language}[^\n]*\n(.*?)^```", page.read_text(encoding="utf-8"), re.M | re.S)


def test_the_page_of_names_is_what_the_equations_say() -> None:
    renewed = runpy.run_path(str(REPOSITORY / "docs" / "renew_names.py"))["page"]()
    written = (REPOSITORY / "docs" / "names.md").read_text(encoding="utf-8")
    assert written == renewed, "run python docs/renew_names.py"


def test_the_count_of_names_with_more_than_one_unit_only_falls() -> None:
    units: dict[str, set[str]] = {}
    for name, unit in re.findall(r"^\| `(\w+)` \| ([^|]+) \|", (REPOSITORY / "docs/names.md").read_text("utf-8"), re.M):
        units.setdefault(name, set()).add(unit)
    twice = sorted(name for name, found in units.items() if len(found) > 1)
    assert len(units) > 100
    assert len(twice) <= NAMES_WITH_TWO_UNITS, twice


def test_every_argument_of_every_equation_is_on_the_page_of_names() -> None:
    page = (REPOSITORY / "docs" / "names.md").read_text(encoding="utf-8")
    missing = {name for equation in equations() for name in equation.arguments if f"| `{name}` |" not in page}
    assert not missing


PYTHON_BLOCKS = [
    pytest.param(block, id=f"{page.relative_to(REPOSITORY)}-{number}")
    for page in PAGES
    for number, block in enumerate(fenced(page, "python"), 1)
]


@pytest.mark.parametrize("block", PYTHON_BLOCKS)
def test_the_python_of_the_pages_runs(block: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    exec(compile(block, "page", "exec"), {"__name__": "page"})


def shown_commands() -> list[tuple[str, str]]:
    """Return page and command line of every `mullbed ...` in a shell block of the pages."""
    found = []
    for page in PAGES:
        for language in ("", "sh", "bash", "shell", "console", "text"):
            for block in fenced(page, language) if language else []:
                for line in re.sub(r"\\\n\s*", " ", block).splitlines():
                    typed = re.sub(r"^\s*\$ ?", "", line).strip()
                    if re.match(r"(\.venv/bin/)?mullbed\b", typed):
                        found.append((str(page.relative_to(REPOSITORY)), typed.split(" > ")[0].split(" | ")[0]))
    return found


def test_every_command_the_pages_show_can_be_parsed() -> None:
    group = typer.main.get_command(app)
    offenders = []
    for page, typed in shown_commands():
        words = shlex.split(typed, comments=True)[1:]
        if not words or words[0].startswith("-"):
            continue
        command = group.commands.get(words[0])  # type: ignore[attr-defined]
        if command is None:
            offenders.append(f"{page}: no command {words[0]}: {typed}")
            continue
        while hasattr(command, "commands") and len(words) > 1 and words[1] in command.commands:
            words = words[1:]
            command = command.commands[words[0]]
        options = {option for parameter in command.params for option in getattr(parameter, "opts", [])}
        offenders += [
            f"{page}: {words[0]} has no option {word}: {typed}"
            for word in words[1:]
            if re.match(r"--?[a-z]", word) and word.split("=")[0] not in options | {"--help", "-h"}
        ]
    assert not offenders, "\n".join(offenders)


def test_links_between_the_pages_lead_somewhere() -> None:
    offenders = []
    for page in PAGES:
        for target in re.findall(r"\]\((?!\w+:)([^)#\s]+)", page.read_text(encoding="utf-8")):
            if not (page.parent / target).exists():
                offenders.append(f"{page.relative_to(REPOSITORY)} -> {target}")
    assert not offenders
