"""Torque of a magnetic coupling against its load angle, from the harmonics of both rings."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.constants import VACUUM_PERMEABILITY
from wetpath.physics.published import published

Numeric = Any
Array = NDArray[np.float64]


@published("maxwell-stress", status="derived")
def torque_amplitudes(radius: Numeric, inner_radial: Numeric, inner_tangential: Numeric,
                      outer_radial: Numeric, outer_tangential: Numeric) -> Numeric:
    r"""Amplitudes a_n of the torque per length, :math:`T/L = \sum_n a_n\sin(n\delta/p)`.

    Mean Maxwell stress on a cylinder in the gap,
    :math:`a_n = \frac{\pi r^2}{\mu_0}(b^o_n t^i_n - b^i_n t^o_n)`, which no radius may change.

    Parameters
    ----------
    radius : float [m], r
    inner_radial, inner_tangential, outer_radial, outer_tangential : array [T]
        Field harmonics of each ring alone at that radius (``ring_field.gap_field``).

    Returns
    -------
    array [N m/m]
        Torque on the inner ring, positive when the outer ring leads.

    References
    ----------
    .. [1] Maxwell stress tensor; derived.

    Examples
    --------
    >>> round(float(torque_amplitudes(0.0423, 0.437765, 0.255779, 0.484767, -0.340913)), 1)
    1222.2
    """
    return np.pi * radius**2 / VACUUM_PERMEABILITY * (outer_radial * inner_tangential
                                                      - inner_radial * outer_tangential)


def sine_series(orders: Array, amplitudes: Array, angle: Numeric) -> Numeric:
    """Sum of amplitudes x sin(orders x angle), angle in electrical radians, any shape."""
    return np.sin(np.multiply.outer(angle, orders)) @ amplitudes


def cosine_series(orders: Array, amplitudes: Array, angle: Numeric) -> Numeric:
    """Sum of amplitudes x cos(orders x angle), angle in electrical radians, any shape."""
    return np.cos(np.multiply.outer(angle, orders)) @ amplitudes


def pull_out(orders: Array, amplitudes: Array) -> tuple[float, float]:
    """Load angle [electrical rad] of the largest torque between 0 and pi, with that torque [N m].

    It is not always at 90 degrees: a third harmonic flattens or peaks the curve. A fine grid finds the right
    hump (the first of two equal ones), Newton's iteration on the slope its top.

    Examples
    --------
    >>> angle, torque = pull_out(np.array([1.0, 3.0]), np.array([10.0, 2.0]))
    >>> round(float(np.degrees(angle)), 2), round(torque, 3)
    (54.74, 8.709)
    """
    grid = np.linspace(0.0, np.pi, 721)
    torque = sine_series(orders, amplitudes, grid)
    angle = float(grid[np.argmax(torque >= torque.max() * (1 - 1e-9))])
    step = float(grid[1])
    for _ in range(8):
        slope = cosine_series(orders, amplitudes * orders, angle)
        bend = sine_series(orders, amplitudes * orders**2, angle)
        angle += float(np.clip(slope / bend, -step, step)) if bend > 0 else 0.0
    return angle, float(sine_series(orders, amplitudes, angle))


def stiffness(orders: Array, amplitudes: Array, angle: Numeric = 0.0) -> Numeric:
    """Slope of torque against load angle [N m per electrical rad]; times p per mechanical rad."""
    return cosine_series(orders, amplitudes * orders, angle)


def load_angle(orders: Array, amplitudes: Array, torque: Numeric) -> Numeric:
    """Load angle [electrical rad] at which the coupling carries ``torque`` [N m]; NaN beyond pull-out.

    On the stable side, between 0 and the pull-out angle.

    Examples
    --------
    >>> load_angle(np.array([1.0]), np.array([2.0]), np.array([0.0, 1.0, -1.0, 2.1])).round(4)
    array([ 0.    ,  0.5236, -0.5236,     nan])
    """
    top, most = pull_out(orders, amplitudes)
    torque = np.asarray(torque, dtype=float)
    wanted = np.abs(torque)
    low, high = np.zeros_like(wanted), np.full_like(wanted, top)
    for _ in range(54):
        middle = (low + high) / 2
        below = sine_series(orders, amplitudes, middle) < wanted
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.where(wanted <= most, np.sign(torque) * (low + high) / 2, np.nan)
