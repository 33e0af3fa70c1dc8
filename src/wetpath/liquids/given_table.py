"""A liquid from a table the user was given, checked for contradictions before it is believed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline, PchipInterpolator

from wetpath.liquids.chemical_database import Chosen
from wetpath.liquids.curves import Curve, Curves, unknown
from wetpath.liquids.errors import PropertyMissing, UnusableLiquid
from wetpath.liquids.liquid import PropertyOrigin
from wetpath.liquids.specification import GivenProperties
from wetpath.liquids.table import PropertySource, no_steep_term
from wetpath.words import told

Array = NDArray[np.float64]

_GAS_CONSTANT = 8.31446261815324               # [J/(mol K)], exact by definition
_FEW = 4                                       # fewer points than this are said to be few
_JUMP = 0.2                                    # of the latent heat between neighbours that tells a slip
_MOLAR_LATENT_HEAT = (4e3, 2.5e5)              # of any liquid one pumps [J/mol]
_IDEAL_BELOW = 5e5                             # the vapour is taken as an ideal gas up to this pressure [Pa]
_SKIRT = 0.02                                  # of the range of the points
_HIGHEST_DEGREE = 5                            # of the polynomial that stands for the density in its derivatives
_STIFFEST = 1e-8                               # no liquid away from its critical point is softer [1/Pa]

#: Field of the specification, the word for it, whether its logarithm over 1/T is what runs smoothly.
_FIELDS = (("vapour_pressure", "vapour pressure", True), ("density", "density", False),
           ("heat_capacity", "heat capacity", False), ("viscosity", "viscosity", True),
           ("kinematic_viscosity", "kinematic viscosity", True), ("conductivity", "conductivity", False))
_NEEDED = ("density", "heat capacity", "viscosity", "conductivity")


@dataclass(frozen=True)
class _Points:
    temperatures: Array
    values: Array


def from_table(name: str, given: GivenProperties) -> Curves:
    """Property source of a table: meets every point, smooth between them, straight lines beyond them.

    What pressure does to enthalpy and heat capacity follows from the polynomial that stands for the densities.
    """
    points = _read(name, given)
    if "kinematic viscosity" in points and "density" not in points:
        raise PropertyMissing(name, "table", ("density",),
                              do="give it, the kinematic viscosity alone is not enough")
    missing = tuple(word for word in _NEEDED if word not in points and not (
        word == "viscosity" and "kinematic viscosity" in points))
    if missing:
        raise PropertyMissing(name, "table", missing,
                              do="add it to the table; one value is enough if it hardly changes")
    low, high = _range(name, given)
    warnings = _doubts(name, points) + _reach(name, points, low, high)
    curves = {word: _curve(points[word], logarithmic) for _, word, logarithmic in _FIELDS if word in points}
    density = curves["density"]
    expanding = _polynomial(np.asarray(given.temperature), density(np.asarray(given.temperature)))
    viscosity = curves.get("viscosity") or (lambda temperatures: curves["kinematic viscosity"](temperatures)
                                            * density(temperatures))
    compressibility = given.compressibility
    if compressibility is None:
        warnings.append(told("{name} is taken as incompressible: the table gives no compressibility.", name=name))
        compressibility = 0.0
    elif not 0.0 <= compressibility < _STIFFEST:
        raise UnusableLiquid(f"is not the compressibility of a liquid; allowed: 0 to {_STIFFEST:g} 1/Pa.",
                             field="liquid.given.compressibility", value=f"{compressibility:g} 1/Pa",
                             do="give the isothermal compressibility, for most liquids 3e-10 to 2e-9 1/Pa")
    origin = PropertyOrigin(given.origin or "table given by the user", "given-by-user", "read")
    vapour = curves.get("vapour pressure", unknown)
    latent = _latent_heat(vapour, density, given.molar_mass) if "vapour pressure" in points else unknown
    if "vapour pressure" not in points:
        warnings.append(told("The vapour pressure of {name} is not known: no margin to boiling can be stated. Add it "
                             "to the table.", name=name))
    return Curves(
        name=name, description="table given by the user", temperature_range=(low, high),
        origins=dict.fromkeys(points, origin), volume=lambda temperatures: 1.0 / density(temperatures),
        expansion=lambda temperatures: 1.0 / expanding(temperatures),
        compression=lambda temperatures, saturation, pressures: (
            1.0 / (1.0 + compressibility * (pressures - saturation))),
        heat_capacity=curves["heat capacity"], viscosity=viscosity, conductivity=curves["conductivity"],
        vapour_pressure=vapour, latent_heat=latent, molar_mass=given.molar_mass, warnings=warnings)


def replacements(name: str, given: GivenProperties) -> tuple[dict[str, Chosen], list[str]]:
    """The properties of a table that are to replace those of another source, and what is doubtful about them."""
    points = _read(name, given)
    if "kinematic viscosity" in points:
        raise UnusableLiquid("cannot replace the viscosity of another source.",
                             field="liquid.given.kinematic_viscosity", do="give the dynamic viscosity")
    for word, found in points.items():
        if found.values.size < 2:
            raise UnusableLiquid(f"has one value for the {word}.", field="liquid.given",
                                 do="give two or more, over the range of use")
    origin = PropertyOrigin(given.origin or "table given by the user", "given-by-user", "read")
    chosen = {word: Chosen(_curve(points[word], logarithmic), float(points[word].temperatures[0]),
                           float(points[word].temperatures[-1]), "given by the user", False, origin)
              for _, word, logarithmic in _FIELDS if word in points}
    if "density" in points:
        density = points["density"]
        chosen["density"] = replace(chosen["density"], expansion=_polynomial(density.temperatures, density.values))
    return chosen, _doubts(name, points)


def _range(name: str, given: GivenProperties) -> tuple[float, float]:
    low, high = min(given.temperature), max(given.temperature)
    if high - low < 1.0:
        raise UnusableLiquid("needs at least two temperatures, 1 K or more apart.",
                             field="liquid.given.temperature",
                             value=f"{low:g} to {high:g} K",
                             do=f"give the properties of {name} over its range of use")
    return float(low), float(high)


def _read(name: str, given: GivenProperties) -> dict[str, _Points]:
    """The points of each property that was given; NaN marks a gap."""
    temperatures = np.asarray(given.temperature, dtype=float)
    if (temperatures.size == 0 or not np.isfinite(temperatures).all() or temperatures[0] <= 0.0
            or (np.diff(temperatures) <= 0.0).any()):
        raise UnusableLiquid("must be positive and rise from row to row.", field="liquid.given.temperature",
                             value=", ".join(f"{temperature:g}" for temperature in temperatures),
                             do="sort the table by temperature and give each temperature once")
    if given.viscosity and given.kinematic_viscosity:
        raise UnusableLiquid("is given beside the dynamic viscosity.",
                             field="liquid.given.kinematic_viscosity", value="",
                             do="give one of the two")
    points = {}
    for field, word, _ in _FIELDS:
        values = np.asarray(getattr(given, field), dtype=float)
        if values.size == 0:
            continue
        if values.size != temperatures.size:
            raise UnusableLiquid(f"has {values.size} values for {temperatures.size} temperatures.",
                                 field=f"liquid.given.{field}", value="",
                                 do="give one value, or a gap, for each temperature")
        there = ~np.isnan(values)
        if not there.any():
            continue
        if not ((values[there] > 0.0) & np.isfinite(values[there])).all():
            raise UnusableLiquid("must be positive.", field=f"liquid.given.{field}",
                                 value=f"{values[there].min():g}", do="correct the value, or leave a gap")
        points[word] = _Points(temperatures[there], values[there])
    pressure = points.get("vapour pressure")
    if pressure is not None:
        if pressure.values.size < 2:
            raise UnusableLiquid("needs at least two points.", field="liquid.given.vapour_pressure",
                                 value=f"{pressure.values[0]:g} Pa",
                                 do=f"give the vapour pressure of {name} at four or more temperatures")
        falls = np.flatnonzero(np.diff(pressure.values) <= 0.0)
        if falls.size:
            at = int(falls[0])
            raise UnusableLiquid(
                f"does not rise from {pressure.temperatures[at]:g} K to {pressure.temperatures[at + 1]:g} K.",
                field="liquid.given.vapour_pressure", value=f"{pressure.values[at + 1]:g} Pa",
                why="a vapour pressure always rises with temperature", do="correct the point")
    return points


def _doubts(name: str, points: dict[str, _Points]) -> list[str]:
    """What looks wrong in the points, without being impossible."""
    warnings = []
    for word, found in points.items():
        if word in ("viscosity", "kinematic viscosity", "density"):
            rises = np.flatnonzero(np.diff(found.values) > 5e-4 * found.values[1:])
            if rises.size:
                at = int(rises[0])
                warnings.append(told("The {word} of {name} rises from {start:g} K to {end:g} K; "
                                     "for almost every liquid it falls.", word=word, name=name,
                                     start=found.temperatures[at], end=found.temperatures[at + 1]))
        if 1 < found.values.size < _FEW and word in ("vapour pressure", "viscosity", "kinematic viscosity"):
            warnings.append(told("The {word} of {name} stands on {size} points only.", word=word, name=name,
                                 size=found.values.size))
        if found.values.size == 1:
            warnings.append(told("The {word} of {name} is one value at {temperature:g} K, taken for all "
                                 "temperatures.", word=word, name=name, temperature=found.temperatures[0]))
    pressure = points.get("vapour pressure")
    if pressure is None:
        return warnings
    # Clausius-Clapeyron: the molar latent heat divided by the difference of the compressibility factors
    heat = _GAS_CONSTANT * np.diff(np.log(pressure.values)) / -np.diff(1.0 / pressure.temperatures)
    low, high = _MOLAR_LATENT_HEAT
    for at in np.flatnonzero((heat < low) | (heat > high)).tolist():
        warnings.append(told("From {start:g} K to {end:g} K the vapour pressure of {name} stands "
                             "for a latent heat of {heat:.0f} kJ/mol (Clausius-Clapeyron); liquids have {low:.0f} to "
                             "{high:.0f}.", start=pressure.temperatures[at],
                             end=pressure.temperatures[at + 1], name=name, heat=heat[at] / 1e3,
                             low=low / 1e3, high=high / 1e3))
    jumps = np.abs(np.diff(heat)) / heat[:-1]
    if jumps.size and jumps.max() > _JUMP:
        at = int(np.argmax(jumps))
        warnings.append(told("At {temperature:g} K the vapour pressure of {name} bends: its latent heat would jump "
                             "from {heat:.0f} to {next:.0f} kJ/mol (Clausius-Clapeyron). One of the points nearby "
                             "is probably wrong.", temperature=pressure.temperatures[at + 1], name=name,
                             heat=heat[at] / 1e3, next=heat[at + 1] / 1e3))
    return warnings


def _reach(name: str, points: dict[str, _Points], low: float, high: float) -> list[str]:
    """Where a curve is continued beyond its own points."""
    warnings = []
    for word, found in points.items():
        if found.values.size == 1:
            continue
        for reaches, end, side in ((found.temperatures[0] > low, low, "below"),
                                   (found.temperatures[-1] < high, high, "above")):
            if reaches:
                own = found.temperatures[0] if side == "below" else found.temperatures[-1]
                warnings.append(told("The {word} of {name} is continued {side} its points, from {own:g} K to {end:g} "
                                     "K.", word=word, name=name, side=side, own=own, end=end))
    return warnings


def _curve(points: _Points, logarithmic: bool) -> Curve:
    """Smooth curve through the points: of ln(value) over 1/T, or of the value over T."""
    if points.values.size == 1:
        return lambda temperatures: np.full(np.shape(temperatures), points.values[0])
    abscissa = 1.0 / points.temperatures[::-1] if logarithmic else points.temperatures
    ordinate = np.log(points.values[::-1]) if logarithmic else points.values
    line = _smooth(abscissa, ordinate)

    def curve(temperatures: Array) -> Array:
        return np.exp(line(1.0 / temperatures)) if logarithmic else line(np.asarray(temperatures))

    return curve


def _smooth(x: Array, y: Array) -> Curve:
    """Spline through the points, or a monotone curve where that would swing; straight beyond them."""
    inner: CubicSpline | PchipInterpolator
    if x.size >= _FEW:
        inner = CubicSpline(x, y)
        direction = np.sign(np.diff(y))
        slopes = inner(np.linspace(x[0], x[-1], 40 * x.size), 1)
        if (direction == direction[0]).all() and (slopes * direction[0] < 0.0).any():
            inner = PchipInterpolator(x, y)
    else:
        inner = PchipInterpolator(x, y)
    # a hair beyond the ends still as inside, so that curvature is smooth where it is differenced
    ends = np.array([x[0], x[-1]]) + np.array([-1.0, 1.0]) * _SKIRT * (x[-1] - x[0])
    values, tangents = inner(ends), inner(ends, 1)

    def line(at: Array) -> Array:
        held = np.clip(at, ends[0], ends[1])
        side = np.where(at < x[0], 0, 1)
        return np.asarray(np.where(at == held, inner(held),
                                   values[side] + tangents[side] * (at - ends[side])))

    return line


def _polynomial(x: Array, y: Array) -> Curve:
    """The polynomial through points (n >= 2) that foretells each point best from the others, of degree 5 at most.

    Densities are given to a few digits. A curve through every point has a second derivative, and with it an effect of
    pressure on the heat capacity, that is rounding more than liquid; this has not. The degree is the one of least sum
    of squares of the errors left at each point by the fit to all others, which for least squares are its residual over
    1 less its leverage (Allen, Technometrics 16 (1974) 125; recalled).
    """
    middle, half = 0.5 * (x[0] + x[-1]), 0.5 * (x[-1] - x[0])
    coefficients, least = np.zeros(1), np.inf
    for degree in range(1, max(1, min(_HIGHEST_DEGREE, x.size - 2)) + 1):
        matrix = np.polynomial.chebyshev.chebvander((x - middle) / half, degree)
        directions, triangle = np.linalg.qr(matrix)
        residual = y - directions @ (directions.T @ y)
        leverage = (directions**2).sum(axis=1)
        left = float(((residual / np.maximum(1.0 - leverage, 1e-9))**2).sum())
        if left < least:
            coefficients, least = np.linalg.solve(triangle, directions.T @ y), left

    def curve(temperatures: Array) -> Array:
        return np.asarray(np.polynomial.chebyshev.chebval((temperatures - middle) / half, coefficients))

    return curve


def _latent_heat(vapour_pressure: Curve, density: Curve, molar_mass: float | None) -> Curve:
    """Latent heat by Clausius-Clapeyron with an ideal vapour; NaN where that does not hold."""
    if molar_mass is None:
        return unknown

    def curve(temperatures: Array) -> Array:
        pressure = vapour_pressure(temperatures)
        slope = (vapour_pressure(temperatures + 0.05) - vapour_pressure(temperatures - 0.05)) / 0.1
        vapour = _GAS_CONSTANT * temperatures / (molar_mass * pressure)
        heat = temperatures * slope * (vapour - 1.0 / density(temperatures))
        return np.asarray(np.where(pressure < _IDEAL_BELOW, heat, np.nan))

    return curve


class Replaced:
    """Another property source with its viscosity or conductivity replaced by given curves."""

    def __init__(self, source: PropertySource, given: dict[str, Chosen]) -> None:
        refused = [word for word in given if word not in ("viscosity", "conductivity")]
        if refused:
            raise UnusableLiquid(f"cannot replace the {refused[0]} of the {source.description}.",
                                 field="liquid.given",
                                 value="", do="replace viscosity or conductivity only, or give a whole table")
        self._source, self._given = source, given
        self.name, self.description, self.accuracy = source.name, source.description, source.accuracy
        self.molar_mass, self.cas_number = source.molar_mass, source.cas_number
        self.critical_temperature, self.solidification = source.critical_temperature, source.solidification
        low = max([source.temperature_range[0], *(item.low for item in given.values())])
        high = min([source.temperature_range[1], *(item.high for item in given.values())])
        self.temperature_range = low, high
        self.origins = source.origins | {
            word: item.given for word, item in given.items() if item.given is not None}
        self.warnings = [*source.warnings, *(told("The {word} of {source} is given over temperature only: the effect "
                                                  "of pressure on it is left out.", word=word, source=source.name)
                                             for word in given)]

    def saturation(self, temperatures: Array) -> Array:
        """As the source."""
        return self._source.saturation(temperatures)

    def state(self, temperatures: Array, excess: Array) -> Array:
        """As the source, but for what is replaced."""
        rows = self._source.state(temperatures, excess)
        for row, word in ((3, "viscosity"), (4, "conductivity")):
            if word in self._given:
                rows[row] = self._given[word].curve(temperatures)[:, None]
        return rows

    def steep_term(self, temperatures: Array, highest: float) -> Array:
        """As the source; none where the viscosity is replaced."""
        if "viscosity" in self._given:
            return no_steep_term(temperatures)
        return self._source.steep_term(temperatures, highest)
