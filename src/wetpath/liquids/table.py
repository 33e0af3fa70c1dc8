"""Builds the spline table of a liquid from a property source and measures how far it is from it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from wetpath.liquids import lookup, onset
from wetpath.liquids.errors import PropertyMissing, UnusableLiquid
from wetpath.liquids.liquid import PropertyOrigin, TableErrors
from wetpath.liquids.lookup import LiquidArrays
from wetpath.words import told

Array = NDArray[np.float64]

#: Largest relative difference from the source that a finished table may have.
ACCURACY = TableErrors(vapour_pressure=1e-5, density=1e-4, enthalpy_difference=1e-4, heat_capacity=1e-4,
                       viscosity=1e-4, conductivity=1e-4)
#: Where the vapour pressure is unknown the pressure axis starts here [Pa].
BASE_PRESSURE_IF_UNKNOWN = 1e5
#: Default reach of the tables above the vapour pressure [Pa].
HIGHEST_EXCESS_PRESSURE = 10e6

_STATE_NAMES = ("density", "enthalpy", "heat capacity", "viscosity", "conductivity")
_INTERVALS = (64, 128, 256)
_TERMS = (3, 4, 5, 6, 7, 8)
_TRIM = 0.01                                  # share of the range given up at the end that is too hard
_CHECK_PLACES = (0.29, 0.76)                  # between the knots
_CHECK_EXCESS = np.array([0.0, 0.015, 0.12, 0.4, 0.57, 0.75, 1.0])
_ONSET_MARK = 0.3                             # of the allowed error at the places of checking: look closer here
_ONSET_ROUGHNESS = 5e-4                       # of a conductivity at its onset, which terms in y do not mend
_STEEP_PLACES = np.array([0.0627, 0.4107, 0.9097])   # where powers of 0.85 to 1 of them are met: least error between
_BEND_FACTOR = 2.0                            # of the bend to that of the density: best for heat capacity


class PropertySource(Protocol):
    """What a table is built from. NaN stands for what the source cannot tell."""

    name: str
    description: str
    temperature_range: tuple[float, float]
    origins: dict[str, PropertyOrigin]
    accuracy: TableErrors
    warnings: list[str]                        # what the user must know about the source

    @property
    def molar_mass(self) -> float | None:
        """In kg/mol."""

    @property
    def cas_number(self) -> str | None:
        """Number in the registry of substances."""

    @property
    def critical_temperature(self) -> float | None:
        """In kelvin."""

    @property
    def solidification(self) -> float | None:
        """Temperature at which it freezes, in kelvin."""

    def saturation(self, temperatures: Array) -> Array:
        """Vapour pressure, vapour density, latent heat, surface tension: an array (4, n)."""

    def state(self, temperatures: Array, excess: Array) -> Array:
        """Density, enthalpy, heat capacity, viscosity, conductivity: an array (5, n, k).

        ``excess`` (n, k) is the pressure above the base pressure; 0 means the saturated liquid.
        """

    def steep_term(self, temperatures: Array, highest: float) -> Array:
        """b and a, an array (2, n), of the factor ``1 + b e^a`` in the viscosity, 0 < a < 1; b = 0 where it has none.

        e is the pressure above the base pressure over ``highest``.
        """


def no_steep_term(temperatures: Array) -> Array:
    """`PropertySource.steep_term` of a source whose viscosity is smooth in the pressure."""
    return np.stack([np.zeros(temperatures.size), np.ones(temperatures.size)])


@dataclass(frozen=True)
class Table:
    """A finished table, its measured errors and what the user must know about it."""

    arrays: LiquidArrays
    errors: TableErrors
    warnings: tuple[str, ...]


def build_table(source: PropertySource, *, highest_excess_pressure: float = HIGHEST_EXCESS_PRESSURE,
                temperature_range: tuple[float, float] | None = None,
                other_source: str = "another source") -> Table:
    """Table that keeps `ACCURACY` against the source, on the widest temperature range that allows it.

    Terms of the pressure polynomial, then knots are added until the accuracy holds; where even the finest
    table misses it, the range is shortened at the end that causes it (near the critical point, near a glass).
    A source that is itself not smooth ends with a warning that states the error left.
    """
    asked = temperature_range
    low, high = _finite_range(source, asked or source.temperature_range, highest_excess_pressure,
                              other_source)
    warnings: list[str] = []
    for _ in range(25):
        terms, hard_end = _terms_needed(source, low, high, highest_excess_pressure)
        if hard_end is None:
            for intervals in _INTERVALS:
                arrays, errors, worst_temperature = _fitted(source, low, high, intervals, terms,
                                                            highest_excess_pressure)
                if _holds(errors, source.accuracy):
                    return Table(arrays, errors, tuple(warnings) + _range_warning(source, asked, (low, high)))
            place = (worst_temperature - low) / (high - low)
            hard_end = "high" if place > 0.8 else "low" if place < 0.2 else "middle"
        if hard_end == "high":
            high -= _TRIM * (high - low)
        elif hard_end == "low":
            low += _TRIM * (high - low)
        else:
            break
    arrays, errors, worst_temperature = _fitted(source, low, high, _INTERVALS[-1], _TERMS[-1],
                                                highest_excess_pressure)
    if not _holds(errors, source.accuracy):
        warnings.append(told("The table of {source} misses its accuracy near {temperature:.1f} K, where the "
                             "source is not smooth: {errors}.", source=source.name, temperature=worst_temperature,
                             errors=_told(errors, source.accuracy)))
    return Table(arrays, errors, tuple(warnings) + _range_warning(source, asked, (low, high)))


def _range_warning(source: PropertySource, asked: tuple[float, float] | None,
                   got: tuple[float, float]) -> tuple[str, ...]:
    if asked is None:
        return ()
    texts = []
    if got[0] > asked[0] + 0.5:
        texts.append(told("The table of {source} begins at {got:.2f} K, not at {asked:.2f} K: below that the source "
                          "gives no value or changes too fast.", source=source.name, got=got[0], asked=asked[0]))
    if got[1] < asked[1] - 0.5:
        texts.append(told("The table of {source} ends at {got:.2f} K, not at {asked:.2f} K: above that the source "
                          "gives no value or changes too fast.", source=source.name, got=got[1], asked=asked[1]))
    return tuple(texts)


def _told(errors: TableErrors, accuracy: TableErrors) -> str:
    return ", ".join(f"{name.replace('_', ' ')} {value:.1e}" for name, value in vars(errors).items()
                     if value > getattr(accuracy, name))


def _holds(errors: TableErrors, accuracy: TableErrors) -> bool:
    return all(not value > getattr(accuracy, name) for name, value in vars(errors).items())


def _finite_range(source: PropertySource, asked: tuple[float, float], highest: float,
                  other_source: str) -> tuple[float, float]:
    """The widest run of temperatures at which all that is needed is finite."""
    temperatures = np.linspace(*asked, 61)
    state = source.state(temperatures, np.tile([0.0, highest], (temperatures.size, 1)))
    known = np.all(np.isfinite(state), axis=2)                  # (5, n)
    missing = tuple(name for name, row in zip(_STATE_NAMES, list(known), strict=True) if not row.any())
    if missing:
        raise PropertyMissing(source.name, source.description, missing,
                              do=f"use {other_source}, or give the property in a table")
    good = np.all(known, axis=0)
    pressures = source.saturation(temperatures)[0]
    if np.isfinite(pressures).any():
        good &= np.isfinite(pressures) & (pressures > 0.0)
    ends = np.flatnonzero(np.diff(np.concatenate([[0], good.astype(int), [0]])))
    starts, stops = ends[::2], ends[1::2]
    if starts.size == 0 or (stops - starts).max() < 4:
        raise UnusableLiquid("has no range of temperature in which all properties are known.", field="liquid",
                             value=f'"{source.name}"', do=f"use {other_source}, or give a table")
    longest = int(np.argmax(stops - starts))
    return float(temperatures[starts[longest]]), float(temperatures[stops[longest] - 1])


def _axis(terms: int) -> Array:
    """Chebyshev-Lobatto points 0..1: both ends belong to them, so the saturated liquid is met exactly."""
    return 0.5 - 0.5 * np.cos(np.pi * np.arange(terms) / (terms - 1))


def _bend(source: PropertySource, temperatures: Array, highest: float) -> Array:
    ends = np.tile([0.0, 0.5 * highest, highest], (temperatures.size, 1))
    low, middle, high = source.state(temperatures, ends)[0].T
    rise = high - low
    half = np.where(rise > 1e-9 * high, (middle - low) / np.where(rise == 0.0, 1.0, rise), 0.5)
    return np.clip(_BEND_FACTOR * (2.0 * half - 1.0) / (1.0 - half), 0.0, 20.0)


def _excess(y: Array, bend: Array) -> Array:
    return y / (1.0 + bend * (1.0 - y))


def _pressure_polynomials(source: PropertySource, temperatures: Array, bend: Array, terms: int,
                          highest: float) -> Array:
    """Coefficients of ascending powers of y: an array (n, 5, k)."""
    y = _axis(terms)
    excess = _excess(y[None, :], bend[:, None])
    state = source.state(temperatures, highest * excess)
    state[3] = np.log(state[3] / _steep_factor(source, temperatures, excess, highest))
    powers = np.linalg.inv(np.vander(y, increasing=True))
    return np.einsum("jk,pnk->npj", powers, state)


def _steep(source: PropertySource, temperatures: Array, highest: float) -> Array:
    """s0, s1, s2 of the factor of steep viscosity that meets the source's at three pressures: an array (3, n)."""
    factor, power = source.steep_term(temperatures, highest)
    return np.linalg.solve(_steep_terms(_STEEP_PLACES), factor * _STEEP_PLACES[:, None]**power)


def _steep_terms(excess: Array) -> Array:
    root = np.sqrt(np.sqrt(excess))
    return np.stack([excess, excess * root, excess / (root + lookup.POLE)], axis=-1)


def _steep_factor(source: PropertySource, temperatures: Array, excess: Array, highest: float) -> Array:
    return np.asarray(1.0 + np.einsum("nkj,jn->nk", _steep_terms(excess), _steep(source, temperatures, highest)))


def _terms_needed(source: PropertySource, low: float, high: float, highest: float) -> tuple[int, str | None]:
    """Fewest terms in y that keep half of the accuracy at a few temperatures, and the end where none do."""
    temperatures = low + (high - low) * np.array([0.0, 0.03, 0.5, 0.9, 0.97, 1.0])
    bend = _bend(source, temperatures, highest)
    excess = np.tile(_CHECK_EXCESS, (temperatures.size, 1))
    expected = source.state(temperatures, highest * excess)
    y = (1.0 + bend[:, None]) * excess / (1.0 + bend[:, None] * excess)
    steep = _steep_factor(source, temperatures, excess, highest)
    error = np.zeros(temperatures.size)
    for terms in _TERMS:
        coefficients = _pressure_polynomials(source, temperatures, bend, terms, highest)
        ours = np.einsum("npj,nqj->pnq", coefficients, np.stack([y**power for power in range(terms)],
                                                                axis=-1))
        ours[3] = np.exp(ours[3]) * steep
        scale = np.abs(expected)
        scale[1] = expected[2]                                   # enthalpy: against the heat of 1 K
        allowed = _allowed(source.accuracy)
        allowed[1] = 1e-3
        allowed[4] = max(allowed[4], _ONSET_ROUGHNESS)
        error = (np.abs(ours - expected) / scale / allowed[:, None, None]).max(axis=(0, 2))
        if error.max() < 0.6:
            return terms, None
    worst = int(np.argmax(error))
    return _TERMS[-1], "low" if worst < 2 else "high" if worst > 2 else "middle"


def _fitted(source: PropertySource, low: float, high: float, intervals: int, terms: int,
            highest: float) -> tuple[LiquidArrays, TableErrors, float]:
    """A table, its errors and where the worst is; a conductivity that bends sharply is levelled where that helps."""
    arrays = _fit(source, low, high, intervals, terms, highest)
    errors, worst_temperature, conductivity = _measure(source, arrays)
    marked = onset.stretches(conductivity, _ONSET_MARK * source.accuracy.conductivity)
    if not marked or not _holds(replace(errors, conductivity=0.0), source.accuracy):
        return arrays, errors, worst_temperature

    def wanted(intervals: NDArray[np.int64], x: Array, y: Array) -> Array:
        bend = np.einsum("mq,mq->m", arrays.rows[intervals, lookup.BEND], np.vander(x, 4, increasing=True))
        return source.state(low + arrays.temperature_step * (intervals + x),
                            highest * _excess(y[None, :], bend[:, None]))[4]

    rows = arrays.rows
    for first, end in marked:
        rows = onset.levelled(rows, terms, first, end, wanted)
    arrays = arrays._replace(rows=rows)
    errors, worst_temperature, _ = _measure(source, arrays)
    for first, end in marked:
        error, place = onset.largest_error(rows, terms, first, end, wanted)
        if error > errors.conductivity:
            errors = replace(errors, conductivity=error)
            worst_temperature = low + arrays.temperature_step * place
    return arrays, errors, worst_temperature


def _fit(source: PropertySource, low: float, high: float, intervals: int, terms: int,
         highest: float) -> LiquidArrays:
    knots = np.linspace(low, high, intervals + 1)
    step = (high - low) / intervals
    bend = _bend(source, knots, highest)
    polynomials = _pressure_polynomials(source, knots, bend, terms, highest)
    polynomials[:, 1, 0] -= polynomials[0, 1, 0]                # enthalpy 0 at the first knot, saturated
    pressure, vapour_density, latent_heat, tension = source.saturation(knots)
    log_pressure = np.log(pressure)
    known = bool(np.isfinite(log_pressure).all())
    base = log_pressure if known else np.full(knots.size, np.log(BASE_PRESSURE_IF_UNKNOWN))

    unknown = np.full(knots.size, np.nan)
    values = np.concatenate([                                    # (rows, n + 1)
        [log_pressure if known else unknown, base, bend, *_steep(source, knots, highest),
         np.log(vapour_density), latent_heat, tension],
        np.moveaxis(polynomials, 0, -1).transpose(1, 0, 2).reshape(5 * terms, knots.size)])
    finite = np.isfinite(values).all(axis=1)
    rows = np.full((intervals, values.shape[0], 4), np.nan)
    spline = CubicSpline(knots, values[finite], axis=1).c        # (4, n, rows), falling powers
    rows[:, finite] = np.moveaxis(spline[::-1], 0, -1) * step ** np.arange(4)
    return LiquidArrays(first_temperature=low, temperature_step=step, highest_excess_pressure=highest,
                        terms=terms,
                        rows=np.ascontiguousarray(rows))


def _measure(source: PropertySource, arrays: LiquidArrays) -> tuple[TableErrors, float, Array]:
    """Largest relative differences between the knots, where the one worst for its allowance is, and the largest of the
    conductivity in each interval."""
    intervals = arrays.rows.shape[0]
    places = np.add.outer(np.arange(intervals), _CHECK_PLACES).ravel()
    temperatures = arrays.first_temperature + arrays.temperature_step * places
    excess = np.tile(arrays.highest_excess_pressure * _CHECK_EXCESS, (temperatures.size, 1))
    expected = source.state(temperatures, excess)
    pressure = source.saturation(temperatures)[0]
    known = not np.isnan(arrays.rows[:, lookup.LOG_VAPOUR_PRESSURE]).any()
    base = pressure if known else np.full(temperatures.size, BASE_PRESSURE_IF_UNKNOWN)
    ours = np.asarray(lookup.liquid_state_many(
        arrays, np.repeat(temperatures, excess.shape[1]),
        (base[:, None] + excess).ravel())).reshape(expected.shape)
    relative = np.abs(ours / expected - 1.0)
    relative[1] = 0.0
    heat = np.diff(expected[1], axis=0)
    relative[1, 1:] = np.abs(np.diff(ours[1], axis=0) / heat - 1.0)
    vapour = np.zeros(temperatures.size)
    if known:
        vapour = np.abs(lookup.vapour_pressure_many(arrays, temperatures)[0] / pressure - 1.0)
    errors = TableErrors(vapour_pressure=float(vapour.max()) if known else float("nan"),
                         density=float(relative[0].max()), enthalpy_difference=float(relative[1].max()),
                         heat_capacity=float(relative[2].max()), viscosity=float(relative[3].max()),
                         conductivity=float(relative[4].max()))
    shares = (relative / _allowed(source.accuracy)[:, None, None]).max(axis=2)
    excesses = np.maximum(shares[:4].max(axis=0), vapour / source.accuracy.vapour_pressure)
    if not excesses.max() > 1.0:                                 # an onset of conductivity tells of no end of the range
        excesses = np.maximum(excesses, shares[4])
    return (errors, float(temperatures[int(np.argmax(excesses))]),
            relative[4].reshape(intervals, -1).max(axis=1))


def _allowed(accuracy: TableErrors) -> Array:
    return np.array([accuracy.density, accuracy.enthalpy_difference, accuracy.heat_capacity,
                     accuracy.viscosity,
                     accuracy.conductivity])
