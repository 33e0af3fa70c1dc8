"""The pump after a stop in hot service, and running between closed valves."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.circulation.passage_states import temperatures_when_full
from wetpath.edge.quantities import TEMPERATURE
from wetpath.edge.units import express
from wetpath.liquids.liquid import Liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.machine.shut_in_volume import liquid_volume, metal_mass, rear_liquid_volume
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.heat.dry_shell import common_temperature
from wetpath.physics.pump.temperature_rise import heating_rate_shut_in
from wetpath.physics.validity import Limit, limit
from wetpath.rating.per_pump import once_per_pump
from wetpath.rating.pump_model import Selection
from wetpath.words import told

if TYPE_CHECKING:
    from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

#: Heat capacity of the metal of the casing [J/(kg K)]. Recalled, steel.
STEEL_CAPACITY = 480.0
#: Heat capacity of magnets and iron by volume [J/(m3 K)]. Recalled.
RING_CAPACITY = 3.4e6
#: Rises of temperature at which the density of the shut-in liquid is looked at, as shares of the room to the end
#: of the table.
STEPS = np.linspace(0.0, 1.0, 80) ** 2


@dataclass(frozen=True, eq=False)
class StandstillState:
    """Temperatures after a stop and times between closed valves; SI, first axis the case."""

    settled: Array            # of shell, inner ring and the liquid between them, among themselves
    soaked: Array             # hottest the liquid behind gets after a stop: settled, or that of the casing
    boiling: Array            # boiling temperature at the pressure of the suction
    margin: Array             # boiling less soaked [K]
    magnets: Array            # hottest the inner magnets get after a stop
    shut_in_power: Array      # that heats liquid and metal between closed valves
    liquid_mass: Array
    metal_mass: float
    heating_rate: Array       # [K/s]
    time_to_boiling: Array    # at the relief pressure; NaN when it cannot be told
    time_to_relief: Array     # full of liquid in a rigid casing: to the relief pressure by expansion
    limits: tuple[Limit, ...]


def standstill_state(situation: Situation) -> StandstillState:
    """Heat-soak and shut-in heating of every case.

    Notes
    -----
    After a stop: no loss to the air, no flow; the liquid behind settles with shell and inner ring, and in a hot
    casing soaks on towards the temperature of the liquid pumped. Upper bounds. Shut in: all power but that to the
    air heats liquid and metal evenly; the liquid around the inner ring heats faster.
    """
    pump, inputs, scalars = situation.pump, situation.solved.inputs, situation.scalars
    settled = _settled(situation)
    soaked = np.maximum(settled, inputs.temperature)
    boiling = situation.per_liquid(lambda liquid, chosen: liquid.saturation_temperature(inputs.pressure[chosen]))
    losses, driver = situation.losses, situation.driver
    power = driver.shut_off_power - losses.dry_side - losses.eddy_to_air
    metal, volume = _masses(pump)
    relief = pump.casing.relief_pressure or pump.casing.pressure_rating
    closed = inputs.pressure + scalars[:, solve.DENSITY_IN] * STANDARD_GRAVITY * situation.solved.point.shut_off_head

    def of_liquid(liquid: Liquid, chosen: Selection) -> Array:
        start = inputs.temperature[chosen]
        state = liquid.state(start, closed[chosen])
        mass = volume * state.density
        capacity = mass * state.heat_capacity + metal * STEEL_CAPACITY
        boils = float(liquid.saturation_temperature(relief)) if liquid.has_vapour_pressure else np.nan
        full = temperatures_when_full(liquid.arrays, np.ascontiguousarray(start), state.density, float(relief),
                                      float(liquid.temperature_range[1]), STEPS)
        enthalpy = liquid.state(np.append(full, boils), np.full(full.size + 1, relief)).enthalpy
        to_boiling = mass * (enthalpy[-1] - state.enthalpy) + metal * STEEL_CAPACITY * (boils - start)
        to_relief = mass * (enthalpy[:-1] - state.enthalpy) + metal * STEEL_CAPACITY * (full - start)
        to_relief = np.where(closed[chosen] >= relief, 0.0, to_relief)
        return np.array([mass, heating_rate_shut_in(power[chosen], capacity), to_boiling / power[chosen],
                         np.maximum(to_relief, 0.0) / power[chosen]]).T

    table = situation.per_liquid(of_liquid)
    return StandstillState(
        settled=settled, soaked=soaked, boiling=boiling, margin=boiling - soaked,
        magnets=np.maximum(soaked, scalars[:, solve.INNER_RING]), shut_in_power=power, liquid_mass=table[:, 0],
        metal_mass=metal, heating_rate=table[:, 1], time_to_boiling=table[:, 2], time_to_relief=table[:, 3],
        limits=_limits(situation, soaked, boiling))


def _settled(situation: Situation) -> Array:
    """Temperature at which shell, inner ring and the liquid between them settle [K]."""
    scalars, (wall, rotor, volume) = situation.scalars, _capacities(situation.pump)
    liquid = volume * situation.per_liquid(
        lambda liquid, chosen: _volume_capacity(liquid, scalars[chosen, solve.MEAN_LIQUID],
                                                situation.solved.inputs.pressure[chosen]))
    ones = np.ones(situation.count)
    return np.asarray(common_temperature(
        [wall * ones, rotor * ones, liquid],
        [scalars[:, solve.MEAN_WALL], scalars[:, solve.INNER_RING], scalars[:, solve.MEAN_LIQUID]]))


@once_per_pump
def _masses(pump: PumpFile) -> tuple[float, float]:
    """Metal [kg] and liquid [m3] between closed valves."""
    return metal_mass(pump), liquid_volume(pump)


@once_per_pump
def _capacities(pump: PumpFile) -> tuple[float, float, float]:
    """Heat capacity of the wall of the shell and of the inner ring [J/K], and the liquid between them [m3]."""
    shell, material = pump.containment_shell, pump.shell_material
    wall = (pi * (shell.bore + shell.thickness) * shell.thickness * shell.length * material.density
            * material.heat_capacity)
    return wall, _ring_capacity(pump), rear_liquid_volume(pump)


@once_per_pump
def _warmest_magnets(pump: PumpFile) -> str:
    """Highest temperature of the inner magnets, in words."""
    return express(pump.inner_magnet.highest_temperature, TEMPERATURE)


def _ring_capacity(pump: PumpFile) -> float:
    ring = pump.inner_ring
    bore = ring.inner_diameter - 2 * ring.yoke_thickness
    return RING_CAPACITY * pi / 4 * (ring.sheath_diameter**2 - bore**2) * ring.length


def _volume_capacity(liquid: Liquid, temperature: Array, pressure: Array) -> Array:
    state = liquid.state(temperature, pressure)
    return state.density * state.heat_capacity


def _limits(situation: Situation, soaked: Array, boiling: Array) -> tuple[Limit, ...]:
    hottest = situation.pump.inner_magnet.highest_temperature
    extrapolated = [one for one in situation.pump.impeller.tested.curve.warnings if one.startswith("power at shut-off")]
    return (
        *(limit(text, True) for text in extrapolated),
        limit("after a stop the liquid behind the inner ring would boil at the pressure of the suction: vent the shell "
              "and let it cool before the pump is started again", soaked >= boiling),
        limit(told("after a stop the inner magnets may soak up to the temperature of the casing, above the "
                   "{warmest_magnets} of their grade: keep cooler or flush running while the casing is hot",
                   warmest_magnets=_warmest_magnets(situation.pump)),
              np.maximum(soaked, situation.scalars[:, solve.INNER_RING]) > hottest))
