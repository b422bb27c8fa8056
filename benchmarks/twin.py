"""The C twin of the day loop: equations and steps put into C line by line, the loop around them written by hand.

``twin_loop.c`` beside this file is the day loop in C; it includes ``twin_steps.h``, which is written here from the
equations of ``processes`` and the steps of ``simulate`` as they stand, so that the twin can never be of yesterday's
model. Digging in and sums by lift are left out; everything else of a day, books and outputs included, is there.
"""

from __future__ import annotations

import ast
import ctypes
import importlib
import inspect
import pkgutil
import shutil
import subprocess
import textwrap
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np

LOOP = Path(__file__).with_name("twin_loop.c")
FAST = ("-O3", "-march=native", "-ffast-math")
SCALAR = ("-O2", "-march=native", "-fno-tree-vectorize")
MODULES = (
    "steps_transfer", "steps_cohort", "steps_flows", "steps_water", "steps_upward", "steps_downward", "steps_spread",
    "steps_measure", "steps_soil", "steps_books", "steps_events",
)  # fmt: skip
#: Steps of what the twin leaves out.
LEFT_OUT = {
    "potential_flows",
    "apply_flows",
    "organic_carbon",
    "enter_horizon",
    "leave_horizon",
    "follow_sublayer",
    "follow_cohort",
    "bury",
}
ROWS_OF = {"slot", "cohort", "column", "soil", "residue", "values"}
WHOLE = {"lane", "horizon", "error_row", "day_row"}


class Writer(ast.NodeVisitor):
    """Writes one function in C."""

    def __init__(self, function: Callable[..., Any], known: dict[str, Callable[..., Any]]) -> None:
        self.known = known
        self.is_step = function.__module__.startswith("mullbed.simulate")
        self.names: dict[str, Any] = function.__globals__
        self.tree = ast.parse(textwrap.dedent(inspect.getsource(function))).body[0]
        self.lines: list[str] = []
        self.returned = 0
        self.fresh = 0

    def text(self) -> str:
        """Return the function in C."""
        node = self.tree
        assert isinstance(node, ast.FunctionDef)
        arguments = [one.arg for one in node.args.args]
        body = self.block(node.body, set(arguments))
        kind = {0: "void", 1: "double"}.get(self.returned, f"struct tuple{self.returned}")
        typed = ", ".join(self.typed(node.name, one) for one in arguments)
        return f"static inline __attribute__((always_inline)) {kind} {node.name}({typed})\n{{\n{body}}}\n"

    def typed(self, function: str, name: str) -> str:
        if self.is_step and name in ROWS_OF:
            return f"double *restrict {name}_"
        if name in WHOLE or (function == "cohort_to_soil" and name in ("ammonium", "nitrate")):
            return f"const int {name}_"
        return f"double {name}_"

    def block(self, body: Sequence[ast.stmt], declared: set[str]) -> str:
        """Return statements in C; names first given here are declared here."""
        written = ""
        own = set(declared)
        for statement in body:
            if isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant):
                continue
            written += self.statement(statement, own)
        return written

    def give(self, target: ast.expr, value: str, own: set[str], kind: str = "double") -> str:
        if isinstance(target, ast.Name):
            if target.id in own:
                return f"{target.id}_ = {value};\n"
            own.add(target.id)
            return f"{kind} {target.id}_ = {value};\n"
        return f"{self.of(target)} = {value};\n"

    def statement(self, node: ast.stmt, own: set[str]) -> str:
        if isinstance(node, ast.Assign):
            target = node.targets[0]
            if isinstance(target, ast.Tuple):
                if isinstance(node.value, ast.Tuple):
                    pairs = zip(target.elts, node.value.elts, strict=True)
                    return "".join(self.give(one, self.of(value), own) for one, value in pairs)
                self.fresh += 1
                several = f"several{self.fresh}"
                head = f"struct tuple{len(target.elts)} {several} = {self.of(node.value)};\n"
                return head + "".join(
                    self.give(one, f"{several}.v{place}", own) for place, one in enumerate(target.elts)
                )
            whole = isinstance(node.value, ast.Compare | ast.BoolOp) or (
                isinstance(target, ast.Name) and target.id == "place"
            )
            return self.give(target, self.of(node.value), own, "long" if whole else "double")
        if isinstance(node, ast.AugAssign):
            return f"{self.of(node.target)} {self.sign(node.op)}= {self.of(node.value)};\n"
        if isinstance(node, ast.Return):
            value = node.value
            if isinstance(value, ast.Tuple):
                self.returned = len(value.elts)
                return f"return (struct tuple{self.returned}){{{', '.join(map(self.of, value.elts))}}};\n"
            self.returned = 1
            assert value is not None
            return f"return {self.of(value)};\n"
        if isinstance(node, ast.Expr):
            return f"{self.of(node.value)};\n"
        if isinstance(node, ast.For):
            assert isinstance(node.target, ast.Name) and isinstance(node.iter, ast.Call)
            name, bounds = node.target.id, [self.of(one) for one in node.iter.args]
            first, last, pace = {1: ["0", *bounds, "1"], 2: [*bounds, "1"], 3: bounds}[len(bounds)]
            lanes = "#pragma GCC ivdep\n" if name == "lane" else ""
            inner = self.block(node.body, own | {name})
            return f"{lanes}for (int {name}_ = {first}; {name}_ < {last}; {name}_ += {pace}) {{\n{inner}}}\n"
        raise NotImplementedError(ast.dump(node))

    def sign(self, operator: ast.operator) -> str:
        return {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/"}[type(operator)]

    def of(self, node: ast.expr) -> str:
        """Return an expression in C."""
        if isinstance(node, ast.Constant):
            return repr(node.value)
        if isinstance(node, ast.Name):
            value = self.names.get(node.id)
            return repr(value) if isinstance(value, int | float) and node.id.isupper() else f"{node.id}_"
        if isinstance(node, ast.Attribute):
            assert isinstance(node.value, ast.Name)
            if (node.value.id, node.attr) == ("np", "nan"):
                return "NAN"
            return repr(getattr(self.names[node.value.id], node.attr))
        if isinstance(node, ast.Subscript):
            if isinstance(node.value, ast.Attribute):
                return f"{node.value.attr}[{self.of(node.slice)}]"
            return f"{self.of(node.value)}[{self.of(node.slice)}]"
        if isinstance(node, ast.UnaryOp):
            return f"(-{self.of(node.operand)})"
        if isinstance(node, ast.BinOp):
            if isinstance(node.op, ast.Pow):
                return f"pow({self.of(node.left)}, {self.of(node.right)})"
            return f"({self.of(node.left)} {self.sign(node.op)} {self.of(node.right)})"
        if isinstance(node, ast.BoolOp):
            return "(" + (" & " if isinstance(node.op, ast.And) else " | ").join(map(self.of, node.values)) + ")"
        if isinstance(node, ast.Compare):
            signs = {ast.Lt: "<", ast.Gt: ">", ast.LtE: "<=", ast.GtE: ">=", ast.Eq: "=="}
            return f"({self.of(node.left)} {signs[type(node.ops[0])]} {self.of(node.comparators[0])})"
        if isinstance(node, ast.IfExp):
            return f"({self.of(node.test)} ? {self.of(node.body)} : {self.of(node.orelse)})"
        if isinstance(node, ast.Call):
            return self.call(node)
        raise NotImplementedError(ast.dump(node))

    def call(self, node: ast.Call) -> str:
        given = [self.of(one) for one in node.args]
        if isinstance(node.func, ast.Attribute):
            return f"{node.func.attr}({', '.join(given)})"
        assert isinstance(node.func, ast.Name)
        name = {"min": "least", "max": "most", "abs": "fabs"}.get(node.func.id, node.func.id)
        if node.func.id in self.known:
            parameters = list(inspect.signature(self.known[node.func.id]).parameters.values())
            given += [repr(one.default) for one in parameters[len(given) :]]
        return f"{name}({', '.join(given)})"


def steps_in_c() -> str:
    """Return the equations and steps of the package in C."""
    import mullbed.processes
    from mullbed.simulate import layout, rows

    found: dict[str, Callable[..., Any]] = {}
    for module in pkgutil.iter_modules(mullbed.processes.__path__):
        for name, one in vars(importlib.import_module(f"mullbed.processes.{module.name}")).items():
            if hasattr(one, "py_func"):
                found[name] = one.py_func
    equations = set(found)
    for name in MODULES:
        module_of = importlib.import_module(f"mullbed.simulate.{name}")
        for step, one in vars(module_of).items():
            if hasattr(one, "py_func") and one.__module__ == module_of.__name__ and step not in LEFT_OUT:
                found[step] = one.py_func
    called = {name: calls_of(one) & set(found) for name, one in found.items()}
    wanted = set(found) - equations
    while True:
        more = set().union(*(called[name] for name in wanted)) - wanted
        if not more:
            break
        wanted |= more
    ordered: list[str] = []

    def place(name: str) -> None:
        if name in wanted and name not in ordered:
            for before in sorted(called[name]):
                place(before)
            ordered.append(name)

    for name in found:
        place(name)
    text = "/* Written by benchmarks/twin.py from the equations and steps as they stand. */\n"
    for name in sorted(vars(rows)):
        value = getattr(rows, name)
        if name.isupper() and isinstance(value, int) and name not in ("_", "PLAIN"):
            text += f"#define R_{name} {value}\n"
    text += f"#define LANES {rows.LANES}\n#define LEDGER_ROWS {layout.LEDGER}\n#define BOOK_ROWS {layout.BOOKS}\n"
    from mullbed.simulate import parameters

    for name in ("MINERAL_NITROGEN_FACTOR", "WARMTH_EXPONENT"):
        text += f"#define R_{name} {rows.RECORD + rows.LANES * getattr(parameters, name)}\n"
    for name in ("HORIZON_MM", "HORIZON_CM"):
        text += f"static const double {name}[3] = {{{', '.join(map(repr, getattr(layout, name)))}}};\n"
    for count in (2, 3, 4, 5):
        text += f"struct tuple{count} {{ double {', '.join(f'v{place}' for place in range(count))}; }};\n"
    return text + "\n".join(Writer(found[name], found).text() for name in ordered)


def calls_of(function: Callable[..., Any]) -> set[str]:
    """Return the names a function calls."""
    tree = ast.parse(textwrap.dedent(inspect.getsource(function)))
    return {node.func.id for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)}


def compiler() -> str | None:
    """Return the C compiler, or None where there is none."""
    return shutil.which("gcc")


def build(folder: Path, flags: Sequence[str], name: str) -> Any:
    """Build the twin and return it as a loaded library."""
    (folder / "twin_steps.h").write_text(steps_in_c(), encoding="utf-8")
    made = folder / f"{name}.so"
    command = [
        str(compiler()),
        *flags,
        "-std=gnu11",
        "-w",
        "-shared",
        "-fPIC",
        f"-I{folder}",
        str(LOOP),
        "-o",
        str(made),
    ]
    subprocess.run([*command, "-lm"], check=True)
    return ctypes.CDLL(str(made))


def run_twin(library: Any, packed: Any, members: Any, wanted: Sequence[str], every: int = 1) -> dict[str, Any]:
    """Run members through the twin on one thread; returns ledgers, books and daily outputs like the engine's."""
    from mullbed.processes.soil_carbon import respired_to_retained
    from mullbed.simulate import layout as at
    from mullbed.simulate.rows import LANES

    assert not packed.digs, "the twin does not dig"
    days, count = packed.cover[0].shape[0], members.records.shape[0]
    kept = np.array([at.OUTPUT[output] for output in wanted], dtype=np.int64)
    blocks = -(-count // LANES)
    out = np.full((blocks, days // every, len(wanted), LANES), np.nan)
    ledgers, books = np.zeros((count, at.LEDGER)), np.zeros((count, at.BOOKS))
    retained = 1.0 / (1.0 + respired_to_retained(100.0 * packed.soil[at.CLAY]))
    arrays = (
        *packed.weather,
        members.year_of,
        *packed.cover,
        members.records,
        packed.soil,
        packed.pools,
        packed.residue,
        np.ascontiguousarray(members.draws),
        packed.cohort_lift,
        packed.cohort_sublayer,
        packed.cohort_part,
        packed.event_day,
        packed.event_kind,
        packed.event_values,
        kept,
        out,
        ledgers,
        books,
    )
    numbers = (
        count,
        days,
        every,
        packed.start_day,
        len(packed.cohort_lift),
        packed.residue.shape[0],
        len(packed.event_day),
        len(kept),
        members.records.shape[1],
    )
    library.run_members(
        *(ctypes.c_long(one) for one in numbers),
        ctypes.c_double(retained),
        *(ctypes.c_void_p(one.ctypes.data) for one in arrays),
    )
    rows = days // every
    daily = {
        output: out[:, :, place].transpose(0, 2, 1).reshape(-1, rows)[:count] for place, output in enumerate(wanted)
    }
    return {"ledgers": ledgers, "books": books, "daily": daily}
