"""Holes that turn with the shaft: rotation head, entry incidence and friction in rotation."""

from typing import Any

import numpy as np

from wetpath.physics.published import choose, in_kernel, published

Numeric = Any


@published("rotating-frame-equilibrium", status="exact")
@in_kernel
def rotation_head(density: Numeric, speed: Numeric, radius_from: Numeric, radius_to: Numeric,
                  core_ratio: Numeric) -> Numeric:
    r"""Pressure gained from one radius to another in liquid that turns as a body.

    :math:`p_b - p_a = \tfrac12\rho (k\omega)^2 (r_b^2 - r_a^2)`.

    Parameters
    ----------
    density : array [kg/m3]
    speed : array [rad/s]
        Angular speed of the rotor, :math:`\omega`.
    radius_from, radius_to : array [m]
        Radii :math:`r_a, r_b` in flow direction of the branch.
    core_ratio : array [-]
        Speed of the liquid over that of the rotor, k; 1 in a hole of the rotor, about 0.43 between a turning
        disc and a wall, 0.5 in the grooves of a thrust face.

    Returns
    -------
    array [Pa], positive when the pressure rises towards ``radius_to``.

    Notes
    -----
    Radial equilibrium of a solid-body core; independent of the flow rate and of its direction.

    References
    ----------
    .. [1] Radial equilibrium, exact for solid-body rotation.

    Examples
    --------
    >>> round(float(rotation_head(1000.0, 303.687, 0.030, 0.055, 0.5)), 0)
    24497.0
    """
    return 0.5 * density * (core_ratio * speed) ** 2 * (radius_to * radius_to - radius_from * radius_from)


@published("rotating-hole-incidence", status="common practice")
@in_kernel
def incidence_loss(density: Numeric, speed: Numeric, radius: Numeric, plenum_swirl: Numeric,
                   incidence_factor: Numeric) -> Numeric:
    r"""Pressure lost where liquid from a slower plenum enters a turning hole sideways.

    :math:`\Delta p = \zeta_{inc}\,\tfrac12\rho\,[\omega r(1-k_{in})]^2`.

    Parameters
    ----------
    density : array [kg/m3]
    speed : array [rad/s]
    radius : array [m]
        Radius at which the hole opens.
    plenum_swirl : array [-]
        Swirl of the liquid outside over the rotor speed, :math:`k_{in}`, 0 to 1.
    incidence_factor : array [-]
        :math:`\zeta_{inc}`: 1 for a sharp edge, 0.5 rounded.

    Returns
    -------
    array [Pa], >= 0; it does not depend on the flow, so a weak driving pressure stalls the hole.

    Notes
    -----
    Common practice, no source; the relative velocity at entry is taken as lost.

    Examples
    --------
    >>> incidence_loss(1000.0, 300.0, 0.014, 0.0, 1.0)
    8820.0
    """
    return incidence_factor * 0.5 * density * (speed * radius * (1.0 - plenum_swirl)) ** 2


@published("ito-nanbu-1971", status="recalled")
@in_kernel
def rotating_pipe_friction_ratio(reynolds: Numeric, rotation_reynolds: Numeric) -> Numeric:
    r"""Friction of a turning radial pipe over that of the same pipe at rest, turbulent flow.

    :math:`f/f_0 = 0.942 + 0.058 K^{0.282}`, :math:`K = Re_\Omega^2/Re`, for 1 < K < 5e5; 1 for K <= 1.

    Parameters
    ----------
    reynolds : array [-], > 0
        :math:`Re = \rho V d/\mu`.
    rotation_reynolds : array [-]
        :math:`Re_\Omega = \rho\omega d^2/\mu`.

    Returns
    -------
    array [-], >= 1. K above 5e5 is taken at 5e5.

    References
    ----------
    .. [1] Ito and Nanbu, J. Basic Eng. 93 (1971) 383. Recalled.

    Examples
    --------
    >>> float(rotating_pipe_friction_ratio(1e5, 1.0))
    1.0
    """
    k = np.minimum(rotation_reynolds * rotation_reynolds / np.maximum(reynolds, 1e-3), 5e5)
    return choose(k > 1.0, 0.942 + 0.058 * np.maximum(k, 1.0) ** 0.282, 1.0)
