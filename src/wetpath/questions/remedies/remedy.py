"""One remedy: a change of the pump file or of the enquiry, what it is called and how practical it is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from typing import Any

from wetpath.edge.quantities import Kind
from wetpath.edge.units import METRIC, UnitSet, express
from wetpath.rating.rate import Rating
from wetpath.words import filled, joined

#: A file as tables and lists in SI, which a change may write into.
Data = dict[str, Any]
Change = Callable[[Data], None]
#: A number in a sentence, with its kind.
Amount = tuple[float, Kind]


class Practicality(IntEnum):
    """How far a change reaches, the nearest first. Common practice, no source."""

    ADJUSTMENT = 0
    SPARE_PART = 1
    OTHER_MACHINE = 2
    SITE_WORK = 3

    @property
    def words(self) -> str:
        """What reports call it."""
        return self.name.lower().replace("_", " ")


def unchanged(data: Data) -> None:
    """Leave a file as it is."""


@dataclass(frozen=True, eq=False)
class Remedy:
    """A change to be tried. ``family``: of the remedies that differ in size only, one is shown."""

    family: str
    text: str                       # sentence with places {0}, {1} for the amounts
    amounts: tuple[Amount, ...]
    practicality: Practicality
    cost: str = ""                  # what it asks for besides, in words
    pump: Change = unchanged
    enquiry: Change = unchanged
    keeps: tuple[str, ...] = ()     # checks without which it is not offered
    parts: tuple[Remedy, ...] = ()  # of a pair

    def title(self, units: UnitSet = METRIC) -> str:
        """What it is called, in a set of units."""
        if self.parts:
            return joined("; ", (part.title(units) for part in self.parts))
        return filled(self.text, *(express(value, kind, units=units) for value, kind in self.amounts))

    def joined(self, other: Remedy) -> Remedy:
        """Both changes, this one first."""
        def pump(data: Data) -> None:
            self.pump(data)
            other.pump(data)

        def enquiry(data: Data) -> None:
            self.enquiry(data)
            other.enquiry(data)

        return Remedy(f"{self.family} + {other.family}", "", (), max(self.practicality, other.practicality),
                      joined("; ", filter(None, (self.cost, other.cost))), pump, enquiry, self.keeps + other.keeps,
                      (self, other))


@dataclass(frozen=True)
class NotOffered:
    """A remedy that this pump or this enquiry does not allow, and why."""

    text: str
    why: str
    amounts: tuple[Amount, ...] = field(default=())

    def title(self, units: UnitSet = METRIC) -> str:
        """What it is called, in a set of units."""
        return filled(self.text, *(express(value, kind, units=units) for value, kind in self.amounts))


#: Finds the remedies of one kind for a rated pump.
Finder = Callable[[Rating], list[Remedy | NotOffered]]


def setting(table: str, values: Mapping[str, Any]) -> Change:
    """A change that writes values into one table of a file."""
    def change(data: Data) -> None:
        data[table].update(values)

    return change


def in_turn(*changes: Change) -> Change:
    """Several changes of one file, one after the other."""
    def change(data: Data) -> None:
        for one in changes:
            one(data)

    return change
