"""Radial force of the casing on the impeller."""

from typing import Any

import numpy as np

from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.published import in_kernel, published
from wetpath.physics.validity import Limit, limit

Numeric = Any

#: Factor of the classic law at shut-off, single volute.
SHUT_OFF_FACTOR = 0.36
#: Factor that remains at best flow, common practice: 0.03 to 0.08.
RESIDUAL_FACTOR = 0.05
#: Share of the single-volute factor left by a double volute, common practice ("a fifth or less" at shut-off).
DOUBLE_VOLUTE_SHARE = 0.2


@published("stepanoff-1957", status="recalled")
@in_kernel
def radial_force(factor: Numeric, density: Numeric, head: Numeric, impeller_diameter: Numeric,
                 outlet_width: Numeric) -> Numeric:
    r"""Static radial force on the impeller, :math:`F=K\rho gHD_2B_2`.

    Parameters
    ----------
    factor : array [-]
        K, from one of the laws here or from the maker's tests.
    density, head : array [kg/m3], [m]
        At the operating point.
    impeller_diameter, outlet_width : array [m]
        Width with both shrouds.

    Returns
    -------
    array [N]

    References
    ----------
    .. [1] Stepanoff: Centrifugal and Axial Flow Pumps, 2nd ed. (1957). Recalled.

    Examples
    --------
    >>> round(radial_force(0.30, 1000.0, 60.0, 0.200, 0.020), 1)
    706.1
    """
    return factor * density * STANDARD_GRAVITY * head * impeller_diameter * outlet_width


@published("stepanoff-1957", status="recalled")
@in_kernel
def single_volute_factor(flow_share: Numeric, residual: Numeric = RESIDUAL_FACTOR) -> Numeric:
    r"""Factor of a single volute by the classic law, :math:`K=\max(K_r,\ 0.36|1-(Q/Q_n)^2|)`.

    Parameters
    ----------
    flow_share : array [-]
        Flow over best flow.
    residual : array [-]
        What is left at best flow: the law itself says zero, real casings do not.

    Returns
    -------
    array [-]

    Notes
    -----
    Independent of specific speed, an average; single pumps differ by half as much again. Above best flow the
    sign of the force turns, the amount is given here; beyond 1.2 times best flow there is no basis.

    References
    ----------
    .. [1] Stepanoff (1957). Recalled. The residual is common practice.

    Examples
    --------
    >>> [round(float(single_volute_factor(share)), 3) for share in (0.0, 0.5, 1.0)]
    [0.36, 0.27, 0.05]
    """
    return np.maximum(residual, SHUT_OFF_FACTOR * np.abs(1 - flow_share**2))


@published("hi-radial-thrust", status="recalled")
@in_kernel
def partial_flow_exponent(specific_speed_us: Numeric) -> Numeric:
    r"""Exponent x of :func:`single_volute_factor_by_exponent`: 0.7 at Ns 500, 3.3 at Ns 3500, linear between.

    Parameters
    ----------
    specific_speed_us : array [r/min, US gal/min, ft by custom]

    Returns
    -------
    array [-], held at its end values outside 500 to 3500.

    References
    ----------
    .. [1] Hydraulic Institute standards, radial thrust. Recalled with middling confidence; the straight
       line between the two printed ends is ours.

    Examples
    --------
    >>> round(float(partial_flow_exponent(2000.0)), 2)
    2.0
    """
    share = (np.minimum(np.maximum(specific_speed_us, 500.0), 3500.0) - 500.0) / 3000.0
    return 0.7 + 2.6 * share


@published("hi-radial-thrust", status="recalled")
@in_kernel
def single_volute_factor_by_exponent(flow_share: Numeric, shut_off_factor: Numeric, exponent: Numeric,
                                     residual: Numeric = RESIDUAL_FACTOR) -> Numeric:
    r"""Factor of a single volute, :math:`K=\max(K_r,\ K_{so}|1-(Q/Q_n)^x|)`.

    Parameters
    ----------
    flow_share : array [-]
        Flow over best flow, zero or more.
    shut_off_factor : array [-]
        Of this casing; handbooks show 0.15 to 0.38 depending on specific speed.
    exponent : array [-]
        :func:`partial_flow_exponent`.
    residual : array [-]

    Returns
    -------
    array [-]

    References
    ----------
    .. [1] Hydraulic Institute standards, radial thrust. Recalled with middling confidence.

    Examples
    --------
    >>> round(float(single_volute_factor_by_exponent(0.5, 0.30, 2.0)), 3)
    0.225
    """
    return np.maximum(residual, shut_off_factor * np.abs(1 - np.maximum(flow_share, 0.0)**exponent))


@published("double-volute-share", status="common practice")
@in_kernel
def double_volute_factor(flow_share: Numeric) -> Numeric:
    r"""Factor of a double volute: a fifth of the classic shut-off factor, the same at every flow.

    Parameters
    ----------
    flow_share : array [-]
        Flow over best flow.

    Returns
    -------
    array [-]

    References
    ----------
    .. [1] Common practice, no source ("a fifth or less of the single volute at shut-off"); taken at its upper
       end at every flow.

    Examples
    --------
    >>> round(float(double_volute_factor(0.3)), 3)
    0.072
    """
    return DOUBLE_VOLUTE_SHARE * SHUT_OFF_FACTOR + 0.0 * flow_share


def radial_thrust_limits(flow_share: Numeric) -> tuple[Limit, ...]:
    """Where the factor laws have no basis.

    Parameters
    ----------
    flow_share : array [-]
        Flow over best flow.

    Returns
    -------
    tuple of Limit
    """
    share = np.asarray(flow_share)
    return (limit("flow beyond 1.2 times best flow: the radial force laws are not made for it", share > 1.2),)
