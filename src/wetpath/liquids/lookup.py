"""Looks liquid properties up in the spline tables of one liquid, at the speed of a few dozen additions.

The functions of scalars may be called from compiled code (`in_kernel`) and from Python alike; the ones whose
names end in ``_many`` are their compiled loops over flat arrays, which `wetpath.liquids.liquid.Liquid` wraps.

The table stands on uniform knots of temperature. Along the second axis it follows the distance of the
pressure from the saturation line, ``e = (P - base) / highest_excess_pressure``, where ``base`` is the vapour
pressure, so that the saturated liquid is a row of the table (``e = 0``) and nothing is ever interpolated
across the saturation line. The properties are polynomials not in e but in ``y = (1 + c) e / (1 + c e)``; the
bend c follows the curvature of the density of each liquid at each temperature (0 when it is cold, about 1 to
2 near the critical point), where it saves an order of magnitude in accuracy at an equal number of terms.

Formulas for the viscosity of a compressed liquid may begin with a factor ``1 + b e^a`` (a a little below 1), whose
slope at saturation is infinite and which no polynomial follows. Its place takes ``1 + e (s0 + s1 r + s2 / (r + 0.1))``
with ``r = e^(1/4)``, which two square roots give: a fifth of the time of a power. The polynomial stands for the
logarithm of the viscosity over this factor. Where a source has no such factor, s0, s1 and s2 are 0; to ask first
whether they are takes longer.
"""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.published import compiled, in_kernel

#: Rows of ``LiquidArrays.rows`` that depend on temperature alone.
(LOG_VAPOUR_PRESSURE, LOG_BASE_PRESSURE, BEND, STEEP, STEEP_ROOT, STEEP_POLE, LOG_VAPOUR_DENSITY, LATENT_HEAT,
 SURFACE_TENSION) = range(9)
#: The first row of the polynomials; row ``STATE + 5 * power + property`` holds one term of one property.
STATE = 9
DENSITY, ENTHALPY, HEAT_CAPACITY, LOG_VISCOSITY, CONDUCTIVITY = range(5)
#: Where the last term of the factor of steep viscosity has its pole, in r.
POLE = 0.1
#: Pressures at or below this are taken as this in ``saturation_temperature`` [Pa].
LOWEST_PRESSURE = 1e-6


class LiquidArrays(NamedTuple):
    """The table of one liquid, as compiled code reads it.

    Interval ``i`` spans ``first_temperature + i * temperature_step`` and the next knot; its local coordinate
    ``x`` runs from 0 to 1. It is one array on purpose: every further array costs each compiled call some 10
    ns.
    """

    #: Temperature of the first knot [K].
    first_temperature: float
    #: Distance of the knots [K].
    temperature_step: float
    #: The table reaches from the base pressure to this much above it [Pa].
    highest_excess_pressure: float
    #: Number of terms k of the polynomials in y.
    terms: int
    #: (n, 9 + 5 k, 4): for each interval and row the coefficients of 1, x, x^2, x^3. ln(vapour pressure /
    #: Pa), NaN throughout when it is not known; ln(base pressure / Pa), never NaN: the vapour pressure, or a
    #: constant where that is not known; the bend c; s0, s1, s2 of the factor of steep viscosity; ln vapour density,
    #: latent heat, surface tension on the saturation line, NaN where not known; then for each power of y: density,
    #: enthalpy, heat capacity, ln (viscosity over that factor), conductivity.
    rows: NDArray[np.float64]
    #: Factors on what the table gives; enthalpy goes with the heat capacity.
    density_factor: float = 1.0
    heat_factor: float = 1.0
    viscosity_factor: float = 1.0
    conductivity_factor: float = 1.0
    vapour_factor: float = 1.0


@in_kernel
def _place(liquid: LiquidArrays, temperature: float) -> tuple[int, float]:
    """Index of the interval and local coordinate 0..1; outside the table the nearest end; NaN stays NaN."""
    position = (temperature - liquid.first_temperature) / liquid.temperature_step
    intervals = liquid.rows.shape[0]
    if position >= intervals:
        return intervals - 1, 1.0
    if position <= 0.0:
        return 0, 0.0
    if position > 0.0:
        index = int(position)
        return index, position - index
    return 0, position


@in_kernel
def _cubic(rows: Any, index: int, row: int, x: float) -> Any:
    return rows[index, row, 0] + x * (
        rows[index, row, 1] + x * (rows[index, row, 2] + x * rows[index, row, 3]))


@in_kernel
def _cubic_slope(rows: Any, index: int, row: int, x: float) -> Any:
    return rows[index, row, 1] + x * (2.0 * rows[index, row, 2] + x * 3.0 * rows[index, row, 3])


@in_kernel
def _log_vapour_pressure(liquid: LiquidArrays, temperature: float) -> tuple[float, float]:
    """Logarithm of the vapour pressure and its slope with temperature [1/K], continued outside the table.

    Below the table ln p is a straight line in 1/T (constant latent heat), above it a straight line in T, both
    with the slope at the end of the table.
    """
    index, x = _place(liquid, temperature)
    value = _cubic(liquid.rows, index, LOG_VAPOUR_PRESSURE, x)
    slope = _cubic_slope(liquid.rows, index, LOG_VAPOUR_PRESSURE, x) / liquid.temperature_step
    first = liquid.first_temperature
    last = first + liquid.rows.shape[0] * liquid.temperature_step
    if temperature < first:
        floored = max(temperature, 1.0)
        heat = slope * first * first
        return value + heat * (1.0 / first - 1.0 / floored), heat / (floored * floored)
    if temperature > last:
        return value + slope * (temperature - last), slope
    return value, slope


@in_kernel
def vapour_pressure(liquid: LiquidArrays, temperature: float) -> float:
    """Vapour pressure, of a mixture its bubble pressure [Pa]; NaN when it is not known for this liquid.

    Outside the table it is continued, below it as ln p linear in 1/T, above it as ln p linear in T: monotone
    for every temperature above 1 K, but no more than a continuation.
    """
    value, _ = _log_vapour_pressure(liquid, temperature)
    return np.exp(value) * liquid.vapour_factor


@in_kernel
def vapour_pressure_slope(liquid: LiquidArrays, temperature: float) -> float:
    """Derivative of `vapour_pressure` with temperature [Pa/K]."""
    value, slope = _log_vapour_pressure(liquid, temperature)
    return np.exp(value) * slope * liquid.vapour_factor


@in_kernel
def saturation_temperature(liquid: LiquidArrays, pressure: float, guess: float) -> float:
    """Temperature at which the vapour pressure equals ``pressure`` [K], the exact inverse of
    `vapour_pressure`.

    The interval is the one of ``guess`` when it brackets the pressure, else it is found by bisection over the
    knots; inside it a bracketed Newton iteration on the cubic. Pressures of ``LOWEST_PRESSURE`` and below,
    negative ones too, give the temperature of ``LOWEST_PRESSURE``. NaN when the vapour pressure is not known.
    """
    rows = liquid.rows
    intervals = rows.shape[0]
    first = liquid.first_temperature
    lowest = rows[0, LOG_VAPOUR_PRESSURE, 0]
    if np.isnan(pressure) or np.isnan(lowest):
        return np.nan
    target = np.log(max(pressure / liquid.vapour_factor, LOWEST_PRESSURE))
    if target <= lowest:
        heat = rows[0, LOG_VAPOUR_PRESSURE, 1] / liquid.temperature_step * first * first
        return 1.0 / (1.0 / first + (lowest - target) / heat)
    top = _cubic(rows, intervals - 1, LOG_VAPOUR_PRESSURE, 1.0)
    if target >= top:
        slope = _cubic_slope(rows, intervals - 1, LOG_VAPOUR_PRESSURE, 1.0) / liquid.temperature_step
        return first + intervals * liquid.temperature_step + (target - top) / slope
    low, _ = _place(liquid, guess)
    high = low + 1
    if not (rows[low, LOG_VAPOUR_PRESSURE, 0] <= target
            and (high == intervals or target < rows[high, LOG_VAPOUR_PRESSURE, 0])):
        low, high = 0, intervals
        while high - low > 1:
            middle = (low + high) // 2
            if rows[middle, LOG_VAPOUR_PRESSURE, 0] <= target:
                low = middle
            else:
                high = middle
    left, right = 0.0, 1.0
    start = rows[low, LOG_VAPOUR_PRESSURE, 0]
    x = (target - start) / (_cubic(rows, low, LOG_VAPOUR_PRESSURE, 1.0) - start)
    for _ in range(40):
        difference = _cubic(rows, low, LOG_VAPOUR_PRESSURE, x) - target
        if difference > 0.0:
            right = x
        else:
            left = x
        step = difference / _cubic_slope(rows, low, LOG_VAPOUR_PRESSURE, x)
        new = x - step
        if not (left <= new <= right):
            new = 0.5 * (left + right)
        done = abs(new - x) < 1e-12
        x = new
        if done:
            break
    return first + (low + x) * liquid.temperature_step


@in_kernel
def liquid_state(liquid: LiquidArrays, temperature: float,
                 pressure: float) -> tuple[float, float, float, float, float]:
    """Density, enthalpy, heat capacity, dynamic viscosity, conductivity of the liquid, SI.

    Never vapour: below the saturation line the properties are those of the saturated liquid at the same
    temperature, above the table those at its highest pressure. Outside the table's temperatures they are
    those at its end, and the enthalpy goes on with the heat capacity there, so that a search for a
    temperature of given enthalpy cannot fail. Enthalpy is zero for the saturated liquid at the first knot.
    """
    index, x = _place(liquid, temperature)
    rows = liquid.rows
    bend = _cubic(rows, index, BEND, x)
    excess = (pressure - np.exp(_cubic(rows, index, LOG_BASE_PRESSURE, x))) / liquid.highest_excess_pressure
    if excess < 0.0:
        excess = 0.0
    elif excess > 1.0:
        excess = 1.0
    root = np.sqrt(np.sqrt(excess))
    steep = 1.0 + excess * (_cubic(rows, index, STEEP, x) + _cubic(rows, index, STEEP_ROOT, x) * root
                            + _cubic(rows, index, STEEP_POLE, x) / (root + POLE))
    y = (1.0 + bend) * excess / (1.0 + bend * excess)
    row = STATE + 5 * (liquid.terms - 1)
    density = _cubic(rows, index, row, x)
    enthalpy = _cubic(rows, index, row + 1, x)
    heat_capacity = _cubic(rows, index, row + 2, x)
    log_viscosity = _cubic(rows, index, row + 3, x)
    conductivity = _cubic(rows, index, row + 4, x)
    while row > STATE:
        row -= 5
        density = density * y + _cubic(rows, index, row, x)
        enthalpy = enthalpy * y + _cubic(rows, index, row + 1, x)
        heat_capacity = heat_capacity * y + _cubic(rows, index, row + 2, x)
        log_viscosity = log_viscosity * y + _cubic(rows, index, row + 3, x)
        conductivity = conductivity * y + _cubic(rows, index, row + 4, x)
    if x <= 0.0 or x >= 1.0:
        held = liquid.first_temperature + (index + x) * liquid.temperature_step
        enthalpy += heat_capacity * (temperature - held)
    return (density * liquid.density_factor, enthalpy * liquid.heat_factor, heat_capacity * liquid.heat_factor,
            steep * np.exp(log_viscosity) * liquid.viscosity_factor, conductivity * liquid.conductivity_factor)


@in_kernel
def saturation_state(liquid: LiquidArrays, temperature: float) -> tuple[float, float, float]:
    """Vapour density [kg/m3], latent heat [J/kg], surface tension [N/m] at saturation; NaN where not known.

    Outside the table's temperatures the values at its end.
    """
    index, x = _place(liquid, temperature)
    rows = liquid.rows
    return (np.exp(_cubic(rows, index, LOG_VAPOUR_DENSITY, x)), _cubic(rows, index, LATENT_HEAT, x),
            _cubic(rows, index, SURFACE_TENSION, x))


@compiled
def vapour_pressure_many(liquid: LiquidArrays, temperatures: Any) -> Any:
    """Vapour pressures and their slopes, two rows, at an array of temperatures, one dimension."""
    found = np.empty((2, temperatures.size))
    for i in range(temperatures.size):
        value, slope = _log_vapour_pressure(liquid, temperatures[i])
        found[0, i] = np.exp(value) * liquid.vapour_factor
        found[1, i] = found[0, i] * slope
    return found


@compiled
def saturation_temperature_many(liquid: LiquidArrays, pressures: Any) -> Any:
    """Saturation temperatures, one row, at an array of pressures, one dimension."""
    found = np.empty((1, pressures.size))
    guess = liquid.first_temperature
    for i in range(pressures.size):
        guess = saturation_temperature(liquid, pressures[i], guess)
        found[0, i] = guess
    return found


@compiled
def liquid_state_many(liquid: LiquidArrays, temperatures: Any, pressures: Any) -> Any:
    """The five properties of `liquid_state`, one row each, at arrays of equal length."""
    found = np.empty((5, temperatures.size))
    for i in range(temperatures.size):
        found[0, i], found[1, i], found[2, i], found[3, i], found[4, i] = liquid_state(
            liquid, temperatures[i], pressures[i])
    return found


@compiled
def saturation_state_many(liquid: LiquidArrays, temperatures: Any) -> Any:
    """The three properties of `saturation_state`, one row each, at an array of temperatures."""
    found = np.empty((3, temperatures.size))
    for i in range(temperatures.size):
        found[0, i], found[1, i], found[2, i] = saturation_state(liquid, temperatures[i])
    return found
