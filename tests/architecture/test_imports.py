"""Layers point down only; units are met in one place; every formula's source exists; no module is too long."""

from __future__ import annotations

import ast
import importlib
import pkgutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import wetpath
from wetpath.edge.sources import all_sources

ROOT = Path(wetpath.__file__).parent
MODULES = sorted(path for path in ROOT.rglob("*.py"))
LONGEST = 600

#: What each room may import of ours besides itself.
BELOW = {
    "errors": set(),
    "words": set(),
    "physics": set(),
    "edge": {"errors", "words", "physics"},
    "liquids": {"errors", "words", "physics", "edge"},
    "coupling": {"errors", "words", "physics", "edge", "liquids"},
    "circulation": {"errors", "words", "physics", "edge", "liquids", "coupling"},
    "machine": {"errors", "words", "physics", "edge", "liquids", "coupling", "circulation"},
}
BELOW["rating"] = {*BELOW["machine"], "machine"}
BELOW["store"] = {*BELOW["rating"], "rating"}
BELOW["upsets"] = {*BELOW["rating"], "rating"}
BELOW["questions"] = {*BELOW["upsets"], "upsets"}
BELOW["investigation"] = {*BELOW["rating"], "rating"}
BELOW["watching"] = {*BELOW["questions"], "questions"}
BELOW["fleet"] = {*BELOW["watching"], "watching"}
BELOW["links"] = {*BELOW["fleet"], "fleet", "version"}
BELOW["services"] = {*BELOW["links"], "links", "store", "investigation"}
BELOW["drawing"] = {*BELOW["services"], "services"} - {"links", "store"}      # services alone reach outside and keep
BELOW["faces"] = {*BELOW["drawing"], "drawing"}
#: The front door names what it shows, without importing it; the main module starts the command line.
DOORS = {"__init__", "__main__"}


def name_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


def room_of(module: str) -> str:
    return module.split(".")[0]


def imports_of(path: Path) -> Iterator[tuple[str, int]]:
    """Every module a file imports, wherever in it, with the line."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            if node.module == "wetpath":
                yield from ((f"wetpath.{alias.name}", node.lineno) for alias in node.names)
            else:
                yield node.module, node.lineno


def rooms_imported(path: Path) -> Iterator[tuple[str, int]]:
    for module, line in imports_of(path):
        if module.startswith("wetpath."):
            room = module.split(".")[1]
            yield "version" if room == "__version__" else room, line


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_imports_point_down(path: Path) -> None:
    room = room_of(name_of(path))
    if room in DOORS:
        return
    assert room in BELOW, f"{room} is a new room: say in this test what it may import"
    wrong = [f"line {line}: {target}" for target, line in rooms_imported(path)
             if target != room and target not in BELOW[room]]
    assert not wrong, f"{name_of(path)} imports from above or beside: {', '.join(wrong)}"


def test_rooms_are_ordered() -> None:
    order = list(BELOW)
    for room, below in BELOW.items():
        assert all(order.index(other) < order.index(room) for other in below - {"version"})


def test_units_are_met_in_one_place() -> None:
    met = {name_of(path) for path in MODULES for module, _ in imports_of(path) if module.split(".")[0] == "pint"}
    assert met == {"edge.units"}


#: The command line starts the web and writes reports; the web carries the HTTP interface and hands out reports.
STARTS = {("faces.cli.main", "web"), ("faces.cli.main", "report"), ("faces.cli.wrong", "report"),
          ("faces.web.app", "api"), ("faces.api.issues", "report"),
          ("faces.web.send_view", "report"), ("faces.web.failed_view", "report"),
          ("faces.web.failed_parts", "report")}


def test_one_face_does_not_import_another() -> None:
    for path in (ROOT / "faces").rglob("*.py"):
        own = name_of(path).split(".")[1]
        for module, line in imports_of(path):
            if module.startswith("wetpath.faces."):
                other = module.split(".")[2]
                assert other == own or (name_of(path), other) in STARTS, f"{name_of(path)}, line {line}: {module}"


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_no_module_is_too_long(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_first_line_says_the_subject(path: Path) -> None:
    said = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    assert said.splitlines()[:1], f"{name_of(path)} does not say its subject"
    first = said.splitlines()[0]
    assert first.rstrip().endswith((".", "?")), f"{name_of(path)}: the first line is not a whole sentence: {first!r}"


def test_every_source_of_a_formula_exists() -> None:
    from wetpath.physics.published import FORMULAS

    for module in pkgutil.walk_packages(wetpath.__path__, "wetpath."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    missing = {f"{name}: {mark.key}" for name, marks in FORMULAS.items() for mark in marks
               if mark.key not in all_sources()}
    assert len(FORMULAS) > 50
    assert not missing


@pytest.mark.parametrize("module", ["wetpath", "wetpath.faces.cli.main", "wetpath.errors", "wetpath.edge.units"])
def test_light_modules_stay_light(module: str) -> None:
    heavy = "numpy scipy numba CoolProp chemicals thermo pint matplotlib pydantic rich.table"
    code = f"import sys, {module}; print(' '.join(name for name in {heavy.split()!r} if name in sys.modules))"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert not loaded
