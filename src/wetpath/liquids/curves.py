"""A liquid given by curves over temperature on its saturation line, made a consistent compressed liquid."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from wetpath.liquids.liquid import PropertyOrigin, TableErrors
from wetpath.liquids.table import ACCURACY, BASE_PRESSURE_IF_UNKNOWN, no_steep_term

Array = NDArray[np.float64]
Curve = Callable[[Array], Array]
#: Temperatures (n) -> (2, n): b [Pa^-a] and a of a factor ``1 + b (p - p_sat)^a``
SteepTerm = Callable[[Array], Array]
#: (temperature, saturation pressure, pressure) -> property over its value on the saturation line
PressureEffect = Callable[[Array, Array, Array], Array]

_STEP = 0.25                                                    # of the differences over temperature [K]
_GAUSS, _WEIGHTS = np.polynomial.legendre.leggauss(5)
_INTEGRATION_KNOTS = 801


def unknown(temperatures: Array) -> Array:
    """The curve of a property nobody knows."""
    return np.full(np.shape(temperatures), np.nan)


def no_effect(temperature: Array, saturation: Array, pressure: Array) -> Array:
    """The effect of pressure on a property that it does not change."""
    return np.ones_like(pressure)


@dataclass
class Curves:
    """A property source (see `wetpath.liquids.table.PropertySource`) made of curves.

    The curves must go on smoothly a fraction of a kelvin beyond ``temperature_range``, for the differences at
    its ends.

    Enthalpy follows from the heat capacity and the volume, so that the first law and the equality of mixed
    derivatives hold: along the saturation line ``dh = cp dT + (v - T v_T) dp``, from there at constant
    temperature ``dh = (v - T v_T) dp`` and ``dcp = -T v_TT dp``, subscripts being derivatives with
    temperature at constant pressure. The v in these is ``expansion`` where the volume itself is too rough to be
    differentiated twice.
    """

    name: str
    description: str
    temperature_range: tuple[float, float]
    origins: dict[str, PropertyOrigin]
    volume: Curve                                               # saturated, or at the base pressure [m3/kg]
    heat_capacity: Curve                                        # [J/(kg K)]
    viscosity: Curve                                            # dynamic [Pa s]
    conductivity: Curve                                         # [W/(m K)]
    vapour_pressure: Curve = unknown                            # [Pa]
    latent_heat: Curve = unknown                                # [J/kg]
    surface_tension: Curve = unknown                            # [N/m]
    vapour_density: Curve | None = None                         # [kg/m3]; None: from Clausius-Clapeyron
    expansion: Curve | None = None                              # smoothed volume [m3/kg]; None: the volume
    compression: PressureEffect = no_effect
    thickening: PressureEffect = no_effect
    steep: SteepTerm | None = None                              # a factor in `thickening`
    molar_mass: float | None = None
    cas_number: str | None = None
    critical_temperature: float | None = None
    solidification: float | None = None
    warnings: list[str] = field(default_factory=list)
    accuracy: TableErrors = ACCURACY

    def __post_init__(self) -> None:
        knots = np.linspace(*self.temperature_range, _INTEGRATION_KNOTS)
        base = self._base(knots)
        volume, first, _ = self._volumes(knots, base[:, None])
        slope = CubicSpline(knots, base)(knots, 1)
        rise = self.heat_capacity(knots) + (volume - knots[:, None] * first)[:, 0] * slope
        self._saturated_enthalpy = CubicSpline(knots, rise).antiderivative()

    def saturation(self, temperatures: Array) -> Array:
        """Vapour pressure, vapour density, latent heat, surface tension: an array (4, n)."""
        pressure = self.vapour_pressure(temperatures)
        latent = self.latent_heat(temperatures)
        if self.vapour_density is not None:
            density = self.vapour_density(temperatures)
        else:
            slope = (self.vapour_pressure(temperatures + _STEP)
                     - self.vapour_pressure(temperatures - _STEP)) / (2 * _STEP)
            density = 1.0 / (self.volume(temperatures) + latent / (temperatures * slope))
        return np.stack([pressure, density, latent, self.surface_tension(temperatures)])

    def state(self, temperatures: Array, excess: Array) -> Array:
        """Density, enthalpy, heat capacity, viscosity, conductivity: an array (5, n, k)."""
        base = self._base(temperatures)[:, None]
        pressures = base + excess
        saturated = self.volume(temperatures)[:, None]
        volume = saturated * self.compression(temperatures[:, None], base, pressures)
        enthalpy = np.broadcast_to(self._saturated_enthalpy(temperatures)[:, None], excess.shape).copy()
        heat_capacity = np.broadcast_to(self.heat_capacity(temperatures)[:, None], excess.shape).copy()
        for place, weight in zip(0.5 + 0.5 * _GAUSS, 0.5 * _WEIGHTS, strict=True):
            between, first, second = self._volumes(temperatures, base + place * excess)
            enthalpy += weight * excess * (between - temperatures[:, None] * first)
            heat_capacity -= weight * excess * temperatures[:, None] * second
        viscosity = self.viscosity(temperatures)[:, None] * self.thickening(
            temperatures[:, None], base, pressures)
        conductivity = np.broadcast_to(self.conductivity(temperatures)[:, None], excess.shape)
        return np.stack([1.0 / volume, enthalpy, heat_capacity, viscosity, conductivity])

    def steep_term(self, temperatures: Array, highest: float) -> Array:
        """b and a of the factor ``1 + b e^a`` in the viscosity (2, n), e the excess pressure over ``highest``."""
        if self.steep is None:
            return no_steep_term(temperatures)
        factor, power = self.steep(temperatures)
        return np.stack([factor * highest**power, power])

    def _base(self, temperatures: Array) -> Array:
        pressure = self.vapour_pressure(temperatures)
        return np.where(np.isnan(pressure), BASE_PRESSURE_IF_UNKNOWN, pressure)

    def _volumes(self, temperatures: Array, pressures: Array) -> tuple[Array, Array, Array]:
        """Smooth volume and its first two derivatives with temperature at these constant pressures (n, k)."""
        below, at, above = (self._volume(temperatures + shift, pressures) for shift in (-_STEP, 0.0, _STEP))
        return at, (above - below) / (2.0 * _STEP), (above - 2.0 * at + below) / _STEP**2

    def _volume(self, temperatures: Array, pressures: Array) -> Array:
        saturation = self._base(temperatures)[:, None]
        smooth = self.volume if self.expansion is None else self.expansion
        return smooth(temperatures)[:, None] * self.compression(temperatures[:, None], saturation, pressures)


def scalar_curve(function: Callable[[float], float | None]) -> Curve:
    """Curve of a function of one temperature; None becomes NaN."""

    def curve(temperatures: Array) -> Array:
        values = [function(float(temperature)) for temperature in np.ravel(temperatures)]
        return np.array([np.nan if value is None else value for value in values], dtype=float).reshape(
            np.shape(temperatures))

    return curve


def splined(function: Curve, low: float, high: float, *, knots: int = 400,
            logarithmic: bool = False) -> Curve:
    """Fast stand-in for a slow curve: a cubic spline through it or, where it is positive, its logarithm."""
    temperatures = np.linspace(low, high, knots)
    values = function(temperatures)
    if not np.isfinite(values).all():
        return unknown
    spline = CubicSpline(temperatures, np.log(values) if logarithmic else values)
    if logarithmic:
        return lambda temperature: np.exp(spline(temperature))
    return lambda temperature: np.asarray(spline(temperature))
