"""Laminar, vortex or turbulent: the state of a bearing film, and what turbulence does to it."""

from typing import Any

import numpy as np

from wetpath.physics.published import choose, in_kernel, published

Numeric = Any

#: Couette Reynolds number at which a film turns turbulent if vortices have not come first; 1500 to 2000.
TURBULENT_REYNOLDS = 2000.0


@published("taylor-1923", status="exact")
@in_kernel
def film_reynolds(density: Numeric, viscosity: Numeric, speed: Numeric, radius: Numeric,
                  clearance: Numeric) -> Numeric:
    r"""Couette Reynolds number of a journal film, :math:`\rho\omega Rc/\mu`.

    Parameters
    ----------
    density, viscosity, speed : array [kg/m3], [Pa s], [rad/s]
    radius, clearance : array [m]
        Journal radius and radial clearance.

    Returns
    -------
    array [-]

    Examples
    --------
    >>> round(film_reynolds(1000.0, 5e-4, 300.0, 0.0175, 35e-6), 1)
    367.5
    """
    return density * speed * radius * clearance / viscosity


@published("taylor-1923", status="recalled")
@in_kernel
def laminar_limit(radius: Numeric, clearance: Numeric) -> Numeric:
    r"""Couette Reynolds number up to which a journal film is laminar, :math:`\min(41.2\sqrt{R/c},\ 2000)`.

    Parameters
    ----------
    radius, clearance : array [m]
        Journal radius and radial clearance.

    Returns
    -------
    array [-]

    Notes
    -----
    The first is Taylor's criterion for vortices between concentric cylinders
    (:math:`\mathrm{Re}\sqrt{c/R}=41.2`); eccentricity raises it. Between vortices and full turbulence
    friction is between the two laws.

    References
    ----------
    .. [1] Taylor: Phil. Trans. R. Soc. A 223 (1923) 289. Recalled. The second limit is common practice.

    Examples
    --------
    >>> round(float(laminar_limit(0.0175, 35e-6)), 1)
    921.3
    """
    return np.minimum(41.2 * np.sqrt(radius / clearance), TURBULENT_REYNOLDS)


@published("constantinescu-1959", status="recalled")
@in_kernel
def turbulent_shear_factor(reynolds: Numeric, limit: Numeric) -> Numeric:
    r"""Wall shear of a turbulent Couette film over the laminar one, :math:`1+0.0012\,\mathrm{Re}^{0.94}`.

    Parameters
    ----------
    reynolds, limit : array [-]
        Film Reynolds number and :func:`laminar_limit`.

    Returns
    -------
    array [-]; 1 up to the limit, a step above it.

    Notes
    -----
    Within 5 % of Robertson's law of plane Couette flow from Re 3000 to 10 000, 13 % above it at 30 000. The
    torque coefficients of wide annuli (Bilgen, Boulos) read half of this in a film of c/R = 0.002.

    References
    ----------
    .. [1] Constantinescu: Proc. Inst. Mech. Eng. 173 (1959) 881, and later fits of the same theory. Recalled.

    Examples
    --------
    >>> [round(float(turbulent_shear_factor(re, 1000.0)), 3) for re in (900.0, 5000.0)]
    [1.0, 4.599]
    """
    return choose(reynolds > limit, 1 + 0.0012 * np.maximum(reynolds, 0.0)**0.94, 1.0)


@published("ng-pan-1965", status="recalled")
@in_kernel
def turbulent_axial_resistance(reynolds: Numeric, limit: Numeric) -> Numeric:
    r"""Resistance of a turbulent film to axial pressure flow over the laminar one.

    :math:`1+0.0043\,\mathrm{Re}^{0.96}/12`

    Parameters
    ----------
    reynolds, limit : array [-]
        Film Reynolds number and :func:`laminar_limit`.

    Returns
    -------
    array [-]; 1 up to the limit, a step above it.

    Notes
    -----
    In a bearing no longer than its diameter the load is held by the resistance to axial flow, so a laminar
    table may be entered with the viscosity times this factor: an estimate on the safe side of the
    circumferential factor :func:`turbulent_circumferential_resistance`.

    References
    ----------
    .. [1] Ng, Pan: A linearized turbulent lubrication theory. J. Basic Eng. 87 (1965) 675. Fit recalled.

    Examples
    --------
    >>> [round(float(turbulent_axial_resistance(re, 1000.0)), 3) for re in (900.0, 5000.0)]
    [1.0, 2.274]
    """
    return choose(reynolds > limit, 1 + 0.0043 * np.maximum(reynolds, 0.0)**0.96 / 12, 1.0)


@published("ng-pan-1965", status="recalled")
@in_kernel
def turbulent_circumferential_resistance(reynolds: Numeric, limit: Numeric) -> Numeric:
    r"""Resistance of a turbulent film to flow around over the laminar one.

    :math:`1+0.0136\,\mathrm{Re}^{0.90}/12`

    Parameters
    ----------
    reynolds, limit : array [-]
        Film Reynolds number and :func:`laminar_limit`.

    Returns
    -------
    array [-]; 1 up to the limit, a step above it.

    References
    ----------
    .. [1] Ng, Pan: A linearized turbulent lubrication theory. J. Basic Eng. 87 (1965) 675. Fit recalled.

    Examples
    --------
    >>> [round(float(turbulent_circumferential_resistance(re, 1000.0)), 3) for re in (900.0, 5000.0)]
    [1.0, 3.418]
    """
    return choose(reynolds > limit, 1 + 0.0136 * np.maximum(reynolds, 0.0)**0.90 / 12, 1.0)


@published("film-ratio", status="common practice")
@in_kernel
def film_ratio(film_thickness: Numeric, first_roughness: Numeric, second_roughness: Numeric) -> Numeric:
    r"""Least film over combined roughness, :math:`\lambda=h_{min}/\sqrt{R_{q1}^2+R_{q2}^2}`.

    Parameters
    ----------
    film_thickness : array [m]
    first_roughness, second_roughness : array [m]
        Root-mean-square roughness of the two surfaces after running in (1.11 to 1.25 times the average, Ra).

    Returns
    -------
    array [-]; 3 and more is called a full film, below 1 the surfaces carry.

    References
    ----------
    .. [1] Common practice, no source; any tribology textbook.

    Examples
    --------
    >>> round(float(film_ratio(1.5e-6, 0.3e-6, 0.4e-6)), 6)
    3.0
    """
    return film_thickness / np.sqrt(first_roughness**2 + second_roughness**2)
