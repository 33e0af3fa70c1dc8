"""The tables that come with the program: shell and casing materials, magnets, motors."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from math import inf, nan
from typing import Any, Literal, TypeVar

from wetpath.edge import quantities
from wetpath.edge.quantities import Kind
from wetpath.edge.units import express, parse, parse_list
from wetpath.errors import InputError, LimitError, UnknownName
from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.words import told

Row = TypeVar("Row")

ROOM_TEMPERATURE = ZERO_CELSIUS + 20.0


@dataclass(frozen=True)
class Origin:
    """Where a value of a table comes from, how it is known, and its published range."""

    source: str
    status: str
    note: str = ""


@dataclass(frozen=True)
class ShellMaterial:
    """What a containment shell or a casing is made of. SI units; NaN where a property is not known here."""

    name: str
    text: str
    conduction: Literal["metal", "partly", "insulating"]
    ferromagnetic: bool
    resistivity: float = inf  # [ohm m] at 20 degC; inf when insulating, NaN when only partly
    resistivity_coefficient: float = 0.0           # [1/K], of the value at 20 degC
    resistivity_range: tuple[float, float] = (0.0, inf)      # [K] in which the coefficient holds
    thermal_conductivity: float = nan              # [W/(m K)]
    density: float = nan                           # [kg/m3]
    heat_capacity: float = nan                     # [J/(kg K)]
    elastic_modulus: float = nan                   # [Pa]
    thermal_expansion: float = nan                 # [1/K]
    tensile_strength: float = nan                  # [Pa], least of the product standard
    yield_strength: float = nan                    # [Pa], least of the product standard
    allowable_temperatures: tuple[float, ...] = ()           # [K]
    allowable_stresses: tuple[float, ...] = ()               # [Pa], tabled
    highest_temperature: float = nan               # [K], of polymers and ceramics
    resistivity_along_fibre: float = nan           # [ohm m]
    resistivity_across_fibre: float = nan          # [ohm m]
    origins: dict[str, Origin] = field(default_factory=dict, compare=False)

    def resistivity_at(self, temperature: float) -> float:
        """Return the resistivity [ohm m] at a temperature [K], by the straight line through 20 degC."""
        return self.resistivity * (1 + self.resistivity_coefficient * (temperature - ROOM_TEMPERATURE))


@dataclass(frozen=True)
class Magnet:
    """One row of the magnet table; values at 20 degC, SI units."""

    name: str
    text: str
    remanence: float                 # Br [T]
    recoil_permeability: float       # [-]
    remanence_coefficient: float     # [1/K]
    coercivity: float                # HcJ [A/m]
    coercivity_coefficient: float    # [1/K]
    highest_temperature: float       # [K]
    resistivity: float               # [ohm m]
    density: float                   # [kg/m3]
    origins: dict[str, Origin] = field(default_factory=dict, compare=False)

    def remanence_at(self, temperature: float) -> float:
        """Return the reversible remanence [T] at a temperature [K]."""
        return self.remanence * (1 + self.remanence_coefficient * (temperature - ROOM_TEMPERATURE))

    def coercivity_at(self, temperature: float) -> float:
        """Return the intrinsic coercivity [A/m] at a temperature [K]."""
        return self.coercivity * (1 + self.coercivity_coefficient * (temperature - ROOM_TEMPERATURE))


@dataclass(frozen=True)
class MotorRating:
    """One size of the motor series: rated power [W], poles, least efficiency [-] of its class at 50 Hz."""

    power: float
    poles: int
    efficiency: float


_MATERIAL_KINDS: dict[str, Kind] = {
    "resistivity": quantities.RESISTIVITY, "resistivity_coefficient": quantities.PER_KELVIN,
    "thermal_conductivity": quantities.THERMAL_CONDUCTIVITY, "density": quantities.DENSITY,
    "heat_capacity": quantities.SPECIFIC_HEAT,
    "elastic_modulus": quantities.STRESS, "thermal_expansion": quantities.PER_KELVIN,
    "tensile_strength": quantities.STRESS, "yield_strength": quantities.STRESS,
    "highest_temperature": quantities.TEMPERATURE, "resistivity_along_fibre": quantities.RESISTIVITY,
    "resistivity_across_fibre": quantities.RESISTIVITY}
_MAGNET_KINDS: dict[str, Kind] = {
    "remanence": quantities.FLUX_DENSITY, "recoil_permeability": quantities.RATIO,
    "remanence_coefficient": quantities.PER_KELVIN, "coercivity": quantities.FIELD_STRENGTH,
    "coercivity_coefficient": quantities.PER_KELVIN, "highest_temperature": quantities.TEMPERATURE,
    "resistivity": quantities.RESISTIVITY, "density": quantities.DENSITY}


@cache
def materials() -> dict[str, ShellMaterial]:
    """Return every material by UNS number or name."""
    return {name: _material(name, row) for name, row in _rows("alloys.toml").items()}


@cache
def magnets() -> dict[str, Magnet]:
    """Return every magnet by name."""
    found = {}
    for name, row in _rows("magnets.toml").items():
        values, origins = _read_row(row, _MAGNET_KINDS)
        found[name] = Magnet(name=name, text=row["text"], origins=origins, **values)
    return found


EfficiencyClass = Literal["IE3", "IE4"]


@cache
def motor_ratings(poles: int, efficiency_class: EfficiencyClass = "IE3") -> tuple[MotorRating, ...]:
    """Return the motor series for 2 or 4 poles, smallest first."""
    table = _rows("motors.toml")
    percent = table["percent"][efficiency_class]
    if str(poles) not in percent:
        raise LimitError(
            told("Motor efficiencies are tabled for {tabled} poles, not for {poles}. Give the motor's efficiency and "
                 "rating in [driver].", tabled=" and ".join(percent), poles=poles)
        )
    return tuple(MotorRating(kilowatt * 1e3, poles, share / 100)
                 for kilowatt, share in zip(table["kilowatt"], percent[str(poles)], strict=True))


def material(name: str) -> ShellMaterial:
    """Return one material; raise `UnknownName` with the nearest ones."""
    return _row(name, materials(), "material")


def shell_material(name: str) -> ShellMaterial:
    """Return one material for a shell; refuse one that is ferromagnetic."""
    found = material(name)
    if found.ferromagnetic:
        raise InputError("is ferromagnetic and cannot be a containment shell", value=f'"{name}"',
                         why="such a wall leads the field of the magnets past the inner ring",
                         do="choose an austenitic or nickel alloy, titanium, or an insulating material")
    return found


def magnet(name: str) -> Magnet:
    """Return one magnet; raise `UnknownName` with the nearest ones."""
    return _row(name, magnets(), "magnet")


def material_warnings(found: ShellMaterial, temperature: float) -> tuple[str, ...]:
    """Return in words what the table does not hold for a material at a temperature [K]."""
    shown = express(temperature, quantities.TEMPERATURE)
    low, high = found.resistivity_range
    warnings = []
    if found.conduction == "metal" and not low <= temperature <= high:
        warnings.append(
            told("The resistivity of {material} is known from {low} to {high}; it is continued to {shown}.",
                 material=found.name, low=express(low, quantities.TEMPERATURE),
                 high=express(high, quantities.TEMPERATURE), shown=shown)
        )
    if found.conduction == "partly":
        warnings.append(
            told("{material} conducts along its fibres: ask its maker for the eddy loss, or measure it.",
                 material=found.name)
        )
    if temperature > found.highest_temperature:
        warnings.append(
            told("{material} is used up to {highest} (common practice); it is at {shown}.", material=found.name,
                 highest=express(found.highest_temperature, quantities.TEMPERATURE), shown=shown)
        )
    if found.allowable_temperatures and temperature > found.allowable_temperatures[-1]:
        last = express(found.allowable_temperatures[-1], quantities.TEMPERATURE)
        warnings.append(
            told("The allowable stress of {material} is tabled here up to {last} only; it is at {shown}.",
                 material=found.name, last=last, shown=shown)
        )
    return tuple(warnings)


def _material(name: str, row: dict[str, Any]) -> ShellMaterial:
    values, origins = _read_row(row, _MATERIAL_KINDS)
    if "resistivity_range" in row:
        low, high = parse_list(row["resistivity_range"], quantities.TEMPERATURE)
        values["resistivity_range"] = (low, high)
    if "allowable" in row:
        given = row["allowable"]
        values["allowable_temperatures"] = tuple(
            parse(one, quantities.TEMPERATURE) for one in given["temperatures"]
        )
        values["allowable_stresses"] = tuple(parse(one, quantities.STRESS) for one in given["stresses"])
        origins["allowable_stresses"] = Origin(given["source"], given["status"], given.get("note", ""))
    if row["conduction"] == "partly":
        values["resistivity"] = nan
    return ShellMaterial(name=name, text=row["text"], conduction=row["conduction"],
                         ferromagnetic=row["ferromagnetic"], origins=origins, **values)


def _read_row(row: dict[str, Any], kinds: dict[str, Kind]) -> tuple[dict[str, Any], dict[str, Origin]]:
    values: dict[str, Any] = {}
    origins = {}
    for name, kind in kinds.items():
        if name in row:
            given = row[name]
            values[name] = parse(str(given["value"]), kind)
            origins[name] = Origin(given["source"], given["status"], given.get("note", ""))
    return values, origins


def _row(name: str, table: dict[str, Row], what: str) -> Row:
    try:
        return table[name]
    except KeyError:
        raise UnknownName(what, name, table, do=f"known: {', '.join(table)}") from None


@cache
def _rows(name: str) -> dict[str, Any]:
    return tomllib.loads(files("wetpath").joinpath("data", name).read_text(encoding="utf-8"))
