"""Show the sizes of the code: files, bodies, public names. Nothing here is a limit."""

from __future__ import annotations

import ast
import statistics
from pathlib import Path

SOURCE = Path(__file__).resolve().parent.parent / "src" / "mullbed"
FILE_LINES, BODY_LINES, PUBLIC_NAMES = (50, 300), 40, 10


def body_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Return the lines of a function after its docstring."""
    body = function.body[1:] if ast.get_docstring(function) and len(function.body) > 1 else function.body
    return (body[-1].end_lineno or body[-1].lineno) - body[0].lineno + 1


def main() -> None:
    """Print the picture, longest first."""
    files: list[tuple[int, str]] = []
    bodies: list[tuple[int, str]] = []
    crowded: list[tuple[int, str]] = []
    for path in sorted(SOURCE.rglob("*.py")):
        name = str(path.relative_to(SOURCE))
        text = path.read_text(encoding="utf-8")
        tree = ast.parse(text)
        files.append((text.count("\n"), name))
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                bodies.append((body_lines(node), f"{name}:{node.lineno} {node.name}"))
        public = [n.name for n in tree.body if isinstance(n, ast.FunctionDef | ast.ClassDef) and n.name[0] != "_"]
        crowded.append((len(public), name))
    written = [lines for lines, name in files if not name.endswith("__init__.py")]
    print(f"{len(written)} files, {sum(written)} lines, median {statistics.median(written):.0f}")
    show("Files outside 50-300 lines", [f for f in files if f[0] > FILE_LINES[1]])
    show("Bodies over 40 lines", [b for b in bodies if b[0] > BODY_LINES])
    show("More than 10 public names", [c for c in crowded if c[0] > PUBLIC_NAMES])


def show(title: str, rows: list[tuple[int, str]]) -> None:
    """Print one list, largest first."""
    print(f"\n{title}: {len(rows)}")
    for size, name in sorted(rows, reverse=True):
        print(f"  {size:5d}  {name}")


if __name__ == "__main__":
    main()
