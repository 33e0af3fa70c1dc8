"""Platinum resistance thermometer (Pt100, Pt1000): resistance, temperature, tolerance after IEC 60751."""

from typing import Any

import numpy as np

from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.physics.published import published
from wetpath.physics.validity import Limit, limit

Numeric = Any

A = 3.9083e-3
B = -5.775e-7
C = -4.183e-12
LOWEST = ZERO_CELSIUS - 200.0
HIGHEST = ZERO_CELSIUS + 850.0
#: Tolerance class -> constant part [K] and share of the temperature in degC.
TOLERANCES = {"AA": (0.10, 0.0017), "A": (0.15, 0.002), "B": (0.30, 0.005), "C": (0.60, 0.010)}


@published("iec-60751", status="recalled")
def resistance(temperature: Numeric, ice_point_resistance: float = 100.0) -> Numeric:
    r"""Resistance, :math:`R_0[1+At+Bt^2+C(t-100)t^3]`, the last term below 0 degC only, t in degC.

    Parameters
    ----------
    temperature : array [K]
    ice_point_resistance : float [ohm]

    Returns
    -------
    array [ohm]; NaN outside -200 to 850 degC.

    References
    ----------
    .. [1] IEC 60751. Recalled; reproduces the printed 138.51, 175.86 and 18.52 ohm.

    Examples
    --------
    >>> round(float(resistance(373.15)), 2)
    138.51
    """
    t = np.asarray(temperature, dtype=np.float64) - ZERO_CELSIUS
    ratio = 1 + t * (A + B * t) + np.where(t < 0, C * (t - 100) * t**3, 0.0)
    return np.where((t >= -200 - 1e-9) & (t <= 850 + 1e-9), ice_point_resistance * ratio, np.nan)


@published("iec-60751", status="derived")
def temperature(measured_resistance: Numeric, ice_point_resistance: float = 100.0) -> Numeric:
    """Temperature from resistance: the quadratic solved, below 0 degC corrected by Newton steps.

    Parameters
    ----------
    measured_resistance : array [ohm]
        Of the element alone, leads taken off.
    ice_point_resistance : float [ohm]

    Returns
    -------
    array [K]; NaN outside the range.

    References
    ----------
    .. [1] Inverse of IEC 60751; derived.

    Examples
    --------
    >>> round(float(temperature(120.0)) - 273.15, 3)
    51.566
    """
    ratio = np.asarray(measured_resistance, dtype=np.float64) / ice_point_resistance
    room = np.maximum(A * A - 4 * B * (1 - ratio), 0.0)
    t = (-A + np.sqrt(room)) / (2 * B)
    for _ in range(6):
        cold = t < 0
        value = 1 + t * (A + B * t) + np.where(cold, C * (t - 100) * t**3, 0.0)
        slope = A + 2 * B * t + np.where(cold, C * (4 * t**3 - 300 * t**2), 0.0)
        t = t - (value - ratio) / slope
    return np.where((t >= -200 - 1e-6) & (t <= 850 + 1e-6), t + ZERO_CELSIUS, np.nan)


@published("iec-60751", status="recalled")
def tolerance(temperature_there: Numeric, tolerance_class: str = "B") -> Numeric:
    r"""Largest error of a new element, for class B :math:`0.3+0.005|t|` kelvin.

    Parameters
    ----------
    temperature_there : array [K]
    tolerance_class : "AA", "A", "B" or "C"

    Returns
    -------
    array [K], plus or minus.

    References
    ----------
    .. [1] IEC 60751. Recalled.

    Examples
    --------
    >>> float(tolerance(473.15, "A")), float(tolerance(473.15, "B"))
    (0.55, 1.3)
    """
    constant, share = TOLERANCES[tolerance_class]
    return constant + share * np.abs(np.asarray(temperature_there, dtype=np.float64) - ZERO_CELSIUS)


def thermometer_limits(temperature_there: Numeric) -> tuple[Limit, ...]:
    """Where a temperature [K] is outside the standard's polynomial."""
    value = np.asarray(temperature_there)
    return (limit("temperature outside -200 to 850 degC: outside IEC 60751",
                  (value < LOWEST) | (value > HIGHEST)),)
