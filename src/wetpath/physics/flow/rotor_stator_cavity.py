"""How fast the liquid turns between a spinning disc and a wall."""

from typing import Any

import numpy as np

from wetpath.physics.published import in_kernel, published

Numeric = Any

#: Core speed over disc speed without through-flow, turbulent, smooth (Daily, Ernst and Asbedian 1964, recalled).
STILL_CORE_RATIO = 0.43


@published("daily-ernst-asbedian-1964", status="recalled")
@in_kernel
def outflow_core_ratio(mass_flow: Numeric, viscosity: Numeric, radius: Numeric, disc_radius: Numeric,
                       reynolds: Numeric) -> Numeric:
    r"""Core rotation between a turning disc and a wall with radial outflow.

    :math:`k = 0.43/(1 + 12.74\,\lambda_T/x^{13/5})`, :math:`\lambda_T = \frac{\dot m}{\mu R}Re^{-0.8}`,
    :math:`x = r/R`.

    Parameters
    ----------
    mass_flow : array [kg/s]
        Outward flow through the cavity; inflow (negative) is taken as zero flow, which understates k.
    viscosity : array [Pa s]
    radius : array [m]
        Where the ratio is wanted, r.
    disc_radius : array [m]
        R.
    reynolds : array [-]
        :math:`\rho\omega R^2/\mu`, turbulent, above about 1e5.

    Returns
    -------
    array [-], 0 to 0.43

    Notes
    -----
    Smooth disc and wall, gap ratio 0.03-0.1; ribs on the wall lower k to 0.1-0.2, vanes on the disc raise it to
    0.8-0.9 (common practice).

    References
    ----------
    .. [1] Daily, Ernst and Asbedian, MIT Hydrodynamics Laboratory Report 64 (1964). Recalled.

    Examples
    --------
    >>> float(outflow_core_ratio(0.0, 1e-3, 0.04, 0.05, 1e6))
    0.43
    """
    through_flow = np.maximum(mass_flow, 0.0) / (viscosity * disc_radius) * reynolds**-0.8
    return STILL_CORE_RATIO / (1.0 + 12.74 * through_flow * (radius / disc_radius) ** -2.6)
