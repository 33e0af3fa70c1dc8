"""Input of the plain solve: the invented frame W-1 and its three duties."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any, Literal

CELSIUS = 273.15
MM = 1e-3


@dataclass(frozen=True)
class Frame:
    """The invented frame W-1: dimensions [m], speed [1/s], head coefficients with Q in [m3/h]."""

    speed: float = 2900.0 / 60.0
    H0: float = 36.0
    H2: float = 0.03
    Q_best: float = 12.5
    eta_best: float = 0.50
    d_suction: float = 41 * MM
    npshr_0: float = 0.8
    npshr_2: float = 0.006
    r2: float = 84 * MM
    b2: float = 7 * MM
    r_return: float = 34 * MM
    c_feed: float = 0.96
    c_stat: float = 0.72
    k_impeller: float = 0.45
    k_holder: float = 0.10
    zeta_incidence: float = 1.0
    roughness: float = 8e-6
    zeta: float = 1.5
    zeta_bore: float = 1.6
    d_feed: float = 4.2 * MM
    l_feed: float = 25 * MM
    n_radial: float = 3
    d_radial: float = 4.5 * MM
    l_radial: float = 10 * MM
    r_shaft: float = 14 * MM
    d_bore: float = 8 * MM
    l_bore: float = 110 * MM
    s_rear: float = 5 * MM
    k_rear: float = 0.43
    ri: float = 42 * MM
    ro: float = 43.1 * MM
    l_annulus: float = 50 * MM
    wall: float = 0.8 * MM
    a_resistivity: float = 1.5e-4
    U_air: float = 30.0
    T_air: float = 25.0 + CELSIUS
    s_front: float = 4 * MM
    k_front: float = 0.47
    r_front: float = 24 * MM
    n_return: float = 4
    d_return: float = 2.6 * MM
    l_return: float = 15 * MM
    R_journal: float = 14 * MM
    c_journal: float = 0.030 * MM
    l_journal: float = 14 * MM
    n_groove: float = 3
    w_groove: float = 1.5 * MM
    h_groove: float = 0.6 * MM
    ri_thrust: float = 15 * MM
    ro_thrust: float = 21 * MM
    n_thrust: float = 4
    w_thrust: float = 1.8 * MM
    h_thrust: float = 0.6 * MM
    film_thrust: float = 0.022 * MM
    land: float = 0.80
    q0: float = 450.0
    load_share: float = 1.5


@dataclass(frozen=True)
class Duty:
    """A pumped liquid and the place the circulation returns to; give P1 or its height above psat."""

    liquid: str
    T1: float
    Q: float  # m3/h
    returns_to: Literal["casing", "suction"]
    P1: float | None = None
    above_psat: float = 0.0


W1 = Frame()
W1_A = Duty("Water", 60.0 + CELSIUS, 12.5, "casing", P1=2.0e5)
W1_B = Duty("n-Butane", 30.0 + CELSIUS, 10.0, "casing", above_psat=0.6e5)
W1_C = replace(W1_B, returns_to="suction")


def scaled(thing: Any, factors: Mapping[str, float]) -> Any:
    """Copy of a frame or duty with the named inputs multiplied."""
    known = {f.name for f in fields(thing)}
    return replace(thing, **{n: getattr(thing, n) * by for n, by in factors.items() if n in known})
