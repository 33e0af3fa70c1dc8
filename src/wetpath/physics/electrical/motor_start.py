"""A squirrel-cage motor while it starts: its torque over its speed, and the inertia of its rotor."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.published import published

Numeric = Any
Array = NDArray[np.float64]

#: Torque over the largest torque, at shares of the speed of the field; rated speed and standstill of slip are added.
SPEED_SHARES = np.array([0.0, 0.10, 0.25, 0.45, 0.65, 0.80, 0.88])
TORQUE_SHARES = np.array([0.80, 0.75, 0.72, 0.78, 0.90, 0.98, 1.00])
#: Inertia of the rotor of a 15 kW motor of two poles [kg m2], low end, and how it grows with power and pole pairs.
ROTOR_INERTIA, ROTOR_POWER, ROTOR_EXPONENT = 0.03, 15e3, 1.5


@published("motor-start-curve", status="common practice")
def start_torque_curve(rated_torque: float, peak_torque: float, rated_speed: float, field_speed: float
                       ) -> tuple[Array, Array]:
    r"""Torque of a squirrel-cage motor at full voltage, from standstill to the speed of its field.

    Locked rotor 0.8 of the peak, a saddle of 0.72 at a quarter of the speed, the peak at 0.88 of it, then through
    rated torque at rated speed to zero at the speed of the field.

    Parameters
    ----------
    rated_torque, peak_torque : float [N m]
    rated_speed, field_speed : float [rad/s]
        The field turns faster than the rated speed.

    Returns
    -------
    speeds, torques : array [rad/s], [N m]

    Notes
    -----
    The shape of the common rotor designs; saddles from 0.5 to 0.9 of the peak are met. The maker's curve goes before.

    References
    ----------
    .. [1] Common practice, no source.

    Examples
    --------
    >>> speeds, torques = start_torque_curve(50.0, 125.0, 308.9, 314.2)
    >>> float(torques[0]), float(torques.max()), float(np.interp(308.9, speeds, torques)), float(torques[-1])
    (100.0, 125.0, 50.0, 0.0)
    """
    speeds = np.concatenate([SPEED_SHARES * field_speed, [rated_speed, field_speed]])
    return speeds, np.concatenate([TORQUE_SHARES * peak_torque, [rated_torque, 0.0]])


@published("motor-rotor-inertia", status="common practice")
def rotor_inertia(rated_power: Numeric, pole_pairs: Numeric) -> Numeric:
    r"""Moment of inertia of the rotor of a three-phase motor, low end: :math:`0.03\,p\,(P/15\,\mathrm{kW})^{1.5}`.

    Parameters
    ----------
    rated_power : array [W], P
    pole_pairs : array [-], p

    Returns
    -------
    array [kg m2]

    Notes
    -----
    Motors of one rating differ by a factor of two; the low end is taken because a light driver sends more of its
    starting torque through the coupling. For 0.75 to 200 kW and 1 to 3 pole pairs.

    References
    ----------
    .. [1] Common practice, no source.

    Examples
    --------
    >>> round(rotor_inertia(18.5e3, 1), 4)
    0.0411
    """
    return ROTOR_INERTIA * pole_pairs * (rated_power / ROTOR_POWER) ** ROTOR_EXPONENT


@published("rotating-mass", status="exact")
def ring_inertia(mass: Numeric, inner_radius: Numeric, outer_radius: Numeric) -> Numeric:
    r"""Moment of inertia of an even ring about its axis, :math:`m(r_i^2+r_o^2)/2`; a disc has inner radius zero.

    Parameters
    ----------
    mass : array [kg]
    inner_radius, outer_radius : array [m]

    Returns
    -------
    array [kg m2]

    Examples
    --------
    >>> round(ring_inertia(2.0, 0.03, 0.04), 6)
    0.0025
    """
    return mass * (inner_radius**2 + outer_radius**2) / 2
