"""What instruments measure: the true value along a simulated upset, and in every solved steady case."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells as ring
from wetpath.circulation import solve
from wetpath.circulation.batch import BatchArrays
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.liquids.liquid import Liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import STANDARD_GRAVITY, ZERO_CELSIUS
from wetpath.physics.electrical.motor_current import current_of_load
from wetpath.physics.electrical.motor_loss import motor_loss
from wetpath.rating.situation import Situation
from wetpath.upsets import Timeline
from wetpath.upsets.right_side import BANDS

Array = NDArray[np.float64]

#: The thermometer in the return follows with a time constant that grows as its flow falls, to this share of it.
LEAST_RETURN = 1e-3


@dataclass(frozen=True)
class Signal:
    """One measured quantity."""

    name: str
    title: str
    kind: Kind
    difference: Kind          # of a difference of it
    along: Callable[[Timeline, Liquid, int], Array]       # of a timeline, its liquid, the band of the thermometer
    steady: Callable[[Situation, int], Array]             # of solved cases, and that band
    thermometers: int = 0     # that take part

    def end_of(self, span: float) -> float:
        """Highest value that an instrument of a span reads; ranges begin at nothing, those of temperature at 0 degC."""
        return span + (ZERO_CELSIUS if self.kind is q.TEMPERATURE else 0.0)

    def __reduce__(self) -> tuple[Callable[[str], Signal], tuple[str]]:
        return _known, (self.name,)      # its functions have no name by which another process finds them


def _known(name: str) -> Signal:
    return SIGNALS[name]


def motor_input(situation: Situation, shaft: Array) -> Array:
    """Electric power of the motor at a shaft power [W]."""
    driver = situation.pump.driver
    return np.asarray(shaft + motor_loss(shaft, driver.rated_power, situation.driver.efficiency))


def current_share(situation: Situation, shaft: Array) -> Array:
    """Motor current over the rated one, estimated."""
    return np.asarray(current_of_load(shaft / situation.pump.driver.rated_power))


def outside_wall(situation: Situation) -> Array:
    """Outside of the shell, mean of every band in flow order, (cases, bands) [K]."""
    return outside_of(situation.pump, situation.solution.states)


def outside_of(pump: PumpFile, states: BatchArrays) -> Array:
    """The same of solved states."""
    cells = states.cells
    backwards = states.flow[:, pump.network.annulus] < 0
    cells = np.where(backwards[:, None, None], cells[:, :, ::-1], cells)
    shaped = cells.reshape(*cells.shape[:2], BANDS, -1)
    shell = pump.containment_shell
    inside = np.pi * shell.bore * pump.inner_ring.wet_length / BANDS
    flux = np.maximum(shaped[:, ring.CELL_TO_LIQUID].sum(axis=-1), 0.0) / inside
    drop = flux * shell.thickness / (2 * pump.shell_material.thermal_conductivity)
    return np.asarray(shaped[:, ring.CELL_WALL].mean(axis=-1) + drop)


def after_annulus(situation: Situation) -> NDArray[np.int64]:
    """Station at which the liquid leaves the annulus, of every case."""
    network = situation.pump.network
    backwards = situation.solution.states.flow[:, network.annulus] < 0
    topology = network.topology
    return np.where(backwards, topology.start[network.annulus], topology.end[network.annulus])


def _returned(situation: Situation, _: int) -> Array:
    return situation.solution.states.temperature[np.arange(situation.count), after_annulus(situation)]


def _discharge(situation: Situation, _: int) -> Array:
    head = situation.solved.point.head
    return situation.solved.inputs.pressure + situation.scalars[:, solve.DENSITY_IN] * STANDARD_GRAVITY * head


def suction_vapour(situation: Situation) -> Array:
    """Vapour pressure at the suction temperature [Pa]."""
    return situation.per_liquid(
        lambda liquid, chosen: liquid.vapour_pressure(situation.solved.inputs.temperature[chosen]))


def _level(situation: Situation, _: int) -> Array:
    vessels = situation.demands.vessels
    return np.full(situation.count, np.nan) if vessels is None else vessels.level


def _still(value: float) -> Callable[[Situation, int], Array]:
    return lambda situation, _: np.full(situation.count, value)


_T, _DT, _P, _DP = q.TEMPERATURE, q.TEMPERATURE_DIFFERENCE, q.PRESSURE, q.PRESSURE_DIFFERENCE

SIGNALS: dict[str, Signal] = {one.name: one for one in (
    Signal("motor power", "motor power", q.POWER, q.POWER, lambda line, *_: line.motor_power,
           lambda at, _: motor_input(at, at.losses.shaft)),
    Signal("motor current", "motor current over rated", q.RATIO, q.RATIO, lambda line, *_: line.current_share,
           lambda at, _: current_share(at, at.losses.shaft)),
    Signal("flow", "flow", q.VOLUME_FLOW, q.VOLUME_FLOW, lambda line, *_: line.flow,
           lambda at, _: at.solved.inputs.flow),
    Signal("suction pressure", "suction pressure", _P, _DP, lambda line, *_: line.suction_pressure,
           lambda at, _: at.solved.inputs.pressure),
    Signal("suction margin", "suction pressure above vapour pressure", _DP, _DP,
           lambda line, liquid, _: line.suction_pressure - liquid.vapour_pressure(line.suction_temperature),
           lambda at, _: at.solved.inputs.pressure - suction_vapour(at), 1),
    Signal("vessel level", "level above the shaft", q.HEAD, q.HEAD, lambda line, *_: line.vessel_level, _level),
    Signal("suction temperature", "suction temperature", _T, _DT, lambda line, *_: line.suction_temperature,
           lambda at, _: at.solved.inputs.temperature, 1),
    Signal("shell temperature", "shell temperature, outside", _T, _DT, lambda line, _, band: line.shell_wall[:, band],
           lambda at, band: outside_wall(at)[:, band], 1),
    Signal("shell over suction", "shell less suction temperature", _DT, _DT,
           lambda line, _, band: line.shell_wall[:, band] - line.suction_temperature,
           lambda at, band: outside_wall(at)[:, band] - at.solved.inputs.temperature, 2),
    Signal("return temperature", "return temperature", _T, _DT, lambda line, *_: line.return_temperature, _returned, 1),
    Signal("discharge pressure", "discharge pressure", _P, _DP, lambda line, *_: line.discharge_pressure, _discharge),
    Signal("return over suction", "return less suction temperature", _DT, _DT,
           lambda line, *_: line.return_temperature - line.suction_temperature,
           lambda at, _: _returned(at, _) - at.solved.inputs.temperature, 2),
    Signal("differential pressure", "discharge less suction pressure", _DP, _DP,
           lambda line, *_: line.discharge_pressure - line.suction_pressure,
           lambda at, _: _discharge(at, _) - at.solved.inputs.pressure),
    Signal("vibration class", "class of vibration", q.NUMBER, q.NUMBER,
           lambda line, *_: line.vibration_class.astype(float), _still(0.0)),
    Signal("bearing clearance", "bearing clearance over new", q.RATIO, q.RATIO,
           lambda line, *_: line.bearing_clearance_share, _still(1.0)),
    Signal("leak class", "class of leak outside the shell", q.NUMBER, q.NUMBER,
           lambda line, *_: (line.time >= line.when("shell limit")).astype(float), _still(0.0)))}


def warmest_band(situation: Situation, case: int) -> int:
    """Band of the shell at which a thermometer is put: the warmest in the rated state of a case."""
    return int(np.argmax(outside_wall(situation)[case]))


def reading_lag(signal: Signal, time_constant: float, line: Timeline, rated_annulus_flow: float) -> Array | float:
    """Time constant along a timeline [s]: a thermometer in the return is slow when little flows past it.

    Common practice, no source: it goes with the flow to the power -0.6, as heat transfer across a cylinder does.
    """
    if signal.name not in ("return temperature", "return over suction"):
        return time_constant
    share = np.clip(line.annulus_flow / rated_annulus_flow, LEAST_RETURN, 1.0)
    return np.asarray(time_constant * share**-0.6)
