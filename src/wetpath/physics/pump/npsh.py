"""Net positive suction head: what the plant gives and what margin the rules ask for."""

from typing import Any

import numpy as np

from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.published import choose, in_kernel, published

Numeric = Any

#: Suction specific speed [r/min, m3/s, m] from which the chemical-process rule looks at the operating region.
HIGH_SUCTION_SPECIFIC_SPEED = 210.0


@published("iso-9906-2012", status="exact")
@in_kernel
def npsh_available(pressure: Numeric, vapour_pressure: Numeric, density: Numeric, velocity: Numeric = 0.0,
                   elevation: Numeric = 0.0, friction_loss: Numeric = 0.0) -> Numeric:
    r"""Net positive suction head available, :math:`(p-p_v)/(\rho g)+V^2/2g+z-h_f`.

    Parameters
    ----------
    pressure : array [Pa], absolute
        At the pump's suction flange, or on the surface of the liquid in the suction vessel.
    vapour_pressure, density : array [Pa], [kg/m3]
        At the temperature in the **impeller eye**: where warm circulation returns to suction that is not the
        temperature in the suction pipe. For a mixture the bubble pressure, for a liquid with dissolved
        gas the degassing pressure.
    velocity : array [m/s]
        Mean velocity where ``pressure`` is taken (0 for a vessel).
    elevation : array [m]
        Height of that point above the pump's NPSH datum; negative for a suction lift.
    friction_loss : array [m]
        Head lost between that point and the pump.

    Returns
    -------
    array [m]; negative means it boils before the pump.

    References
    ----------
    .. [1] ISO 9906:2012, definitions (recalled); Bernoulli's equation.

    Examples
    --------
    >>> round(npsh_available(101325.0, 19946.0, 983.16, elevation=2.0, friction_loss=0.8), 3)
    9.64
    """
    return ((pressure - vapour_pressure) / (density * STANDARD_GRAVITY)
            + velocity**2 / (2 * STANDARD_GRAVITY) + elevation - friction_loss)


@published("iso-9906-2012", status="derived")
@in_kernel
def suction_pressure_needed(npsh: Numeric, vapour_pressure: Numeric, density: Numeric,
                            velocity: Numeric = 0.0, elevation: Numeric = 0.0,
                            friction_loss: Numeric = 0.0) -> Numeric:
    r"""Absolute pressure that gives a wanted NPSH available, :func:`npsh_available` turned round.

    Parameters
    ----------
    npsh : array [m]
        Wanted NPSH available.
    vapour_pressure, density, velocity, elevation, friction_loss : array
        As in :func:`npsh_available`.

    Returns
    -------
    array [Pa], absolute.

    References
    ----------
    .. [1] Derived from the definition.

    Examples
    --------
    >>> round(suction_pressure_needed(9.640, 19946.0, 983.16, elevation=2.0, friction_loss=0.8) / 1000, 1)
    101.3
    """
    return vapour_pressure + density * STANDARD_GRAVITY * (
        npsh - velocity**2 / (2 * STANDARD_GRAVITY) - elevation + friction_loss)


@published("hi-9.6.1-2012", status="read")
@in_kernel
def npsh_needed_hydrocarbon(npsh_required: Numeric, ratio: Numeric = 1.1,
                            difference: Numeric = 1.0) -> Numeric:
    r"""NPSH available asked for in hydrocarbon process service, :math:`\max(1.1\,NPSH3,\ NPSH3+1\,m)`.

    Parameters
    ----------
    npsh_required : array [m]
        NPSH3 at the operating point.
    ratio, difference : array [-], [m]
        The margins of the rule, where a practice sets its own.

    Returns
    -------
    array [m]

    Notes
    -----
    For operation within the allowable operating region. It lets the pump reach its head; it is not a margin
    against cavitation damage, nor against boiling in the internal circulation.

    References
    ----------
    .. [1] ANSI/HI 9.6.1: read in an undated public summary sheet, the 2012 edition assumed.

    Examples
    --------
    >>> float(npsh_needed_hydrocarbon(3.0))
    4.0
    """
    return np.maximum(ratio * npsh_required, npsh_required + difference)


@published("hi-9.6.1-2012", status="read")
@in_kernel
def npsh_needed_chemical(npsh_required: Numeric, suction_specific_speed: Numeric, in_preferred_region: Numeric,
                         ratio: Numeric = 1.1, difference: Numeric = 0.6, strict_ratio: Numeric = 1.2,
                         strict_difference: Numeric = 1.0,
                         suction_break: Numeric = HIGH_SUCTION_SPECIFIC_SPEED) -> Numeric:
    r"""NPSH available asked for in chemical process service.

    :math:`\max(1.1\,NPSH3,\ NPSH3+0.6\,m)`; for a suction specific speed of 210 or more outside the preferred
    operating region :math:`\max(1.2\,NPSH3,\ NPSH3+1\,m)`.

    Parameters
    ----------
    npsh_required : array [m]
        NPSH3 at the operating point.
    suction_specific_speed : array [r/min, m3/s, m by custom]
        Of the largest impeller at best efficiency.
    in_preferred_region : array of bool
        Whether the operating point is inside the preferred operating region.
    ratio, difference, strict_ratio, strict_difference, suction_break : array [-], [m], [-], [m], [as above]
        The margins of the rule and where the strict ones begin, where a practice sets its own.

    Returns
    -------
    array [m]

    Notes
    -----
    The summary says "below" and "above" 210; the value itself is taken with the stricter side.

    References
    ----------
    .. [1] ANSI/HI 9.6.1: read in an undated public summary sheet, the 2012 edition assumed.

    Examples
    --------
    >>> [round(float(npsh_needed_chemical(*case)), 3) for case in ((6.0, 240.0, False), (3.0, 180.0, True))]
    [7.2, 3.6]
    """
    usual = np.maximum(ratio * npsh_required, npsh_required + difference)
    strict = np.maximum(strict_ratio * npsh_required, npsh_required + strict_difference)
    relaxed = (suction_specific_speed < suction_break) | in_preferred_region
    return choose(relaxed, usual, strict)
