"""Rating life of the external rolling bearings after ISO 281."""

from math import pi
from typing import Any

import numpy as np

from wetpath.physics.published import in_kernel, published

Numeric = Any

BALL_EXPONENT = 3.0
ROLLER_EXPONENT = 10 / 3
#: Factor of deep-groove ball bearings on the radial load when the axial load counts.
DEEP_GROOVE_RADIAL_FACTOR = 0.56
#: Reliability [-] -> life modification factor.
RELIABILITY_FACTORS = {0.90: 1.0, 0.95: 0.64, 0.96: 0.55, 0.97: 0.47, 0.98: 0.37, 0.99: 0.25}
#: Single-row angular contact ball bearing of 40 degrees: limit e, radial and axial factor above it.
ANGULAR_LIMIT, ANGULAR_RADIAL_FACTOR, ANGULAR_AXIAL_FACTOR = 1.14, 0.35, 0.57
#: Exponent on the number of equal rows that share a load: ball, roller.
ROW_EXPONENTS = (0.7, 7 / 9)
# f0 Fa/C0r, limit e, axial factor Y of deep-groove ball bearings with normal clearance.
_RELATIVE_AXIAL_LOAD = np.array([0.172, 0.345, 0.689, 1.03, 1.38, 2.07, 3.45, 5.17, 6.89])
_LIMIT_E = np.array([0.19, 0.22, 0.26, 0.28, 0.30, 0.34, 0.38, 0.42, 0.44])
_AXIAL_FACTOR = np.array([2.30, 1.99, 1.71, 1.55, 1.45, 1.31, 1.15, 1.04, 1.00])


@published("iso-281-2007", status="recalled")
@in_kernel
def rating_life(dynamic_rating: Numeric, equivalent_load: Numeric, speed: Numeric,
                exponent: Numeric = BALL_EXPONENT, reliability_factor: Numeric = 1.0) -> Numeric:
    r"""Life that 90 % of bearings reach (or another share), :math:`L=a_1 10^6 (C/P)^p` turns, as a time.

    Parameters
    ----------
    dynamic_rating, equivalent_load : array [N]
        C and P.
    speed : array [rad/s]
    exponent : array [-]
        3 for ball, 10/3 for roller bearings.
    reliability_factor : array [-]
        a1 of :data:`RELIABILITY_FACTORS`.

    Returns
    -------
    array [s]

    Notes
    -----
    Fatigue only. Loads above half of C are outside the formula (ISO 281); grease life and contamination,
    which usually end the life of a pump bearing earlier, are not in it.

    References
    ----------
    .. [1] ISO 281:2007. Recalled.

    Examples
    --------
    >>> round(rating_life(30e3, 1500.0, 2950 * pi / 30) / 3600)
    45198
    """
    return reliability_factor * 1e6 * (dynamic_rating / equivalent_load)**exponent * 2 * pi / speed


@published("iso-281-2007", status="recalled")
def deep_groove_equivalent_load(radial: Numeric, axial: Numeric, static_rating: Numeric,
                                geometry_factor: Numeric) -> Numeric:
    r"""Equivalent load of a deep-groove ball bearing, :math:`P=\max(F_r,\ 0.56F_r+YF_a)`.

    Parameters
    ----------
    radial, axial, static_rating : array [N]
        Fr, Fa (amount), C0r.
    geometry_factor : array [-]
        f0 of the bearing, about 12 to 16.

    Returns
    -------
    array [N]: the radial load while Fa/Fr is not above the limit e.

    Notes
    -----
    Y and e linear between the printed rows of f0 Fa/C0r and held outside 0.172 to 6.89; normal clearance.

    References
    ----------
    .. [1] ISO 281:2007, table of X and Y. Recalled.

    Examples
    --------
    >>> round(float(deep_groove_equivalent_load(1000.0, 800.0, 15e3, 13.0)), 1)
    1926.4
    """
    relative = np.asarray(geometry_factor * axial / static_rating, dtype=np.float64)
    limit = np.interp(relative, _RELATIVE_AXIAL_LOAD, _LIMIT_E)
    factor = np.interp(relative, _RELATIVE_AXIAL_LOAD, _AXIAL_FACTOR)
    both = DEEP_GROOVE_RADIAL_FACTOR * radial + factor * axial
    return np.where(axial > limit * radial, np.maximum(both, radial), radial + 0.0 * both)


@published("iso-281-2007", status="recalled")
def angular_contact_equivalent_load(radial: Numeric, axial: Numeric) -> Numeric:
    r"""Equivalent load of a single-row angular contact ball bearing of 40 degrees.

    :math:`P=F_r` while :math:`F_a\le1.14F_r`, above it :math:`0.35F_r+0.57F_a`.

    Parameters
    ----------
    radial, axial : array [N]
        Fr, and Fa (amount) with what the bearing's own inclination adds.

    Returns
    -------
    array [N]

    References
    ----------
    .. [1] ISO 281:2007, table of X and Y, contact angle 40 degrees. Recalled.

    Examples
    --------
    >>> float(angular_contact_equivalent_load(1000.0, 2000.0))
    1490.0
    """
    both = ANGULAR_RADIAL_FACTOR * radial + ANGULAR_AXIAL_FACTOR * axial
    return np.where(axial > ANGULAR_LIMIT * radial, both, radial + 0.0 * both)


@published("iso-281-2007", status="recalled")
def rating_of_rows(dynamic_rating: Numeric, rows: Numeric, exponent: Numeric = ROW_EXPONENTS[0]) -> Numeric:
    r"""Dynamic rating of equal bearings side by side that share the load, :math:`C\,i^{0.7}`, rollers 7/9.

    Parameters
    ----------
    dynamic_rating : array [N]
        Of one.
    rows : array [-]
    exponent : array [-]
        Of :data:`ROW_EXPONENTS`.

    Returns
    -------
    array [N]

    References
    ----------
    .. [1] ISO 281:2007, bearings mounted as a unit. Recalled.

    Examples
    --------
    >>> round(rating_of_rows(1.0, 2), 3)
    1.625
    """
    return dynamic_rating * rows**exponent
