"""The pages of docs are not stale: sources and test files on them exist, and those in the tests are on them."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from wetpath.edge.sources import all_sources

ROOT = Path(__file__).parents[2]
PAGE, SOURCES = ROOT / "docs" / "validation.md", ROOT / "docs" / "sources.md"
RENEW = ("renew the pages: uv run pytest -n 3 --dist loadfile --validation-rows=build/validation.json, then "
         "uv run python docs/generate_validation.py build/validation.json")


def parsed_tests() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        yield path.relative_to(ROOT).as_posix(), ast.parse(path.read_text(encoding="utf-8"))


def constants(tree: ast.Module) -> dict[str, str]:
    """Names of a module that stand for one text, or whose first element is one."""
    found = {}
    for node in tree.body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            value = node.value.elts[0] if isinstance(node.value, ast.Tuple) and node.value.elts else node.value
            if isinstance(value, ast.Constant) and isinstance(value.value, str):
                found[node.targets[0].id] = value.value
    return found


def keys_of(tree: ast.Module) -> Iterator[tuple[str, int]]:
    """Source keys given to ``against`` and to the mark ``published``, where they can be told without running."""
    known = constants(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and node.args:
            name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
            if name in ("against", "published"):
                first = node.args[0].value if isinstance(node.args[0], ast.Starred) else node.args[0]
                key = known.get(first.id) if isinstance(first, ast.Name) else getattr(first, "value", None)
                if isinstance(key, str):
                    yield key, node.lineno


def test_every_source_of_the_tests_exists() -> None:
    found = [(key, f"{file}, line {line}") for file, tree in parsed_tests() for key, line in keys_of(tree)]
    assert len(found) > 150
    missing = [f"{place}: {key}" for key, place in found if key not in all_sources()]
    assert not missing, missing


def test_every_file_with_rows_is_on_the_page() -> None:
    page = PAGE.read_text(encoding="utf-8")
    told = set(re.findall(r"^### `(tests/[^`]+)`", page, re.MULTILINE))
    with_rows = {file for file, tree in parsed_tests()
                 if any(isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "against"
                        for node in ast.walk(tree))}
    assert told - with_rows == set(), RENEW
    assert with_rows - told == set(), RENEW


def test_every_source_on_the_pages_exists_and_none_is_left_out() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert set(re.findall(r"^- `([^`]+)`:", page, re.MULTILINE)) <= set(all_sources()), RENEW
    listed = set(re.findall(r"^- \*\*([^*]+)\*\*:", SOURCES.read_text(encoding="utf-8"), re.MULTILINE))
    assert listed == set(all_sources()), RENEW


@pytest.mark.parametrize("page", sorted((ROOT / "docs").glob("*.md")), ids=lambda path: path.name)
def test_links_between_pages_lead_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#:]+)\)", page.read_text(encoding="utf-8")):
        assert (page.parent / target).exists(), f"{page.name}: {target}"
