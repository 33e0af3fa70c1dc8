"""The containment shell without liquid: how fast its wall heats."""

from typing import Any

import numpy as np

from wetpath.physics.published import choose, published

Numeric = Any


@published("dry-wall-balance", status="derived")
def dry_heating_time(heat_flux: Numeric, wall_capacity: Numeric, air_coefficient: Numeric, start: Numeric,
                     reached: Numeric, air: Numeric) -> Numeric:
    r"""Time in which a wall without liquid heats from one temperature to another.

    :math:`t = -\frac{C}{U}\ln\frac{T_\infty - T}{T_\infty - T_0}` with :math:`T_\infty = T_a + q/U`, and
    :math:`C(T - T_0)/q` when nothing is lost to air.

    Parameters
    ----------
    heat_flux : array [W/m2]
        Heat made in the wall for each area of its outside.
    wall_capacity : array [J/(m2 K)]
        Density times heat capacity times thickness.
    air_coefficient : array [W/(m2 K)]
        From the outside to the air.
    start, reached, air : array [K]

    Returns
    -------
    array [s]; 0 where it is reached from the start, infinite where it is never.

    Notes
    -----
    Thin wall, heat constant at that of the start (a metal's own resistivity rises and the heat falls); vapour,
    radiation, and conduction along the shell left out, which all slow it: the time is on the safe side.

    References
    ----------
    .. [1] Energy balance of a thin wall; derived.

    Examples
    --------
    >>> round(float(dry_heating_time(20e3, 3000.0, 0.0, 300.0, 320.0, 300.0)), 3)
    3.0
    """
    flux, loss = np.asarray(heat_flux, np.float64), np.asarray(air_coefficient, np.float64)
    insulated = loss <= 0.0
    held = choose(insulated, 1.0, loss)
    heating = flux - loss * (np.asarray(start) - air)       # what heats the wall in the first moment
    rise = np.maximum(np.asarray(reached) - start, 0.0)
    left = choose(insulated, 0.0, held * rise / choose(heating > 0.0, heating, 1.0))
    never = (rise > 0.0) & ((heating <= 0.0) | (left >= 1.0))
    slope = choose(never | insulated | (left <= 0.0), rise, -heating / held * np.log1p(-choose(left < 1.0, left, 0.0)))
    return choose(never, np.inf, wall_capacity * slope / choose(heating > 0.0, heating, 1.0))


@published("energy-balance", status="exact")
def common_temperature(capacities: Any, temperatures: Any) -> Numeric:
    r"""Temperature at which bodies settle among themselves, :math:`\sum C_iT_i/\sum C_i`.

    Parameters
    ----------
    capacities, temperatures : array (bodies, ...) [J/K], [K]

    Returns
    -------
    array [K]

    Notes
    -----
    Nothing to or from outside, heat capacities constant.

    References
    ----------
    .. [1] First law; exact.

    Examples
    --------
    >>> float(common_temperature([1.0, 3.0], [300.0, 320.0]))
    315.0
    """
    heavy = np.asarray(capacities, np.float64)
    return (heavy * np.asarray(temperatures)).sum(axis=0) / heavy.sum(axis=0)
