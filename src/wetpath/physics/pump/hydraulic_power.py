"""Hydraulic power, shaft power, and what follows from them by definition."""

from typing import Any

from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.published import in_kernel, published

Numeric = Any


@published("iso-9906-2012", status="exact")
@in_kernel
def hydraulic_power(flow: Numeric, head: Numeric, density: Numeric) -> Numeric:
    r"""Power given to the liquid, :math:`\rho g Q H`.

    Parameters
    ----------
    flow, head, density : array [m3/s], [m], [kg/m3]

    Returns
    -------
    array [W]

    Notes
    -----
    Incompressible: density taken as constant through the pump.

    References
    ----------
    .. [1] ISO 9906:2012, definitions; exact.

    Examples
    --------
    >>> round(hydraulic_power(50 / 3600, 60.0, 1000.0), 1)
    8172.2
    """
    return density * STANDARD_GRAVITY * flow * head


@published("iso-9906-2012", status="exact")
@in_kernel
def shaft_power(flow: Numeric, head: Numeric, density: Numeric, efficiency: Numeric) -> Numeric:
    r"""Power the impeller takes, :math:`\rho g Q H/\eta`.

    Parameters
    ----------
    flow, head, density : array [m3/s], [m], [kg/m3]
    efficiency : array [-]
        Hydraulic efficiency of the wet end; if the coupling losses are inside a maker's overall efficiency
        the result contains them too.

    Returns
    -------
    array [W]; not defined at zero flow, where power comes from the power curve.

    References
    ----------
    .. [1] ISO 9906:2012, definitions; exact.

    Examples
    --------
    >>> round(shaft_power(50 / 3600, 60.0, 1000.0, 0.65))
    12573
    """
    return hydraulic_power(flow, head, density) / efficiency


@published("iso-9906-2012", status="exact")
@in_kernel
def efficiency_from_power(flow: Numeric, head: Numeric, density: Numeric, power: Numeric) -> Numeric:
    r"""Efficiency, :math:`\rho g Q H/P`.

    Parameters
    ----------
    flow, head, density, power : array [m3/s], [m], [kg/m3], [W]

    Returns
    -------
    array [-]

    References
    ----------
    .. [1] ISO 9906:2012, definitions; exact.

    Examples
    --------
    >>> round(efficiency_from_power(50 / 3600, 60.0, 1000.0, 12573.0), 3)
    0.65
    """
    return hydraulic_power(flow, head, density) / power


@published("iso-9906-2012", status="exact")
@in_kernel
def differential_pressure(head: Numeric, density: Numeric) -> Numeric:
    r"""Pressure difference of a head of liquid, :math:`\rho g H`.

    Parameters
    ----------
    head, density : array [m], [kg/m3]

    Returns
    -------
    array [Pa]

    Examples
    --------
    >>> round(differential_pressure(60.0, 1000.0))
    588399
    """
    return density * STANDARD_GRAVITY * head
