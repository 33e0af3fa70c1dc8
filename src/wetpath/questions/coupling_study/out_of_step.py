"""A coupling that has let go: losses, torques and heating from rings in step to an inner ring at rest."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from wetpath.coupling.geometry import CouplingGeometry
from wetpath.coupling.response import CouplingResponse
from wetpath.coupling.slip import Sheath, SlipState, catching_slip, magnet_loss, slip_state
from wetpath.machine.pump_file import PumpFile
from wetpath.machine.rings import MagnetRing
from wetpath.physics.heat.dry_shell import dry_heating_time
from wetpath.physics.magnetics.demagnetisation import at_temperature
from wetpath.questions.coupling_study.conditions import Conditions
from wetpath.questions.coupling_study.curves import WorkingPoint
from wetpath.rating.machine_arrays import coupling_geometry, response_for, rings_of
from wetpath.rating.magnet_field import hot_remanences
from wetpath.rating.start_state import Inertias
from wetpath.rating.surface_state import outside_areas, wall_capacity

Array = NDArray[np.float64]

#: Speeds of the inner ring over those of the outer one; the first row of the table is the one in step.
SHARES = np.linspace(1.0, 0.0, 11)
#: Heat capacity of sintered magnets for each volume [J/(m3 K)]: 7500 to 8400 kg/m3 times 350 to 500 J/(kg K), recalled
#: from property collections; the lower end, so that the heating is on the safe side.
MAGNET_HEAT = 3.0e6


@dataclass(frozen=True, eq=False)
class SlipTable:
    """Means over a slip cycle, one row for every speed of the inner ring; the first is in step, at the load angle."""

    inner_speed: Array         # [rad/s]
    outer_speed: Array
    shell_loss: Array          # [W]
    loss_share: Array          # of that in step; NaN: no loss, or the load is not carried
    sheath_loss: Array         # [W]
    inner_magnet_loss: Array   # [W], pieces insulated from each other
    outer_magnet_loss: Array
    driving_torque: Array      # [N m], mean at the driver
    inner_torque: Array        # [N m], mean on the inner ring
    swinging_torque: Array     # [N m], to either side
    swinging_frequency: Array  # [Hz]
    wall_rate: Array           # of the hottest piece of wall without liquid, at the beginning [K/s], with the factor
    wall_time: Array           # from its working temperature to the shell's limit [s]; infinite: never; NaN: no limit
    ring_rate: Array           # of inner magnets and sheath, no heat given off [K/s]
    ring_time: Array           # to the limit of the inner magnets [s]


@dataclass(frozen=True, eq=False)
class OutOfStep:
    """Mean losses and torques with the inner ring at rest and on the way there, before the metal heats up."""

    shell_loss: float          # [W]
    loss_share: float          # of the shell's loss in step at the same load; NaN: no loss
    loss_factor: float         # on the slip loss of the shell, by the user
    sheath_loss: float         # [W], heats the inner ring
    magnet_loss: tuple[float, float]           # [W], inner and outer magnets, pieces insulated from each other
    magnet_loss_touching: tuple[float, float]  # the same where currents pass from piece to piece
    driving_torque: float      # [N m], mean
    swinging_torque: float     # [N m], to either side
    swinging_frequency: float  # [Hz]
    drifting_speed: float      # of a pump that the mean torque alone turns, bearings without friction [rad/s]
    catching_slip: float       # largest slip from which unloaded rings can come back into step [rad/s]
    wall_limit: float          # highest temperature of the shell's material that is known here [K]; NaN: none
    table: SlipTable
    warnings: tuple[str, ...]

    @property
    def catches_again(self) -> bool:
        """Whether the mean torque brings the pump so near to the driver that the magnets can catch it."""
        return bool(self.table.outer_speed[-1] - self.drifting_speed <= self.catching_slip)


@dataclass(frozen=True, eq=False)
class _Slipping:
    """The coupling at the temperatures of the study, at any speed of the inner ring."""

    pump: PumpFile
    conditions: Conditions
    geometry: CouplingGeometry
    response: CouplingResponse
    remanence: tuple[float, float]
    shell_conductivity: float
    sheath: Sheath | None
    magnet_conductivity: tuple[float, float]

    @classmethod
    def of(cls, pump: PumpFile, conditions: Conditions) -> _Slipping:
        """Warm metal of both rings and the wall; magnets at the resistivity of their table."""
        inner, outer = hot_remanences(pump, conditions.magnets)
        ring, metal = pump.inner_ring, pump.sheath_material
        sheath = None
        if metal.conduction == "metal":
            resistivity = at_temperature(metal.resistivity, metal.resistivity_coefficient, conditions.liquid)
            sheath = Sheath(ring.sheath_diameter / 2, float(1 / resistivity))
        return cls(pump, conditions, coupling_geometry(pump), response_for(pump), (float(inner), float(outer)),
                   rings_of(pump).conductivity_at(conditions.liquid), sheath,
                   (1 / pump.inner_magnet.resistivity, 1 / pump.outer_magnet.resistivity))

    def at(self, inner_speed: float) -> SlipState:
        """Means over a slip cycle at one speed of the inner ring."""
        return slip_state(self.geometry, self.response, self.remanence, outer_speed=self.conditions.speed,
                          inner_speed=inner_speed, shell_conductivity=self.shell_conductivity, sheath=self.sheath,
                          magnet_conductivity=self.magnet_conductivity)

    def magnets_touching(self) -> tuple[float, float]:
        """Loss of both rings' magnets with the inner ring at rest, where currents pass from piece to piece [W]."""
        inner, outer = (magnet_loss(self.geometry, ring, self.remanence[1 - ring], self.magnet_conductivity[ring],
                                    self.conditions.speed, touching=True) for ring in (0, 1))
        return inner, outer

    def drifting_speed(self) -> float:
        """Speed at which the mean torque balances the load, which grows with the square of speed [rad/s]."""
        full = self.conditions.speed

        def surplus(speed: float) -> float:
            return self.at(speed).inner_torque - self.conditions.torque * (speed / full) ** 2

        if surplus(0.0) <= 0:
            return 0.0
        return float(brentq(surplus, 0.0, full * (1 - 1e-6), xtol=1e-6))

    def in_step(self, point: WorkingPoint) -> SlipState:
        """The state at the load angle in the same words; NaN where the load is not carried."""
        carried = not np.isnan(point.angle)
        loss = (self.response.cell_loss(point.angle, self.conditions.speed, self.shell_conductivity, *self.remanence)
                if carried else np.full(self.response.cell_edges.size - 1, np.nan))
        torque = self.conditions.torque if carried else np.nan
        return SlipState(
            shell_loss=loss, sheath_loss=0.0, magnet_loss=(0.0, 0.0), driving_torque=torque + point.drag[1],
            inner_torque=torque - point.drag[0], swinging_torque=0.0, swinging_frequency=0.0, warnings=())


def out_of_step(pump: PumpFile, conditions: Conditions, point: WorkingPoint, inertias: Inertias,
                loss_factor: float = 1.0) -> OutOfStep:
    """States from rings in step to an inner ring at rest, the outer ring at speed.

    Parameters
    ----------
    pump, conditions, point
        The pump, its state before it let go, and its coupling in that state.
    inertias : Inertias
        Of both sides, for whether the rings can catch each other again.
    loss_factor : float
        On the shell's loss out of step, for whoever holds the model's to be too low; heating goes with it.
    """
    slipping = _Slipping.of(pump, conditions)
    rest = slipping.at(0.0)
    loss = float(rest.shell_loss.sum())
    limit = _wall_limit(pump)
    response = slipping.response
    return OutOfStep(
        shell_loss=loss, loss_share=loss / point.shell_loss if point.shell_loss > 0 else float("nan"),
        loss_factor=loss_factor, sheath_loss=rest.sheath_loss, magnet_loss=rest.magnet_loss,
        magnet_loss_touching=slipping.magnets_touching(), driving_torque=rest.driving_torque,
        swinging_torque=rest.swinging_torque, swinging_frequency=rest.swinging_frequency,
        drifting_speed=slipping.drifting_speed(),
        catching_slip=catching_slip(response.torque_orders, response.torque_series(*slipping.remanence),
                                    response.pole_pairs, inertias.drive, inertias.pump),
        wall_limit=limit, table=_table(slipping, point, limit, loss_factor), warnings=rest.warnings)


def _table(slipping: _Slipping, point: WorkingPoint, limit: float, loss_factor: float) -> SlipTable:
    pump, conditions = slipping.pump, slipping.conditions
    states = [slipping.in_step(point), *(slipping.at(float(share) * conditions.speed) for share in SHARES[1:])]
    factor = np.where(np.arange(len(states)) > 0, loss_factor, 1.0)
    capacity = wall_capacity(pump)
    flux = factor * np.array([(state.shell_loss / outside_areas(pump)).max() for state in states])
    loss = np.array([state.shell_loss.sum() for state in states])
    ring = np.array([state.sheath_loss + state.magnet_loss[0] for state in states])
    ring_rate = ring / _ring_capacity(pump)
    left = max(pump.inner_magnet.highest_temperature - conditions.inner_magnets, 0.0)
    heated = bool(slipping.shell_conductivity)
    return SlipTable(
        inner_speed=SHARES * conditions.speed, outer_speed=np.full(SHARES.size, conditions.speed), shell_loss=loss,
        loss_share=loss / point.shell_loss if point.shell_loss > 0 else np.full(loss.size, np.nan),
        sheath_loss=np.array([state.sheath_loss for state in states]),
        inner_magnet_loss=np.array([state.magnet_loss[0] for state in states]),
        outer_magnet_loss=np.array([state.magnet_loss[1] for state in states]),
        driving_torque=np.array([state.driving_torque for state in states]),
        inner_torque=np.array([state.inner_torque for state in states]),
        swinging_torque=np.array([state.swinging_torque for state in states]),
        swinging_frequency=np.array([state.swinging_frequency for state in states]),
        wall_rate=flux / capacity if heated else np.zeros(loss.size),
        wall_time=np.asarray(dry_heating_time(
            flux, capacity, pump.containment_shell.air_side_coefficient, conditions.liquid, limit, conditions.air))
        if heated and not np.isnan(limit) else np.full(loss.size, np.nan if heated else np.inf),
        ring_rate=ring_rate, ring_time=np.where(ring_rate > 0, left / np.where(ring_rate > 0, ring_rate, 1.0), np.inf))


def _wall_limit(pump: PumpFile) -> float:
    """Highest temperature of use of the shell's material, of a metal the end of its table of allowable stress [K]."""
    material = pump.shell_material
    if np.isnan(material.highest_temperature) and len(material.allowable_temperatures) > 1:
        return material.allowable_temperatures[-1]
    return material.highest_temperature


def _ring_capacity(pump: PumpFile) -> float:
    """Heat capacity of the inner magnets and the sheath over them [J/K]."""
    ring, metal = pump.inner_ring, pump.sheath_material
    sheath = metal.density * metal.heat_capacity * _cylinder(ring.outer_diameter, ring.sheath_diameter, ring.length)
    return MAGNET_HEAT * magnet_volume(ring) + (0.0 if np.isnan(sheath) else sheath)


def magnet_volume(ring: MagnetRing) -> float:
    """Volume of the magnets of one ring, without the spaces between them [m3]."""
    return ring.arc * _cylinder(ring.inner_diameter, ring.outer_diameter, ring.length)


def _cylinder(inside: float, outside: float, length: float) -> float:
    return pi / 4 * (outside**2 - inside**2) * length
