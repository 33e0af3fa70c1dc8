"""The published sources behind one rating, each with how it is known and what it is used for."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from functools import cache
from types import ModuleType

from wetpath.edge.sources import all_sources
from wetpath.physics.published import FORMULAS, Source
from wetpath.rating.rate import Rating

#: Keys that name what the user gave, not a publication.
GIVEN = {
    "enquiry": "the enquiry", "pump-file": "the pump file", "liquid-data": "what is known of the liquid: its data, or "
    "limits given with it"}


@dataclass(frozen=True)
class SourceUse:
    """One source: its key, its text, how each use of it is known, and what it is used for."""

    key: str
    text: str
    kind: str
    statuses: tuple[str, ...]
    used_for: tuple[str, ...]


def sources_of(rating: Rating) -> tuple[SourceUse, ...]:
    """Every source of the limits, the data and the formulas of a rating, in that order.

    Formulas are all those of the modules a rating computes with, whether or not this one came past them.
    """
    uses: dict[str, tuple[dict[str, None], dict[str, None]]] = {}

    def add(key: str, status: str, used_for: str) -> None:
        statuses, purposes = uses.setdefault(key, ({}, {}))
        statuses.setdefault(status)
        purposes.setdefault(used_for)

    for check in rating.checks:
        add(check.source, check.status, f"limit: {check.title}")
    pump = rating.pump
    for part in (pump.shell_material, pump.inner_magnet, pump.outer_magnet):
        for name, origin in part.origins.items():
            add(origin.source, origin.status, f"material data: {name.replace('_', ' ')}")
    for liquid in rating.situation.liquids:
        for name, origin_of_property in liquid.origins.items():
            add(origin_of_property.key, origin_of_property.status, f"liquid: {name}")
    for formula, marks in _formulas_of_a_rating().items():
        for mark in marks:
            add(mark.key, mark.status, f"formula: {formula.rpartition('.')[2].replace('_', ' ')}")
    return tuple(_use(key, tuple(statuses), tuple(purposes)) for key, (statuses, purposes) in uses.items())


def source_text(key: str) -> str:
    """Text of a source as a list of references prints it; a company's own words are their own text."""
    known = all_sources().get(key)
    return known.text if known else GIVEN.get(key, key)


def _use(key: str, statuses: tuple[str, ...], purposes: tuple[str, ...]) -> SourceUse:
    known = all_sources().get(key)
    return SourceUse(key, source_text(key), known.kind if known else "given", statuses, purposes)


@cache
def _formulas_of_a_rating() -> dict[str, tuple[Source, ...]]:
    """Marked formulas of the modules that the rating reaches by its imports."""
    modules = _reached("wetpath.rating.rate")
    return {name: marks for name, marks in sorted(FORMULAS.items())
            if any(name.startswith(f"{module}.") for module in modules)}


def _reached(first: str) -> set[str]:
    """Names of our modules reached from one by what its names stand for."""
    found: set[str] = set()
    waiting = [first]
    while waiting:
        name = waiting.pop()
        if name in found or name not in sys.modules:
            continue
        found.add(name)
        for value in vars(sys.modules[name]).values():
            origin = value.__name__ if isinstance(value, ModuleType) else getattr(value, "__module__", None)
            if isinstance(origin, str) and origin.startswith("wetpath."):
                waiting.append(origin)
    return found
