"""What a data sheet is made of: cells that say where they come from, lines, blocks, tables and open points."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal

from pydantic import ConfigDict, Field

from wetpath.edge.practice import Limit
from wetpath.edge.quantities import Kind
from wetpath.edge.tables import Origin
from wetpath.edge.told_fields import KeepsWords

Party = Literal["purchaser", "maker"]
Basis = Literal["given", "computed", "table", "practice"]


class SheetPart(KeepsWords):
    """Base of everything on the sheet: nothing more than is described, no NaN; what is not known is null."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class Cell(SheetPart):
    """One value in the SI unit of its line, or words; null with the reason in ``note``."""

    value: float | bool | str | None
    basis: Basis
    source: str = Field(description="enquiry, pump-file, liquid-data, rating, or the key of a published source")
    status: str = Field(description="given, computed, read, recalled, derived, common practice")
    note: str = ""


class Line(SheetPart):
    """One row: one cell for the whole sheet, or one for each operating case."""

    key: str
    title: str
    quantity: str = Field(description="kind of quantity; empty for words and plain numbers")
    unit: str = Field(description="SI unit of the values; empty for words and plain numbers")
    by_case: bool
    cells: tuple[Cell, ...]


class Block(SheetPart):
    """Rows that belong together, filled in by one party."""

    key: str
    title: str
    party: Party
    lines: tuple[Line, ...]

    def __getitem__(self, key: str) -> Line:
        return next(line for line in self.lines if line.key == key)


class CurveTable(SheetPart):
    """The pump over flow at the conditions of one case, at site: its liquid, temperature, speed."""

    case: str
    basis: Basis = "computed"
    flow_m3_per_s: tuple[float, ...]
    head_m: tuple[float, ...]
    shaft_power_w: tuple[float | None, ...] = Field(description="null near shut-off, where no heat balance is solved")
    efficiency: tuple[float | None, ...] = Field(description="over the power at the motor shaft")
    npsh_required_m: tuple[float | None, ...]
    least_margin_pa: tuple[float | None, ...] = Field(description="to the vapour pressure, worst station")


class ProfileStation(SheetPart):
    """One station of the circulation."""

    name: str
    title: str
    pressure_pa: float
    temperature_k: float
    vapour_pressure_pa: float | None
    margin_pa: float | None
    margin_m: float | None
    margin_k: float | None
    wall_temperature_k: float | None
    flow_kg_per_s: float


class Profile(SheetPart):
    """Pressure and temperature of the circulated liquid on its way, in one case."""

    case: str
    basis: Basis = "computed"
    outcome: str
    stations: tuple[ProfileStation, ...]


class WorksTest(SheetPart):
    """One test to be made before delivery."""

    key: str
    title: str
    demand: str
    value: Cell | None = None
    quantity: str = ""
    unit: str = ""


class Deviation(SheetPart):
    """A demand that the pump does not meet, in its worst case."""

    check: str
    title: str
    case: str
    where: str
    quantity: str
    unit: str
    actual: float | None
    demanded: float | None
    source: str
    status: str
    meaning: str
    remedy: str


class OpenPoint(SheetPart):
    """Something that has still to be said, by whom, and what stands in its place until then."""

    party: Party
    key: str
    what: str
    until_then: str


def given(value: float | bool | str | None, source: str, note: str = "") -> Cell:
    """A value that the enquiry, the pump file or the liquid's data says."""
    return Cell(value=_finite(value), basis="given", source=source, status="given", note=note)


def computed(value: float | bool | str, note: str = "", *, reason: str = "cannot be told") -> Cell:
    """A value of the rating; the reason stands where it is not a number."""
    found = _finite(value)
    return Cell(value=found, basis="computed", source="rating", status="computed",
                note=note if found is not None else reason)


def tabled(value: float | str, origin: Origin | None, note: str = "") -> Cell:
    """A value of a table that comes with the program."""
    return Cell(value=_finite(value), basis="table", source=origin.source if origin else "common-practice",
                status=origin.status if origin else "common practice", note=note)


def by_practice(limit: Limit, note: str = "") -> Cell:
    """A limit of the practice in force."""
    return Cell(value=_finite(limit.value), basis="practice", source=limit.source, status=limit.status,
                note=note or limit.meaning)


def line(key: str, title: str, kind: Kind | None, cells: Cell | Iterable[Cell]) -> Line:
    """A row with one cell, or with one for each case."""
    single = isinstance(cells, Cell)
    return Line(key=key, title=title, quantity=kind.name if kind else "", unit=kind.si.name if kind else "",
                by_case=not single, cells=(cells,) if isinstance(cells, Cell) else tuple(cells))


def computed_line(key: str, title: str, kind: Kind | None, values: Iterable[float | str], note: str = "", *,
                  reason: str = "cannot be told") -> Line:
    """A row of computed values, one for each case."""
    return line(key, title, kind, [computed(value if isinstance(value, str) else float(value), note, reason=reason)
                                   for value in values])


def known(value: float) -> float | None:
    """The value, or None where it is not a finite number."""
    return float(value) if math.isfinite(value) else None


def _finite(value: float | bool | str | None) -> float | bool | str | None:
    if isinstance(value, (bool, str)) or value is None:
        return value
    return known(value)
