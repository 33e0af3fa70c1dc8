"""One liquid as the rest of the program sees it: batched properties, their origin and their limits."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass, field
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetpath.liquids import lookup
from wetpath.liquids.lookup import LiquidArrays
from wetpath.words import told, unpacked

Array = NDArray[np.float64]


class LiquidState(NamedTuple):
    """Properties of the liquid, each of the broadcast shape of what was asked."""

    density: Array            # [kg/m3]
    enthalpy: Array           # [J/kg], 0 for the saturated liquid at the lowest temperature of the table
    heat_capacity: Array      # at constant pressure [J/(kg K)]
    viscosity: Array          # dynamic [Pa s]
    conductivity: Array       # thermal [W/(m K)]


class SaturationState(NamedTuple):
    """Properties on the saturation line; NaN where the source does not know them."""

    vapour_density: Array     # [kg/m3]
    latent_heat: Array        # [J/kg]
    surface_tension: Array    # [N/m]


@dataclass(frozen=True)
class LiquidLimits:
    """Temperatures the liquid must not reach [K]; None where nobody said."""

    solidification: float | None = None
    crystallisation: float | None = None
    decomposition: float | None = None
    polymerisation: float | None = None
    autoignition: float | None = None
    critical_temperature: float | None = None


@dataclass(frozen=True)
class PropertyOrigin:
    """Where one property comes from: the method in words and the key of its row in ``data/sources``."""

    text: str
    key: str
    status: str


@dataclass(frozen=True)
class TableErrors:
    """Largest relative differences of the table from its source, measured between the knots when built."""

    vapour_pressure: float
    density: float
    enthalpy_difference: float
    heat_capacity: float
    viscosity: float
    conductivity: float


@dataclass(frozen=True, eq=False)
class Liquid:
    """A liquid: a table of its properties, where they come from, how far they hold.

    All methods take scalars or arrays, kelvin and pascal absolute, and return arrays of the broadcast shape.
    Compiled code reads ``arrays`` through the functions of `wetpath.liquids.lookup` instead.
    """

    name: str
    kind: str
    origins: dict[str, PropertyOrigin]
    arrays: LiquidArrays
    table_errors: TableErrors
    limits: LiquidLimits = field(default_factory=LiquidLimits)
    molar_mass: float | None = None          # [kg/mol]
    cas_number: str | None = None
    warnings: tuple[str, ...] = ()

    @property
    def temperature_range(self) -> tuple[float, float]:
        """Lowest and highest temperature of the table [K]."""
        first, step = self.arrays.first_temperature, self.arrays.temperature_step
        return first, first + step * self.arrays.rows.shape[0]

    @property
    def highest_excess_pressure(self) -> float:
        """The table reaches to this much above the vapour pressure [Pa]."""
        return self.arrays.highest_excess_pressure

    @property
    def has_vapour_pressure(self) -> bool:
        """Whether the vapour pressure is known; without it no margin can be stated."""
        return not bool(np.isnan(self.arrays.rows[:, lookup.LOG_VAPOUR_PRESSURE]).any())

    @property
    def source(self) -> str:
        """Where the properties come from, in one sentence."""
        texts: dict[str, list[str]] = {}
        for name, origin in self.origins.items():
            texts.setdefault(origin.text, []).append(name)
        if len(texts) == 1:
            return next(iter(texts))
        return "; ".join(f"{', '.join(names)}: {text}" for text, names in texts.items())

    @cached_property
    def content_hash(self) -> str:
        """SHA-256 of everything that is computed with: the table, to the last bit, and what is said of it."""
        digest = hashlib.sha256(json.dumps(describe(self), sort_keys=True).encode())
        for part in self.arrays:
            digest.update(np.ascontiguousarray(part, dtype=np.float64).tobytes())
        return digest.hexdigest()

    def vapour_pressure(self, temperature: ArrayLike) -> Array:
        """Vapour pressure, of a mixture its bubble pressure [Pa]; NaN when unknown; continued outside."""
        return _one(lookup.vapour_pressure_many, self.arrays, temperature)[0]

    def vapour_pressure_slope(self, temperature: ArrayLike) -> Array:
        """Derivative of the vapour pressure with temperature [Pa/K]."""
        return _one(lookup.vapour_pressure_many, self.arrays, temperature)[1]

    def saturation_temperature(self, pressure: ArrayLike) -> Array:
        """Temperature at which the liquid starts to boil at this pressure [K]; NaN when unknown."""
        return _one(lookup.saturation_temperature_many, self.arrays, pressure)[0]

    def state(self, temperature: ArrayLike, pressure: ArrayLike) -> LiquidState:
        """Properties of the liquid; below the saturation line those of the saturated liquid, never vapour."""
        temperatures, pressures = np.asarray(temperature, dtype=np.float64), np.asarray(pressure, dtype=np.float64)
        if temperatures.shape != pressures.shape:
            temperatures, pressures = np.broadcast_arrays(temperatures, pressures)
        rows = lookup.liquid_state_many(self.arrays, np.ravel(temperatures), np.ravel(pressures))
        return LiquidState(*rows.reshape((5, *temperatures.shape)))

    def saturation_state(self, temperature: ArrayLike) -> SaturationState:
        """Vapour density, latent heat and surface tension on the saturation line."""
        return SaturationState(*_one(lookup.saturation_state_many, self.arrays, temperature))

    def outside(self, temperature: ArrayLike, pressure: ArrayLike) -> tuple[str, ...]:
        """Sentences that name each limit of the table these states cross; empty when all lie inside."""
        temperatures, pressures = np.asarray(temperature, float), np.asarray(pressure, float)
        low, high = self.temperature_range
        found = []
        if (temperatures < low - 1e-9).any():
            found.append(told("{liquid}: {temperature:.2f} K is below the {low:.2f} K at which the property table "
                              "begins; the values at its end were used", liquid=self.name,
                              temperature=np.nanmin(temperatures), low=low))
        if (temperatures > high + 1e-9).any():
            found.append(told("{liquid}: {temperature:.2f} K is above the {high:.2f} K at which the property table "
                              "ends; the values at its end were used and the vapour pressure was continued",
                              liquid=self.name, temperature=np.nanmax(temperatures), high=high))
        base = np.exp(self.arrays.rows[0, lookup.LOG_BASE_PRESSURE, 0]) if not self.has_vapour_pressure else (
            self.vapour_pressure(temperatures))
        if (pressures - base > self.highest_excess_pressure).any():
            found.append(told("{liquid}: {pressure:.0f} Pa is more than {highest:.0f} Pa above the "
                              "vapour pressure, where the property table ends; the values at its end were used",
                              liquid=self.name,
                              pressure=np.nanmax(pressures), highest=self.highest_excess_pressure))
        return tuple(found)


def describe(liquid: Liquid) -> dict[str, Any]:
    """Everything about a liquid except its table, as plain values that JSON can hold."""
    return {"name": liquid.name, "kind": liquid.kind, "molar_mass": liquid.molar_mass,
            "cas_number": liquid.cas_number, "warnings": list(liquid.warnings),
            "origins": {name: asdict(origin) for name, origin in liquid.origins.items()},
            "table_errors": asdict(liquid.table_errors), "limits": asdict(liquid.limits)}


def from_description(description: dict[str, Any], arrays: LiquidArrays) -> Liquid:
    """The liquid that `describe` described."""
    return Liquid(name=description["name"], kind=description["kind"], molar_mass=description["molar_mass"],
                  cas_number=description["cas_number"], arrays=arrays,
                  warnings=tuple(unpacked(one) for one in description["warnings"]),
                  origins={name: PropertyOrigin(**origin) for name, origin in description["origins"].items()},
                  table_errors=TableErrors(**description["table_errors"]),
                  limits=LiquidLimits(**description["limits"]))


def _one(loop: Any, arrays: LiquidArrays, argument: ArrayLike) -> tuple[Array, ...]:
    values = np.asarray(argument, dtype=np.float64)
    return tuple(row.reshape(values.shape) for row in loop(arrays, np.ravel(values)))
