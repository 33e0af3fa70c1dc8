"""Sensors in time: lag of first order, error of a voting group, and when a limit has been passed for a delay."""

from typing import Any

import numpy as np
from scipy.special import betaincinv

from wetpath.physics.published import compiled, published

Numeric = Any


@published("first-order-lag", status="derived")
def first_order(time: Numeric, signal: Numeric, time_constant: Numeric) -> Numeric:
    r"""Reading of a sensor with a lag of first order, exact for a signal that is straight between its points.

    :math:`\tau\dot y = u - y` solved over a step :math:`h` with :math:`u` of slope :math:`s`:
    :math:`y_1 = u_1 - s\tau + (y_0 - u_0 + s\tau)e^{-h/\tau}`.

    Parameters
    ----------
    time : array (points,) [s]
        Rising.
    signal : array (points, ...)
    time_constant : array [s]
        One, one a signal, or one a point and signal; 0 for none. The one at the end of a step holds for it.

    Returns
    -------
    array as signal; the reading begins at the signal.

    References
    ----------
    .. [1] Linear differential equation of first order; derived.

    Examples
    --------
    >>> first_order(np.array([0.0, 1e-9, 5.0]), np.array([0.0, 1.0, 1.0]), 5.0).round(4).tolist()
    [0.0, 0.0, 0.6321]
    """
    times, value = np.asarray(time, dtype=np.float64), np.asarray(signal, dtype=np.float64)
    constant = np.asarray(time_constant, dtype=np.float64)
    each_point = constant.ndim == value.ndim and constant.shape[0] == times.size
    step = np.diff(times).reshape(-1, *(1,) * (value.ndim - 1))
    lag = np.maximum(constant[1:] if each_point else constant, 1e-12)
    left = np.exp(-step / lag)
    behind = np.diff(value, axis=0) / step * lag          # how far a steady ramp runs ahead of its reading
    flat = value.reshape(times.size, -1)
    wide = (times.size - 1, flat.shape[1])
    every = np.ascontiguousarray(np.broadcast_to(left, behind.shape))
    return _followed(flat, behind.reshape(wide), every.reshape(wide)).reshape(value.shape)


@compiled
def _followed(value: Numeric, behind: Numeric, left: Numeric) -> Numeric:
    """Readings point after point, (points, signals)."""
    reading = np.empty_like(value)
    reading[0] = value[0]
    for point in range(1, value.shape[0]):
        before = point - 1
        for signal in range(value.shape[1]):
            reading[point, signal] = value[point, signal] - behind[before, signal] + left[before, signal] * (
                reading[before, signal] - value[before, signal] + behind[before, signal])
    return reading


@published("order-statistics", status="derived")
def voted_error(error: Numeric, wanted: int, fitted: int, share: float) -> Numeric:
    r"""How late a group of sensors is that acts when ``wanted`` of ``fitted`` have passed the set point.

    Errors of the sensors are independent and even between plus and minus ``error``. The lateness of the group is the
    ``wanted``-th smallest of theirs, which has a beta distribution.

    Parameters
    ----------
    error : array
        Largest error of one sensor, in the unit of the reading.
    wanted, fitted : int
    share : float [-]
        Probability with which the group is no later.

    Returns
    -------
    array; below zero: earlier than a sensor without error.

    References
    ----------
    .. [1] Order statistics of the even distribution, Beta(k, n - k + 1); derived.

    Examples
    --------
    >>> round(float(voted_error(1.0, 1, 1, 0.975)), 4), round(float(voted_error(1.0, 2, 3, 0.975)), 4)
    (0.95, 0.8114)
    """
    return error * (2.0 * betaincinv(wanted, fitted - wanted + 1, share) - 1.0)


def acts_at(time: Numeric, beyond: Numeric, delay: float) -> float:
    """Time at which a reading has been beyond its set point for a delay without a break.

    Parameters
    ----------
    time : array (points,) [s]
    beyond : array (points,)
        How far the reading is beyond the set point; straight between points.
    delay : float [s]

    Returns
    -------
    float [s]; infinite when it never acts.

    Examples
    --------
    >>> acts_at(np.array([0.0, 1.0, 2.0, 9.0]), np.array([-1.0, -1.0, 1.0, 1.0]), 3.0)
    4.5
    """
    times, over = np.asarray(time, dtype=np.float64), np.asarray(beyond, dtype=np.float64)
    inside = over > 0
    for first in np.flatnonzero(inside & ~np.r_[False, inside[:-1]]):
        begins = times[first]
        if first > 0:
            begins -= over[first] / (over[first] - over[first - 1]) * (times[first] - times[first - 1])
        ends = np.flatnonzero(~inside[first:])
        last = times[first + ends[0]] if ends.size else times[-1]
        if begins + delay <= last:
            return float(begins + delay)
    return float("inf")
