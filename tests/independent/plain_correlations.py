"""Correlations of the plain solve, one function each, written from memory of their sources ("recalled")."""

from __future__ import annotations

from itertools import pairwise
from math import log, pi

from plain_liquid import State


def churchill(Re: float, relative_roughness: float) -> float:
    """Darcy friction factor of a pipe, all regimes. Churchill, Chem. Eng. 84 (24), 1977, 91 (recalled)."""
    A = (2.457 * log(1.0 / ((7.0 / Re) ** 0.9 + 0.27 * relative_roughness))) ** 16
    B = (37530.0 / Re) ** 16
    return 8.0 * ((8.0 / Re) ** 12 + (A + B) ** -1.5) ** (1.0 / 12.0)


def cylinder_torque_coefficient(Re: float, ri: float, ro: float) -> float:
    """C_M of M = pi/2 rho omega^2 ri^4 L C_M, larger of the exact laminar value and Bilgen and Boulos.

    Bilgen, Boulos, J. Fluids Eng. 95, 1973, 122 (recalled); Re = rho omega ri t / mu.
    """
    t = ro - ri
    X = (t / ri) ** 0.3
    laminar = 8.0 * t * ro**2 / (ri * (ro**2 - ri**2)) / Re
    if Re < 64.0:
        measured = 10.0 * X / Re
    elif Re < 500.0:
        measured = 2.0 * X * Re**-0.6
    elif Re < 1e4:
        measured = 1.03 * X * Re**-0.5
    else:
        measured = 0.065 * X * Re**-0.2
    return max(laminar, measured)


def cylinder_power(s: State, omega: float, ri: float, ro: float, length: float) -> float:
    """Friction power [W] of a cylinder ri turning in a bore ro."""
    Re = s.rho * omega * ri * (ro - ri) / s.mu
    C_M = cylinder_torque_coefficient(Re, ri, ro)
    return 0.5 * pi * s.rho * omega**3 * ri**4 * length * C_M


def disc_moment_coefficient(Re: float, gap_ratio: float) -> float:
    """C_M of both faces, largest of the four regimes. Daily, Nece, J. Basic Eng. 82, 1960, 217 (recalled)."""
    return max(2.0 * pi / gap_ratio / Re, 3.70 * gap_ratio**0.1 * Re**-0.5,
               0.080 * gap_ratio ** (-1.0 / 6.0) * Re**-0.25, 0.102 * gap_ratio**0.1 * Re**-0.2)


def disc_face_power(s: State, omega: float, r_hole: float, R: float, gap: float) -> float:
    """Friction power [W] of one face of a disc between r_hole and R."""
    C_M = disc_moment_coefficient(s.rho * omega * R**2 / s.mu, gap / R)
    return 0.25 * C_M * s.rho * omega**3 * (R**5 - r_hole**5)


def annulus_friction(V: float, u: float, t: float, nu: float) -> float:
    """Darcy friction factor of axial flow in an annulus with a turning inner wall, on the diameter 2 t.

    Larger of laminar 96/Re and Yamada, Bull. JSME 5, 1962, 302 (recalled; Reynolds number on the gap t).
    """
    laminar = 96.0 / (V * 2.0 * t / nu)
    yamada = 0.26 * (V * t / nu) ** -0.24 * (1.0 + (7.0 / 8.0) ** 2 * (u / (2.0 * V)) ** 2) ** 0.38
    return max(laminar, yamada)


def annulus_nusselt(Re_eff: float, Pr: float, ri: float, ro: float, length: float) -> float:
    """Nu on 2 t at the outer wall. Tachibana, Fukui, Bull. JSME 7, 1964, 385 (recalled).

    Floor 5.385, laminar with one wall heated: Shah, London, Laminar Flow Forced Convection, 1978 (recalled).
    """
    Dh = 2.0 * (ro - ri)
    Nu = 0.015 * (1.0 + 2.3 * Dh / length) * (ro / ri) ** 0.45 * Re_eff**0.8 * Pr ** (1.0 / 3.0)
    return max(5.385, Nu)


# Raimondi, Boyd, Trans. ASLE 1, 1958, 159: full journal bearing, L/D = 0.5 (recalled).
HALF_LENGTH_BEARING = ((4.31, 0.1), (2.03, 0.2), (0.779, 0.4), (0.319, 0.6), (0.0923, 0.8), (0.0313, 0.9),
                       (0.00609, 0.97))


def eccentricity(S: float) -> float:
    """Relative eccentricity of the bearing L/D = 0.5, linear in ln S; nan below the table."""
    table = HALF_LENGTH_BEARING
    if table[0][0] < S:
        return 0.1 * table[0][0] / S
    for (S_high, e_low), (S_low, e_high) in pairwise(table):
        if S_low <= S:
            return e_low + (e_high - e_low) * log(S_high / S) / log(S_high / S_low)
    return float("nan")


def passage_loss(m: float, s: State, area: float, Dh: float, length: float, zeta: float,
                 roughness: float) -> float:
    """Pressure loss [Pa] of holes or grooves of total cross-section ``area``, odd in the flow m."""
    V = m / (s.rho * area)
    if V == 0.0:
        return 0.0
    f = churchill(s.rho * abs(V) * Dh / s.mu, roughness / Dh)
    return (zeta + f * length / Dh) * 0.5 * s.rho * V * abs(V)


def film_flow(s: State, R: float, c: float, length: float, dP: float) -> float:
    """Axial flow [kg/s] through a concentric laminar film."""
    return s.rho * 2.0 * pi * R * c**3 * dP / (12.0 * s.mu * length)
