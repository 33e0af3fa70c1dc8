"""Drag of a cylinder turning in a bore: the inner ring inside its shell, the journal in its bearing."""

from math import pi
from typing import Any

import numpy as np

from wetpath.physics.published import choose, in_kernel, published

Numeric = Any


@published("bilgen-boulos-1973", status="recalled")
@in_kernel
def couette_torque_coefficient(reynolds: Numeric, gap_ratio: Numeric) -> Numeric:
    r"""Torque coefficient of a cylinder turning in a concentric stationary bore.

    :math:`M = \frac{\pi}{2}\rho\omega^2 r_i^4 L\,C_M`. Larger of the exact laminar value
    :math:`8(1+\gamma)^2/[(2+\gamma)Re]`, :math:`\gamma = t/r_i`, and, with :math:`X = \gamma^{0.3}`:
    10 X/Re (Re < 64), 2 X Re^-0.6 (to 500), 1.03 X Re^-0.5 (to 1e4), 0.065 X Re^-0.2 above.

    Parameters
    ----------
    reynolds : array [-], > 0
        :math:`\rho\omega r_i t/\mu`, t the radial gap.
    gap_ratio : array [-]
        :math:`\gamma = t/r_i`.

    Returns
    -------
    array [-], the broadcast shape. Raises nothing: NaN in, NaN out.

    Notes
    -----
    Smooth walls, no axial flow. Steps of up to 6 % where regimes meet (Re 64, 500, 10 000). The vortex formulas
    alone read up to 60 % low in bearing films, therefore the exact laminar floor.

    References
    ----------
    .. [1] Bilgen and Boulos, J. Fluids Eng. 95 (1973) 122. Constants recalled, regimes read in the abstract.

    Examples
    --------
    >>> round(float(couette_torque_coefficient(2250.0, 0.03)), 8)
    0.00758372
    """
    laminar = 8.0 * (1.0 + gap_ratio) ** 2 / ((2.0 + gap_ratio) * reynolds)
    slow, very_slow, fast = reynolds < 500.0, reynolds < 64.0, reynolds >= 1e4
    factor = choose(slow, choose(very_slow, 10.0, 2.0), choose(fast, 0.065, 1.03))
    exponent = choose(slow, choose(very_slow, -1.0, -0.6), choose(fast, -0.2, -0.5))
    vortex = gap_ratio**0.3 * factor * reynolds**exponent
    return np.maximum(laminar, vortex)


@published("bilgen-boulos-1973", status="derived")
@in_kernel
def cylinder_torque(density: Numeric, viscosity: Numeric, speed: Numeric, radius: Numeric, gap: Numeric,
                    length: Numeric) -> Numeric:
    r"""Drag torque of a turning cylinder, :math:`M = \frac{\pi}{2}\rho\omega^2 r_i^4 L\,C_M`.

    Parameters
    ----------
    density : array [kg/m3]
    viscosity : array [Pa s]
    speed : array [rad/s], > 0
    radius, gap, length : array [m]
        Rotor radius :math:`r_i`, radial gap t, wetted length L.

    Returns
    -------
    array [N m]

    Notes
    -----
    Validity of ``couette_torque_coefficient``.

    References
    ----------
    .. [1] Definition of the coefficient.

    Examples
    --------
    >>> torque = cylinder_torque(1000.0, 1.0, 300.0, 0.05, 0.0015, 1.0)   # laminar: 4 pi mu w ri2 ro2/(ro2 - ri2)
    >>> round(float(torque / (4 * pi * 300.0 * 0.05**2 * 0.0515**2 / (0.0515**2 - 0.05**2))), 9)
    1.0
    """
    reynolds = density * speed * radius * gap / viscosity
    return 0.5 * pi * density * speed**2 * radius**4 * length * couette_torque_coefficient(reynolds, gap / radius)


@published("thin-film-couette", status="exact")
@in_kernel
def thrust_land_torque(viscosity: Numeric, speed: Numeric, inner_radius: Numeric, outer_radius: Numeric,
                       film: Numeric, land_share: Numeric) -> Numeric:
    r"""Friction torque of a thrust face, :math:`M = \beta\,\frac{\pi\mu\omega}{2h}(r_o^4 - r_i^4)`.

    Parameters
    ----------
    viscosity : array [Pa s]
    speed : array [rad/s]
    inner_radius, outer_radius : array [m]
    film : array [m]
        Film thickness h.
    land_share : array [-]
        :math:`\beta`, share of the face that is land and not groove.

    Returns
    -------
    array [N m]

    Notes
    -----
    Parallel laminar film; shear in the grooves is left out.

    References
    ----------
    .. [1] Couette flow between parallel faces, exact.

    Examples
    --------
    >>> round(thrust_land_torque(5e-4, 300.0, 0.0, 0.02, 2e-5, 1.0), 6)
    0.001885
    """
    return land_share * pi * viscosity * speed * (outer_radius**4 - inner_radius**4) / (2.0 * film)
