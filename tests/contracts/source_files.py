"""What the house-rule tests read: tracked files, parsed modules, equations with their docstrings."""

from __future__ import annotations

import ast
import re
import subprocess
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[2]
PACKAGE = REPOSITORY / "src" / "mullbed"
SOURCES = PACKAGE / "reference" / "sources.toml"

_SECTION = re.compile(r"^(\w[\w ]*)\n-{3,}\s*$", re.M)
_ENTRY = re.compile(r"^(\w+(?:, \w+)*) : (.+)\n((?:    .*\n?)+)", re.M)
UNIT = re.compile(r"\[[^\]@]+\]")
KEY = re.compile(r"\[@([A-Za-z0-9_]+)\]")


@cache
def tracked_files() -> tuple[Path, ...]:
    """Return every file of the repository that is, or would be, tracked."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=REPOSITORY,
        capture_output=True,
        text=True,
        check=False,
    )
    names = listed.stdout.splitlines() if listed.returncode == 0 else _walked()
    return tuple(path for name in names if (path := REPOSITORY / name).is_file())


def _walked() -> list[str]:
    """Return the files of a tree without git, such as an unpacked archive."""
    hidden = {".venv", ".git", "demo-out", "build", "dist", "__pycache__"}
    return [
        str(path.relative_to(REPOSITORY))
        for path in REPOSITORY.rglob("*")
        if path.is_file() and not hidden & set(path.relative_to(REPOSITORY).parts) and ".egg-info" not in str(path)
    ]


@cache
def modules() -> dict[str, ast.Module]:
    """Return the parsed source of the package by path inside it."""
    return {
        str(path.relative_to(PACKAGE)): ast.parse(path.read_text(encoding="utf-8"))
        for path in sorted(PACKAGE.rglob("*.py"))
    }


@cache
def source_keys() -> frozenset[str]:
    """Return the keys of every publication named in sources.toml, at either depth."""
    table = tomllib.loads(SOURCES.read_text(encoding="utf-8"))
    rows = table.get("source", table.get("sources", table))
    if isinstance(rows, list):
        return frozenset(str(row["key"]) for row in rows)
    return frozenset(rows)


@dataclass(frozen=True)
class Equation:
    """One function marked ``@equation``, as it is written."""

    module: str
    name: str
    line: int
    arguments: tuple[str, ...]
    docstring: str

    @property
    def place(self) -> str:
        """Where it stands."""
        return f"{self.module}:{self.line} {self.name}"

    def section(self, title: str) -> str | None:
        """Return the text under a section title, or None without the section."""
        parts = _SECTION.split(self.docstring)
        titles = [part.strip() for part in parts[1::2]]
        return parts[2::2][titles.index(title)] if title in titles else None

    def documented(self, title: str) -> dict[str, str]:
        """Return name to description of a section's entries; "a, b : float" documents both."""
        found: dict[str, str] = {}
        for names, _, text in _ENTRY.findall((self.section(title) or "").rstrip() + "\n"):
            found |= {name.strip(): text.strip() for name in names.split(",")}
        return found


@cache
def equations() -> tuple[Equation, ...]:
    """Return every equation of the package."""
    found = []
    for name, tree in modules().items():
        if not name.startswith("processes/"):
            continue
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and any(
                isinstance(mark, ast.Name) and mark.id == "equation" for mark in node.decorator_list
            ):
                arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
                text = ast.get_docstring(node, clean=True) or ""
                found.append(Equation(name, node.name, node.lineno, tuple(a.arg for a in arguments), text))
    return tuple(found)
