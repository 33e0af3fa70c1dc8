"""Finite-difference solution of Reynolds' equation for a full journal bearing: an oracle for the film tables.

Dimensionless: h = 1 + e cos(t), t from the widest film; p in units of 6 mu omega (R/c)^2;
d/dt(h^3 dp/dt) + (D/L)^2 d/dz(h^3 dp/dz) = dh/dt, z = -1..1; p = 0 at both sides; p >= 0 with zero slope
where the film breaks; it starts with p = 0 at the widest film, as in the charts. Solved by an active set.
"""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve


@dataclass(frozen=True)
class Film:
    sommerfeld: float
    attitude_degrees: float
    friction_number: float
    flow_number: float
    side_flow_share: float
    pressure_ratio: float


def solve_film(eccentricity: float, length_to_diameter: float, around: int = 360, along: int = 40) -> Film:
    """The film at one eccentricity ratio; ``along`` cells over the half length (it is symmetric)."""
    across = 0.0 if np.isinf(length_to_diameter) else 1 / length_to_diameter**2
    m = 1 if np.isinf(length_to_diameter) else along
    dt, dz = 2 * np.pi / around, 1.0 / m
    theta = np.arange(around) * dt
    film = 1 + eccentricity * np.cos(theta)
    half = (1 + eccentricity * np.cos(theta + dt / 2)) ** 3
    # unknowns p[i, j], i around (periodic), j = 0 (middle) .. m-1; p[:, m] = 0
    index = np.arange(around * m).reshape(around, m)
    east, west = np.roll(index, -1, 0), np.roll(index, 1, 0)
    a_e = np.repeat(half[:, None], m, 1) / dt**2
    a_w = np.repeat(np.roll(half, 1)[:, None], m, 1) / dt**2
    a_z = np.repeat(film[:, None] ** 3, m, 1) * across / dz**2
    rows, cols, values = [index, index], [east, west], [a_e, a_w]
    diagonal = -(a_e + a_w) - 2 * a_z
    if m > 1:
        rows += [index[:, 1:], index[:, :-1]]
        cols += [index[:, :-1], index[:, 1:]]
        up = a_z[:, :-1].copy()
        up[:, 0] *= 2  # symmetry at the middle
        values += [a_z[:, 1:], up]
    rows.append(index)
    cols.append(index)
    values.append(diagonal)
    matrix = coo_matrix(
        (
            np.concatenate([v.ravel() for v in values]),
            (np.concatenate([r.ravel() for r in rows]), np.concatenate([c.ravel() for c in cols])),
        ),
        shape=(around * m, around * m),
    ).tocsr()
    source = np.repeat(((np.roll(film, -1) - np.roll(film, 1)) / (2 * dt))[:, None], m, 1).ravel()
    may_be_full = np.repeat((theta > 0)[:, None], m, 1).ravel()
    full = may_be_full.copy()
    for _ in range(100):
        pressure = np.zeros(around * m)
        inside = np.flatnonzero(full)
        pressure[inside] = spsolve(matrix[inside][:, inside].tocsc(), source[inside])
        # complementary condition: keep p > 0; take back points whose flow balance asks for pressure
        balance = source - matrix @ pressure
        changed = may_be_full & np.where(full, pressure > 0, balance < -1e-9)
        if np.array_equal(changed, full):
            break
        full = changed
    else:
        raise RuntimeError("the edge of the film did not settle")
    p = pressure.reshape(around, m)
    weight = np.full(m, dz)
    if m > 1:
        weight[0] = dz / 2  # trapezium from the middle to the side, p = 0 there
    line = p @ weight  # mean over the length, as z runs 0..1
    along_centres = -np.sum(line * np.cos(theta)) * dt
    across_centres = np.sum(line * np.sin(theta)) * dt
    load = np.hypot(along_centres, across_centres)
    # W = 6 mu omega (R/c)^2 R L load; p_m = W/(2RL) = 3 mu omega (R/c)^2 load; S = (R/c)^2 mu N/p_m
    sommerfeld = 1 / (2 * np.pi * 3 * load)
    attitude = np.degrees(np.arctan2(across_centres, along_centres))
    # shear on the journal: mu omega R/(c h) + (h/2) dp/dx; integrated by parts: (e/2) sin x load share
    couette = 2 * np.pi / np.sqrt(1 - eccentricity**2)
    friction_force = couette + 3 * eccentricity * across_centres  # in mu omega R^2 L/c
    friction_number = friction_force / (6 * load)
    # flow: per length, q = c omega R (h/2 - h^3/2 dp/dt); in units R c N L with N = omega/2pi
    gradient = (np.roll(p, -1, 0) - p) / dt
    q = (2 * np.pi) * (
        0.5 * (1 + eccentricity * np.cos(theta + dt / 2))[:, None] - half[:, None] / 2 * gradient
    )
    through = q @ weight
    inflow = 1.5 * through[0] - 0.5 * through[1]  # carried back from the cell faces to the start of the film
    if m > 1:
        slope = (-4 * p[:, m - 1] + p[:, m - 2]) / (2 * dz) * -1  # -dp/dz at z = 1, p = 0 there
        side = 2 * np.pi * across / 2 * np.sum(film**3 * slope) * dt
    else:
        side = 0.0
    return Film(
        sommerfeld,
        attitude,
        friction_number,
        inflow,
        side / inflow if inflow else 0.0,
        3 * load / (6 * p.max()),
    )
