"""The liquid at places of every case that are no stations, compiled."""

from typing import Any

import numpy as np

from wetpath.circulation.solve import temperature_of
from wetpath.liquids.lookup import LiquidArrays, liquid_state
from wetpath.physics.published import compiled

# Last axis of what is found.
MEAN_TEMPERATURE, MEAN_PRESSURE, VISCOSITY, DENSITY = range(4)
PLACE_STATES = 4


@compiled
def states_between(liquid: LiquidArrays, temperature: Any, pressure: Any, suction_temperature: Any,
                   suction_pressure: Any, ends: Any, passed: Any) -> Any:
    """Mean temperature [K] and pressure [Pa] of two stations each, and viscosity [Pa s] and density [kg/m3] there.

    Parameters
    ----------
    liquid : LiquidArrays
    temperature, pressure : array (cases, stations) [K], [Pa]
    suction_temperature, suction_pressure : array (cases,)
        Of the liquid at places that the circulation does not pass.
    ends : array (places, 2)
        Stations at both ends of each place.
    passed : array (places,)
        Whether the circulation passes it.

    Returns
    -------
    array (cases, places, PLACE_STATES), last axis as named in this module.
    """
    cases, places = temperature.shape[0], ends.shape[0]
    found = np.empty((cases, places, PLACE_STATES))
    for case in range(cases):
        for place in range(places):
            if passed[place]:
                first, last = ends[place, 0], ends[place, 1]
                warm = (temperature[case, first] + temperature[case, last]) / 2.0
                pressed = (pressure[case, first] + pressure[case, last]) / 2.0
            else:
                warm, pressed = suction_temperature[case], suction_pressure[case]
            density, _, _, viscosity, _ = liquid_state(liquid, warm, pressed)
            found[case, place, MEAN_TEMPERATURE], found[case, place, MEAN_PRESSURE] = warm, pressed
            found[case, place, VISCOSITY], found[case, place, DENSITY] = viscosity, density
    return found


@compiled
def temperatures_when_full(liquid: LiquidArrays, start: Any, density: Any, pressure: float, highest: float,
                           shares: Any) -> Any:
    """Temperatures at which shut-in liquid of a density fills its volume at a pressure [K]; NaN beyond ``highest``.

    Parameters
    ----------
    liquid : LiquidArrays
    start, density : array (cases,) [K], [kg/m3]
    pressure, highest : float [Pa], [K]
    shares : array (steps,)
        Where the density is looked at, rising from 0 to 1, as shares of the way from ``start`` to ``highest``;
        between two of them it goes straight.
    """
    found = np.full(start.size, np.nan)
    for case in range(start.size):
        room = highest - start[case]
        low, before = start[case], np.nan
        for step in range(shares.size):
            high = start[case] + room * shares[step]
            excess = liquid_state(liquid, high, pressure)[0] - density[case]
            if step == 0:
                before = excess
            if excess <= 0.0:
                share = before / (before - excess) if before > excess else before
                found[case] = low + min(max(share, 0.0), 1.0) * (high - low)
                break
            low, before = high, excess
    return found


@compiled
def temperatures_of(liquid: LiquidArrays, enthalpy: Any, pressure: Any, near: Any) -> Any:
    """Temperatures of the liquid at enthalpies [J/kg] and pressures [Pa], looked for from others near them [K]."""
    found = np.empty(enthalpy.size)
    for i in range(enthalpy.size):
        found[i] = temperature_of(liquid, enthalpy[i], pressure[i], near[i])
    return found
