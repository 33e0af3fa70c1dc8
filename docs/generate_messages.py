"""Writes the catalogue of messages that may reach a report: ``uv run python docs/generate_messages.py``.

Looked at is every module, the data files of ``DATA`` and the drawings. A message is the template given to ``told``, the
text of a limit of validity and the name of a drawn part; in the modules of ``ROOMS`` also a plain string of more than
one word that is no docstring and no error, and one that stands where only titles, names for people (``TITLES``) or
kinds of things (``TABLES``) stand.
"""

from __future__ import annotations

import ast
import json
import re
import sys
import tomllib
from collections.abc import Iterable, Iterator
from pathlib import Path

ROOT = Path(__file__).parents[1] / "src" / "wetpath"
CATALOGUE = ROOT / "data" / "report" / "messages_en.toml"
#: Folders and modules whose words reach a report.
ROOMS = ("rating/checks", "rating/sheet", "rating/rate.py", "rating/verdict.py", "rating/service_findings.py",
         "rating/bearing_findings.py", "rating/bearing_state.py", "rating/thrust_state.py", "rating/situation.py",
         "rating/start_state.py", "rating/suction_state.py", "rating/surface_state.py", "rating/standstill_state.py",
         "rating/measured_scale.py", "rating/coupling_state.py", "rating/operating_point.py", "rating/driver_state.py",
         "rating/flow_limits.py", "circulation/outcome.py", "rating/shell_strength.py", "rating/shell_state.py",
         "rating/enquiry.py", "physics/pump/performance_curve.py", "services/cautions.py",
         "services/upsets.py", "drawing/upset_words.py", "drawing/window_words.py",
         "questions/coupling_study", "questions/protection", "questions/window", "questions/uncertainty",
         "questions/sensitivity", "questions/remedies", "upsets/observe.py", "upsets/upset.py", "coupling/starting.py")
#: Tables of data, and the keys of their words.
DATA = {"practice/default.toml": ("meaning", "remedy"), "practice/spreads.toml": ("title",),
        "instruments/default.toml": ("title",)}
#: Functions and the places of their arguments that are titles or other words for people, by number or name.
TITLES: dict[str, tuple[int | str, ...]] = {
    "check": (1, "where"), "line": (1,), "computed_line": (1,), "_words": (1,), "_material": (1,), "_tolerance": (1,),
    "_block": (1,), "Block": ("title",), "WorksTest": ("title", "demand"), "_test": (1, 2), "point": (1, 2),
    "limit": (0,), "_check": (2, 6), "_maker_flow": (2, 4), "Signal": (1,), "Variable": (1,), "Quantity": (1, 2),
    "ModelLimit": (1, 6, 7),
    "Demand": (0,), "Remedy": (4,)}

#: Tables whose values are words.
TABLES = ("SUBJECTS", "SHORT_TITLES", "_LIMIT_TITLES", "_WORDS", "Party", "Role", "Service", "Status", "Shape")
#: Words that stand in types alone: roles of files, how a value is known.
WORDS = ("enquiry", "practice", "given", "computed", "enthalpy", "conductivity", "surface tension", "latent heat",
         "polymerises", "decomposes", "solidified", "star-delta", "inverter", "harm", "never", "colder", "hotter",
         "remanence", "inner", "outer", "zirconia", "alumina", "glass-fibre laminate", "carbon-fibre laminate",
         "low level", "low power", "high power", "low flow", "shell temperature", "low suction pressure")
#: Folders in which what a file may choose from is words.
CHOICES = ("machine",)


def messages() -> list[str]:
    """All of them, each once, in the order of the alphabet."""
    listed = {file for room in ROOMS for file in _files(room)}
    found = {*WORDS} | {one for file in ROOT.rglob("*.py")
             for one in messages_of(file.read_text(encoding="utf-8"), whole=file in listed)}
    for room in CHOICES:
        found |= {one for file in _files(room) for one in _choices(ast.parse(file.read_text(encoding="utf-8")))}
    for name, keys in DATA.items():
        found |= set(_of_table(tomllib.loads((ROOT / "data" / name).read_text(encoding="utf-8")), keys))
    for drawing in sorted((ROOT / "data" / "drawing").glob("*.svg")):
        found |= set(re.findall(r"<title>([^<]+)", drawing.read_text(encoding="utf-8")))
    return sorted(found, key=lambda one: (one.lower(), one))


def messages_of(source: str, *, whole: bool) -> Iterator[str]:
    """Messages of one module; not ``whole``: those alone that say of themselves that they are."""
    tree = ast.parse(source)
    yield from _of_tables(tree)
    if not whole:
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and _name(node) in ("told", "limit") and node.args:
                yield from _plain(node.args[0])
        return
    left_out = set(_left_out(tree))
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            for place in TITLES.get(_name(node), ()):
                yield from _plain(_argument(node, place))
            if _name(node) == "told":
                yield from _plain(node.args[0])
        elif (isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in left_out
              and re.search(r"[a-z]{2,}.* [a-z(]", node.value)):
            yield node.value


def _of_tables(tree: ast.Module) -> Iterator[str]:
    """Values of the tables of ``TABLES``, and members of enumerations of words."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef) and any(getattr(base, "id", "") == "StrEnum" for base in node.bases):
            for one in node.body:
                if isinstance(one, ast.Assign):
                    yield from _plain(one.value)
        target = node.target if isinstance(node, ast.AnnAssign) else node.targets[0] if isinstance(
            node, ast.Assign) else None
        if getattr(target, "id", "") in TABLES:
            for value in node.value.values if isinstance(node.value, ast.Dict) else [node.value]:
                for one in ast.walk(value):
                    yield from _plain(one if isinstance(one, ast.Constant) else None)


def _choices(tree: ast.Module) -> Iterator[str]:
    """Members of literal types."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Subscript) and getattr(node.value, "id", "") == "Literal":
            for one in ast.walk(node.slice):
                yield from _plain(one if isinstance(one, ast.Constant) else None)


def _files(room: str) -> list[Path]:
    return [ROOT / room] if room.endswith(".py") else sorted((ROOT / room).glob("*.py"))


def _name(call: ast.Call) -> str:
    return call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")


def _argument(call: ast.Call, place: int | str) -> ast.expr | None:
    if isinstance(place, int):
        return call.args[place] if len(call.args) > place else None
    return next((one.value for one in call.keywords if one.arg == place), None)


def _plain(node: ast.expr | None) -> Iterator[str]:
    """Plain strings that an expression may be: itself, or either end of a choice."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str) and re.search("[A-Za-z]{2}", node.value):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from _plain(node.body)
        yield from _plain(node.orelse)


def _left_out(tree: ast.Module) -> Iterator[int]:
    """Strings that no reader of a report sees: docstrings, errors, descriptions of fields, pieces of f-strings."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield id(node.value)
        elif isinstance(node, (ast.Raise, ast.JoinedStr)) or (
                isinstance(node, ast.Call) and _name(node) in ("Field", "deferred", "InputError", "UnknownName")):
            yield from (id(part) for part in ast.walk(node))
        elif isinstance(node, ast.AnnAssign):
            yield from (id(part) for part in ast.walk(node.annotation))


def _of_table(table: object, keys: Iterable[str]) -> Iterator[str]:
    if isinstance(table, dict):
        for key, value in table.items():
            if key in keys and isinstance(value, str) and value:
                yield value
            else:
                yield from _of_table(value, keys)
    elif isinstance(table, list):
        for one in table:
            yield from _of_table(one, keys)


def catalogue() -> str:
    """The file."""
    lines = ["# Every message that may reach a report, in English with named fields. Written by",
             "# docs/generate_messages.py. Another language: messages_LANGUAGE.toml with a table [messages],",
             "# each of these = its words.", "messages = ["]
    return "\n".join([*lines, *(f"  {json.dumps(one, ensure_ascii=False)}," for one in messages()), "]"]) + "\n"


if __name__ == "__main__":
    CATALOGUE.write_text(catalogue(), encoding="utf-8")
    print(f"{len(messages())} messages", file=sys.stderr)
