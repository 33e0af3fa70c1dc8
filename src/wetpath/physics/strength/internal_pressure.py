"""Walls under internal pressure: cylinders, dished, hemispherical and flat ends by two design codes."""

from typing import Any

import numpy as np

from wetpath.physics.published import in_kernel, published
from wetpath.physics.validity import Limit, limit

Numeric = Any


@published("asme-viii-1-ug-27", status="recalled")
@in_kernel
def cylinder_thickness(pressure: Numeric, inner_radius: Numeric, stress: Numeric,
                       joint_efficiency: Numeric = 1.0) -> Numeric:
    r"""Wall of a cylinder, circumferential stress, :math:`t=PR/(SE-0.6P)` (ASME VIII-1 UG-27(c)(1)).

    Parameters
    ----------
    pressure : array [Pa]
        Difference inside to outside.
    inner_radius : array [m]
        With the corrosion allowance taken off the wall.
    stress : array [Pa]
        Allowable stress at the metal's temperature.
    joint_efficiency : array [-]
        E, 1 for a seamless shell.

    Returns
    -------
    array [m], before corrosion allowance and mill tolerance.

    Notes
    -----
    For t <= R/2 and P <= 0.385 SE: see :func:`cylinder_limits`.

    References
    ----------
    .. [1] ASME Boiler and Pressure Vessel Code, Section VIII Division 1, UG-27. Recalled.

    Examples
    --------
    >>> round(cylinder_thickness(2.5e6, 0.065, 138e6) * 1e3, 4)
    1.1905
    """
    return pressure * inner_radius / (stress * joint_efficiency - 0.6 * pressure)


@published("asme-viii-1-ug-27", status="recalled")
@in_kernel
def cylinder_pressure(thickness: Numeric, inner_radius: Numeric, stress: Numeric,
                      joint_efficiency: Numeric = 1.0) -> Numeric:
    r"""Highest allowed pressure of a cylinder, :math:`P=SEt/(R+0.6t)` (ASME VIII-1 UG-27).

    Parameters
    ----------
    thickness, inner_radius : array [m]
        Net of corrosion allowance and mill tolerance.
    stress, joint_efficiency : array [Pa], [-]

    Returns
    -------
    array [Pa]

    References
    ----------
    .. [1] ASME Boiler and Pressure Vessel Code, Section VIII Division 1, UG-27. Recalled.

    Examples
    --------
    >>> round(cylinder_pressure(1e-3, 0.065, 188e6) / 1e6, 3)
    2.866
    """
    return stress * joint_efficiency * thickness / (inner_radius + 0.6 * thickness)


def cylinder_limits(thickness: Numeric, pressure: Numeric, inner_radius: Numeric, stress: Numeric,
                    joint_efficiency: Numeric = 1.0) -> tuple[Limit, ...]:
    """Where the thin-wall formula of UG-27 does not hold.

    Parameters
    ----------
    thickness, pressure, inner_radius, stress, joint_efficiency : array [m], [Pa], [m], [Pa], [-]

    Returns
    -------
    tuple of Limit
    """
    return (limit("wall thicker than half the inside radius: the thin-wall formula of UG-27 does not hold",
                  np.asarray(thickness) > 0.5 * np.asarray(inner_radius)),
            limit("pressure above 0.385 of the allowable stress: the thin-wall formula of UG-27 does not "
                  "hold", np.asarray(pressure) > 0.385 * np.asarray(stress) * joint_efficiency))


@published("en-13445-3-7.4.2", status="recalled")
@in_kernel
def cylinder_thickness_en(pressure: Numeric, inner_diameter: Numeric, stress: Numeric,
                          joint_coefficient: Numeric = 1.0) -> Numeric:
    r"""Wall of a cylinder, :math:`e=PD_i/(2fz-P)` (EN 13445-3 clause 7.4.2).

    Parameters
    ----------
    pressure, inner_diameter, stress, joint_coefficient : array [Pa], [m], [Pa], [-]

    Returns
    -------
    array [m], before allowances; for e/De up to 0.16.

    References
    ----------
    .. [1] EN 13445-3, clause 7.4.2. Recalled.

    Examples
    --------
    >>> round(cylinder_thickness_en(2.5e6, 0.130, 138e6) * 1e3, 4)
    1.1883
    """
    return pressure * inner_diameter / (2 * stress * joint_coefficient - pressure)


@published("en-13445-3-7.4.2", status="recalled")
@in_kernel
def cylinder_pressure_en(thickness: Numeric, inner_diameter: Numeric, stress: Numeric,
                         joint_coefficient: Numeric = 1.0) -> Numeric:
    r"""Highest allowed pressure of a cylinder, :math:`P=2fze/(D_i+e)` (EN 13445-3 clause 7.4.2).

    Parameters
    ----------
    thickness, inner_diameter, stress, joint_coefficient : array [m], [m], [Pa], [-]

    Returns
    -------
    array [Pa]

    References
    ----------
    .. [1] EN 13445-3, clause 7.4.2. Recalled.

    Examples
    --------
    >>> round(cylinder_pressure_en(1e-3, 0.130, 150e6) / 1e6, 3)
    2.29
    """
    return 2 * stress * joint_coefficient * thickness / (inner_diameter + thickness)


@published("asme-viii-1-ug-27", status="recalled")
@in_kernel
def hemispherical_pressure(thickness: Numeric, inner_radius: Numeric, stress: Numeric,
                           joint_efficiency: Numeric = 1.0) -> Numeric:
    r"""Highest allowed pressure of a hemispherical end, :math:`P=2SEt/(R+0.2t)` (ASME VIII-1 UG-27(d)).

    Parameters
    ----------
    thickness, inner_radius, stress, joint_efficiency : array [m], [m], [Pa], [-]

    Returns
    -------
    array [Pa]; for t <= 0.356 R.

    References
    ----------
    .. [1] ASME Boiler and Pressure Vessel Code, Section VIII Division 1, UG-27(d), UG-32. Recalled.

    Examples
    --------
    >>> round(hemispherical_pressure(1e-3, 0.065, 138e6) / 1e6, 3)
    4.233
    """
    return 2 * stress * joint_efficiency * thickness / (inner_radius + 0.2 * thickness)


@published("asme-viii-1-ug-32", status="recalled")
@in_kernel
def ellipsoidal_pressure(thickness: Numeric, inner_diameter: Numeric, inner_depth: Numeric, stress: Numeric,
                         joint_efficiency: Numeric = 1.0) -> Numeric:
    r"""Highest allowed pressure of an ellipsoidal end.

    :math:`P=2SEt/(KD+0.2t)`, :math:`K=\tfrac16[2+(D/2h)^2]`; K = 1 for the 2:1 end (depth a quarter of D).

    Parameters
    ----------
    thickness, inner_diameter, inner_depth, stress, joint_efficiency : array [m], [m], [m], [Pa], [-]

    Returns
    -------
    array [Pa]

    References
    ----------
    .. [1] ASME Boiler and Pressure Vessel Code, Section VIII Division 1, UG-32 and appendix 1-4. Recalled.

    Examples
    --------
    >>> round(ellipsoidal_pressure(1e-3, 0.130, 0.0325, 138e6) / 1e6, 3)
    2.12
    """
    shape = (2 + (inner_diameter / (2 * inner_depth))**2) / 6
    return 2 * stress * joint_efficiency * thickness / (shape * inner_diameter + 0.2 * thickness)


@published("asme-viii-1-ug-32", status="recalled")
@in_kernel
def torispherical_pressure(thickness: Numeric, crown_radius: Numeric, knuckle_radius: Numeric,
                           stress: Numeric, joint_efficiency: Numeric = 1.0) -> Numeric:
    r"""Highest allowed pressure of a torispherical end.

    :math:`P=2SEt/(LM+0.2t)`, :math:`M=\tfrac14(3+\sqrt{L/r})`.

    Parameters
    ----------
    thickness, crown_radius, knuckle_radius : array [m]
        Inside radii L and r.
    stress, joint_efficiency : array [Pa], [-]

    Returns
    -------
    array [Pa]

    Notes
    -----
    Thin ends (t/L < 0.002) can buckle in the knuckle first and have their own rule in the code.

    References
    ----------
    .. [1] ASME Boiler and Pressure Vessel Code, Section VIII Division 1, UG-32 and appendix 1-4. Recalled.

    Examples
    --------
    >>> round(float(torispherical_pressure(1e-3, 0.130, 0.0078, 138e6)) / 1e6, 3)
    1.198
    """
    shape = (3 + np.sqrt(crown_radius / knuckle_radius)) / 4
    return 2 * stress * joint_efficiency * thickness / (crown_radius * shape + 0.2 * thickness)


@published("asme-viii-1-ug-34", status="recalled")
@in_kernel
def flat_end_pressure(thickness: Numeric, diameter: Numeric, attachment_factor: Numeric, stress: Numeric,
                      joint_efficiency: Numeric = 1.0) -> Numeric:
    r"""Highest allowed pressure of a flat circular end, :math:`P=SE(t/d)^2/C` (ASME VIII-1 UG-34).

    Parameters
    ----------
    thickness, diameter : array [m]
    attachment_factor : array [-]
        C: 0.17 for an end in one piece with a generous corner radius to 0.33 for a plain welded one.
    stress, joint_efficiency : array [Pa], [-]

    Returns
    -------
    array [Pa]

    References
    ----------
    .. [1] ASME Boiler and Pressure Vessel Code, Section VIII Division 1, UG-34. Recalled.

    Examples
    --------
    >>> round(flat_end_pressure(8e-3, 0.130, 0.33, 138e6) / 1e6, 3)
    1.584
    """
    return stress * joint_efficiency * (thickness / diameter)**2 / attachment_factor
