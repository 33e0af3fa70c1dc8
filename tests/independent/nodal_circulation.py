"""Second formulation of frame W-1: all node pressures and branch flows at once by least squares.

The plain solve marches along the branches and closes three pressures. Here nothing is marched while the flows
are sought: the liquid is frozen in every branch, the pressures of all nodes and the flows of all branches are
the unknowns of one least-squares problem, and the enthalpies are carried round in an outer loop until the
states stand still. Only the branch laws and heats are shared with the plain solve.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from plain_circulation import Closed, G, Network, starting_flows
from plain_correlations import cylinder_power, disc_face_power
from plain_liquid import State
from scipy.optimize import least_squares

# branch: (from, to); F and R are boundary nodes, the others have a pressure to be found
BRANCHES = {
    "feed": ("F", "A"), "radial": ("A", "X"), "bore": ("X", "B"), "cavity": ("B", "C"), "annulus": ("C", "D"),
    "front": ("D", "E"), "return": ("E", "R"), "journal 1": ("A", "J1"), "thrust 1": ("J1", "R"),
    "journal 2": ("A", "J2"), "thrust 2": ("J2", "E"),
}
NODES = ("A", "X", "B", "C", "D", "E", "J1", "J2")


@dataclass
class Frozen:
    """State at the inlet of every branch, the states of the annulus cells, and the return pressure."""

    at: dict[str, State]
    cells: list[State]
    P_F: float
    P_R: float


def loss(net: Network, frozen: Frozen, branch: str, m: float) -> float:
    """P_from - P_to of one branch at the flow m."""
    s = frozen.at[branch]
    if branch == "feed":
        return net.feed_hole(m, s)
    if branch == "radial":
        return net.radial_holes(m, s)
    if branch == "bore":
        return net.bore(m, s)
    if branch == "cavity":
        return net.rear_cavity(s)
    if branch == "annulus":
        m = max(m, 1e-9)
        return sum(net.annulus_gradient(m, c)[0] for c in frozen.cells) * net.f.l_annulus / net.cells
    if branch == "front":
        return net.front_chamber(s)
    if branch == "return":
        return net.return_holes(m, s)
    return net.journal(max(m, 0.0), s) if branch.startswith("journal") else net.thrust(m, s)


def hydraulics(net: Network, frozen: Frozen, flows: dict[str, float], nodes: dict[str, float],
               ) -> tuple[dict[str, float], dict[str, float], int]:
    """Flows and node pressures with the liquid frozen."""
    names, whole = list(BRANCHES), frozen.P_F - frozen.P_R
    big = max(flows.values())

    def unpack(y: np.ndarray) -> tuple[dict[str, float], dict[str, float]]:
        m = {b: float(v) * big for b, v in zip(names, y, strict=False)}
        P = {n: frozen.P_R + float(v) * whole for n, v in zip(NODES, y[len(names):], strict=True)}
        return m, P | {"F": frozen.P_F, "R": frozen.P_R}

    def residuals(y: np.ndarray) -> np.ndarray:
        m, P = unpack(y)
        laws = [(P[i] - P[j] - loss(net, frozen, b, m[b])) / whole for b, (i, j) in BRANCHES.items()]
        balances = [sum(m[b] * ((j == n) - (i == n)) for b, (i, j) in BRANCHES.items()) / big for n in NODES]
        return np.array(laws + balances)

    y0 = np.array([flows[b] / big for b in names] + [(nodes[n] - frozen.P_R) / whole for n in NODES])
    answer = least_squares(residuals, y0, xtol=1e-14, ftol=1e-14, gtol=1e-14)
    m, P = unpack(answer.x)
    return m, P, answer.nfev


def heats(net: Network, frozen: Frozen, m: dict[str, float], P: dict[str, float], h_F: float,
          ) -> tuple[Frozen, float]:
    """Carry the enthalpy round at given flows and pressures; new frozen states and new feed enthalpy."""
    f, state = net.f, net.liquid.state
    at, h, total = {"feed": state(P["F"], h_F)}, {"A": h_F}, 0.0
    at["radial"] = at["journal 1"] = at["journal 2"] = state(P["A"], h_F)
    at["bore"] = state(P["X"], h_F)
    at["cavity"] = state(P["B"], h_F)

    q = disc_face_power(at["cavity"], net.omega, 0.0, f.ri, f.s_rear)
    total += q
    h["C"] = h_F + q / m["cavity"]
    at["annulus"] = s = state(P["C"], h["C"])
    cells, dl = [], f.l_annulus / net.cells
    for _ in range(net.cells):
        cells.append(s)
        _, h_wall, T_wall = net.wall(m["annulus"], s)
        q = h_wall * 2.0 * pi * f.ro * dl * (T_wall - s.T) + cylinder_power(s, net.omega, f.ri, f.ro, dl)
        total += q
        s = state(s.P - net.annulus_gradient(m["annulus"], s)[0] * dl, s.h + q / m["annulus"])
    at["front"] = state(P["D"], s.h)
    q = disc_face_power(at["front"], net.omega, f.r_front, f.ri, f.s_front)
    total += q
    h_front_chamber = s.h + q / m["front"]

    out = {}
    for n in "12":
        q_journal = net.journal_heat(at[f"journal {n}"])
        at[f"thrust {n}"] = state(P[f"J{n}"], h_F + q_journal / m[f"journal {n}"])
        q_thrust = net.thrust_heat(at[f"thrust {n}"])
        total += q_journal + q_thrust
        out[n] = at[f"thrust {n}"].h + q_thrust / m[f"thrust {n}"]
    h_E = (m["front"] * h_front_chamber + m["thrust 2"] * out["2"]) / (m["front"] + m["thrust 2"])
    at["return"] = state(P["E"], h_E)

    rise = G * net.H / net.eta
    if net.duty.returns_to == "casing":
        h_new = net.h1 + rise + total / net.m_pump
    else:
        back = m["return"] * h_E + m["thrust 1"] * out["1"]
        h_new = (net.m_pump * net.h1 + back) / (net.m_pump + m["return"] + m["thrust 1"]) + rise
    return Frozen(at, cells, P["F"], net.return_pressure(at["feed"])), h_new


def close_by_nodes(net: Network, passes: int = 60) -> Closed:
    """The four unknowns of the plain solve, found by nodal least squares and an outer loop on the states."""
    m_shaft, m_front, m_rear, h_F = starting_flows(net)
    P_F = net.feed_pressure()
    F = net.liquid.state(P_F, h_F)
    frozen = Frozen(dict.fromkeys(BRANCHES, F), [F] * net.cells, P_F, net.return_pressure(F))
    m = dict.fromkeys(BRANCHES, m_shaft) | {
        "feed": m_shaft + m_front + m_rear, "return": m_shaft + m_rear,
        "journal 1": m_front, "thrust 1": m_front, "journal 2": m_rear, "thrust 2": m_rear}
    share = {"A": 0.4, "X": 0.3, "B": 0.25, "C": 0.35, "D": 0.35, "E": 0.2, "J1": 0.1, "J2": 0.25}
    P = {n: frozen.P_R + s * (P_F - frozen.P_R) for n, s in share.items()}
    evaluations = 0
    for _ in range(passes):
        old = m
        m, P, n = hydraulics(net, frozen, m, P)
        evaluations += n
        frozen, h_new = heats(net, frozen, m, P, h_F)
        moved = max(abs(m[b] / old[b] - 1.0) for b in BRANCHES) + abs(h_new - h_F) / 1000.0
        h_F = h_new
        if moved < 1e-11:
            break
    unknowns = m["annulus"], m["journal 1"], m["journal 2"], h_F
    left = np.array(net.march(*unknowns).residuals) / np.array([*[P_F - frozen.P_R] * 3, 1000.0])
    return Closed(unknowns, float(np.max(np.abs(left))), evaluations)
