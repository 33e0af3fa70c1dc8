"""Liquid properties for the plain solve: CoolProp, by its high-level or its low-level interface."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import CoolProp.CoolProp as CP
from scipy.optimize import brentq

Interface = Literal["PropsSI", "AbstractState"]


@dataclass(frozen=True)
class State:
    """Liquid at one place: P [Pa], h [J/kg], T [K], rho [kg/m3], mu [Pa s], k [W/(m K)], cp [J/(kg K)]."""

    P: float
    h: float
    T: float
    rho: float
    mu: float
    k: float
    cp: float


class Liquid:
    """Liquid properties from CoolProp, through ``PropsSI`` or through one ``AbstractState``.

    Beyond saturation the properties are those of saturated liquid of the same enthalpy, so that a guess, or a
    duty without a liquid solution, never picks up a vapour density.
    """

    def __init__(self, name: str, interface: Interface = "AbstractState") -> None:
        self.name, self.interface, self.calls = name, interface, 0
        self.low = CP.AbstractState("HEOS", name) if interface == "AbstractState" else None
        self.T_least = CP.PropsSI("Tmin", name) + 0.5
        self.T_most = 0.995 * CP.PropsSI("Tcrit", name)
        self.P_least = 1.01 * CP.PropsSI("ptriple", name)
        self.h_least = CP.PropsSI("H", "T", self.T_least, "Q", 0.0, name)
        self.rho_coldest = CP.PropsSI("D", "T", self.T_least, "Q", 0.0, name)
        self.h_most = CP.PropsSI("H", "T", self.T_most, "Q", 0.0, name)

    def _get(self, wanted: str, one: str, x: float, two: str, y: float) -> tuple[float, ...]:
        """Values of the properties whose letters are in ``wanted``, at the pair ``one`` = x, ``two`` = y."""
        if self.low is None:
            self.calls += len(wanted)
            return tuple(float(CP.PropsSI(w, one, x, two, y, self.name)) for w in wanted)
        self.calls += 1
        low = self.low
        pair = {"PH": (CP.HmassP_INPUTS, y, x), "PT": (CP.PT_INPUTS, x, y), "TQ": (CP.QT_INPUTS, y, x),
                "PQ": (CP.PQ_INPUTS, x, y)}[one + two]
        low.update(*pair)
        read: dict[str, Callable[[], float]] = {
            "T": low.T, "P": low.p, "H": low.hmass, "D": low.rhomass, "V": low.viscosity,
            "L": low.conductivity, "C": low.cpmass, "Q": low.Q}
        return tuple(float(read[w]()) for w in wanted)

    def psat(self, T: float) -> float:
        return self._get("P", "T", T, "Q", 0.0)[0]

    def tsat(self, P: float) -> float:
        return self._get("T", "P", P, "Q", 0.0)[0]

    def enthalpy(self, P: float, T: float) -> float:
        return self._get("H", "P", P, "T", T)[0]

    def state(self, P: float, h: float) -> State:
        """State at pressure and enthalpy; guesses outside the liquid range are taken at its end."""
        P_used = max(P, self.P_least)
        h_used = min(max(h, self.h_least + P_used / self.rho_coldest), self.h_most)
        if 0.0 <= self._get("Q", "P", P_used, "H", h_used)[0] <= 1.0:
            def excess(T: float) -> float:
                return self._get("H", "T", T, "Q", 0.0)[0] - h_used

            T = brentq(excess, self.T_least, self.T_most, xtol=1e-9)
            rho, mu, k, cp = self._get("DVLC", "T", T, "Q", 0.0)
        else:
            T, rho, mu, k, cp = self._get("TDVLC", "P", P_used, "H", h_used)
        return State(P, h, T, rho, mu, k, cp)
