"""What a motor may give all day where it stands and at the speed it runs at."""

from typing import Any

import numpy as np

from wetpath.physics.published import choose, published

Numeric = Any

#: Rise of the winding allowed by thermal class 130 (B), by resistance [K]; the usual way motors are rated. Recalled.
ALLOWED_RISE = 80.0
#: Share of the rated winding rise that is there without load: iron and friction. Common practice.
NO_LOAD_RISE = 0.25


@published("winding-rise-balance", status="derived")
def ambient_power_share(ambient: Numeric, reference: Numeric, allowed_rise: float = ALLOWED_RISE,
                        no_load_rise: float = NO_LOAD_RISE) -> Numeric:
    r"""Power a motor may give continuously in warm or thin air, over its rated power; never above 1.

    :math:`\sqrt{\frac{1 - (T_a - T_{ref})/\Delta T - s}{1 - s}}`: the part of the winding rise that goes with
    the square of the load makes room for the warmer air.

    Parameters
    ----------
    ambient : array [K]
        Highest temperature of the air.
    reference : array [K]
        Air for which the rating holds at this altitude, see
        :func:`wetpath.physics.electrical.motor.reference_ambient`.
    allowed_rise : float [K]
        :math:`\Delta T` of the winding at rated power.
    no_load_rise : float [-]
        s, share of the rise that does not depend on load.

    Returns
    -------
    array [-], 0 to 1; 0 where the air leaves no room, NaN where the reference is.

    Notes
    -----
    The motor's maker knows better; makers print some 0.96, 0.92, 0.87, 0.82 for 45, 50, 55, 60 degC. A cool site
    does not make the motor larger.

    References
    ----------
    .. [1] Balance of the winding's heat, losses with the square of the load; derived. Share without load:
       common practice.

    Examples
    --------
    >>> [round(float(ambient_power_share(celsius, 40.0)), 3) for celsius in (20.0, 40.0, 50.0)]
    [1.0, 1.0, 0.913]
    """
    room = 1.0 - (np.asarray(ambient) - reference) / allowed_rise
    return np.minimum(np.sqrt(np.maximum(room - no_load_rise, 0.0) / (1.0 - no_load_rise)), 1.0)


@published("inverter-motor-torque", status="common practice")
def speed_power_share(speed: Numeric, rated_speed: Numeric, fan_on_shaft: bool) -> Numeric:
    r"""Power a motor on an inverter may give continuously at a speed, over its rated power.

    Below rated speed r < 1 the torque is constant (power :math:`r`) with a fan of its own, and falls with the
    square of speed (power :math:`r^3`) when the fan sits on the shaft; above rated speed the power stays.

    Parameters
    ----------
    speed, rated_speed : array [rad/s]
    fan_on_shaft : bool
        Cooled by a fan on its own shaft.

    Returns
    -------
    array [-], 0 to 1

    Notes
    -----
    The cube is on the safe side for a motor with its fan on the shaft, which gives nearly full torque down to some
    60 % of its speed; ask the maker for the curve of the motor.

    References
    ----------
    .. [1] Common practice, no source.

    Examples
    --------
    >>> float(speed_power_share(150.0, 300.0, True)), float(speed_power_share(150.0, 300.0, False))
    (0.125, 0.5)
    """
    ratio = np.minimum(np.asarray(speed) / rated_speed, 1.0)
    return ratio**3 if fan_on_shaft else ratio


@published("iec-60034-1", status="recalled")
def synchronous_speed(frequency: Numeric, poles: Numeric) -> Numeric:
    r"""Speed of the field of a motor, :math:`4\pi f/p` with p poles.

    Parameters
    ----------
    frequency, poles : array [Hz], [-]

    Returns
    -------
    array [rad/s]

    Examples
    --------
    >>> round(synchronous_speed(50.0, 2) * 30 / np.pi, 6)
    3000.0
    """
    return 4.0 * np.pi * frequency / poles


@published("eu-2019-1781", status="recalled")
def efficiency_class_asked(rated_power: Numeric, poles: Numeric, explosion_protected: bool) -> Any:
    """Efficiency class the rules of the European Union ask of a motor: "IE3", "IE4", or "" where they ask none.

    IE3 from 0.75 to 1000 kW with 2 to 8 poles; since July 2023 IE4 from 75 to 200 kW with 2 to 6 poles, not of
    motors for explosive atmospheres. Smaller ones, IE2 from 0.12 kW, are left out here.

    Parameters
    ----------
    rated_power, poles : array [W], [-]
    explosion_protected : bool

    Returns
    -------
    array of str

    References
    ----------
    .. [1] Commission Regulation (EU) 2019/1781, annex I, as amended. Recalled.

    Examples
    --------
    >>> [str(efficiency_class_asked(power, 2, False)) for power in (0.55e3, 15e3, 90e3, 250e3)]
    ['', 'IE3', 'IE4', 'IE3']
    """
    power, count = np.asarray(rated_power), np.asarray(poles)
    covered = (power >= 750.0) & (power <= 1e6) & (count <= 8)
    better = (power >= 75e3) & (power <= 200e3) & (count <= 6) & (not explosion_protected)
    return choose(covered, choose(better, "IE4", "IE3"), "")
