"""Walls under external pressure: elastic buckling of cylinders and spheres, with the knock-down stated."""

from math import pi
from typing import Any

import numpy as np

from wetpath.physics.published import in_kernel, published
from wetpath.physics.validity import Limit, limit

Numeric = Any

#: Collapse over allowed pressure of a cylinder out of round by no more than 1 % (ASME UG-28, recalled).
CYLINDER_SAFETY = 3.0
#: Numbers of circumferential lobes looked at.
LOBES = np.arange(2, 41)


@published("von-mises-1914", status="recalled")
def cylinder_collapse(thickness: Numeric, mean_radius: Numeric, length: Numeric, elastic_modulus: Numeric,
                      poisson_ratio: Numeric = 0.3) -> Numeric:
    r"""Pressure of elastic buckling of a cylinder under pressure on wall and ends, least over the lobes n.

    :math:`p=\frac{Et/a}{n^2-1+\frac12\alpha^2}\left\{\frac{1}{[1+(n/\alpha)^2]^2}
    +\frac{t^2}{12a^2(1-\nu^2)}[n^2-1+\alpha^2]^2\right\}`, :math:`\alpha=\pi a/L`.

    Parameters
    ----------
    thickness, mean_radius, length : array [m]
        Length between ends held round.
    elastic_modulus, poisson_ratio : array [Pa], [-]

    Returns
    -------
    array [Pa], of a perfect shell; see :func:`allowed_external_pressure`.

    Notes
    -----
    Simply supported ends, elastic. Tends to :math:`E(t/a)^3/[4(1-\nu^2)]` for a long tube.

    References
    ----------
    .. [1] von Mises: Z. VDI 58 (1914) 750, in the form for pressure on wall and ends. Recalled.

    Examples
    --------
    >>> round(float(cylinder_collapse(1e-3, 0.0655, 0.080, 200e9)) / 1e6, 2)
    4.63
    """
    t, a, length_, modulus, nu = (np.asarray(x, dtype=np.float64)[..., None] for x in (
        thickness, mean_radius, length, elastic_modulus, poisson_ratio))
    alpha2, n2 = (pi * a / length_)**2, LOBES.astype(np.float64)**2
    membrane = 1 / (1 + n2 / alpha2)**2
    bending = t**2 / (12 * a**2 * (1 - nu**2)) * (n2 - 1 + alpha2)**2
    return np.min(modulus * t / a / (n2 - 1 + alpha2 / 2) * (membrane + bending), axis=-1)


@published("windenburg-trilling-1934", status="recalled")
@in_kernel
def cylinder_collapse_short(thickness: Numeric, mean_diameter: Numeric, length: Numeric,
                            elastic_modulus: Numeric, poisson_ratio: Numeric = 0.3) -> Numeric:
    r"""The closed approximation of :func:`cylinder_collapse` for shells of ordinary length.

    :math:`p=\frac{2.42E(t/D)^{2.5}}{(1-\nu^2)^{0.75}[L/D-0.45(t/D)^{0.5}]}`.

    Parameters
    ----------
    thickness, mean_diameter, length, elastic_modulus, poisson_ratio : array [m], [m], [m], [Pa], [-]

    Returns
    -------
    array [Pa]

    Notes
    -----
    Neither very long (L/D above some :math:`\sqrt{D/t}`) nor shorter than about :math:`2\sqrt{Dt}`.

    References
    ----------
    .. [1] Windenburg, Trilling: Trans. ASME 56 (1934) 819. Recalled.

    Examples
    --------
    >>> round(cylinder_collapse_short(1e-3, 0.131, 0.080, 200e9) / 1e6, 2)
    4.63
    """
    slender = thickness / mean_diameter
    return (2.42 * elastic_modulus * slender**2.5
            / ((1 - poisson_ratio**2)**0.75 * (length / mean_diameter - 0.45 * slender**0.5)))


@published("asme-viii-1-ug-28", status="recalled")
def allowed_external_pressure(collapse: Numeric, thickness: Numeric, mean_radius: Numeric,
                              yield_strength: Numeric, safety: Numeric = CYLINDER_SAFETY) -> Numeric:
    r"""Allowed external pressure of a cylinder: a third of elastic collapse, at most two thirds of yield.

    :math:`\min(p_{cr}/3,\ \tfrac23R_et/a)`

    Parameters
    ----------
    collapse : array [Pa]
        :func:`cylinder_collapse`.
    thickness, mean_radius : array [m]
    yield_strength : array [Pa]
        At temperature.
    safety : array [-]

    Returns
    -------
    array [Pa]

    Notes
    -----
    For shells out of round by up to 1 % of the diameter. The charts of the code also follow the curved
    stress-strain line near yield, which this does not: where the two terms are near each other the code
    allows less, see :func:`external_pressure_limits`.

    References
    ----------
    .. [1] ASME Boiler and Pressure Vessel Code, Section VIII Division 1, UG-28: elastic range. Recalled.

    Examples
    --------
    >>> round(float(allowed_external_pressure(4.2e6, 1e-3, 0.0655, 205e6)) / 1e6, 2)
    1.4
    """
    return np.minimum(collapse / safety, 2 / 3 * yield_strength * thickness / mean_radius)


def external_pressure_limits(collapse: Numeric, thickness: Numeric, mean_radius: Numeric,
                             yield_strength: Numeric) -> tuple[Limit, ...]:
    """Where buckling is not elastic any more.

    Parameters
    ----------
    collapse, thickness, mean_radius, yield_strength : array [Pa], [m], [m], [Pa]

    Returns
    -------
    tuple of Limit
    """
    stress = np.asarray(collapse) * np.asarray(mean_radius) / np.asarray(thickness)
    return (limit("stress at elastic collapse above half of yield: buckling is partly plastic and the "
                  "elastic formula too kind; use the charts of the design code",
                  stress > 0.5 * np.asarray(yield_strength)),)


@published("zoelly-1915", status="recalled")
@in_kernel
def sphere_collapse(thickness: Numeric, mean_radius: Numeric, elastic_modulus: Numeric,
                    poisson_ratio: Numeric = 0.3) -> Numeric:
    r"""Pressure of elastic buckling of a perfect sphere, :math:`2E(t/a)^2/\sqrt{3(1-\nu^2)}`.

    Parameters
    ----------
    thickness, mean_radius, elastic_modulus, poisson_ratio : array [m], [m], [Pa], [-]

    Returns
    -------
    array [Pa]

    Notes
    -----
    Real spheres fail at a fifth to a third of it; use :func:`allowed_external_pressure_sphere`.

    References
    ----------
    .. [1] Zoelly (1915), in every textbook of shell stability. Recalled.

    Examples
    --------
    >>> round(float(sphere_collapse(1e-3, 0.065, 200e9)) / 1e6, 1)
    57.3
    """
    return 2 * elastic_modulus * (thickness / mean_radius)**2 / np.sqrt(3 * (1 - poisson_ratio**2))


@published("asme-viii-1-ug-28", status="recalled")
@in_kernel
def allowed_external_pressure_sphere(thickness: Numeric, outer_radius: Numeric,
                                     elastic_modulus: Numeric) -> Numeric:
    r"""Allowed external pressure of a sphere or hemispherical end, :math:`0.0625E(t/R_o)^2` (elastic range).

    Parameters
    ----------
    thickness, outer_radius, elastic_modulus : array [m], [m], [Pa]

    Returns
    -------
    array [Pa]: about a nineteenth of :func:`sphere_collapse`, knock-down and safety together.

    References
    ----------
    .. [1] ASME Boiler and Pressure Vessel Code, Section VIII Division 1, UG-28(d). Recalled.

    Examples
    --------
    >>> round(allowed_external_pressure_sphere(1e-3, 0.066, 200e9) / 1e6, 2)
    2.87
    """
    return 0.0625 * elastic_modulus * (thickness / outer_radius)**2
