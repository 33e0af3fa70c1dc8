"""Axial force on an impeller: side-room pressure, momentum of the entering flow, pressure at the eye."""

from math import pi
from typing import Any

from wetpath.physics.published import in_kernel, published

Numeric = Any


@published("side-room-pressure", status="derived")
@in_kernel
def side_room_pressure(radius: Numeric, outer_pressure: Numeric, outer_radius: Numeric, density: Numeric,
                       core_rotation: Numeric, speed: Numeric) -> Numeric:
    r"""Pressure in a side room whose liquid turns as a solid body.

    :math:`p(r)=p_2-\tfrac12\rho k^2\omega^2(r_2^2-r^2)`.

    Parameters
    ----------
    radius, outer_radius : array [m]
    outer_pressure : array [Pa]
        At the outer radius.
    density : array [kg/m3]
    core_rotation : array [-]
        k, angular speed of the liquid over that of the impeller; 0.4 to 0.5 without through flow, less
        with outward and more with inward leakage.
    speed : array [rad/s]

    Returns
    -------
    array [Pa]

    Notes
    -----
    Constant k over the radius, no friction of a radial flow.

    References
    ----------
    .. [1] Radial equilibrium; derived.

    Examples
    --------
    >>> round(side_room_pressure(0.030, 0.0, 0.055, 1000.0, 0.5, 303.687))
    -24497
    """
    return outer_pressure - 0.5 * density * (core_rotation * speed)**2 * (outer_radius**2 - radius**2)


@published("side-room-pressure", status="derived")
@in_kernel
def side_room_force(inner_radius: Numeric, outer_pressure: Numeric, outer_radius: Numeric, density: Numeric,
                    core_rotation: Numeric, speed: Numeric) -> Numeric:
    r"""Axial force of :func:`side_room_pressure` on the ring between two radii.

    :math:`F=\pi(r_2^2-r_1^2)\,[p_2-\tfrac14\rho k^2\omega^2(r_2^2-r_1^2)]`.

    Parameters
    ----------
    inner_radius, outer_radius : array [m]
    outer_pressure : array [Pa]
        At the outer radius.
    density, core_rotation, speed : array [kg/m3], [-], [rad/s]

    Returns
    -------
    array [N], pushing away from the side room.

    References
    ----------
    .. [1] Integral of the pressure; derived.

    Examples
    --------
    >>> round(side_room_force(0.040, 4e5, 0.1045, 1000.0, 0.45, 303.687))
    10438
    """
    ring = outer_radius**2 - inner_radius**2
    return pi * ring * (outer_pressure - 0.25 * density * (core_rotation * speed)**2 * ring)


@published("side-room-pressure", status="derived")
@in_kernel
def eye_momentum_force(flow: Numeric, density: Numeric, eye_area: Numeric) -> Numeric:
    r"""Force of the entering flow turned from axial to radial, :math:`\rho Q^2/A`, away from the suction.

    Parameters
    ----------
    flow, density, eye_area : array [m3/s], [kg/m3], [m2]

    Returns
    -------
    array [N]

    References
    ----------
    .. [1] Momentum balance; derived.

    Examples
    --------
    >>> round(eye_momentum_force(50 / 3600, 1000.0, 0.005), 1)
    38.6
    """
    return density * flow**2 / eye_area


@published("side-room-pressure", status="derived")
@in_kernel
def impeller_thrust(back_force: Numeric, front_force: Numeric, eye_pressure: Numeric, eye_radius: Numeric,
                    momentum_force: Numeric) -> Numeric:
    r"""Net axial force on a closed impeller, positive **towards the suction**.

    :math:`F=F_{back}-F_{front}-p_1\pi r_e^2-\rho Q^2/A`.

    Parameters
    ----------
    back_force, front_force : array [N]
        :func:`side_room_force` of the rear and front shroud, with their own core rotation and inner radius.
    eye_pressure, eye_radius : array [Pa], [m]
        Pressure inside the front ring radius; all pressures absolute or all above the same datum.
    momentum_force : array [N]
        :func:`eye_momentum_force`.

    Returns
    -------
    array [N]

    Notes
    -----
    A small difference of large forces: core rotation 0.45 on one side and 0.50 on the other moves it by some
    300 N on a 209 mm impeller at 2900 r/min. The faces of the magnet rotor are further rings for
    :func:`side_room_force` with the pressures of the circulation.

    References
    ----------
    .. [1] Balance of forces; derived.

    Examples
    --------
    >>> round(impeller_thrust(11000.0, 9800.0, 2e5, 0.040, 38.6), 1)
    156.1
    """
    return back_force - front_force - eye_pressure * pi * eye_radius**2 - momentum_force
