"""Specific speed in the forms the trade uses, for the pump and for its suction."""

from typing import Any

from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.published import in_kernel, published
from wetpath.physics.pump.customary_units import FOOT, REVOLUTION_PER_MINUTE, US_GALLON_PER_MINUTE

Numeric = Any


@published("specific-speed", status="exact")
@in_kernel
def type_number(speed: Numeric, flow: Numeric, head: Numeric) -> Numeric:
    r"""Dimensionless specific speed, :math:`K=\omega\sqrt{Q}/(gH)^{3/4}` (the type number of ISO 9906).

    Parameters
    ----------
    speed, flow, head : array [rad/s], [m3/s], [m]
        At best efficiency; whole flow of the impeller, head of one stage.

    Returns
    -------
    array [-]

    References
    ----------
    .. [1] ISO 9906:2012, definitions (recalled); exact by dimensional analysis.

    Examples
    --------
    >>> round(type_number(2950 * 3.14159265 / 30, 50 / 3600, 50.0), 5)
    0.34939
    """
    return speed * flow**0.5 / (STANDARD_GRAVITY * head)**0.75


@published("specific-speed", status="exact")
@in_kernel
def specific_speed_metric(speed: Numeric, flow: Numeric, head: Numeric) -> Numeric:
    r"""Specific speed nq, :math:`n\sqrt{Q}/H^{3/4}` with n in r/min, Q in m3/s, H in m.

    Parameters
    ----------
    speed, flow, head : array [rad/s], [m3/s], [m]
        At best efficiency, converted inside.

    Returns
    -------
    array [r/min, m3/s, m by custom]

    References
    ----------
    .. [1] Definition; 52.919 times the type number.

    Examples
    --------
    >>> round(specific_speed_metric(2950 * 3.14159265 / 30, 50 / 3600, 50.0), 3)
    18.49
    """
    return speed / REVOLUTION_PER_MINUTE * flow**0.5 / head**0.75


@published("specific-speed", status="exact")
@in_kernel
def specific_speed_us(speed: Numeric, flow: Numeric, head: Numeric) -> Numeric:
    r"""Specific speed Ns, :math:`n\sqrt{Q}/H^{3/4}` with n in r/min, Q in US gal/min, H in ft.

    Parameters
    ----------
    speed, flow, head : array [rad/s], [m3/s], [m]
        At best efficiency, converted inside.

    Returns
    -------
    array [r/min, US gal/min, ft by custom]

    References
    ----------
    .. [1] Definition; 51.645 times nq.

    Examples
    --------
    >>> round(specific_speed_us(2950 * 3.14159265 / 30, 50 / 3600, 50.0), 1)
    954.9
    """
    return specific_speed_metric(speed, flow / US_GALLON_PER_MINUTE, head / FOOT)


@published("specific-speed", status="exact")
@in_kernel
def suction_specific_speed_metric(speed: Numeric, flow: Numeric, npsh_required: Numeric) -> Numeric:
    r"""Suction specific speed, :math:`n\sqrt{Q}/NPSH3^{3/4}` with n in r/min, Q in m3/s, NPSH3 in m.

    Parameters
    ----------
    speed, flow, npsh_required : array [rad/s], [m3/s], [m]
        At best efficiency of the largest impeller; half the flow for a double-entry impeller.

    Returns
    -------
    array [r/min, m3/s, m by custom]

    References
    ----------
    .. [1] Definition, as used by ANSI/HI 9.6.1 and API 610.

    Examples
    --------
    >>> round(suction_specific_speed_metric(2950 * 3.14159265 / 30, 50 / 3600, 3.0), 1)
    152.5
    """
    return specific_speed_metric(speed, flow, npsh_required)


@published("specific-speed", status="exact")
@in_kernel
def suction_specific_speed_us(speed: Numeric, flow: Numeric, npsh_required: Numeric) -> Numeric:
    r"""Suction specific speed with n in r/min, Q in US gal/min, NPSH3 in ft.

    Parameters
    ----------
    speed, flow, npsh_required : array [rad/s], [m3/s], [m]
        As in :func:`suction_specific_speed_metric`.

    Returns
    -------
    array [r/min, US gal/min, ft by custom]

    References
    ----------
    .. [1] Definition; 51.645 times the metric number.

    Examples
    --------
    >>> round(suction_specific_speed_us(2950 * 3.14159265 / 30, 50 / 3600, 3.0))
    7877
    """
    return specific_speed_us(speed, flow, npsh_required)
