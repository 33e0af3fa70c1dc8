"""Every published source the program uses, by its key."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from wetpath.errors import DataError, UnknownName

KINDS = ("paper", "standard", "book", "library", "data", "practice", "derivation")


@dataclass(frozen=True)
class Reference:
    """One source: its key, its text as a list of references prints it, and what it is."""

    key: str
    text: str
    kind: str


@cache
def all_sources() -> dict[str, Reference]:
    """Return every source by key; a key in two files is refused."""
    found: dict[str, Reference] = {}
    origin: dict[str, str] = {}
    for entry in sorted(files("wetpath").joinpath("data", "sources").iterdir(), key=lambda one: one.name):
        if not entry.name.endswith(".toml"):
            continue
        for key, row in _rows(tomllib.loads(entry.read_text(encoding="utf-8"))):
            if key in found:
                raise DataError(f"The source {key} stands in {origin[key]} and in {entry.name}; keep one.")
            if not isinstance(row, dict) or set(row) != {"text", "kind"} or row["kind"] not in KINDS:
                raise DataError(f"The source {key} in {entry.name} needs a text and a kind, "
                                f"one of {', '.join(KINDS)}.")
            found[key], origin[key] = Reference(key, row["text"], row["kind"]), entry.name
    return found


def _rows(table: dict[str, Any], before: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield the rows of a file; a key with dots in it, ``[hi-9.6.7]``, is one key here."""
    for name, row in table.items():
        if isinstance(row, dict) and row and all(isinstance(inner, dict) for inner in row.values()):
            yield from _rows(row, f"{before}{name}.")
        else:
            yield f"{before}{name}", row


def source(key: str) -> Reference:
    """Return one source; raise `UnknownName` with the nearest keys when there is none."""
    try:
        return all_sources()[key]
    except KeyError:
        raise UnknownName("source", key, all_sources()) from None
