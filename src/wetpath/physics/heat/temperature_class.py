"""Temperature class of a surface in an explosive gas atmosphere."""

from typing import Any

import numpy as np

from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.physics.published import published

Numeric = Any

#: Class names from the coolest, their highest surface temperature [K], the deduction from a measured one [K].
CLASSES = ("T6", "T5", "T4", "T3", "T2", "T1")
LIMITS = ZERO_CELSIUS + np.array([85.0, 100.0, 135.0, 200.0, 300.0, 450.0])
MARGINS = np.array([5.0, 5.0, 5.0, 5.0, 10.0, 10.0])
NO_CLASS = "none"


@published("iec-60079-0", status="recalled")
@published("iso-80079-36", status="recalled")
def temperature_class(surface_temperature: Numeric, *, with_margin: bool) -> Any:
    """Temperature class of the hottest surface in the worst state considered.

    Parameters
    ----------
    surface_temperature : array [K]
    with_margin : bool
        Deduct 5 K from the limits of T3 to T6 and 10 K from T1 and T2, as for a temperature measured in a
        type test of non-electrical equipment.

    Returns
    -------
    array of str: "T6" (up to 85 degC), "T5" (100), "T4" (135), "T3" (200), "T2" (300), "T1" (450) or "none".

    Notes
    -----
    The states to be considered (normal, foreseeable malfunction, rare) follow from the equipment level and
    are judged by people competent for explosion protection; a class computed here is not a certificate. NaN
    gives "none".

    References
    ----------
    .. [1] IEC 60079-0, temperature classes; ISO 80079-36, clause 8.2, margins. Recalled; limits read in a
       manual.

    Examples
    --------
    >>> temperature_class(ZERO_CELSIUS + np.array([82.0, 132.0]), with_margin=True).tolist()
    ['T5', 'T3']
    """
    limits = LIMITS - MARGINS if with_margin else LIMITS
    surface = np.asarray(surface_temperature, dtype=np.float64)
    index = np.searchsorted(limits, np.where(np.isnan(surface), np.inf, surface) - 1e-9)
    return np.array([*CLASSES, NO_CLASS])[index]


@published("iec-60079-0", status="recalled")
def class_limit(name: str, *, with_margin: bool) -> float:
    """Highest surface temperature [K] of a class.

    Examples
    --------
    >>> round(class_limit("T4", with_margin=True) - 273.15, 6)
    130.0
    """
    index = CLASSES.index(name)
    return float(LIMITS[index] - (MARGINS[index] if with_margin else 0.0))
