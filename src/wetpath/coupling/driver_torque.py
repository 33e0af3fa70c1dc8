"""Torque of an electric driver while it starts: on the mains, star-delta, soft starter, frequency converter."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from wetpath.errors import InputError

Array = NDArray[np.float64]
#: Driver torque [N m] at a time [s] since switching on and a speed [rad/s] of the outer ring.
Driver = Callable[[float, float], float]


def direct_on_line(speeds: Array, torques: Array, rise: float = 0.01) -> Driver:
    """Driver switched straight to the mains, from its torque-speed curve.

    Parameters
    ----------
    speeds : array [rad/s], rising from 0
    torques : array [N m]
        Locked rotor, saddle, breakdown, synchronous speed (0) and points between, as the maker gives them.
    rise : float [s]
        Time constant with which the torque builds up after switching; common practice, no source: 10 ms. The
        first electrical transient (a swing at mains frequency above the curve) is not in it.
    """
    _check_curve(speeds, torques)

    def torque(time: float, speed: float) -> float:
        return float(np.interp(speed, speeds, torques)) * (1 - float(np.exp(-time / rise)) if rise > 0 else 1.0)

    return torque


def star_delta(speeds: Array, torques: Array, switch_over: float, rise: float = 0.01) -> Driver:
    """Driver started in star, a third of its torque, and switched to delta at a time [s] after switching on."""
    delta = direct_on_line(speeds, torques, 0.0)

    def torque(time: float, speed: float) -> float:
        before = delta(time, speed) / 3
        if time < switch_over:
            return before * (1 - float(np.exp(-time / rise)))
        return before + (delta(time, speed) - before) * (1 - float(np.exp(-(time - switch_over) / rise)))

    return torque


def soft_start(speeds: Array, torques: Array, ramp: float, first_voltage: float = 0.4) -> Driver:
    """Driver behind a soft starter: voltage rises from ``first_voltage`` to 1 over ``ramp`` [s], torque as its square.

    Both as shares of full voltage; the curve is that at full voltage.
    """
    full = direct_on_line(speeds, torques, 0.0)

    def torque(time: float, speed: float) -> float:
        voltage = min(first_voltage + (1 - first_voltage) * time / ramp, 1.0)
        return full(time, speed) * voltage**2

    return torque


def frequency_converter(speed: float, ramp: float, torque_per_slip: float, torque_limit: float = np.inf) -> Driver:
    """Driver behind a frequency converter: its field reaches ``speed`` [rad/s] in ``ramp`` [s] at a steady rate.

    Torque is ``torque_per_slip`` [N m] times the slip as a share of ``speed``, at most ``torque_limit`` [N m].
    """

    def torque(time: float, turning: float) -> float:
        lag = (speed * min(time / ramp, 1.0) - turning) / speed
        return float(np.clip(torque_per_slip * lag, -torque_limit, torque_limit))

    return torque


def _check_curve(speeds: Array, torques: Array) -> None:
    if len(speeds) != len(torques) or len(speeds) < 2 or np.any(np.diff(speeds) <= 0) or speeds[0] != 0:
        raise InputError("must rise from 0, with one torque for each", field="speeds",
                         why="the torque-speed curve of the driver is read between its points",
                         do="give locked rotor, saddle, breakdown and synchronous speed at least")
