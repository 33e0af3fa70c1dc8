"""Friction torque of a disc turning in a narrow housing."""

from math import pi
from typing import Any

import numpy as np

from wetpath.physics.published import in_kernel, published

Numeric = Any


@published("daily-nece-1960", status="recalled")
@in_kernel
def disc_torque_coefficient(reynolds: Numeric, gap_ratio: Numeric) -> Numeric:
    r"""Torque coefficient of both faces of an enclosed disc, :math:`M = \tfrac12 C_M\rho\omega^2R^5`.

    Largest of the four regimes, G = s/R: :math:`2\pi G^{-1}Re^{-1}` (merged laminar layers, exact),
    :math:`3.70 G^{0.1}Re^{-1/2}`, :math:`0.080 G^{-1/6}Re^{-1/4}`, :math:`0.102 G^{0.1}Re^{-1/5}`.

    Parameters
    ----------
    reynolds : array [-], > 0
        :math:`\rho\omega R^2/\mu`, 1e3 to 1e7.
    gap_ratio : array [-]
        Axial gap over disc radius, 0.0127 to 0.217.

    Returns
    -------
    array [-]; one face has half of it.

    Notes
    -----
    Smooth surfaces, no through-flow. Taking the largest makes it continuous and reproduces the regime map.

    References
    ----------
    .. [1] Daily and Nece, J. Basic Eng. 82 (1960) 217. Constants recalled; regime I is exact.

    Examples
    --------
    >>> round(float(disc_torque_coefficient(3e6, 0.02)), 8)
    0.00368953
    """
    root4 = reynolds**-0.25
    gap_tenth = gap_ratio**0.1
    return np.maximum(
        np.maximum(2.0 * pi / (gap_ratio * reynolds), 3.70 * gap_tenth * root4 * root4),
        np.maximum(0.080 * gap_ratio ** (-1.0 / 6.0) * root4, 0.102 * gap_tenth * reynolds**-0.2))


@published("daily-nece-1960", status="derived")
@in_kernel
def ring_face_torque(density: Numeric, viscosity: Numeric, speed: Numeric, outer_radius: Numeric,
                     inner_radius: Numeric, gap: Numeric) -> Numeric:
    r"""Friction torque of ONE face of a disc or ring turning beside a wall.

    :math:`M = \tfrac14 C_M\rho\omega^2(R^5 - r_0^5)`: half of the two-face value, less the missing centre.

    Parameters
    ----------
    density : array [kg/m3]
    viscosity : array [Pa s]
    speed : array [rad/s], > 0
    outer_radius, inner_radius : array [m]
        R and :math:`r_0` (0 for a full disc).
    gap : array [m]
        Axial distance to the wall.

    Returns
    -------
    array [N m]

    Notes
    -----
    Validity of ``disc_torque_coefficient``; outside it, see there.

    References
    ----------
    .. [1] Daily and Nece (1960); the subtraction for a ring is derived.

    Examples
    --------
    >>> whole = ring_face_torque(1000.0, 1e-3, 300.0, 0.1, 0.0, 0.01)
    >>> round(float(ring_face_torque(1000.0, 1e-3, 300.0, 0.1, 0.05, 0.01) / whole), 5)
    0.96875
    """
    reynolds = density * speed * outer_radius**2 / viscosity
    coefficient = disc_torque_coefficient(reynolds, gap / outer_radius)
    return 0.25 * coefficient * density * speed**2 * (outer_radius**5 - inner_radius**5)
