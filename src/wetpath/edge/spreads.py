"""How far inputs may be off, as data: the rows that come with the program, and those of a company's practice."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Literal

from wetpath.edge.part import Part, drawing, rule
from wetpath.edge.quantities import KINDS, RATIO, TEMPERATURE_DIFFERENCE, Kind
from wetpath.edge.units import parse
from wetpath.errors import InputError, UnknownName

Shape = Literal["even", "normal", "log-normal"]


@dataclass(frozen=True)
class SpreadRow:
    """How far one input, or each of a family of inputs, may be off; changes as they are written."""

    name: str
    kind: Kind               # of the change
    low: str
    high: str
    shape: Shape
    source: str              # a key of the sources, or the company's own words
    status: str              # read | recalled | derived | common practice | given
    meaning: str

    def changes(self, nominal: float) -> tuple[float, float]:
        """Lowest and highest change of an input that has this value [SI]."""
        return change_of(self.low, self.kind, nominal), change_of(self.high, self.kind, nominal)

    @property
    def factors(self) -> tuple[float, float]:
        """Lowest and highest value of a factor that is 1 in the rating."""
        low, high = self.changes(1.0)
        return 1.0 + low, 1.0 + high


class OwnSpread(Part):
    """One spread of a practice file."""

    low: str = drawing("lowest change of the input: with its unit, or a share of its value in %; 0 for none",
                       examples=["-0.02 bar", "-3 %"])
    high: str = drawing("highest change of the input", examples=["0.02 bar", "3 %"])
    shape: Shape | None = drawing(
        "even: anything between equally likely; normal: 95 % lie between, symmetrical; log-normal: 95 % lie between, "
        "the middle by ratio; that of the default without it", default=None)
    source: str = drawing("where it is known from, as reports shall print it",
                          examples=["calibration of our gauges"])
    meaning: str = drawing("what it means, when that differs from the default", default="")

    @rule
    def source_is_told(self) -> None:
        """A spread without a source cannot be reported."""
        if not self.source.strip():
            raise self.refuse("source", "is empty", do="say where the spread is known from; reports print it")

    def row(self, name: str) -> SpreadRow:
        """The default row of that name with this spread put in; raises when it cannot be one."""
        table = default_spreads()
        if name not in table:
            raise UnknownName("spread", name, table, field=f"spreads.{name}")
        default = table[name]
        row = replace(default, low=self.low, high=self.high, shape=self.shape or default.shape, source=self.source,
                      status="given", meaning=self.meaning or default.meaning)
        _check(row)
        return row


def _check(row: SpreadRow) -> None:
    """Refuse ends that are no changes of the kind, stand the wrong way round, or take all of the value away."""
    ends = []
    for side, text in (("low", row.low), ("high", row.high)):
        try:
            ends.append(change_of(text, row.kind, 1.0))
        except InputError as error:
            told = error.problem
            raise InputError(told.text, field=f"spreads.{row.name}.{side}", value=told.value, why=told.why,
                             do=told.do) from None
    shares = [is_share(text) for text in (row.low, row.high)]
    comparable = shares[0] == shares[1] or 0.0 in ends
    if comparable and not ends[0] < ends[1] and ends != [0.0, 0.0]:
        raise InputError("is not below high", field=f"spreads.{row.name}.low", value=f'"{row.low}"',
                         do="low is the lower of the two changes; 0 for both takes the input as exactly known")
    if (shares[0] or row.name.endswith("_factor")) and ends[0] <= -1.0:
        raise InputError("would make it zero or negative", field=f"spreads.{row.name}.low", value=f'"{row.low}"',
                         do="give a change above -100 %")


def is_share(text: str) -> bool:
    """Whether a change is told as a share of the value."""
    return text.strip().endswith("%")


def change_of(text: str, kind: Kind, nominal: float) -> float:
    """A change in SI: a share of the value in %, or a difference with its unit.

    >>> change_of("-3 %", RATIO, 2.0)
    -0.06
    """
    plain = text.strip()
    if plain == "0":
        return 0.0
    if is_share(plain):
        if kind == TEMPERATURE_DIFFERENCE:
            raise InputError("is a share of an absolute temperature", value=f'"{text}"',
                             do='give a difference, for example "2 K"')
        return parse(plain, RATIO) * nominal
    return parse(plain, kind)


@cache
def default_spreads() -> Mapping[str, SpreadRow]:
    """Return the spreads that come with the program, by name."""
    table = tomllib.loads(files("wetpath").joinpath("data", "practice", "spreads.toml").read_text(encoding="utf-8"))
    return {name: SpreadRow(name=name, **{**row, "kind": KINDS[row["kind"]]}) for name, row in table.items()}
