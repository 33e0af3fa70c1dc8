"""Works-test measurements brought to the guaranteed speed, and the conditions a test has to keep, by ISO 9906."""

from typing import Any

import numpy as np

from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.physics.published import published
from wetpath.physics.pump.acceptance import Grade
from wetpath.physics.validity import Limit, limit

Numeric = Any

#: Test speed over guaranteed speed within which flow, head and power may be converted, and NPSH3.
SPEED_RANGE, NPSH_SPEED_RANGE = (0.5, 1.2), (0.8, 1.2)
#: Speed ratios that differ by more than this from 1 may move the efficiency.
STEADY_EFFICIENCY = 0.2
#: Highest temperature of clean cold water [K].
WARMEST_WATER = ZERO_CELSIUS + 40.0
#: Share of the guaranteed flow around it in which points are counted as near.
NEAR = 0.1


@published("iso-9906-2012", status="recalled")
def npsh_at_speed(npsh: Numeric, speed_ratio: Numeric, exponent: Numeric = 2.0) -> Numeric:
    r"""Carry a measured NPSH3 to another speed, :math:`\mathrm{NPSH}\,(n'/n)^x`.

    Parameters
    ----------
    npsh : array [m]
    speed_ratio : array [-]
        New speed over test speed.
    exponent : array [-]
        2 as a first approximation; observed between 1.3 and 2.

    Returns
    -------
    array [m]

    References
    ----------
    .. [1] ISO 9906:2012. Recalled.

    Examples
    --------
    >>> round(npsh_at_speed(2.0, 2950 / 2900), 4)
    2.0696
    """
    return npsh * speed_ratio**exponent


@published("iso-9906-2012", status="recalled")
def works_test_limits(speed_ratio: Numeric, temperature: Numeric, npsh: Numeric) -> tuple[Limit, ...]:
    """Where a measured point leaves the conditions under which the standard converts it.

    Parameters
    ----------
    speed_ratio : array [-]
        Test speed over guaranteed speed.
    temperature : array [K]
        Of the water.
    npsh : array [m]
        Measured NPSH3; NaN where it was not measured.

    Returns
    -------
    tuple of Limit

    References
    ----------
    .. [1] ISO 9906:2012. Recalled.

    Examples
    --------
    >>> [bool(one.crossed) for one in works_test_limits(0.75, 293.15, 2.0)]
    [False, True, True, False]
    """
    ratio = np.asarray(speed_ratio)
    measured_npsh = np.isfinite(np.asarray(npsh))
    return (
        limit("test speed outside 50 to 120 % of the guaranteed speed: ISO 9906 does not convert such points",
              (ratio < SPEED_RANGE[0]) | (ratio > SPEED_RANGE[1])),
        limit("test speed more than 20 % from the guaranteed speed: efficiency may not stay the same",
              np.abs(ratio - 1) > STEADY_EFFICIENCY + 1e-9),
        limit("NPSH3 measured outside 80 to 120 % of the guaranteed speed: ISO 9906 does not convert it",
              measured_npsh & ((ratio < NPSH_SPEED_RANGE[0]) | (ratio > NPSH_SPEED_RANGE[1]))),
        limit("water warmer than 40 °C is not the clean cold water of ISO 9906",
              np.asarray(temperature) > WARMEST_WATER),
    )


@published("iso-9906-1999", status="read")
def fewest_points(grade: Grade) -> int:
    """Measured points asked for near the guarantee point: five for grade 1, three for grades 2 and 3.

    Near is 0.9 to 1.1 of the guaranteed flow, as the standard gives for example: see :data:`NEAR`.

    References
    ----------
    .. [1] ISO 9906:1999, 5.4.1. Read in a public excerpt; taken over for the grades of 2012.

    Examples
    --------
    >>> from wetpath.physics.pump.acceptance import GRADES
    >>> fewest_points(GRADES["1B"]), fewest_points(GRADES["3B"])
    (5, 3)
    """
    return 5 if grade.name.startswith("1") else 3
