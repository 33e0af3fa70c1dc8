"""Axial flow through annuli with a turning inner wall: the gap inside the shell and the bearing film."""

from math import pi
from typing import Any

import numpy as np

from wetpath.physics.published import in_kernel, published

Numeric = Any


@published("yamada-1962", status="recalled")
@published("shah-london-1978", status="recalled")
@in_kernel
def annulus_friction_factor(axial_reynolds: Numeric, speed_ratio: Numeric) -> Numeric:
    r"""Darcy friction factor, on 2t, of a narrow annulus whose inner wall turns.

    Larger of the laminar slot :math:`96/Re_{2t}` and Yamada's
    :math:`f = 0.26\,Re_t^{-0.24}[1 + (7/8)^2 (u/2V)^2]^{0.38}`.

    Parameters
    ----------
    axial_reynolds : array [-], > 0
        On the gap: :math:`Re_t = \rho V t/\mu`, so :math:`Re_{2t} = 2Re_t`; taken as at least 1e-3.
    speed_ratio : array [-], >= 0
        Surface speed of the rotor over mean axial velocity, u/V.

    Returns
    -------
    array [-]

    Notes
    -----
    Narrow gap (t/r up to about 0.1), smooth, concentric. Yamada's tests: Re_t to 2e4, u/V to about 20. That the
    Reynolds number is on the gap and not on 2t is recalled, not re-read; with 2t f would be 15 % lower. The
    loss of the annulus is a small share of the circuit in ordinary frames.

    References
    ----------
    .. [1] Yamada, Bull. JSME 5 (1962) 302. Recalled.
    .. [2] Shah and London, Laminar Flow Forced Convection in Ducts (1978). Recalled; 96/Re is exact for a slot.

    Examples
    --------
    >>> round(float(annulus_friction_factor(1200.0, 40.0)), 6)
    0.418039
    """
    re = np.maximum(axial_reynolds, 1e-3)
    vortex = 0.26 * re**-0.24 * (1.0 + 0.765625 * (0.5 * speed_ratio) ** 2) ** 0.38
    return np.maximum(48.0 / re, vortex)


@published("lubrication-theory", status="exact")
@in_kernel
def film_axial_conductance(radius: Numeric, clearance: Numeric, length: Numeric, density: Numeric,
                           viscosity: Numeric, eccentricity: Numeric) -> Numeric:
    r"""Mass flow per pressure difference through the laminar film of a journal bearing.

    :math:`\dot m/\Delta p = \rho\,\frac{2\pi R c^3}{12\mu L}(1 + 1.5\,\varepsilon^2)`.

    Parameters
    ----------
    radius, clearance, length : array [m]
        Journal radius R, radial clearance c, bearing length L.
    density : array [kg/m3]
    viscosity : array [Pa s]
    eccentricity : array [-], 0 to 1
        :math:`\varepsilon`, eccentricity over clearance.

    Returns
    -------
    array [kg/(s Pa)]

    Notes
    -----
    Laminar, c << R; in turbulent films (circumferential Re above about 2000) it overstates the flow.

    References
    ----------
    .. [1] Integral of the slot flow around the eccentric film; exact.

    Examples
    --------
    >>> round(film_axial_conductance(0.0175, 35e-6, 0.02, 1000.0, 5e-4, 0.0) * 1e8, 4)
    3.9286
    """
    return density * 2.0 * pi * radius * clearance**3 / (12.0 * viscosity * length) * (1.0 + 1.5 * eccentricity**2)
