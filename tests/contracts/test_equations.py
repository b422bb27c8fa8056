"""Every equation is scalar and says what it takes, gives, comes from and holds for."""

from __future__ import annotations

import ast
import doctest
import importlib

import pytest
from source_files import KEY, SOURCES, UNIT, Equation, equations, modules, source_keys


def listed(offenders: list[str]) -> str:
    return f"{len(offenders)} offenders:\n" + "\n".join(offenders)


def docstring_faults(equation: Equation) -> list[str]:
    faults = []
    documented = equation.documented("Parameters")
    if set(documented) != set(equation.arguments):
        odd = sorted(set(documented) ^ set(equation.arguments))
        faults.append(f"documented and real arguments differ: {', '.join(odd)}")
    faults += [f"argument {name} has no [unit]" for name, text in documented.items() if not UNIT.search(text)]
    returned = equation.documented("Returns")
    if not returned:
        faults.append("says not what it returns")
    faults += [f"returned {name} has no [unit]" for name, text in returned.items() if not UNIT.search(text)]
    for title in ("Source", "Holds for"):
        if not (equation.section(title) or "").strip():
            faults.append(f"has no section '{title}'")
    if not KEY.search(equation.section("Source") or ""):
        faults.append("its Source names no key")
    if not (equation.docstring.splitlines() or [""])[0].strip().endswith("."):
        faults.append("its first line is no sentence")
    return [f"{equation.place}: {fault}" for fault in faults]


def test_there_are_equations_and_each_is_public_and_registered_under_its_name() -> None:
    from mullbed.compiled import EQUATIONS

    for equation in equations():
        importlib.import_module("mullbed." + equation.module.removesuffix(".py").replace("/", "."))
    written = {f"{equation.module.split('/')[-1].removesuffix('.py')}.{equation.name}" for equation in equations()}
    assert len(written) >= 60
    assert written <= set(EQUATIONS)


def test_every_equation_documents_arguments_units_returns_source_and_range() -> None:
    offenders = [fault for equation in equations() for fault in docstring_faults(equation)]
    assert not offenders, listed(offenders)


def test_the_docstring_rule_catches_what_it_is_for() -> None:
    bad = Equation(
        "processes/x.py", "x", 1, ("a", "b"), "No sentence\n\nParameters\n----------\na : float\n    Thing.\n"
    )
    faults = docstring_faults(bad)
    told = "\n".join(faults)
    for part in ("differ: b", "a has no [unit]", "returns", "'Source'", "'Holds for'", "no key", "no sentence"):
        assert part in told
    assert len(faults) == 7


def test_every_function_of_the_equations_is_marked_or_private() -> None:
    named = {(equation.module, equation.name) for equation in equations()}
    offenders = [
        f"{module}:{node.lineno} {node.name}"
        for module, tree in modules().items()
        if module.startswith("processes/")
        for node in tree.body
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)
        and not node.name.startswith("_")
        and (module, node.name) not in named
    ]
    assert not offenders, listed(offenders)


def test_no_equation_knows_arrays_tables_or_the_outside() -> None:
    allowed = {"__future__", "math", "mullbed.compiled"}
    offenders = []
    for module, tree in modules().items():
        if not module.startswith("processes/"):
            continue
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            elif isinstance(node, ast.Raise | ast.Subscript):
                offenders.append(f"{module}:{node.lineno} {type(node).__name__.lower()}")
                continue
            else:
                continue
            offenders += [f"{module}:{node.lineno} imports {name}" for name in names if name not in allowed]
    assert not offenders, listed(offenders)


@pytest.mark.skipif(not SOURCES.exists(), reason="SOURCES ABSENT: reference/sources.toml is not written yet")
def test_every_source_key_cited_by_an_equation_is_a_named_publication() -> None:
    offenders = [
        f"{equation.place}: [@{key}] is not in sources.toml"
        for equation in equations()
        for key in sorted(set(KEY.findall(equation.docstring)) - source_keys())
    ]
    assert not offenders, listed(offenders)


@pytest.mark.parametrize("module", sorted({equation.module for equation in equations()}))
def test_the_examples_of_the_equations_hold_in_the_plain_form(module: str) -> None:
    imported = importlib.import_module("mullbed." + module.removesuffix(".py").replace("/", "."))
    plain = {
        equation.name: getattr(getattr(imported, equation.name), "py_func", getattr(imported, equation.name))
        for equation in equations()
        if equation.module == module
    }
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE)
    told: list[str] = []
    for equation in equations():
        if equation.module == module:
            test = doctest.DocTestParser().get_doctest(
                equation.docstring, dict(plain), equation.name, module, equation.line
            )
            runner.run(test, out=told.append)
    assert runner.failures == 0, "".join(told)
