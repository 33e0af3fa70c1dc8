"""Hydrodynamic thrust face: friction of the lands, and what inclined pads could carry."""

from math import pi
from typing import Any

import numpy as np

from wetpath.physics.published import in_kernel, published

Numeric = Any


@published("couette-flow", status="exact")
@in_kernel
def land_friction_power(viscosity: Numeric, speed: Numeric, outer_radius: Numeric, inner_radius: Numeric,
                        film_thickness: Numeric, land_share: Numeric) -> Numeric:
    r"""Power sheared in the film of a thrust face, :math:`P=\lambda\,\pi\mu\omega^2(r_o^4-r_i^4)/(2h)`.

    Parameters
    ----------
    viscosity, speed : array [Pa s], [rad/s]
    outer_radius, inner_radius : array [m]
    film_thickness : array [m]
        Uniform film over the lands.
    land_share : array [-]
        Share of the ring that is land and not groove.

    Returns
    -------
    array [W]

    Notes
    -----
    Laminar Couette flow between parallel faces; grooves are left to the flow part.

    References
    ----------
    .. [1] Laminar Couette flow integrated over the ring. Exact.

    Examples
    --------
    >>> round(land_friction_power(4.66e-4, 2900 * pi / 30, 0.021, 0.015, 22e-6, 0.80), 4)
    0.3531
    """
    return land_share * pi * viscosity * speed**2 * (outer_radius**4 - inner_radius**4) / (2 * film_thickness)


@published("incline-slider", status="exact")
@in_kernel
def wide_pad_load(viscosity: Numeric, sliding_speed: Numeric, length: Numeric, width: Numeric,
                  outlet_film: Numeric, taper_ratio: Numeric) -> Numeric:
    r"""Load of a plane inclined pad without side leakage: the **upper bound** of what such a pad can carry.

    :math:`W=\frac{6\mu u l^2 b}{h_o^2}\frac{1}{K^2}\left[\ln(1+K)-\frac{2K}{2+K}\right]`, K the fall of the
    film over its outlet value.

    Parameters
    ----------
    viscosity, sliding_speed : array [Pa s], [m/s]
    length, width : array [m]
        Along and across the sliding direction.
    outlet_film : array [m]
    taper_ratio : array [-], > 0
        :math:`K=(h_i-h_o)/h_o`; the load is greatest at 1.19.

    Returns
    -------
    array [N]

    Notes
    -----
    At its best :math:`0.160\,\mu u b(l/h_o)^2`. A pad as wide as long carries less than half of it. Flat
    grooved faces have no incline: they carry by wear shape, thermal wedge and grooves, which no formula here
    covers; take the maker's rating.

    References
    ----------
    .. [1] Reynolds' equation in one direction; Hamrock: Fundamentals of Fluid Film Lubrication (1994). Exact.

    Examples
    --------
    >>> round(float(wide_pad_load(1e-3, 5.0, 0.010, 0.010, 5e-6, 1.189)), 1)
    32.0
    """
    k = taper_ratio
    shape = (np.log(1 + k) - 2 * k / (2 + k)) / k**2
    return 6 * viscosity * sliding_speed * length**2 * width / outlet_film**2 * shape


@published("couette-flow", status="exact")
@in_kernel
def face_pressure(load: Numeric, outer_radius: Numeric, inner_radius: Numeric,
                  land_share: Numeric) -> Numeric:
    r"""Mean pressure on the lands, :math:`W/[\lambda\pi(r_o^2-r_i^2)]`.

    Parameters
    ----------
    load : array [N]
    outer_radius, inner_radius : array [m]
    land_share : array [-]

    Returns
    -------
    array [Pa]

    Examples
    --------
    >>> round(face_pressure(100.0, 0.021, 0.015, 0.80))
    184207
    """
    return load / (land_share * pi * (outer_radius**2 - inner_radius**2))
