"""The house: the staircase of imports, banned names, who may print, what no file may hold."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib

import pytest
from source_files import PACKAGE, REPOSITORY, modules, tracked_files

BANNED_NAMES = {
    "util", "utils", "utility", "utilities", "tool", "tools", "common", "base", "helper", "helpers", "manager",
    "managers", "misc",
}  # fmt: skip
OWN_ADDRESSES = re.compile(
    "|".join(["py" + r"pi\.org", "python" + "hosted", "ana" + r"conda\.org", "npm" + r"js\."]), re.I
)
MACHINE_PATHS = re.compile(
    r"(?<![\w.])/(?:" + "|".join(["wo" + "rk", "ho" + "me", "ro" + "ot", "Us" + "ers"]) + r")/\w"
)
TEXT_ENDINGS = {
    ".md",
    ".py",
    ".toml",
    ".txt",
    ".cfg",
    ".json",
    ".csv",
    ".cff",
    ".typ",
    ".yml",
    ".yaml",
    ".svg",
    ".html",
    "",
}


def test_the_staircase_of_imports_holds() -> None:
    done = subprocess.run(
        [sys.executable, "-c", "import sys; from importlinter.cli import lint_imports_command as run; run()"],
        cwd=REPOSITORY,
        capture_output=True,
        text=True,
        check=False,
    )
    told = done.stdout + done.stderr
    assert done.returncode == 0, told
    assert re.search(r"12 kept, 0 broken", told), told


def test_the_contract_is_whole() -> None:
    settings = tomllib.loads((REPOSITORY / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"]
    assert settings["include_external_packages"] is True
    kinds = [contract["type"] for contract in settings["contracts"]]
    assert sorted(kinds) == sorted(
        ["layers", "acyclic_siblings", "protected", *["independence"] * 3, *["forbidden"] * 6]
    )
    assert settings["contracts"][0]["exhaustive"] is True
    assert not any("ignore_imports" in contract for contract in settings["contracts"])


def test_no_module_has_a_name_that_says_nothing() -> None:
    offenders = [
        str(path.relative_to(REPOSITORY))
        for path in tracked_files()
        if path.suffix == ".py"
        and BANNED_NAMES & {part.removesuffix(".py") for part in path.relative_to(REPOSITORY).parts}
    ]
    assert not offenders


def test_only_the_command_line_prints() -> None:
    offenders = [
        f"{module}:{node.lineno}"
        for module, tree in modules().items()
        if not module.startswith("cli/")
        for node in ast.walk(tree)
        if (isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in {"print", "input"})
        or (isinstance(node, ast.Attribute) and node.attr in {"stdout", "stderr"})
    ]
    allowed = {
        offender for offender in offenders if offender.startswith("plan/solve.py")
    }  # keeps the solver's banner off
    assert set(offenders) == allowed


def test_the_core_reads_no_clock_and_no_global_chance() -> None:
    core = (
        "domain/",
        "processes/",
        "reference/",
        "simulate/",
        "plan/",
        "weather/",
        "files/",
        "reports/",
        "safety/",
        "units",
    )
    clock = {("datetime", "now"), ("datetime", "utcnow"), ("date", "today"), ("datetime", "today"), ("time", "time")}
    chance = re.compile(r"^(random|seed|shuffle|choice|normal|uniform|rand|randn|randint)$")
    offenders = []
    for module, tree in modules().items():
        if not module.startswith(core):
            continue
        for node in ast.walk(tree):
            if (
                isinstance(node, ast.Attribute)
                and isinstance(node.value, ast.Name)
                and (node.value.id, node.attr) in clock
            ):
                offenders.append(f"{module}:{node.lineno} reads the clock")
            if (
                isinstance(node, ast.Attribute)
                and isinstance(node.value, ast.Attribute)
                and isinstance(node.value.value, ast.Name)
                and (node.value.value.id, node.value.attr) == ("np", "random")
                and chance.match(node.attr)
            ):
                offenders.append(f"{module}:{node.lineno} draws from global chance")
            if isinstance(node, ast.Import) and any(alias.name == "random" for alias in node.names):
                offenders.append(f"{module}:{node.lineno} imports random")
    assert not offenders


def test_no_tracked_file_holds_a_machine_path_or_a_registry_address() -> None:
    offenders = []
    for path in tracked_files():
        if path.suffix in TEXT_ENDINGS:
            text = path.read_bytes().decode("utf-8", errors="replace")
            offenders += [
                f"{path.relative_to(REPOSITORY)}: {found[0]}"
                for pattern in (OWN_ADDRESSES, MACHINE_PATHS)
                for found in pattern.finditer(text)
            ]
    assert not offenders, "\n".join(offenders)


@pytest.mark.parametrize("name", ["installer.txt", "lock.txt", "dev.txt"])
def test_every_locked_package_is_hashed_and_no_address_is_named(name: str) -> None:
    text = (REPOSITORY / "requirements" / name).read_text(encoding="utf-8")
    assert "://" not in text
    assert not re.search(r"^\s*--(index|extra-index|find-links|trusted-host)|^-[if] ", text, re.M)
    pinned = re.split(r"^(?=\w)", text, flags=re.M)[1:]
    assert pinned
    assert all("==" in package and "--hash=sha256:" in package for package in pinned)


def test_the_locks_hold_every_package_the_project_names() -> None:
    project = tomllib.loads((REPOSITORY / "pyproject.toml").read_text(encoding="utf-8"))
    groups = project["dependency-groups"]
    wanted = {
        "lock.txt": project["project"]["dependencies"] + groups["build"],
        "dev.txt": project["project"]["dependencies"] + [entry for entry in groups["dev"] if isinstance(entry, str)],
        "installer.txt": groups["installer"],
    }
    for lock, requirements in wanted.items():
        text = (REPOSITORY / "requirements" / lock).read_text(encoding="utf-8").casefold().replace("_", "-")
        missing = [
            name
            for requirement in requirements
            if f"\n{(name := re.split(r'[><=~!;[ ]', requirement)[0].casefold())}==" not in "\n" + text
        ]
        assert not missing, f"{lock} lacks {missing}: run make locks"


def test_every_module_says_in_one_sentence_what_it_is_for() -> None:
    offenders = [
        module
        for module, tree in modules().items()
        if tree.body and not (ast.get_docstring(tree) or "").strip().splitlines()[:1]
    ]
    assert not offenders


def test_the_public_list_of_the_package_is_what_it_holds() -> None:
    import mullbed

    public = getattr(mullbed, "__all__", [])
    assert list(public) == sorted(public)
    for name in public:
        assert hasattr(mullbed, name), name
    named = {
        alias.asname or alias.name
        for node in modules()["__init__.py"].body
        if isinstance(node, ast.ImportFrom) and node.module not in ("__future__", "typing")
        for alias in node.names
    }
    assert named <= set(public)


def use_case(module: str) -> str | None:
    """Return the use case a file is the door of: its own, or that of its folder; None for the parts in a folder."""
    if not module.startswith("usecases/"):
        return None
    name = module.removeprefix("usecases/").removesuffix(".py").removesuffix("/__init__")
    return None if name == "__init__" or "/" in name else name


def test_every_use_case_is_one_file_or_folder_with_one_public_function_of_its_name() -> None:
    offenders = []
    for module, tree in modules().items():
        name = use_case(module)
        if name is None:
            continue
        functions = [n.name for n in tree.body if isinstance(n, ast.FunctionDef) and not n.name.startswith("_")]
        if name not in functions:
            offenders.append(f"{module} holds {functions}, not {name}")
    assert not offenders


def test_every_use_case_is_reached_from_the_command_line() -> None:
    use_cases = {name for module in modules() if (name := use_case(module)) is not None}
    reached = {
        part
        for module, tree in modules().items()
        if module.startswith("cli/")
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("mullbed.usecases")
        for part in [*(node.module or "").split("."), *(alias.name for alias in node.names)]
    }
    assert use_cases <= reached, f"not reached: {sorted(use_cases - reached)}"


def test_the_package_holds_its_licence_and_is_marked_typed() -> None:
    assert (PACKAGE / "py.typed").exists()
    assert "Apache License" in (REPOSITORY / "LICENSE").read_text(encoding="utf-8")
