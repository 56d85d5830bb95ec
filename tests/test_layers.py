"""Who may import whom: dependencies point inwards, and the core knows nothing of the world."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[1]
TOP = ("supervisor", "hardware", "simulator", "web")

WORLDLY = frozenset(
    {
        "asyncio",
        "concurrent",
        "ctypes",
        "datetime",
        "fcntl",
        "http",
        "logging",
        "mmap",
        "multiprocessing",
        "os",
        "pathlib",
        "queue",
        "random",
        "sched",
        "select",
        "selectors",
        "shutil",
        "signal",
        "socket",
        "socketserver",
        "sqlite3",
        "ssl",
        "subprocess",
        "sys",
        "tempfile",
        "threading",
        "time",
        "urllib",
    }
)
"""Modules of the standard library with which the core could reach clocks, files and peers."""

MAY_IMPORT = {
    "supervisor": set(),
    "supervisor.core": set(),
    "supervisor.own_process": set(),
    "supervisor.whole_file": {"supervisor.core"},
    "supervisor.record": {"supervisor.core", "supervisor.whole_file"},
    "supervisor.picture": {"supervisor.core", "supervisor.whole_file", "PIL", "reportlab"},
    "supervisor.messaging": {
        "supervisor.core",
        "supervisor.own_process",
        "supervisor.whole_file",
        "aiomqtt",
        "amqtt",
        "apprise",
        "paho",
    },
    "supervisor.service": {
        "supervisor",
        "supervisor.core",
        "supervisor.own_process",
        "supervisor.picture",
        "supervisor.whole_file",
        "supervisor.record",
        "supervisor.messaging",
        "hardware",
        "simulator",
        "web",
        "pydantic",
    },
    "supervisor.fleet": {"supervisor.core", "simulator"},
    "supervisor.commands": {
        "supervisor",
        "supervisor.core",
        "supervisor.fleet",
        "supervisor.picture",
        "supervisor.whole_file",
        "supervisor.record",
        "supervisor.messaging",
        "supervisor.service",
        "hardware",
        "simulator",
        "web",
    },
    "supervisor.__main__": {"supervisor.commands"},
    "hardware": {"supervisor.core", "adafruit_max31856"},
    "simulator": {"supervisor.core", "pydantic"},
    "web": {"supervisor.core", "fastapi", "pydantic", "starlette", "uvicorn"},
    "web.build_chart": {"hatchling"},
}
"""What each package may import beside itself and the standard library."""

BOARD = {
    *(("hardware.board", name) for name in ("board", "busio", "digitalio")),
    ("hardware.kernel_spi", "Adafruit_PureIO"),
}
"""Who alone loads what reaches hardware; ``test_reads_only`` has the proof."""


@cache
def modules() -> dict[str, Path]:
    """Every module of the program by its dotted name."""
    found = {}
    for top in TOP:
        for path in sorted((ROOT / top).rglob("*.py")):
            parts = path.relative_to(ROOT).with_suffix("").parts
            name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
            found[name] = path
    return found


def package_of(module: str) -> str:
    """The package whose rules a module obeys: the longest name that has rules."""
    return max(
        (p for p in MAY_IMPORT if module == p or module.startswith(f"{p}.")),
        key=len,
        default=module,
    )


@cache
def tree(path: Path) -> ast.Module:
    """A file as Python reads it; each is read once for all that is asked of it."""
    return ast.parse(path.read_text(encoding="utf-8"))


def nodes(path: Path, *kinds: type[ast.AST]) -> list[Any]:
    """All of a file that is of one of the ``kinds``, in the order of ``ast.walk``."""
    return [node for node in _of_interest(path) if isinstance(node, kinds)]


@cache
def _of_interest(path: Path) -> tuple[ast.AST, ...]:
    kinds = (ast.Attribute, ast.Call, ast.Constant, ast.Import, ast.ImportFrom, ast.Name)
    return tuple(node for node in ast.walk(tree(path)) if isinstance(node, kinds))


@cache
def imported(path: Path) -> tuple[str, ...]:
    """Dotted names of all that a file imports, anywhere in it, also by ``import_module``."""
    return tuple(_imported(path))


def _imported(path: Path) -> Iterator[str]:
    for node in nodes(path, ast.Import, ast.ImportFrom, ast.Call):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are written in full"
            assert node.module is not None
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                yield whole if whole in modules() else node.module
        elif isinstance(node, ast.Call) and node.args:
            called = node.func
            name = called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")
            if name not in ("import_module", "__import__"):
                continue
            first = node.args[0]
            if isinstance(first, ast.Constant):
                yield str(first.value)
            elif isinstance(first, ast.JoinedStr) and isinstance(first.values[0], ast.Constant):
                yield str(first.values[0].value).rstrip(".")
            else:
                raise AssertionError(f"{path}: nobody can tell what is imported here")


def edges() -> Iterator[tuple[str, str]]:
    """Each module with the package of ours, or the library, that it imports."""
    for module, path in modules().items():
        for name in imported(path):
            top = name.split(".")[0]
            if top in TOP:
                yield module, package_of(name)
            elif top not in sys.stdlib_module_names:
                yield module, top


def test_the_walk_sees_the_whole_program() -> None:
    assert len(modules()) > 80
    assert {package_of(module) for module in modules()} == set(MAY_IMPORT)
    assert ("supervisor.commands.main", "supervisor.commands") in set(edges())
    assert ("hardware.board", "busio") in set(edges())


def test_every_package_imports_only_what_it_may() -> None:
    strangers = {
        (module, target)
        for module, target in edges()
        if target != package_of(module)
        and target not in MAY_IMPORT[package_of(module)]
        and (module, target) not in BOARD
    }
    assert strangers == set()


def test_the_core_knows_no_clock_no_file_and_no_peer() -> None:
    worldly = {
        (module, name)
        for module, path in modules().items()
        if package_of(module) == "supervisor.core"
        for name in imported(path)
        if name.split(".")[0] in WORLDLY
    }
    assert worldly == set()
    opened = {
        module
        for module, path in modules().items()
        if package_of(module) == "supervisor.core"
        for node in nodes(path, ast.Name)
        if node.id in ("open", "print", "input", "exec", "eval")
    }
    assert opened == set()


def test_the_page_meets_the_service_through_one_narrow_interface() -> None:
    targets = {target for module, target in edges() if module.startswith("web")}
    assert not targets & {f"supervisor.{part}" for part in ("record", "messaging", "service")}
    takers = {
        module
        for module, path in modules().items()
        if module.startswith("supervisor")
        for name in imported(path)
        if name == "web" or name.startswith("web.")
    }
    assert {package_of(module) for module in takers} <= {
        "supervisor.service",
        "supervisor.commands",
    }


def test_nothing_but_tests_needs_the_heavy_numbers() -> None:
    heavy = {"numpy", "scipy", "pandas", "matplotlib", "hypothesis", "pytest", "playwright"}
    assert {(module, target) for module, target in edges() if target in heavy} == set()


def test_no_package_needs_what_needs_it() -> None:
    needs: dict[str, set[str]] = {package: set() for package in MAY_IMPORT}
    for module, target in edges():
        if target in MAY_IMPORT and target != package_of(module):
            needs[package_of(module)].add(target)
    seen: dict[str, bool] = {}

    def visit(package: str, way: tuple[str, ...]) -> None:
        assert package not in way, f"a circle of imports: {' -> '.join((*way, package))}"
        if package not in seen:
            for further in sorted(needs[package]):
                visit(further, (*way, package))
            seen[package] = True

    for package in sorted(needs):
        visit(package, ())
    assert needs["supervisor.service"] > {"supervisor.core", "supervisor.record", "web"}


@pytest.mark.parametrize("name", sorted(modules()))
def test_a_module_opens_by_saying_what_it_knows(name: str) -> None:
    module = tree(modules()[name])
    if not module.body:
        return
    said = ast.get_docstring(module)
    assert said is not None, f"{name} has no docstring"
    assert said.splitlines()[0].rstrip().endswith((".", ":")), said.splitlines()[0]


def test_no_module_has_grown_past_what_can_be_read_in_one_go() -> None:
    lengths = {
        name: path.read_text(encoding="utf-8").count("\n") for name, path in modules().items()
    }
    assert {name: length for name, length in lengths.items() if length > 450} == {}
