"""Plain solve of the internal circulation of the invented frame W-1, written without the package it checks.

What an engineer would write in an afternoon with ``scipy.optimize.root`` and CoolProp: three flows and one
enthalpy as unknowns and one explicit march along the branches. It reproduces the worked example W-1 and is
the oracle for other states and the base line of the speed measurements.

Conventions: SI, absolute pressure, Darcy friction factor; every branch uses the state at its inlet, and the
temperature follows from the enthalpy at the outlet pressure. Head counts with the density at the suction.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from math import inf, pi, sqrt

import numpy as np
from plain_correlations import (
    annulus_friction,
    annulus_nusselt,
    cylinder_power,
    disc_face_power,
    eccentricity,
    film_flow,
    passage_loss,
)
from plain_frame import CELSIUS, W1, Duty, Frame, scaled
from plain_liquid import Interface, Liquid, State
from scipy.optimize import brentq, root

G = 9.80665
SMALLEST_FLOW = 1e-6  # kg/s, floor in q/m so that a bad guess cannot divide by zero


@dataclass(frozen=True)
class Answer:
    """Everything the worked example prints; flows [kg/s], pressures [Pa], temperatures [K], powers [W]."""

    H: float
    m_pump: float
    P1: float
    m_feed: float
    m_shaft: float
    m_front: float
    m_rear: float
    P_F: float
    P_A: float
    P_X: float
    P_B: float
    P_C: float
    P_D: float
    P_J1: float
    P_E: float
    P_R: float
    T_F: float
    T_A: float
    T_C: float
    T_D: float
    T_E: float
    T_R: float
    T_eye: float
    margin_P: float
    margin_T: float
    T_wall: float
    margin_wall: float
    eddy: float
    eddy_liquid: float
    eddy_air: float
    windage: float
    disc_rear: float
    disc_front: float
    journal: float
    thrust: float
    journal_rear: float
    thrust_rear: float
    Re_couette: float
    Nu: float
    h_wall: float
    dP_annulus: float
    V_annulus: float
    f_annulus: float
    F_radial: float
    S: float
    eps: float
    npsha: float
    npshr: float
    T_cells: tuple[float, ...]
    T_wall_cells: tuple[float, ...]
    h_F: float
    h_back: float
    residual: float
    evaluations: int
    property_calls: int


class NotSolved(ArithmeticError):
    """The root finder did not close the network, or a branch does not flow forwards."""


def heated(h: float, q: float, m: float) -> float:
    """Enthalpy behind a heat input."""
    return h + q / max(m, SMALLEST_FLOW)


@dataclass(frozen=True)
class Cell:
    """One annulus cell: state in and out, wall temperature, heats [W], figures of its correlations."""

    inlet: State
    out: State
    T_wall: float
    q_wall: float
    q_air: float
    q_drag: float
    Nu: float
    h_wall: float
    V: float
    friction: float


@dataclass(frozen=True)
class March:
    """States and heats by name, return pressure, mixed enthalpy of all that comes back, and the residuals."""

    at: dict[str, State]
    heat: dict[str, float]
    cells: list[Cell]
    P_R: float
    h_back: float
    h_eye: float
    residuals: tuple[float, float, float, float]


class Network:
    """Frame, duty and liquid together: one method per branch, then the march through them."""

    def __init__(self, frame: Frame, duty: Duty, liquid: Liquid, cells: int) -> None:
        self.f, self.duty, self.liquid, self.cells = frame, duty, liquid, cells
        f = frame
        self.omega = 2.0 * pi * f.speed
        self.P1 = liquid.psat(duty.T1) + duty.above_psat if duty.P1 is None else duty.P1
        self.h1 = liquid.enthalpy(self.P1, duty.T1)
        self.inlet = liquid.state(self.P1, self.h1)
        self.H = f.H0 - f.H2 * duty.Q**2
        x = duty.Q / f.Q_best
        self.eta = f.eta_best * (2.0 * x - x * x)
        self.m_pump = self.inlet.rho * duty.Q / 3600.0

    # places outside the circulation

    def feed_pressure(self) -> float:
        """Head counts with the density at the suction, as in the definition of the pump head."""
        return self.P1 + self.f.c_feed * self.inlet.rho * G * self.H

    def return_pressure(self, F: State) -> float:
        """Head with the density at the suction, rotation behind the impeller with the density of the feed."""
        if self.duty.returns_to == "suction":
            return self.P1
        f = self.f
        swirl = 0.5 * F.rho * (f.k_impeller * self.omega) ** 2 * (f.r2**2 - f.r_return**2)
        return self.P1 + f.c_stat * self.inlet.rho * G * self.H - swirl

    # branches: pressure loss P_in - P_out at flow m with the liquid in the state s

    def feed_hole(self, m: float, s: State) -> float:
        f = self.f
        return passage_loss(m, s, pi / 4 * f.d_feed**2, f.d_feed, f.l_feed, f.zeta, f.roughness)

    def radial_holes(self, m: float, s: State) -> float:
        f = self.f
        incidence = f.zeta_incidence * 0.5 * s.rho * (self.omega * f.r_shaft * (1.0 - f.k_holder)) ** 2
        rotation = 0.5 * s.rho * (self.omega * f.r_shaft) ** 2
        area = f.n_radial * pi / 4 * f.d_radial**2
        return passage_loss(m, s, area, f.d_radial, f.l_radial, f.zeta, f.roughness) + incidence + rotation

    def bore(self, m: float, s: State) -> float:
        f = self.f
        return passage_loss(m, s, pi / 4 * f.d_bore**2, f.d_bore, f.l_bore, f.zeta_bore, f.roughness)

    def rear_cavity(self, s: State) -> float:
        return -0.5 * s.rho * (self.f.k_rear * self.omega * self.f.ri) ** 2

    def front_chamber(self, s: State) -> float:
        f = self.f
        return 0.5 * s.rho * (f.k_front * self.omega) ** 2 * (f.ri**2 - f.r_front**2)

    def return_holes(self, m: float, s: State) -> float:
        f = self.f
        area = f.n_return * pi / 4 * f.d_return**2
        return passage_loss(m, s, area, f.d_return, f.l_return, f.zeta, f.roughness)

    def journal_grooves(self, m: float, s: State) -> float:
        f = self.f
        area = f.n_groove * f.w_groove * f.h_groove
        Dh = 2.0 * f.w_groove * f.h_groove / (f.w_groove + f.h_groove)
        return passage_loss(m, s, area, Dh, f.l_journal, f.zeta, f.roughness)

    def journal(self, m: float, s: State) -> float:
        """Film and grooves side by side at one pressure difference: share of the grooves by bisection."""
        f = self.f

        def surplus(m_groove: float) -> float:
            dP = self.journal_grooves(m_groove, s)
            return m_groove + film_flow(s, f.R_journal, f.c_journal, f.l_journal, dP) - m

        return self.journal_grooves(brentq(surplus, 0.0, m, xtol=1e-15, rtol=1e-14), s)

    def thrust(self, m: float, s: State) -> float:
        f = self.f
        area = f.n_thrust * f.w_thrust * f.h_thrust
        Dh = 2.0 * f.w_thrust * f.h_thrust / (f.w_thrust + f.h_thrust)
        loss = passage_loss(m, s, area, Dh, f.ro_thrust - f.ri_thrust, f.zeta, f.roughness)
        return loss - 0.5 * s.rho * (0.5 * self.omega) ** 2 * (f.ro_thrust**2 - f.ri_thrust**2)

    def annulus_gradient(self, m: float, s: State) -> tuple[float, float, float]:
        """Pressure loss per length [Pa/m], axial velocity and friction factor."""
        f = self.f
        t = f.ro - f.ri
        V = max(m, SMALLEST_FLOW) / (s.rho * pi * (f.ro**2 - f.ri**2))
        friction = annulus_friction(V, self.omega * f.ri, t, s.mu / s.rho)
        return friction / (2.0 * t) * 0.5 * s.rho * V * V, V, friction

    # heats

    def journal_heat(self, s: State) -> float:
        f = self.f
        return cylinder_power(s, self.omega, f.R_journal, f.R_journal + f.c_journal, f.l_journal)

    def thrust_heat(self, s: State) -> float:
        f = self.f
        return f.land * pi * s.mu * self.omega**2 * (f.ro_thrust**4 - f.ri_thrust**4) / (2.0 * f.film_thrust)

    def wall(self, m: float, s: State) -> tuple[float, float, float]:
        """Nu, film coefficient [W/(m2 K)] and wall temperature [K] over liquid in the state s."""
        f = self.f
        t = f.ro - f.ri
        V = max(m, SMALLEST_FLOW) / (s.rho * pi * (f.ro**2 - f.ri**2))
        Re_eff = s.rho * 2.0 * t * sqrt(V**2 + (0.5 * self.omega * f.ri) ** 2) / s.mu
        Nu = annulus_nusselt(Re_eff, s.cp * s.mu / s.k, f.ri, f.ro, f.l_annulus)
        inside = Nu * s.k / (2.0 * t) * 2.0 * pi * f.ro * f.l_annulus
        outside = f.U_air * 2.0 * pi * (f.ro + f.wall) * f.l_annulus
        T_20 = 20.0 + CELSIUS
        T_wall = ((f.q0 * (1.0 + f.a_resistivity * T_20) + inside * s.T + outside * f.T_air)
                  / (f.q0 * f.a_resistivity + inside + outside))
        return Nu, Nu * s.k / (2.0 * t), T_wall

    # the march

    def march(self, m_shaft: float, m_front: float, m_rear: float, h_F: float) -> March:
        """Follow the liquid from the feed to the return."""
        f, state = self.f, self.liquid.state
        m_feed = m_shaft + m_front + m_rear
        at: dict[str, State] = {}
        heat: dict[str, float] = {}

        at["F"] = F = state(self.feed_pressure(), h_F)
        at["A"] = A = state(F.P - self.feed_hole(m_feed, F), h_F)
        at["X"] = X = state(A.P - self.radial_holes(m_shaft, A), A.h)
        at["B"] = B = state(X.P - self.bore(m_shaft, X), X.h)
        heat["disc_rear"] = disc_face_power(B, self.omega, 0.0, f.ri, f.s_rear)
        at["C"] = state(B.P - self.rear_cavity(B), heated(B.h, heat["disc_rear"], m_shaft))

        cells = self.annulus(m_shaft, at["C"])
        at["D"] = D = cells[-1].out
        heat["windage"] = sum(c.q_drag for c in cells)
        heat["eddy_liquid"] = sum(c.q_wall for c in cells)

        heat["disc_front"] = disc_face_power(D, self.omega, f.r_front, f.ri, f.s_front)
        P_E, h_shaft = D.P - self.front_chamber(D), heated(D.h, heat["disc_front"], m_shaft)
        at["J1"], P_front, h_front, heat["journal"], heat["thrust"] = self.bearing(m_front, A)
        at["J2"], P_rear, h_rear, heat["journal_rear"], heat["thrust_rear"] = self.bearing(m_rear, A)

        m_return = m_shaft + m_rear
        at["E"] = E = state(P_E, (m_shaft * h_shaft + m_rear * h_rear) / m_return)
        P_R = self.return_pressure(F)
        h_back = (m_return * E.h + m_front * h_front) / m_feed

        h_eye, h_discharge = self.h1, self.h1 + G * self.H / self.eta
        if self.duty.returns_to == "casing":
            h_discharge += sum(heat.values()) / self.m_pump
        else:
            h_eye = (self.m_pump * self.h1 + m_feed * h_back) / (self.m_pump + m_feed)
            h_discharge += h_eye - self.h1
        residuals = P_E - self.return_holes(m_return, E) - P_R, P_front - P_R, P_rear - P_E, h_discharge - h_F
        return March(at, heat, cells, P_R, h_back, h_eye, residuals)

    def annulus(self, m: float, s: State) -> list[Cell]:
        """Explicit cells of equal length; each takes the state at its inlet."""
        f, cells, dl = self.f, [], self.f.l_annulus / self.cells
        for _ in range(self.cells):
            gradient, V, friction = self.annulus_gradient(m, s)
            Nu, h_wall, T_wall = self.wall(m, s)
            q_wall = h_wall * 2.0 * pi * f.ro * dl * (T_wall - s.T)
            q_air = f.U_air * 2.0 * pi * (f.ro + f.wall) * dl * (T_wall - f.T_air)
            q_drag = cylinder_power(s, self.omega, f.ri, f.ro, dl)
            out = self.liquid.state(s.P - gradient * dl, heated(s.h, q_wall + q_drag, m))
            cells.append(Cell(s, out, T_wall, q_wall, q_air, q_drag, Nu, h_wall, V, friction))
            s = out
        return cells

    def bearing(self, m: float, A: State) -> tuple[State, float, float, float, float]:
        """Journal, then thrust face: state between them, pressure and enthalpy behind them, the two heats."""
        q_journal = self.journal_heat(A)
        J = self.liquid.state(A.P - self.journal(max(m, 0.0), A), heated(A.h, q_journal, m))
        q_thrust = self.thrust_heat(J)
        return J, J.P - self.thrust(m, J), heated(J.h, q_thrust, m), q_journal, q_thrust


@dataclass(frozen=True)
class Closed:
    """The four unknowns at the solution, with the worst relative residual and the number of marches."""

    unknowns: tuple[float, float, float, float]
    residual: float
    evaluations: int

    @property
    def good(self) -> bool:
        return self.residual < 1e-7 and min(self.unknowns[:3]) > SMALLEST_FLOW


def starting_flows(net: Network) -> tuple[float, float, float, float]:
    """Each restriction alone at the whole pressure difference, times 0.5."""
    s, f = net.inlet, net.f
    h_F = net.h1 + G * net.H / net.eta
    whole = net.feed_pressure() - net.return_pressure(s)

    def alone(area: float) -> float:
        return 0.5 * area * sqrt(2.0 * s.rho * whole / f.zeta)

    feed = alone(pi / 4 * f.d_feed**2)
    bearing = alone(f.n_thrust * f.w_thrust * f.h_thrust)
    shaft = alone(f.n_radial * pi / 4 * f.d_radial**2)
    share = feed / (shaft + 2.0 * bearing)
    return shaft * share, bearing * share, bearing * share, h_F


def close_by_root(net: Network, start: tuple[float, float, float, float] | None = None) -> Closed:
    """Root finding on three flows and the enthalpy at the feed.

    Where the cold start fails the feed hole is opened threefold and the heat taken away; both are brought
    back in steps, each started from the last solution.
    """
    closed = _root(net, start or starting_flows(net))
    if closed.good or start is not None:
        return closed
    evaluations, done, step = closed.evaluations, -0.25, 0.25
    good = starting_flows(net)
    while done < 1.0 and step > 1e-3:
        part = min(1.0, done + step)
        f = net.f
        easier = replace(f, d_feed=f.d_feed * 3.0 ** (1.0 - part), q0=f.q0 * part)
        eased = Network(easier, net.duty, net.liquid, net.cells)
        closed = _root(eased, good if done >= 0.0 else starting_flows(eased))
        evaluations += closed.evaluations
        if closed.good:
            done, good, step = part, closed.unknowns, 1.5 * step
        else:
            step *= 0.5
    return replace(closed, evaluations=evaluations, residual=closed.residual if done >= 1.0 else inf)


def _root(net: Network, start: tuple[float, float, float, float]) -> Closed:
    x0 = np.array(start)
    whole = net.feed_pressure() - net.return_pressure(net.inlet)
    unit = np.array([x0[0], x0[1], x0[2], 1000.0])
    origin = np.array([0.0, 0.0, 0.0, x0[3]])
    weight = np.array([whole, whole, whole, 1000.0])
    evaluations = 0

    def residuals(y: np.ndarray) -> np.ndarray:
        nonlocal evaluations
        evaluations += 1
        return np.array(net.march(*(origin + unit * y)).residuals) / weight

    answer = root(residuals, (x0 - origin) / unit, method="hybr", options={"xtol": 1e-12})
    worst = float(np.max(np.abs(residuals(answer.x))))
    x = origin + unit * answer.x
    return Closed((float(x[0]), float(x[1]), float(x[2]), float(x[3])), worst, evaluations)


def solve(duty: Duty, frame: Frame = W1, *, cells: int = 20, P1: float | None = None,
          scale: Mapping[str, float] | None = None, start: tuple[float, float, float, float] | None = None,
          interface: Interface = "AbstractState", liquid: Liquid | None = None,
          close: Callable[..., Closed] = close_by_root) -> Answer:
    """Solve one duty; ``scale`` multiplies inputs of frame or duty by name, ``P1`` replaces the duty's."""
    scale = dict(scale or {})
    unknown = set(scale) - {f.name for f in fields(frame)} - {f.name for f in fields(duty)}
    if unknown:
        raise ValueError(f"no such input: {sorted(unknown)}")
    frame, duty = scaled(frame, scale), scaled(duty, scale)
    if P1 is not None:
        duty = replace(duty, P1=P1)
    liquid = liquid or Liquid(duty.liquid, interface)
    calls = liquid.calls
    net = Network(frame, duty, liquid, cells)
    closed = close(net) if start is None else close(net, start)
    if not closed.good:
        raise NotSolved(f"worst relative residual {closed.residual:.1e}, unknowns {closed.unknowns}")
    walk = net.march(*closed.unknowns)
    return _collect(net, walk, closed, liquid.calls - calls)


def _collect(net: Network, walk: March, closed: Closed, calls: int) -> Answer:
    f, liquid, duty, at, cells = net.f, net.liquid, net.duty, walk.at, walk.cells
    m_shaft, m_front, m_rear, _ = closed.unknowns
    R = liquid.state(walk.P_R, at["E"].h)
    eye = liquid.state(net.P1, walk.h_eye)

    x = duty.Q / f.Q_best
    F_radial = max(0.05, 0.36 * abs(1.0 - x * x)) * net.inlet.rho * G * net.H * 2.0 * f.r2 * f.b2
    p_mean = f.load_share * F_radial / (f.l_journal * 2.0 * f.R_journal)
    S = (f.R_journal / f.c_journal) ** 2 * at["A"].mu * f.speed / p_mean
    V1 = duty.Q / 3600.0 / (pi / 4 * f.d_suction**2)
    first, eddy_air = cells[0], sum(c.q_air for c in cells)
    return Answer(
        H=net.H, m_pump=net.m_pump, P1=net.P1,
        m_feed=m_shaft + m_front + m_rear, m_shaft=m_shaft, m_front=m_front, m_rear=m_rear,
        **{f"P_{n}": at[n].P for n in ("F", "A", "X", "B", "C", "D", "J1", "E")}, P_R=R.P,
        **{f"T_{n}": at[n].T for n in "FACDE"}, T_R=R.T, T_eye=eye.T,
        margin_P=R.P - liquid.psat(R.T), margin_T=liquid.tsat(R.P) - R.T,
        T_wall=max(c.T_wall for c in cells), margin_wall=min(liquid.tsat(c.out.P) - c.T_wall for c in cells),
        eddy=walk.heat["eddy_liquid"] + eddy_air, eddy_air=eddy_air, **walk.heat,
        Re_couette=first.inlet.rho * net.omega * f.ri * (f.ro - f.ri) / first.inlet.mu,
        Nu=first.Nu, h_wall=first.h_wall, V_annulus=first.V, f_annulus=first.friction,
        dP_annulus=at["C"].P - at["D"].P, F_radial=F_radial, S=S, eps=eccentricity(S),
        npsha=(net.P1 - liquid.psat(eye.T)) / (net.inlet.rho * G) + V1**2 / (2.0 * G),
        npshr=f.npshr_0 + f.npshr_2 * duty.Q**2,
        T_cells=tuple(c.inlet.T for c in cells), T_wall_cells=tuple(c.T_wall for c in cells),
        h_F=closed.unknowns[3], h_back=walk.h_back,
        residual=closed.residual, evaluations=closed.evaluations, property_calls=calls)
