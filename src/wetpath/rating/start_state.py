"""The start: inertias on both sides of the magnets, and the torque the coupling must pass while the driver runs up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetpath.machine.drive_end import Driver, Starter
from wetpath.machine.impeller import METAL_SHARE
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.electrical.motor import shaft_torque, starting_share
from wetpath.physics.electrical.motor_start import TORQUE_SHARES, ring_inertia, rotor_inertia
from wetpath.physics.validity import Limit, limit
from wetpath.rating.per_pump import once_per_pump
from wetpath.words import joined, told

if TYPE_CHECKING:
    from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

#: Largest torque while starting over rated torque, and time of a ramp [s], where nothing is given. Common practice.
PEAK_TORQUE: dict[Starter, float] = {"direct on line": 2.5, "star-delta": 2.5, "soft start": 1.5, "inverter": 1.5}
RAMP_TIME = 10.0
#: Torque in star over that in delta, at the same speed.
STAR_SHARE = 1 / 3
#: Density of the liquid that turns with the impeller where none is known [kg/m3].
WATER = 1000.0


@dataclass(frozen=True)
class Inertias:
    """Moments of inertia on both sides of the magnets [kg m2], and which of them are estimates."""

    drive: float
    pump: float
    estimated: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class StartState:
    """Torques while the driver runs up [N m], first axis the case: its torque as load, magnets as hot as in it."""

    starter: Starter
    driver_torque: float           # largest of the driver, with its starter
    ramp_time: float               # [s]; NaN: no ramp
    inertias: Inertias
    torque: Array                  # through the coupling, both sides turning as one
    swing: Array                   # peak when the driver's first torque comes at once: twice its share; 0 with a ramp
    pull_out: Array
    limits: tuple[Limit, ...]

    @property
    def ratio(self) -> Array:
        """Pull-out torque over the torque through the coupling."""
        return self.pull_out / self.torque


@once_per_pump
def inertias_of(pump: PumpFile) -> Inertias:
    """Inertias as given, else estimated from the drawing.

    The inertia of the outer ring counts the rotor of the motor unless the driver gives its own.
    """
    inner, outer, driver, shell = pump.inner_ring, pump.outer_ring, pump.driver, pump.impeller
    estimated = []
    turning = inner.inertia
    if turning is None:
        bore = inner.inner_diameter / 2 - inner.yoke_thickness
        liquid = (1 - METAL_SHARE) * WATER * np.pi / 4 * shell.diameter**2 * shell.outlet_width
        turning = (float(ring_inertia(inner.mass_or_estimate, max(bore, 0.0), inner.sheath_diameter / 2))
                   + float(ring_inertia(shell.mass_or_estimate + liquid, 0.0, shell.diameter / 2)))
        estimated.append("inner ring with impeller")
    drive = outer.inertia
    if drive is None:
        drive = float(ring_inertia(outer.mass_or_estimate, outer.inner_diameter / 2,
                                   outer.outer_diameter / 2 + outer.yoke_thickness))
        estimated.append("outer ring")
    if driver.inertia is not None:
        drive += driver.inertia
    elif outer.inertia is None:
        drive += float(rotor_inertia(driver.rated_power, driver.poles / 2))
        estimated.append("rotor of the motor")
    return Inertias(drive, turning, tuple(estimated))


def peak_torque(driver: Driver, starter: Starter | None = None) -> float:
    """Largest torque of a motor while it starts, with its own starter or another [N m]."""
    way = starter or driver.start
    given = driver.peak_torque if way == driver.start else None
    return (given or PEAK_TORQUE[way]) * float(shaft_torque(driver.rated_power, driver.speed))


def start_state(situation: Situation) -> StartState:
    """Torque through the coupling at the start of every case.

    Notes
    -----
    The driver's largest torque meets the running torque of the case, which a start against a closed or partly open
    valve does not reach; between them they bound the start from above while both sides turn as one. A torque that
    comes at once sets the rings swinging about their share, up to twice it.
    """
    pump, losses, speed = situation.pump, situation.losses, situation.solved.inputs.speed
    driver, inertias = pump.driver, inertias_of(pump)
    largest = peak_torque(driver)
    load = losses.torque
    share = inertias.pump / (inertias.pump + inertias.drive)
    torque = np.asarray(starting_share(np.maximum(largest, load), inertias.drive, inertias.pump, load))
    ramp = np.nan if driver.start in ("direct on line", "star-delta") else driver.ramp_time or RAMP_TIME
    first = {"direct on line": 1.0, "star-delta": STAR_SHARE}.get(driver.start, 0.0) * float(TORQUE_SHARES[0]) * largest
    swing = np.full(situation.count, 2 * first * share)
    if driver.start == "inverter":       # it prescribes the acceleration
        torque = np.minimum(torque, load + inertias.pump * speed / ramp)
    return StartState(
        starter=driver.start, driver_torque=largest, ramp_time=ramp, inertias=inertias, torque=torque, swing=swing,
        pull_out=losses.pull_out,
        limits=(
            limit(told("moments of inertia are estimated from the drawing, to a factor of two, and with them the "
                       "torque at start: {names}", names=joined(", ", inertias.estimated)), bool(inertias.estimated)),
            limit(told("{start}: the first torque of the motor comes at once, and the rings may swing to {swing:.0%} "
                       "of the pull-out torque; a soft starter or an inverter avoids it, and the start solved in "
                       "time tells more (wetpath coupling)", start=driver.start,
                       swing=_highest(swing / losses.pull_out)), swing > losses.pull_out)))


def _highest(values: Array) -> float:
    return float(np.nanmax(values)) if np.isfinite(values).any() else float("nan")
