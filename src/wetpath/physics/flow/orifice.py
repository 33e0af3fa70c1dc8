"""Loss of short restrictions: sharp orifices and thick holes."""

from typing import Any

from wetpath.physics.published import in_kernel, published

Numeric = Any

#: Discharge coefficient of a thin sharp-edged orifice (plate thinner than half its bore), range of ISO 5167 0.61-0.65.
SHARP_ORIFICE_DISCHARGE = 0.62
#: Discharge coefficient of a hole longer than 1.5 bores: the jet reattaches. Common practice.
THICK_HOLE_DISCHARGE = 0.80


@published("orifice-energy-balance", status="derived")
@in_kernel
def orifice_loss_coefficient(discharge_coefficient: Numeric) -> Numeric:
    r"""Loss coefficient on the bore velocity of a restriction with a given discharge coefficient.

    :math:`\zeta = 1/C_d^2`, from :math:`\dot m = C_d A\sqrt{2\rho\,\Delta p}` with negligible approach velocity
    and no pressure recovery.

    Parameters
    ----------
    discharge_coefficient : array [-], 0 < C_d <= 1
        0.61-0.65 for a sharp thin plate (ISO 5167 range), about 0.8 for a hole longer than 1.5 bores.

    Returns
    -------
    array [-]

    Notes
    -----
    Turbulent orifice flow, bore Reynolds number above about 1e4; below it C_d falls.

    References
    ----------
    .. [1] Energy balance; range of C_d of ISO 5167, recalled.

    Examples
    --------
    >>> orifice_loss_coefficient(0.5)
    4.0
    """
    return 1.0 / (discharge_coefficient * discharge_coefficient)


@published("orifice-energy-balance", status="derived")
@in_kernel
def dynamic_pressure(density: Numeric, velocity: Numeric) -> Numeric:
    r"""Signed dynamic pressure :math:`\rho V|V|/2` [Pa] of a mean velocity V [m/s], density :math:`\rho` [kg/m3].

    Odd in V, so that a loss always opposes the flow. Exact by definition.

    Examples
    --------
    >>> dynamic_pressure(1000.0, -2.0)
    -2000.0
    """
    return 0.5 * density * velocity * abs(velocity)
