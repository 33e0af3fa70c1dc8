"""Mixtures of substances of the chemical database: bubble pressure and mixing rules."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from wetpath.liquids.bubble_point import GAS_CONSTANT, activity_model, bubble_point, second_virial_matrix
from wetpath.liquids.chemical_database import (
    DESCRIPTION,
    Chosen,
    Substance,
    cautions,
    find_substance,
)
from wetpath.liquids.curves import Curve, Curves, splined
from wetpath.liquids.errors import UnusableLiquid
from wetpath.liquids.liquid import PropertyOrigin
from wetpath.words import told

Array = NDArray[np.float64]

_BUBBLE_KNOTS = 160
_HIGH_BUBBLE_PRESSURE = 15e5                   # above this the vapour of the bubble pressure is doubtful [Pa]
_HIGH_IDEAL_PRESSURE = 2e5                     # the same where it is taken as an ideal gas
_PROPERTIES = ("vapour pressure", "volume", "heat capacity", "viscosity", "conductivity")


def mixture(names: Sequence[str], fractions: Sequence[float], basis: str, *,
            given: dict[str, Chosen] | None = None, label: str = "") -> Curves:
    """Property source of a mixture of liquids that mix in all proportions.

    Bubble pressure by `bubble_point`. Volume and heat capacity add up by mass; viscosity ``ln mu = sum x_i ln
    mu_i``; conductivity ``k = (sum w_i / k_i^2)^(-1/2)``. No heat of mixing, no volume change on mixing (up to 2 %
    of density for a light component near its critical point). Only where every component by itself is liquid
    and known.
    """
    given = given or {}
    if "density" in given:
        raise UnusableLiquid("cannot replace the density of a mixture.", field="liquid.given.density",
                             do='give a table of the whole mixture (source "table")')
    parts = [find_substance(name) for name in names]
    moles, masses = _fractions(names, fractions, basis, parts)
    name = label or ", ".join(f"{100 * share:.4g} % {part.name}" for share, part in zip(
        moles if basis == "mole" else masses, parts, strict=True))
    low, high = _common_range(name, parts, given)
    curves = {property_: [splined(part.chosen[property_].curve, low, high, logarithmic=True)
                          for part in parts]
              for property_ in _PROPERTIES}
    bubble, vapour_density, latent_heat, method, warnings = _bubble(name, parts, moles, curves, low, high)
    if "vapour pressure" in given:
        warnings = []
    warnings = [text for part in parts for text in cautions(part)] + warnings
    if "viscosity" not in given:
        warnings.append(told("The viscosity of {name} is an ideal mixing of logarithms; mixtures with water or "
                             "alcohols may be far from it.", name=name))
    final = {"vapour pressure": bubble, "viscosity": _weighted(curves["viscosity"], moles, "logarithm"),
             "conductivity": _weighted(curves["conductivity"], masses, "inverse square"),
             "heat capacity": _weighted(curves["heat capacity"], masses, "value")}
    origins = {"vapour pressure": PropertyOrigin(f"bubble pressure, {method}", "prausnitz-lichtenthaler-1999",
                                                 "computed"),
               "density": PropertyOrigin("volumes add up by mass", "mixing-rules", "common practice"),
               "heat capacity": PropertyOrigin("adds up by mass", "mixing-rules", "common practice"),
               "viscosity": PropertyOrigin("logarithms add up by mole", "mixing-rules", "common practice"),
               "conductivity": PropertyOrigin("inverse squares add up by mass", "vredeveld-1973", "recalled")}
    for property_, item in given.items():
        final[property_] = item.curve
        if item.given is not None:
            origins[property_] = item.given

    def volume(temperatures: Array, pressures: Array) -> Array:
        return np.asarray(sum(
            share * own(temperatures) * part.compression(temperatures, pressure(temperatures), pressures)
            for share, part, own, pressure in zip(masses, parts, curves["volume"], curves["vapour pressure"],
                                                  strict=True)))

    def thickening(temperatures: Array, saturation: Array, pressures: Array) -> Array:
        return np.asarray(np.exp(sum(share * np.log(part.thickening(temperatures, saturation, pressures))
                                     for share, part in zip(moles, parts, strict=True))))

    def steep(temperatures: Array) -> Array:
        # one power instead of the product of several: equal at first order, and what is left is smooth enough
        factors, powers = np.stack([part.steep(temperatures) for part in parts], axis=1)
        factor = moles @ factors
        return np.stack([factor, moles @ (factors * powers) / factor])

    saturation_line = final["vapour pressure"]
    return Curves(
        name=name, description=DESCRIPTION, temperature_range=(low, high), origins=origins,
        volume=lambda temperatures: volume(temperatures, saturation_line(temperatures)),
        compression=lambda temperatures, saturation, pressures: (
            volume(temperatures, pressures) / volume(temperatures, saturation)),
        thickening=thickening, steep=steep, heat_capacity=final["heat capacity"], viscosity=final["viscosity"],
        conductivity=final["conductivity"], vapour_pressure=saturation_line, latent_heat=latent_heat,
        vapour_density=vapour_density, molar_mass=float(moles @ [part.molar_mass for part in parts]), warnings=warnings)


def _fractions(names: Sequence[str], fractions: Sequence[float], basis: str,
               parts: Sequence[Substance]) -> tuple[Array, Array]:
    """Mole and mass fractions, adding up to 1."""
    given = np.asarray(fractions, dtype=float)
    if len(names) < 2 or given.size != len(names) or len({part.cas_number for part in parts}) < len(parts):
        raise UnusableLiquid("needs at least two different components and a fraction for each.",
                             field="liquid.components", value=", ".join(names),
                             do="give one fraction per component")
    if not (given > 0.0).all() or not abs(given.sum() - 1.0) < 1e-3:
        raise UnusableLiquid(f"must be positive and add up to 1; they add up to {given.sum():g}.",
                             field="liquid.fractions", value=", ".join(f"{share:g}" for share in given),
                             do="give the composition as fractions of 1")
    molar_masses = np.array([part.molar_mass for part in parts])
    moles = given if basis == "mole" else given / molar_masses
    moles = moles / moles.sum()
    masses = moles * molar_masses
    return moles, masses / masses.sum()


def _common_range(name: str, parts: Sequence[Substance], given: dict[str, Chosen]) -> tuple[float, float]:
    low = max([part.temperature_range[0] for part in parts] + [item.low for item in given.values()])
    high = min([part.temperature_range[1] for part in parts] + [item.high for item in given.values()])
    if high - low < 20.0:
        ranges = "; ".join(f"{part.name} {part.temperature_range[0]:.0f} to {part.temperature_range[1]:.0f} K"
                           for part in parts)
        raise UnusableLiquid("has no range of temperature in which all components are liquid and known.",
                             field="liquid",
                             value=f'"{name}"', why=ranges, do='give a table of the mixture (source "table")')
    return low, high


def _weighted(curves: Sequence[Curve], shares: Array, of: str) -> Curve:
    """Curve of the weighted mean of the values, their logarithms or their inverse squares."""

    def curve(temperatures: Array) -> Array:
        values = np.stack([own(temperatures) for own in curves])
        weights = shares.reshape((-1,) + (1,) * (values.ndim - 1))
        match of:
            case "logarithm":
                return np.asarray(np.exp((weights * np.log(values)).sum(axis=0)))
            case "inverse square":
                return np.asarray((weights / values**2).sum(axis=0) ** -0.5)
        return np.asarray((weights * values).sum(axis=0))

    return curve


def _bubble(name: str, parts: Sequence[Substance], moles: Array, curves: dict[str, list[Curve]], low: float,
            high: float) -> tuple[Curve, Curve, Curve, str, list[str]]:
    """Curves of bubble pressure, vapour density and latent heat; the method in words; warnings."""
    knots = np.linspace(low, high, _BUBBLE_KNOTS)
    molar_masses = np.array([part.molar_mass for part in parts])
    activity, model = activity_model(parts, moles)
    virial = second_virial_matrix(parts, knots)
    pure = np.stack([curve(knots) for curve in curves["vapour pressure"]])
    volumes = np.stack([curve(knots) for curve in curves["volume"]]) * molar_masses[:, None]
    coefficients = np.array([activity(temperature) for temperature in knots.tolist()]).T
    found = bubble_point(knots, moles, coefficients, pure, volumes, virial)
    if not found.converged:
        virial = None
        found = bubble_point(knots, moles, coefficients, pure, volumes, None)
    warnings = []
    limit = _HIGH_IDEAL_PRESSURE if virial is None else _HIGH_BUBBLE_PRESSURE
    if found.pressure[-1] > limit:
        at = float(np.interp(np.log(limit), np.log(found.pressure), knots))
        warnings.append(told("The bubble pressure of {name} may be wrong by several per cent above {limit:.0f} Pa, "
                             "that is above {at:.0f} K, where the vapour is beyond its {model} model.", name=name,
                             limit=limit, at=at, model="ideal-gas" if virial is None else "second virial"))
    if model == "Raoult's law":
        warnings.append(told("The bubble pressure of {name} is ideal (Raoult's law): no activity model covers its "
                             "components.", name=name))
    mean_mass = molar_masses @ found.vapour
    compressed = np.ones(knots.size)
    if virial is not None:
        compressed += np.einsum("in,jn,ijn->n", found.vapour, found.vapour, virial) * found.pressure / (
            GAS_CONSTANT * knots)
    density = found.pressure * mean_mass / (compressed * GAS_CONSTANT * knots)
    heats = np.stack([np.full(knots.size, np.nan) if item is None or item.low > low or item.high < high
                      else item.curve(knots) for item in (part.chosen.get("latent heat") for part in parts)])
    latent = (found.vapour * molar_masses[:, None] / mean_mass * heats).sum(axis=0)
    gas = "an ideal gas" if virial is None else "with second virial coefficients (Tsonopoulos 1974)"
    return (_through(knots, found.pressure), _through(knots, density), _through(knots, latent),
            f"{model}, vapour {gas}", warnings)


def _through(knots: Array, values: Array) -> Curve:
    return splined(lambda temperatures: values, float(knots[0]), float(knots[-1]), knots=knots.size,
                   logarithmic=True)
