"""How far from boiling the liquid is at every station and along the shell wall."""

from typing import Any

import numpy as np

from wetpath.circulation import annulus_cells as ring
from wetpath.circulation.solve import (
    PRESSURE_MARGIN,
    PRESSURE_MARGIN_AT,
    TEMPERATURE_MARGIN,
    TEMPERATURE_MARGIN_AT,
    WALL_MARGIN,
    WALL_MARGIN_AT,
)
from wetpath.liquids.lookup import LiquidArrays, saturation_temperature, vapour_pressure
from wetpath.physics.published import in_kernel


@in_kernel
def find_margins(liquid: LiquidArrays, pressure: Any, temperature: Any, record: Any, saturation: Any, boiling: Any,
                 scalars: Any) -> None:
    """Fill vapour pressure ``saturation`` [Pa] and boiling temperature ``boiling`` [K] of every station, the boiling
    temperature of every annulus cell, and the worst margins with where they stand.

    Margin in pressure: p - psat(T); in temperature: Tsat(p) - T; at the wall: Tsat(p of the cell) - T of the wall.
    All are NaN when the vapour pressure is not known.
    """
    scalars[PRESSURE_MARGIN] = np.inf
    scalars[TEMPERATURE_MARGIN] = np.inf
    scalars[WALL_MARGIN] = np.inf
    for station in range(pressure.shape[0]):
        saturation[station] = vapour_pressure(liquid, temperature[station])
        boiling[station] = saturation_temperature(liquid, pressure[station], temperature[station])
        margin = pressure[station] - saturation[station]
        if not margin >= scalars[PRESSURE_MARGIN]:
            scalars[PRESSURE_MARGIN] = margin
            scalars[PRESSURE_MARGIN_AT] = station
        margin = boiling[station] - temperature[station]
        if not margin >= scalars[TEMPERATURE_MARGIN]:
            scalars[TEMPERATURE_MARGIN] = margin
            scalars[TEMPERATURE_MARGIN_AT] = station
    guess = temperature[0]
    for cell in range(record.shape[1]):
        guess = saturation_temperature(liquid, record[ring.CELL_PRESSURE, cell], guess)
        record[ring.CELL_BOILING, cell] = guess
        margin = guess - record[ring.CELL_WALL, cell]
        if not margin >= scalars[WALL_MARGIN]:
            scalars[WALL_MARGIN] = margin
            scalars[WALL_MARGIN_AT] = cell
