"""The annulus under the magnets, cell by cell: eddy heat enters, the rotor drags, the liquid warms."""

from math import pi
from typing import Any

import numpy as np

from wetpath.circulation.laws import GAP, LENGTH, ROTOR_RADIUS
from wetpath.liquids.lookup import LiquidArrays, liquid_state
from wetpath.physics.drag.cylinder_drag import cylinder_torque
from wetpath.physics.flow.annulus import annulus_friction_factor
from wetpath.physics.flow.orifice import dynamic_pressure
from wetpath.physics.heat.annulus_heat_transfer import annulus_nusselt
from wetpath.physics.heat.shell_wall import wall_temperature
from wetpath.physics.published import in_kernel

# Rows of the cell record.
CELL_PRESSURE, CELL_LIQUID, CELL_WALL, CELL_FILM, CELL_TO_LIQUID, CELL_TO_AIR, CELL_BOILING = range(7)
CELL_RECORD = 7
# What a march returns besides the record.
LOSS, SLOPE, ENTHALPY_OUT, EDDY, TO_AIR, WINDAGE, MEAN_LIQUID, MEAN_WALL, HOTTEST_WALL = range(9)
MARCH_RESULTS = 9


@in_kernel
def annulus_loss(row: Any, length: float, carried: float, density: float, viscosity: float, speed: float
                 ) -> tuple[float, float]:
    """Pressure lost over a length of the annulus at a mass flow > 0 [Pa], and its slope [Pa s/kg]."""
    radius, gap = row[ROTOR_RADIUS], row[GAP]
    velocity = carried / (density * pi * gap * (2.0 * radius + gap))
    axial = density * velocity * gap / viscosity
    ratio = speed * radius / velocity
    friction = annulus_friction_factor(axial, ratio)
    drop = friction * length / (2.0 * gap) * dynamic_pressure(density, velocity)
    vortex = 0.765625 * (0.5 * ratio) ** 2
    exponent = 1.76 - 0.76 * vortex / (1.0 + vortex) if axial * friction > 48.0 * 1.0000001 else 1.0
    return drop, exponent * drop / carried


@in_kernel
def march_annulus(row: Any, liquid: LiquidArrays, flow: float, pressure: float, temperature: float,
                  enthalpy: float, speed: float, eddy: Any, wall: Any, heat_scale: float, record: Any,
                  results: Any) -> None:
    """Follow the liquid through the annulus, every cell taken at the state in which the liquid enters it.

    Only the recorded pressure is that at which it leaves the cell, so that the wall margin errs on the safe side.

    ``eddy`` holds the heat of each cell at 20 degC resistivity [W], in the direction of the branch; a reversed
    flow meets the cells from the other end. ``wall`` = (wall thickness, resistivity slope, air coefficient,
    air temperature); ``heat_scale`` scales the drag heat on the way of a continuation. Fills ``record`` (cells)
    and ``results``; the loss [Pa] has the sign of the flow.
    """
    cells = eddy.shape[0]
    radius, gap, length = row[ROTOR_RADIUS], row[GAP], row[LENGTH]
    bore = radius + gap
    cell_length = length / cells
    area = pi * (bore * bore - radius * radius)
    inside = 2.0 * pi * bore * cell_length
    air = wall[2] * 2.0 * pi * (bore + wall[0]) * cell_length
    surface_speed = speed * radius
    carried = max(np.abs(flow), 1e-12)
    loss = 0.0
    slope = 0.0
    results[EDDY] = 0.0
    results[TO_AIR] = 0.0
    results[WINDAGE] = 0.0
    results[MEAN_LIQUID] = 0.0
    results[MEAN_WALL] = 0.0
    results[HOTTEST_WALL] = 0.0
    for step in range(cells):
        cell = step if flow >= 0.0 else cells - 1 - step
        density, reached, capacity, viscosity, conductivity = liquid_state(liquid, temperature, pressure)
        temperature += (enthalpy - reached) / capacity
        velocity = carried / (density * area)
        drop, steepness = annulus_loss(row, cell_length, carried, density, viscosity, speed)
        effective = 2.0 * density * gap * np.sqrt(velocity**2 + 0.25 * surface_speed**2) / viscosity
        prandtl = viscosity * capacity / conductivity
        film = annulus_nusselt(effective, prandtl, gap, length, bore / radius) * conductivity / (2.0 * gap)
        hot = wall_temperature(eddy[cell], wall[1], film * inside, temperature, air, wall[3])
        to_liquid = film * inside * (hot - temperature)
        to_air = air * (hot - wall[3])
        drag = speed * cylinder_torque(density, viscosity, speed, radius, gap, cell_length)
        record[CELL_LIQUID, cell] = temperature
        record[CELL_WALL, cell] = hot
        record[CELL_FILM, cell] = film
        record[CELL_TO_LIQUID, cell] = to_liquid
        record[CELL_TO_AIR, cell] = to_air
        results[EDDY] += to_liquid + to_air
        results[TO_AIR] += to_air
        results[WINDAGE] += drag
        results[MEAN_LIQUID] += temperature / cells
        results[MEAN_WALL] += hot / cells
        results[HOTTEST_WALL] = max(results[HOTTEST_WALL], hot)
        gain = (to_liquid + heat_scale * drag) / carried
        if gain < 0.0:  # explicit cells must not cool the liquid below the air when it hardly flows
            gain = max(gain, -capacity * max(temperature - wall[3], 0.0))
        enthalpy += gain
        temperature += gain / capacity
        pressure -= drop
        record[CELL_PRESSURE, cell] = pressure
        loss += drop
        slope += steepness
    results[LOSS] = loss if flow >= 0.0 else -loss
    results[SLOPE] = slope
    results[ENTHALPY_OUT] = enthalpy
