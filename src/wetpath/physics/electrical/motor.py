"""Electric motor of a pump: rating margin, torque, share of the starting torque, tolerances and derating."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.physics.published import choose, in_kernel, published
from wetpath.physics.validity import Limit, limit

Numeric = Any
Array = NDArray[np.float64]

#: API 610: least rated power [W], powers [W] at which the margin changes, and the margins. Recalled.
LEAST_POWER = 4e3
MARGIN_BREAKS = (22e3, 55e3)
MARGINS = (1.25, 1.15, 1.10)


@published("api-610-motor-margin", status="recalled")
@in_kernel
def margin_asked(rated_power: Numeric, breaks: tuple[float, float] = MARGIN_BREAKS,
                 margins: tuple[float, float, float] = MARGINS) -> Numeric:
    r"""Rated motor power over pump power asked for, by the **motor's** rating.

    1.25 below 22 kW, 1.15 from 22 to 55 kW, 1.10 above 55 kW.

    Parameters
    ----------
    rated_power : array [W]
        Of the motor.
    breaks : (first, second) [W]
        Other practices break at other powers.
    margins : (below the first, between, above the second) [-]

    Returns
    -------
    array [-]

    References
    ----------
    .. [1] API 610 (ISO 13709), table of power ratings for motor drives. Recalled.

    Examples
    --------
    >>> [float(margin_asked(power)) for power in (18.5e3, 22e3, 55e3, 75e3)]
    [1.25, 1.15, 1.15, 1.1]
    """
    upper = choose(rated_power <= breaks[1], margins[1], margins[2])
    return choose(rated_power < breaks[0], margins[0], upper)


@published("api-610-motor-margin", status="recalled")
def rated_power_needed(pump_power: Numeric, series: Array, least_power: float = LEAST_POWER,
                       breaks: tuple[float, float] = MARGIN_BREAKS,
                       margins: tuple[float, float, float] = MARGINS) -> Numeric:
    """Smallest motor of a series whose rating is at least its **own** margin times the pump power.

    Parameters
    ----------
    pump_power : array [W]
        At the coupling of the motor, all losses of the magnetic drive included.
    series : array [W], rising
        Rated powers on offer, for instance those of IEC 60072-1.
    least_power : float [W]
        Smaller motors are not taken.
    breaks, margins
        As in :func:`margin_asked`.

    Returns
    -------
    array [W]; infinite where the series ends below what is needed.

    Notes
    -----
    The margin belongs to the motor looked at, not to the pump power: 17.7 kW needs 22 kW (margin 1.15), which
    a search by "1.25 first" misses. A motor that also starts and tests the pump on water needs a
    second look with that power.

    References
    ----------
    .. [1] API 610 (ISO 13709), table of power ratings for motor drives. Recalled.

    Examples
    --------
    >>> series = 1e3 * np.array([3, 4, 5.5, 7.5, 11, 15, 18.5, 22, 30])
    >>> [float(rated_power_needed(power, series)) / 1e3 for power in (12.6e3, 17.7e3, 2.0e3)]
    [18.5, 22.0, 4.0]
    """
    taken = series[series >= least_power * (1 - 1e-9)]
    carries = taken / np.asarray(margin_asked(taken, breaks, margins))
    enough = carries >= np.asarray(pump_power, dtype=np.float64)[..., None] * (1 - 1e-12)
    first = np.argmax(enough, axis=-1)
    return np.where(enough.any(axis=-1), taken[first], np.inf)


@published("rotating-mass", status="exact")
@in_kernel
def shaft_torque(power: Numeric, speed: Numeric) -> Numeric:
    r"""Torque of a shaft, :math:`P/\omega`.

    Parameters
    ----------
    power, speed : array [W], [rad/s]

    Returns
    -------
    array [N m]

    Examples
    --------
    >>> round(shaft_torque(15e3, 2950 * np.pi / 30), 3)
    48.556
    """
    return power / speed


@published("rotating-mass", status="derived")
@in_kernel
def starting_share(motor_torque: Numeric, drive_inertia: Numeric, pump_inertia: Numeric,
                   load_torque: Numeric = 0.0) -> Numeric:
    r"""Torque through the magnetic coupling while the motor accelerates both sides together.

    :math:`T_c=(T_m-T_l)\frac{J_p}{J_p+J_d}+T_l`

    Parameters
    ----------
    motor_torque : array [N m]
        Of the motor at the moment looked at, for instance its peak.
    drive_inertia, pump_inertia : array [kg m2]
        Everything turning on the motor's side of the magnets, and on the pump's.
    load_torque : array [N m]
        Hydraulic and drag torque of the pump at that moment.

    Returns
    -------
    array [N m]

    Notes
    -----
    Both sides turning as one: the coupling's own spring swings about this value, at a sudden start by as much
    again. The peak has to stay below the pull-out torque with a margin for that.

    References
    ----------
    .. [1] Newton's second law for two masses; derived.

    Examples
    --------
    >>> round(starting_share(121.39, 0.045, 0.020), 2)
    37.35
    """
    return (motor_torque - load_torque) * pump_inertia / (pump_inertia + drive_inertia) + load_torque


@published("iec-60034-1", status="recalled")
@in_kernel
def least_efficiency(nameplate_efficiency: Numeric, rated_power: Numeric) -> Numeric:
    r"""Efficiency a motor may have at worst.

    :math:`\eta-0.15(1-\eta)` up to 150 kW, :math:`\eta-0.10(1-\eta)` above.

    Parameters
    ----------
    nameplate_efficiency, rated_power : array [-], [W]

    Returns
    -------
    array [-]

    References
    ----------
    .. [1] IEC 60034-1, tolerances. Recalled.

    Examples
    --------
    >>> round(float(least_efficiency(0.919, 15e3)), 5)
    0.90685
    """
    return nameplate_efficiency - choose(rated_power > 150e3, 0.10, 0.15) * (1 - nameplate_efficiency)


@published("iec-60034-1", status="recalled")
def reference_ambient(altitude: Numeric) -> Numeric:
    r"""Highest ambient temperature at which a motor of the standard gives its rated power.

    40 degC up to 1000 m, then 1 % of the allowed winding rise lower for every 100 m: 0.8 K for thermal
    class 130.

    Parameters
    ----------
    altitude : array [m]
        0 to 4000.

    Returns
    -------
    array [K]; NaN outside 0 to 4000 m, where maker and buyer have to agree.

    Notes
    -----
    For a winding used to class 130 (B), the usual way of rating. The air thins and cools with height: a site
    at 2000 m whose summer stays below 32 degC needs no larger motor.

    References
    ----------
    .. [1] IEC 60034-1, site conditions and corrections for altitude. Recalled.

    Examples
    --------
    >>> round(float(reference_ambient(2000.0)) - 273.15, 1)
    32.0
    """
    height = np.asarray(altitude, dtype=np.float64)
    ambient = ZERO_CELSIUS + 40.0 - 0.8 * np.maximum(height - 1000.0, 0.0) / 100
    return np.where((height >= 0) & (height <= 4000), ambient, np.nan)


def motor_limits(altitude: Numeric, ambient: Numeric) -> tuple[Limit, ...]:
    """Where a motor is used outside the conditions of its rating.

    Parameters
    ----------
    altitude, ambient : array [m], [K]

    Returns
    -------
    tuple of Limit
    """
    height, hottest = np.asarray(altitude), np.asarray(ambient)
    return (
        limit("altitude above 4000 m: outside IEC 60034-1, ask the motor's maker", height > 4000),
        limit("ambient temperature above that of the motor's rating at this altitude: derate or take the "
              "maker's figure", (height <= 4000) & (hottest > reference_ambient(height))),
        limit("ambient temperature below -15 degC: outside the usual conditions of IEC 60034-1",
              hottest < ZERO_CELSIUS - 15),
    )
