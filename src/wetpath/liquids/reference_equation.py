"""Liquids from reference equations of state, as CoolProp implements them."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.liquids.errors import UnknownLiquid
from wetpath.liquids.liquid import PropertyOrigin
from wetpath.liquids.table import ACCURACY, no_steep_term

Array = NDArray[np.float64]

_TOP = 0.96                      # of the critical temperature: above it no table keeps its accuracy
_KEYS = {"EOS": ("density", "heat capacity", "vapour pressure", "enthalpy"), "VISCOSITY": ("viscosity",),
         "CONDUCTIVITY": ("conductivity",), "SURFACE_TENSION": ("surface tension",)}


class ReferenceEquation:
    """Property source: one substance of CoolProp's Helmholtz energy equations of state."""

    description = "reference equations of state (CoolProp)"
    cas_number: str | None
    critical_temperature: float | None
    molar_mass: float | None
    solidification: float | None
    accuracy = ACCURACY

    def __init__(self, name: str) -> None:
        import CoolProp
        from CoolProp import CoolProp as coolprop

        own_name = canonical_name(name)
        self.name = own_name if name.replace("-", "").isdigit() else name.strip()
        self._properties = coolprop
        self._equation: Any = coolprop.AbstractState("HEOS", own_name)
        self.molar_mass = float(self._equation.molar_mass())
        self.cas_number = coolprop.get_fluid_param_string(own_name, "CAS")
        critical = float(self._equation.T_critical())
        self.critical_temperature = critical
        self.solidification = float(self._equation.Ttriple())
        lowest = max(float(self._equation.Tmin()), self.solidification)
        # a hair above the triple point, where rounding would put the state on the wrong side
        self.temperature_range = (lowest + 0.01, min(_TOP * critical, float(self._equation.Tmax())))
        self.warnings: list[str] = []
        self.origins: dict[str, PropertyOrigin] = {}
        for key, properties in _KEYS.items():
            reference = coolprop.get_BibTeXKey(own_name, key)
            for quantity in properties:
                self.origins[quantity] = PropertyOrigin(
                    f"{_cited(reference)}, as implemented in CoolProp {CoolProp.__version__}", "coolprop",
                    "computed")

    def saturation(self, temperatures: Array) -> Array:
        """Vapour pressure (bubble point), vapour density, latent heat, surface tension."""
        rows = np.full((4, temperatures.size), np.nan)
        equation, modes = self._equation, self._properties
        for i, temperature in enumerate(temperatures.tolist()):
            try:
                equation.unspecify_phase()
                equation.update(modes.QT_INPUTS, 0.0, temperature)
                rows[0, i] = equation.p()
                enthalpy = equation.hmass()
                equation.update(modes.QT_INPUTS, 1.0, temperature)
                rows[1, i], rows[2, i] = equation.rhomass(), equation.hmass() - enthalpy
                rows[3, i] = equation.surface_tension()
            except ValueError:
                continue
        return rows

    def state(self, temperatures: Array, excess: Array) -> Array:
        """Properties of the liquid at ``excess`` above the vapour pressure."""
        rows = np.full((5, *excess.shape), np.nan)
        equation, modes = self._equation, self._properties
        for i, temperature in enumerate(temperatures.tolist()):
            try:
                equation.unspecify_phase()
                equation.update(modes.QT_INPUTS, 0.0, temperature)
                pressure = equation.p()
            except ValueError:
                continue
            for j, above in enumerate(excess[i].tolist()):
                try:
                    if above > 0.0:
                        equation.specify_phase(modes.iphase_liquid)
                        equation.update(modes.PT_INPUTS, pressure + above, temperature)
                    else:
                        equation.unspecify_phase()
                        equation.update(modes.QT_INPUTS, 0.0, temperature)
                    rows[:3, i, j] = equation.rhomass(), equation.hmass(), equation.cpmass()
                except ValueError:
                    continue
                for row, value in ((3, equation.viscosity), (4, equation.conductivity)):
                    try:
                        rows[row, i, j] = value()
                    except ValueError:
                        continue
        rows[3:][rows[3:] <= 0.0] = np.nan
        return rows

    def steep_term(self, temperatures: Array, highest: float) -> Array:
        """None: these equations are smooth in the pressure."""
        return no_steep_term(temperatures)


def canonical_name(name: str) -> str:
    """CoolProp's own name of a substance given by any of its names, its formula code or CAS number."""
    names = _names()
    found = names.get(_plain(name))
    if found is None:
        raise UnknownLiquid("liquid with a reference equation", name, set(names.values()), field="liquid",
                            do="use the chemical database, which knows far more substances, or give a table")
    return found


@cache
def _names() -> dict[str, str]:
    from CoolProp import CoolProp as coolprop

    names: dict[str, str] = {}
    for fluid in coolprop.FluidsList():
        for alias in (fluid, coolprop.get_fluid_param_string(fluid, "CAS"), *coolprop.get_aliases(fluid)):
            names.setdefault(_plain(alias), fluid)
    return names


def _plain(name: str) -> str:
    return re.sub(r"[\s\-_,]", "", name.casefold())


def _cited(reference: str) -> str:
    """``Wagner-JPCRD-2002`` as ``Wagner 2002 (JPCRD)``; no reference as ``unstated correlation``."""
    match = re.fullmatch(r"([^-]+)-(.+?)-(\d{4})\w?(?:-.*)?", reference or "")
    if not match:
        return reference or "correlation without a stated reference"
    author, journal, year = match.groups()
    return f"{author} {year} ({journal})"
