"""The practice: limits a rating is checked against and spreads of its inputs, each with its source and replaceable."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import ClassVar, Literal

from wetpath.edge.files import Document, load_document
from wetpath.edge.part import Part, drawing, rule
from wetpath.edge.quantities import KINDS, Kind
from wetpath.edge.spreads import OwnSpread, SpreadRow, default_spreads
from wetpath.edge.units import METRIC, UnitSet, express, parse
from wetpath.errors import InputError, UnknownName

Sense = Literal["at least", "at most", "break"]


@dataclass(frozen=True)
class Limit:
    """One limit in force."""

    name: str
    value: float             # SI
    kind: Kind
    sense: Sense
    source: str              # a key of the sources, or the company's own words
    status: str              # read | recalled | derived | common practice | given
    meaning: str
    remedy: str

    def shown(self, units: UnitSet = METRIC) -> str:
        """Return the value with its unit."""
        return express(self.value, self.kind, units=units)


class Practice(Mapping[str, Limit]):
    """All limits in force, by name: ``practice["vapour_margin_pressure"].value``; ``spreads`` likewise."""

    def __init__(self, name: str, limits: Mapping[str, Limit], spreads: Mapping[str, SpreadRow] | None = None) -> None:
        self.name = name
        self._limits = dict(limits)
        self.spreads = dict(default_spreads() if spreads is None else spreads)

    def __getitem__(self, name: str) -> Limit:
        if name not in self._limits:
            raise UnknownName("limit", name, self._limits)
        return self._limits[name]

    def __contains__(self, name: object) -> bool:
        return name in self._limits

    def __iter__(self) -> Iterator[str]:
        return iter(self._limits)

    def __len__(self) -> int:
        return len(self._limits)

    def replaced(self) -> tuple[Limit, ...]:
        """Return the limits that differ from the defaults."""
        return tuple(limit for name, limit in self._limits.items() if limit != default_practice()[name])


class OwnLimit(Part):
    """One limit of a practice file."""

    value: str | float = drawing("the limit, with its unit", examples=["0.5 bar"])
    source: str = drawing(
        "where it comes from, as reports shall print it", examples=["our standard for light ends"]
    )
    meaning: str = drawing("what it means, when that differs from the default", default="")
    remedy: str = drawing("what to do when it is missed, when that differs from the default", default="")

    @rule
    def source_is_told(self) -> None:
        """A limit without a source cannot be reported."""
        if not self.source.strip():
            raise self.refuse("source", "is empty", do="say where the limit comes from; reports print it")


class PracticeFile(Document):
    """A company's own practice: a name, and the limits and spreads it replaces."""

    document_kind: ClassVar[str] = "practice"
    document_name: ClassVar[str] = "practice file"
    document_use: ClassVar[str] = "name it in the enquiry, or give it to a rating as its practice"

    name: str = drawing("what reports call this practice", examples=["Works practice for light ends"])
    limit: dict[str, OwnLimit] = drawing("limits that replace the defaults, by name", default={})
    spreads: dict[str, OwnSpread] = drawing(
        "how far inputs may be off, in place of the defaults, by name; the uncertainty and the band of a window use "
        "them", default={})

    @rule
    def limits_are_known(self) -> None:
        """Every limit is one of the defaults and has a value of the same kind."""
        for name, own in self.limit.items():
            if name not in default_practice():
                raise UnknownName("limit", name, default_practice(), field=f"limit.{name}")
            _value_of(own, default_practice()[name])

    @rule
    def spreads_are_known(self) -> None:
        """Every spread is one of the defaults and goes from a lower to a higher change of the same kind."""
        for name, own in self.spreads.items():
            own.row(name)

    def practice(self) -> Practice:
        """Return the defaults with the limits and spreads of this file put in."""
        limits = dict(default_practice())
        for name, own in self.limit.items():
            default = limits[name]
            limits[name] = replace(
                default,
                value=_value_of(own, default),
                source=own.source,
                status="given",
                meaning=own.meaning or default.meaning,
                remedy=own.remedy or default.remedy,
            )
        return Practice(self.name, limits,
                        {**default_spreads(), **{name: own.row(name) for name, own in self.spreads.items()}})


@cache
def default_practice() -> Practice:
    """Return the limits that come with the program."""
    table = tomllib.loads(
        files("wetpath").joinpath("data", "practice", "default.toml").read_text(encoding="utf-8")
    )
    limits = {}
    for name, row in table.items():
        kind = KINDS[row["kind"]]
        limits[name] = Limit(
            name=name,
            value=parse(row["value"], kind),
            kind=kind,
            sense=row["sense"],
            source=row["source"],
            status=row["status"],
            meaning=row["meaning"],
            remedy=row["remedy"],
        )
    return Practice("default practice", limits)


def load_practice(path: str | os.PathLike[str] | None = None) -> Practice:
    """Return the practice of a file, or the default one."""
    return default_practice() if path is None else load_document(path, PracticeFile).practice()


def _value_of(own: OwnLimit, default: Limit) -> float:
    try:
        return parse(own.value if isinstance(own.value, str) else f"{own.value:g}", default.kind)
    except InputError as error:
        told = error.problem
        raise InputError(told.text, field=f"limit.{default.name}.value", value=told.value, why=told.why,
                         do=told.do) from None
