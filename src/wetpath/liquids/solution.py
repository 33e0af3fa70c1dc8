"""Aqueous solutions from the incompressible-liquid correlations that CoolProp holds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.liquids.chemical_database import Chosen
from wetpath.liquids.curves import Curve, Curves, scalar_curve, splined
from wetpath.liquids.errors import UnknownLiquid, UnusableLiquid
from wetpath.liquids.liquid import PropertyOrigin
from wetpath.words import told

Array = NDArray[np.float64]

_PRESSURE = 2e7                  # the correlations do not depend on it; above every vapour pressure
_KNOTS = 120
_TRIPLE_POINT = 273.16           # of water [K]


@dataclass(frozen=True)
class Dissolved:
    """One dissolved substance: its code in the library, whether it evaporates, an upper limit of ours."""

    code: str
    volatile: bool
    most: float = 1.0


#: What may be dissolved in water, by mass fraction. The library's other liquids are trade products or lack a
#: property. Magnesium chloride: beyond its eutectic of about 0.21 the correlation gives viscosities a
#: thousand times too high.
DISSOLVED = {
    "ethylene glycol": Dissolved("MEG", False), "propylene glycol": Dissolved("MPG", False),
    "glycerol": Dissolved("MGL", False), "calcium chloride": Dissolved("MCA", False),
    "magnesium chloride": Dissolved("MMG", False, 0.205), "sodium chloride": Dissolved("MNA", False),
    "lithium chloride": Dissolved("MLI", False), "potassium carbonate": Dissolved("MKC", False),
    "potassium acetate": Dissolved("MKA", False), "potassium formate": Dissolved("MKF", False),
    "sea salt": Dissolved("MITSW", False), "ethanol": Dissolved("MEA", True),
    "methanol": Dissolved("MMA", True), "ammonia": Dissolved("MAM", True)}


def solution(dissolved: str, mass_fraction: float, *, vapour_pressure: Chosen | None = None) -> Curves:
    """Property source of water with a mass fraction of one dissolved substance.

    Density, heat capacity, viscosity and conductivity are those of the library; enthalpy is made consistent
    with them at every pressure, which the library's is not (0.4 % of heat capacity at 9 MPa). Vapour
    pressure: the one given, else the library's, else, where only the water evaporates, that of water as an
    upper bound.
    """
    import CoolProp
    from CoolProp import CoolProp as coolprop

    name = dissolved.strip().casefold()
    known = DISSOLVED.get(name)
    if known is None:
        raise UnknownLiquid("substance dissolved in water", dissolved, DISSOLVED, field="liquid.components",
                            do='give a table of the solution instead (source "table")')
    _check_fraction(coolprop, name, known, mass_fraction)
    equation = coolprop.AbstractState("INCOMP", known.code)
    equation.set_mass_fractions([mass_fraction])
    freezing = _freezing(coolprop, known.code, mass_fraction)
    low = max(float(equation.Tmin()), freezing or 0.0) + 0.01
    high = float(equation.Tmax()) - 0.01
    if vapour_pressure is not None:
        low, high = max(low, vapour_pressure.low), min(high, vapour_pressure.high)
    label = f"water with {100 * mass_fraction:g} % by mass of {name}"
    origin = PropertyOrigin(f"correlation of aqueous solutions ({known.code}), as implemented in CoolProp "
                            f"{CoolProp.__version__}; taken as incompressible", "coolprop", "computed")
    origins = dict.fromkeys(("density", "heat capacity", "viscosity", "conductivity"), origin)
    boiling, boiling_origin, warnings = _vapour_pressure(
        label, name, known, equation, (low, high), vapour_pressure, origin)
    if boiling_origin is not None:
        origins["vapour pressure"] = boiling_origin

    def curve(quantity: str) -> Curve:
        def value(temperature: float) -> float:
            equation.update(coolprop.PT_INPUTS, _PRESSURE, temperature)
            return float(getattr(equation, quantity)())

        return splined(scalar_curve(value), low, high, knots=_KNOTS, logarithmic=True)

    density = curve("rhomass")
    return Curves(name=label, description="incompressible solutions (CoolProp)",
                  temperature_range=(low, high),
                  origins=origins, volume=lambda temperatures: 1.0 / density(temperatures),
                  heat_capacity=curve("cpmass"), viscosity=curve("viscosity"),
                  conductivity=curve("conductivity"),
                  vapour_pressure=boiling, solidification=freezing, warnings=warnings)


def _check_fraction(coolprop: Any, name: str, known: Dissolved, mass_fraction: float) -> None:
    least, most = (float(coolprop.PropsSI(limit, f"INCOMP::{known.code}[0.1]"))
                   for limit in ("FRACTION_MIN", "FRACTION_MAX"))
    most = min(most, known.most)
    if not least <= mass_fraction <= most:
        raise UnusableLiquid(f"is outside the correlation of {name}; allowed: {least:g} to {most:g} by mass.",
                             field="liquid.fractions", value=f"{mass_fraction:g}",
                             do='give a table of the solution instead (source "table")')


def _freezing(coolprop: Any, code: str, mass_fraction: float) -> float | None:
    try:
        found = float(coolprop.PropsSI("T_FREEZE", "T", 300.0, "P", 1e6, f"INCOMP::{code}[{mass_fraction}]"))
    except ValueError:
        return None
    return found if np.isfinite(found) and 100.0 < found < 400.0 else None


def _vapour_pressure(label: str, name: str, known: Dissolved, equation: Any, limits: tuple[float, float],
                     given: Chosen | None,
                     origin: PropertyOrigin) -> tuple[Curve, PropertyOrigin | None, list[str]]:
    """Curve of the vapour pressure, where it comes from, and what the user must know about it."""
    from CoolProp import CoolProp as coolprop

    if given is not None:
        return given.curve, given.given, []

    def own(temperature: float) -> float | None:
        try:
            equation.update(coolprop.QT_INPUTS, 0.0, temperature)
        except ValueError:
            return None
        pressure = float(equation.p())
        return pressure if pressure > 0.0 else None

    tried = scalar_curve(own)(np.linspace(*limits, 9))
    if np.isfinite(tried).all():
        return splined(scalar_curve(own), *limits, knots=_KNOTS, logarithmic=True), origin, []
    if known.volatile:
        return scalar_curve(lambda temperature: None), None, [
            told("The vapour pressure of {label} is not known: no margin to boiling can be stated. Give a vapour "
                 "pressure table with the liquid.", label=label)]
    bound = PropertyOrigin(f"pure water, an upper bound because {name} does not evaporate (Raoult's law)",
                           "raoult-bound", "derived")
    return splined(scalar_curve(_WaterPressure()), *limits, knots=4 * _KNOTS, logarithmic=True), bound, [
        told("The vapour pressure of {label} is taken as that of water. The true one is lower: margins are on the "
             "safe side.", label=label)]


class _WaterPressure:
    """Vapour pressure of water; below its triple point continued with the latent heat there."""

    def __init__(self) -> None:
        from CoolProp import CoolProp as coolprop

        self._water: Any = coolprop.AbstractState("HEOS", "Water")
        self._modes = coolprop

    def __call__(self, temperature: float) -> float:
        modes = self._modes
        self._water.update(modes.QT_INPUTS, 0.0, max(temperature, _TRIPLE_POINT))
        pressure = float(self._water.p())
        if temperature >= _TRIPLE_POINT:
            return pressure
        slope = float(self._water.first_saturation_deriv(modes.iP, modes.iT))
        return pressure * float(np.exp(slope / pressure * _TRIPLE_POINT**2
                                       * (1 / _TRIPLE_POINT - 1 / temperature)))
